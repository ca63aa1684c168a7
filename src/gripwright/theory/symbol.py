"""Chord symbols: read every usual writing, write one.

`parse_symbol` takes ``Cmaj7``, ``CM7``, ``CΔ``, ``C-7``, ``Cø``, ``C°7``, ``C7sus``, ``C69``,
``C7(b9,#11)``, ``C7b9``, ``Cadd9``, ``C(no3)``, ``D/F#``, with ♭ ♯ or b #. `ChordSymbol.text`
is the one chosen style in ASCII, `pretty` with printed accidentals, `harte` the label of
Harte et al. (ISMIR 2005) and `runs` what a typesetter needs.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from gripwright.errors import SymbolError
from gripwright.theory.harte import harte_label
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.quality_text import SIGNS, QualityError, quality_text, read_quality


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a symbol to typeset: ``raised`` for quality and extensions."""

    text: str
    raised: bool = False


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A root, a quality and, for a slash chord, a bass.

    >>> parse_symbol("C-7").text, parse_symbol("A♭13#11").pretty, parse_symbol("C7b9").harte
    ('Cm7', 'A♭13(♯11)', 'C:7(b9)')
    """

    root: Note
    quality: Quality
    bass: Note | None = None

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """Return the degrees that the symbol claims above its root, the slash bass left out."""
        return self.quality.degrees

    @property
    def bass_note(self) -> Note:
        """Return the note in the bass: the slash bass, or the root."""
        return self.bass or self.root

    @property
    def notes(self) -> tuple[Note, ...]:
        """Return the spelled notes in the order of `degrees`."""
        return tuple(note_at(self.root, degree) for degree in self.degrees)

    @property
    def pcs(self) -> frozenset[int]:
        """Return the pitch classes claimed, the slash bass included."""
        return frozenset(note.pc for note in (*self.notes, self.bass_note))

    @property
    def text(self) -> str:
        """Return the symbol in the chosen style, ASCII."""
        slash = f"/{self.bass.name}" if self.bass else ""
        return f"{self.root.name}{quality_text(self.quality)}{slash}"

    @property
    def pretty(self) -> str:
        """Return the symbol with printed accidentals."""
        slash = f"/{self.bass.pretty}" if self.bass else ""
        return f"{self.root.pretty}{_print(quality_text(self.quality))}{slash}"

    @property
    def runs(self) -> tuple[Run, ...]:
        """Return root, raised quality and slash bass as typesetting runs."""
        text = _print(quality_text(self.quality))
        low = "m" if text.startswith("m") and not text.startswith("maj") else ""
        parts = [Run(self.root.pretty + low), Run(text[len(low) :], raised=True)]
        if self.bass:
            parts.append(Run(f"/{self.bass.pretty}"))
        return tuple(run for run in parts if run.text)

    @property
    def harte(self) -> str:
        """Return the Harte label of what the symbol claims, ``C:7(b9)/3``."""
        return harte_label(self.root, self.degrees, self.bass)

    def __str__(self) -> str:
        return self.text


def _print(text: str) -> str:
    return re.sub(r"b(?=\d)", "♭", text).replace("#", "♯")


@lru_cache(maxsize=4096)
def parse_symbol(text: str) -> ChordSymbol:
    """Read a chord symbol in any usual writing.

    Raises SymbolError with the 0-based character where reading stopped and the nearest
    right symbol as its remedy.
    """
    lead = len(text) - len(text.lstrip())
    clean = text.strip().translate(SIGNS)
    match = _ROOT.match(clean)
    if not match:
        raise _wrong(text, lead, "a symbol starts with its root, A to G")
    root = parse_note(match[0])
    body, bass = _split_bass(clean[match.end() :])
    try:
        quality = read_quality(body)
    except QualityError as error:
        at = lead + match.end() + error.at
        raise _wrong(text, at, "what follows the root is not known") from error
    return ChordSymbol(root, quality, None if bass == root else bass)


_ROOT = re.compile(r"[A-G](?:##|bb|#|b)?")


def _split_bass(body: str) -> tuple[str, Note | None]:
    """Split a slash bass off the end; ``6/9`` is none."""
    head, slash, tail = body.rpartition("/")
    if slash and _ROOT.fullmatch(tail.strip()):
        return head.rstrip(), parse_note(tail)
    return body, None


def _wrong(text: str, at: int, reason: str) -> SymbolError:
    near = nearest_symbol(text)
    if text.strip().upper().replace(".", "") in ("N", "NC"):
        reason, near = "it says that there is no chord: that is a rest", None
    return SymbolError(
        f"{text!r} is not a chord symbol: {reason} (character {at + 1})",
        field="symbol", at=at, remedy=f"perhaps {near}" if near else "write a symbol such as Cmaj7",
    )  # fmt: skip


def nearest_symbol(text: str) -> str | None:
    """Return the right symbol nearest to a wrong one, None if none is near.

    >>> nearest_symbol("cmaj77"), nearest_symbol("Cmja7"), nearest_symbol("hello")
    ('Cmaj7', 'Cmaj7', None)
    """
    clean = text.strip().translate(SIGNS)
    root = re.match(r"([A-Ga-g])(##|bb|#|b)?", clean)
    if not root:
        return None
    body, _ = _split_bass(clean[root.end() :])
    body = re.sub(r"[(), ]", "", body)
    plain = {name: re.sub(r"[(),]", "", name) for name in _NEAR}
    size, near = min(
        ((_edits(body, text), name) for name, text in plain.items()), key=lambda pair: pair[0]
    )
    if 2 * size > max(len(body), 2):
        return None
    return root[1].upper() + (root[2] or "") + near


# Symbols that a wrong one may have meant: of equally near ones the first.
_NEAR = (
    "7", "maj7", "m7", "m7(b5)", *BASES,
    "(b5)", "add9", "m(add9)", "add11", "7(b5)", "7(#5)", "7(b9)", "7(#9)", "7(#11)",
    "7(b13)", "9(#11)", "13(b9)", "13(#11)", "7(b9,#11)", "7(b9,b13)", "7(#9,b13)", "7sus4(b9)",
    "maj7(#5)", "maj7(#11)", "maj9(#11)", "m9(b5)", "m11(b5)", "m7(add11)",
)  # fmt: skip


def _edits(one: str, other: str) -> int:
    """Return how many letters to change, add, drop or swap with the next (Damerau 1964, memory)."""
    before, last = [0], list(range(len(other) + 1))
    for i, left in enumerate(one, 1):
        row = [i]
        for j, right in enumerate(other, 1):
            row.append(min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (left != right)))
            if i > 1 and j > 1 and left == other[j - 2] and one[i - 2] == right:
                row[j] = min(row[j], before[j - 2] + 1)
        before, last = last, row
    return last[-1]
