"""A part for other hands made playable: a keyboard's voicing becomes a grip.

Each stack of notes keeps its bass, its top note and its guide tones (third and seventh above
the bass where no symbol is given); inner notes may move by an octave or be dropped. What was
dropped or moved is told note by note. The chain is the best one through all stacks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from gripwright.errors import SearchError
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip
from gripwright.voicing.arrange import Arrangement, Asked, Wanted, arrange
from gripwright.voicing.rules import wish_for_pitches
from gripwright.voicing.search import Found, find_grips

DROPPED, MOVED = 0.5, 0.3
ENOUGH, MOST_TRIES = 12, 400
_GUIDE_NUMBERS = (3, 7)


@dataclass(frozen=True, slots=True)
class Kept:
    """How one stack was played: pitches dropped, and (from, to) of pitches moved by octaves."""

    dropped: tuple[int, ...] = ()
    moved: tuple[tuple[int, int], ...] = ()

    @property
    def cost(self) -> float:
        """Return what the changes count against a candidate."""
        return DROPPED * len(self.dropped) + MOVED * len(self.moved)


@dataclass(frozen=True, slots=True)
class Reduction:
    """The arrangement of a part, and by stack what was dropped or moved."""

    arrangement: Arrangement
    kept: tuple[Kept, ...]


def reduce_stacks(
    stacks: Sequence[Sequence[int]],
    player: Player,
    lengths_s: Sequence[float],
    wanted: Wanted | None = None,
) -> Reduction:
    """Return grips for stacks of MIDI pitches, each as long as given.

    Raises SearchError naming a stack of which not even bass, top and guide tones can be
    played; notes outside the neck are moved by octaves first.
    """
    wanted = wanted or Wanted()
    known: dict[tuple[int, ...], tuple[tuple[Found, ...], dict[Grip, Kept]]] = {}
    pools, told = [], []
    for index, stack in enumerate(stacks):
        key = tuple(sorted(set(stack)))
        if key not in known:
            known[key] = _pool(key, player, wanted, index)
        pools.append(known[key][0])
        told.append(known[key][1])
    asked = [Asked(None, length_s=length) for length in lengths_s]
    arrangement = arrange(asked, player, wanted, pools=pools)[0]
    kept = tuple(ways[one.grip] for one, ways in zip(arrangement.grips, told, strict=True))
    return Reduction(arrangement, kept)


def _pool(
    stack: tuple[int, ...], player: Player, wanted: Wanted, index: int
) -> tuple[tuple[Found, ...], dict[Grip, Kept]]:
    pool: dict[Grip, Found] = {}
    ways: dict[Grip, Kept] = {}
    for tries, (pitches, kept) in enumerate(_versions(stack, player, wanted)):
        if len(pool) >= ENOUGH or tries >= MOST_TRIES:
            break
        for found in find_grips(wish_for_pitches(pitches, "this chord"), player, wanted.limits):
            if found.grip not in pool:
                pool[found.grip] = replace(found, raw_sound=found.raw_sound + kept.cost)
                ways[found.grip] = kept
    if not pool:
        raise SearchError(
            f"chord {index + 1} of the part cannot be played: bass, top and guide tones lie too"
            " far apart", field="part", at=index,
            remedy="allow a wider span, other frets or another tuning",
        )  # fmt: skip
    ranked = sorted(pool.values(), key=lambda found: (found.cost, found.grip.text))
    return tuple(ranked[:60]), ways


def _versions(
    stack: tuple[int, ...], player: Player, wanted: Wanted
) -> Iterator[tuple[tuple[int, ...], Kept]]:
    """Yield what might be played of a stack, the truest first."""
    low = min(player.neck.midi(i, 0) for i in range(len(player.neck)))
    high = max(player.neck.midi(i, 0) for i in range(len(player.neck))) + wanted.limits.frets[1]
    fitted = {pitch: _into(pitch, low, high) for pitch in stack}
    bass, top = stack[0], stack[-1]
    guides = [pitch for pitch in stack[1:-1] if _is_guide(pitch - bass)]
    others = [pitch for pitch in stack[1:-1] if pitch not in guides]
    for drop in range(len(others) + 1):
        for gone in _least_needed(others, bass, drop):
            left = [p for p in stack if p not in gone]
            yield from _octaves(left, bass, top, fitted, gone, (low, high))


def _is_guide(above: int) -> bool:
    return PLAIN_DEGREES[above % 12].number in _GUIDE_NUMBERS


def _least_needed(others: list[int], bass: int, drop: int) -> list[tuple[int, ...]]:
    """Return the ways to drop so many inner notes, doublings and fifths first."""

    def need(pitch: int) -> int:
        degree = PLAIN_DEGREES[(pitch - bass) % 12]
        return 0 if degree.number == 1 else 1 if degree.text == "5" else 2

    return sorted(combinations(others, drop), key=lambda gone: sum(map(need, gone)))


def _octaves(
    left: list[int],
    bass: int,
    top: int,
    fitted: dict[int, int],
    gone: tuple[int, ...],
    reach: tuple[int, int],
) -> Iterator[tuple[tuple[int, ...], Kept]]:
    """Yield the notes that are left as they are, then with inner ones moved by an octave."""
    plain = [fitted[p] for p in left]
    inner = [i for i, p in enumerate(left) if p not in (bass, top)]
    lowest, highest = fitted[bass], fitted[top]
    for count in range(min(2, len(inner)) + 1):
        for which in combinations(inner, count):
            for step in (12, -12) if count else (0,):
                moved = [p + step * (i in which) for i, p in enumerate(plain)]
                if all(lowest <= p <= highest and reach[0] <= p <= reach[1] for p in moved):
                    pairs = zip(left, moved, strict=True)
                    yield tuple(moved), Kept(gone, tuple((a, b) for a, b in pairs if a != b))


def _into(pitch: int, low: int, high: int) -> int:
    """Return a pitch moved by octaves into a range of at least an octave."""
    while pitch < low:
        pitch += 12
    while pitch > high:
        pitch -= 12
    return pitch
