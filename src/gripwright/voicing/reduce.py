"""A part for other hands made playable: a keyboard's voicing becomes a grip.

Each stack of notes keeps its bass, its top note and its guide tones (the thirds and sevenths
above the bass); inner notes may move by octaves or be dropped, doublings and fifths first.
Where bass and top lie too far apart for one hand, the bass moves up by an octave, then the top
down; only where nothing else can be held (at a low level) does a guide tone go. What was
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
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import wish_for_pitches
from gripwright.voicing.search import Found, find_grips

DROPPED, MOVED, MOVED_BASS, MOVED_TOP = 0.5, 0.3, 0.4, 1.5
ENOUGH, MOST_TRIES, MOST_CANDIDATES = 12, 400, 60
_GUIDE_NUMBERS = (3, 7)
Edges = list[tuple[int, int]]
# Semitones that bass (up) and top (down) are moved by, as far as needed.
_MOVES = ((0, 0), (12, 0), (0, 12), (24, 0), (12, 12), (24, 12), (0, 24), (0, -12), (12, -12))


@dataclass(frozen=True, slots=True)
class Kept:
    """How one stack was played: pitches dropped, and (from, to) of pitches moved by octaves.

    ``cost`` is what that counts against a candidate.
    """

    dropped: tuple[int, ...] = ()
    moved: tuple[tuple[int, int], ...] = ()
    cost: float = 0.0


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

    Raises SearchError naming a stack of which not even bass and top can be played.
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
    """Return candidates for a stack and how each was come by; levels rise until there are some."""
    for level in range(wanted.limits.level, 6):
        limits = replace(wanted.limits, notes=(1, 8), level=level)
        for edges in _edges(stack, player, limits):
            pool, ways = _between(stack, edges, player, limits)
            if pool:
                ranked = sorted(pool, key=lambda found: (found.cost, found.grip.text))
                return tuple(ranked[:MOST_CANDIDATES]), ways
    raise SearchError(
        f"chord {index + 1} of the part cannot be played: not even its bass and top can",
        field="part", at=index, remedy="allow a wider span, other frets or another tuning",
    )  # fmt: skip


def _between(
    stack: tuple[int, ...], edges: Edges, player: Player, limits: Limits
) -> tuple[list[Found], dict[Grip, Kept]]:
    """Return the candidates that keep two edges, the truest versions of the stack first."""
    pool: list[Found] = []
    ways: dict[Grip, Kept] = {}
    for tries, (pitches, kept) in enumerate(_versions(stack, edges)):
        if len(pool) >= ENOUGH or (pool and tries >= MOST_TRIES):
            break
        for found in find_grips(wish_for_pitches(pitches, "this"), player, limits):
            if found.grip not in ways:
                pool.append(replace(found, raw_sound=found.raw_sound + kept.cost))
                ways[found.grip] = kept
    return pool, ways


def _edges(stack: tuple[int, ...], player: Player, limits: Limits) -> Iterator[Edges]:
    """Yield (from, to) of bass and top: as they are, then moved by octaves, the bass first."""
    opens = [player.neck.midi(i, 0) for i in range(len(player.neck))]
    low, high = min(opens), max(opens) + limits.frets[1]
    bass, top = _into(stack[0], low, high), _into(stack[-1], low, high)
    for up, down in _MOVES:
        lowest, highest = bass + up, top - down
        apart = lowest < highest or len(stack) == 1
        if low <= lowest and apart and highest <= high:
            yield [(stack[0], lowest), (stack[-1], highest)][: len(stack)]


def _versions(stack: tuple[int, ...], edges: Edges) -> Iterator[tuple[tuple[int, ...], Kept]]:
    """Yield what might be played of a stack between two edges, the truest first."""
    inner = list(stack[1:-1])
    guides = [pitch for pitch in inner if _is_guide(pitch - stack[0])]
    others = [pitch for pitch in inner if pitch not in guides]
    for drop in range(len(others) + 1):
        for gone in _least_needed(others, stack[0], drop):
            yield from _octaves([p for p in inner if p not in gone], edges, gone)
    for drop in range(1, len(guides) + 1):
        for lost in combinations(guides, drop):
            gone = (*others, *lost)
            yield from _octaves([p for p in guides if p not in lost], edges, gone)


def _is_guide(above: int) -> bool:
    return PLAIN_DEGREES[above % 12].number in _GUIDE_NUMBERS


def _least_needed(others: list[int], bass: int, drop: int) -> list[tuple[int, ...]]:
    """Return the ways to drop so many inner notes, doublings and fifths first."""

    def need(pitch: int) -> int:
        degree = PLAIN_DEGREES[(pitch - bass) % 12]
        return 0 if degree.number == 1 else 1 if degree.text == "5" else 2

    return sorted(combinations(others, drop), key=lambda gone: sum(map(need, gone)))


def _octaves(
    inner: list[int], edges: Edges, gone: tuple[int, ...]
) -> Iterator[tuple[tuple[int, ...], Kept]]:
    """Yield the inner notes where they are or nearest by, then up to two an octave away.

    ``edges`` are (from, to) of bass and top; an inner note that has no room between them is
    dropped.
    """
    lowest, highest = edges[0][1], edges[-1][1]
    near = [(pitch, _into(pitch, lowest, highest)) for pitch in inner]
    placed = [(pitch, to) for pitch, to in near if lowest <= to <= highest]
    lost = (*gone, *(pitch for pitch, to in near if not lowest <= to <= highest))
    for count in range(min(2, len(placed)) + 1):
        for which in combinations(range(len(placed)), count):
            for step in (12, -12) if count else (0,):
                pairs = [(p, to + step * (i in which)) for i, (p, to) in enumerate(placed)]
                if all(lowest <= to <= highest for _, to in pairs):
                    moved = tuple((a, b) for a, b in (*edges, *pairs) if a != b)
                    cost = DROPPED * len(lost) + MOVED * sum(a != b for a, b in pairs)
                    cost += MOVED_BASS * (edges[0][0] != lowest)
                    cost += MOVED_TOP * (edges[-1][0] != highest)
                    sounds = {to for _, to in (*edges, *pairs)}
                    yield tuple(sorted(sounds)), Kept(tuple(sorted(lost)), moved, cost)


def _into(pitch: int, low: int, high: int) -> int:
    """Return a pitch moved by octaves into a range, or just above it where it has no room."""
    while pitch > high:
        pitch -= 12
    while pitch < low:
        pitch += 12
    return pitch
