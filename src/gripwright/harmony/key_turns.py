"""Where a tonic's own chord turns from minor to major, or back, for good.

A song's verse may be in A minor and its chorus in A major: the tonic stays, the key does not. One
turned tonic is a colour or a close (a borrowed chord, a Picardy third); two visits home in a row
each way are another key. A dominant seventh on the tonic leads elsewhere and says nothing. Common
practice, no source.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from gripwright.harmony.facts import Facts

FEWEST_VISITS = 2


def turns_of(path: Sequence[int], chords: Sequence[Facts]) -> list[int]:
    """Return for each chord how often the tonic of its region has turned before; 0 where it stays.

    ``path`` has the tonic of each chord.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> changes = [facts_of(parse_symbol(text)) for text in "Am E Am E A D A".split()]
    >>> turns_of([9] * 7, changes)
    [0, 0, 0, 0, 1, 1, 1]
    """
    turns: list[int] = []
    for tonic, run in itertools.groupby(path):
        start = len(turns)
        turns += [0] * len(list(run))
        for number, opens in enumerate(_openings(tonic % 12, chords, start, len(turns))):
            turns[opens:] = [number] * (len(turns) - opens)
    return turns


def _openings(tonic: int, chords: Sequence[Facts], start: int, end: int) -> list[int]:
    """Return where each stay in minor or major opens, the first where the region does."""
    visits: list[tuple[str, int]] = []
    last: int | None = None
    for at in range(start, end):
        chord = chords[at]
        if chord.root != tonic or chord.third == "other" or chord.dominant:
            continue
        if last is None or last != at - 1 or chord.third != visits[-1][0]:
            visits.append((chord.third, at))
        last = at
    stays = [list(stay) for _, stay in itertools.groupby(visits, key=lambda visit: visit[0])]
    if len(stays) < 2 or min(map(len, stays)) < FEWEST_VISITS:
        return [start]
    return [start, *(stay[0][1] for stay in stays[1:])]
