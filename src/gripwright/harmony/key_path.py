"""The best chain of keys through the evidence: one exact dynamic programme.

States are tonics, or pairs of tonic and family (`key_weights`); staying costs nothing, entering
another key costs the table's change. Exact: a state is looked at only if it may still win,
and none is cut that could.
"""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.key_weights import Vector


def best_path(
    rows: Sequence[Sequence[float]],
    changes: Sequence[Vector],
    tolls: Sequence[float] | None = None,
) -> list[int]:
    """Return the best state for each row of evidence.

    ``changes`` holds for each state what it costs to enter every other from it, ``tolls`` for each
    row what it costs (0 or less) to enter any there.

    >>> steady = [(-1.0,) * 24] * 24
    >>> best_path([[0.0] * 23 + [1.0], [0.5] + [0.0] * 23], steady)
    [23, 23]
    """
    cheapest = max(max(row[:old] + row[old + 1 :]) for old, row in enumerate(changes))
    so_far = list(rows[0])
    columns = [so_far]
    entries: list[list[float]] = []
    for row, toll in zip(rows[1:], tolls[1:] if tolls else [0.0] * (len(rows) - 1), strict=True):
        entry = so_far
        floor = min(so_far) - cheapest
        for old in sorted(range(len(changes)), key=so_far.__getitem__, reverse=True):
            at = so_far[old] + toll
            if at < floor:
                break
            entry = [
                stay if stay > (enter := at + change) else enter
                for stay, change in zip(entry, changes[old], strict=True)
            ]
            floor = min(entry) - cheapest
        so_far = [before + now for before, now in zip(entry, row, strict=True)]
        columns.append(so_far)
        entries.append(entry)
    return _trace(columns, entries, changes)


def _trace(
    columns: list[list[float]], entries: list[list[float]], changes: Sequence[Sequence[float]]
) -> list[int]:
    """Walk back from the best end; a tie stays where it is."""
    state = max(range(len(changes)), key=columns[-1].__getitem__)
    path = [state]
    for column, entry in zip(reversed(columns[:-1]), reversed(entries), strict=True):
        if column[state] < entry[state]:
            state = max(range(len(changes)), key=lambda old: column[old] + changes[old][state])
        path.append(state)
    return path[::-1]
