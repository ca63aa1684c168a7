"""Claims about changes, by family; each row is a kind with its own verifier and its words.

The subject is a tuple of chord symbols in the order of playing (grips for ``shape-moved``);
args are keys, notes and sizes. The verifiers read the symbols' notes afresh and share no code
with the finders in `remarks`.
"""

from __future__ import annotations

from gripwright.harmony.claims import Kind
from gripwright.harmony.claims_changes import (
    cadence,
    chord,
    chromatic,
    dominant,
    formula,
    line,
    region,
    thread,
)

KINDS: dict[str, Kind] = {
    **chord.KINDS, **dominant.KINDS, **chromatic.KINDS, **cadence.KINDS, **formula.KINDS,
    **line.KINDS, **region.KINDS, **thread.KINDS,
}  # fmt: skip
