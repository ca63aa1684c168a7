"""Arrange changes: a grip for every chord, fixed ones kept, for a player and a level.

Candidates come from the search, made plainer where a level asks for it; the chain through
them is exact (`path`), and so are the fingers along it. What a chord loses and how the hand
moves is told beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from gripwright.errors import SearchError
from gripwright.neck.cautions import chain_cautions
from gripwright.neck.effort import Player, share
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.hand import Finger, Fingering, finger_for, held_ways
from gripwright.neck.shapes import shape_of
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.easier import Attempt, Loss, attempts, loss_of
from gripwright.voicing.levels import fits_level
from gripwright.voicing.limits import Edge, Limits
from gripwright.voicing.moves import Move, move_between
from gripwright.voicing.path import Aim, Chain, Place, all_holds, best_chain, different_chains
from gripwright.voicing.rules import wish_for
from gripwright.voicing.search import Found, find_grips, teaching_order
from gripwright.voicing.sound import sound_raw

MOST_CANDIDATES = 120
ENOUGH_CANDIDATES = 12
CHANGED = 0.25
# Added notes that a plainer symbol gives up cheaply.
COLOURS = (2, 4, 6, 9, 11, 13)
LOST_DEGREE, LOST_COLOUR, LOST_BASS = 0.3, 0.1, 2.0


@dataclass(frozen=True, slots=True)
class Asked:
    """One chord of the changes: a symbol, a fixed grip, or both; ``length_s`` it lasts.

    ``fingers`` fixes the fingers of a fixed grip; ``top`` is the note that must be highest.
    """

    symbol: ChordSymbol | None
    grip: Grip | None = None
    fingers: tuple[Finger | None, ...] | None = None
    top: Edge | None = None
    length_s: float = 2.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """How to arrange: limits and level, the aim, and whether the top line should rise."""

    limits: Limits = field(default_factory=Limits)
    aim: Aim = "total"
    rising: bool = False


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A grip for each chord, the moves between them, and what each chord loses.

    ``efforts`` are from 0 to 1, each of a grip with the change into it.
    """

    grips: tuple[Found, ...]
    moves: tuple[Move, ...]
    losses: tuple[Loss, ...]
    efforts: tuple[float, ...]
    cautions: tuple[str, ...]

    @property
    def effort(self) -> float:
        """Return the mean effort, 0 to 1."""
        return sum(self.efforts) / len(self.efforts)

    @property
    def fingerings(self) -> tuple[Fingering, ...]:
        """Return the fingering of each grip."""
        return tuple(one.fingering for one in self.grips)


def arrange(
    asked: Sequence[Asked],
    player: Player,
    wanted: Wanted | None = None,
    *,
    count: int = 1,
    pools: Sequence[tuple[Found, ...]] | None = None,
    told: Callable[[float], None] = lambda share: None,
) -> tuple[Arrangement, ...]:
    """Return the best arrangement, and truly different ones after it up to ``count`` in all.

    ``pools`` are the candidates of each chord where they are known already. ``told`` hears which
    share of the search for candidates is done. Raises SearchError where a chord has no grip,
    naming the chord.
    """
    wanted = wanted or Wanted()
    if pools is None:
        pools = _pools(asked, player, wanted, told)
    times = [asked[max(0, index - 1)].length_s for index in range(len(asked))]
    places = [Place(pool, time) for pool, time in zip(pools, times, strict=True)]
    chains = different_chains(places, count, aim=wanted.aim, rising=wanted.rising)
    if wanted.aim == "total":
        chains = (_constant(chains[0], places, wanted), *chains[1:])
    return tuple(_told(asked, _fingered(chain, asked, places, wanted), places) for chain in chains)


def for_another_neck(asked: Sequence[Asked]) -> tuple[Asked, ...]:
    """Return what is asked with the grips left aside, since they belong to their own neck.

    Raises SearchError for a chord that is only a grip.
    """
    for index, one in enumerate(asked):
        if one.symbol is None and one.grip is not None:
            raise SearchError(
                f"chord {index + 1} is only the grip {one.grip.text}, which belongs to its own"
                " tuning", field="tuning", at=index,
                remedy=f"write what it is, {one.grip.text}=Am9, or ask gripwright tunings",
            )  # fmt: skip
    return tuple(replace(one, grip=None, fingers=None) for one in asked)


def _pools(
    asked: Sequence[Asked], player: Player, wanted: Wanted, told: Callable[[float], None]
) -> tuple[tuple[Found, ...], ...]:
    """Return the candidates of each chord, the same tuple for the same question."""
    known: dict[tuple[object, ...], tuple[Found, ...]] = {}
    for index, one in enumerate(asked):
        key = (one.symbol, one.grip, one.fingers, one.top)
        if key not in known:
            known[key] = _pool(one, player, wanted, index)
        told((index + 1) / len(asked))
    return tuple(known[one.symbol, one.grip, one.fingers, one.top] for one in asked)


def _pool(one: Asked, player: Player, wanted: Wanted, index: int) -> tuple[Found, ...]:
    if one.grip is not None:
        return fixed_grip(one.grip, player, one.symbol, one.fingers)
    assert one.symbol is not None
    limits = replace(wanted.limits, top=one.top) if one.top else wanted.limits
    pool = candidates(one.symbol, player, limits)
    if not pool:
        raise SearchError(
            f"chord {index + 1}, {one.symbol.text}, has no grip within these limits",
            field="changes", at=index,
            remedy="allow a wider span, other frets, a higher level or another tuning",
        )  # fmt: skip
    return pool


def candidates(symbol: ChordSymbol, player: Player, limits: Limits) -> tuple[Found, ...]:
    """Return the likeliest grips of a symbol, best first; below level 5 plainer ones too.

    The written bass is kept: where a level has nothing with it, the next level up is used, and
    another bass only where no level has it.
    """
    tries = list(attempts(symbol)) if limits.level < 5 else [Attempt(symbol)]
    kept = [one for one in tries if one.keeps_bass_of(symbol)]
    for stage in (kept, [one for one in tries if one not in kept]):
        for level in range(limits.level, 6):
            pool = _at_most(symbol, stage, player, replace(limits, level=level))
            if pool:
                return tuple(sorted(pool, key=teaching_order)[:MOST_CANDIDATES])
    return ()


def _at_most(
    symbol: ChordSymbol, tries: Sequence[Attempt], player: Player, limits: Limits
) -> list[Found]:
    """Return grips of a symbol at a level, of plainer symbols where they are few."""
    pool: dict[Grip, Found] = {}
    for attempt in tries:
        wish = wish_for(attempt.symbol, player.neck, any_bass=attempt.any_bass)
        for found in find_grips(wish, player, limits, symbol=symbol):
            pool.setdefault(found.grip, _fined(found, symbol))
        if len(pool) >= ENOUGH_CANDIDATES:
            break
    return list(pool.values())


def _fined(found: Found, symbol: ChordSymbol) -> Found:
    loss = loss_of(symbol, found.midis, found.player.neck)
    fines = [LOST_COLOUR if d.number in COLOURS else LOST_DEGREE for d in loss.degrees]
    fine = sum(fines) + LOST_BASS * loss.bass
    return replace(found, raw_sound=found.raw_sound + fine) if fine else found


def fixed_grip(
    grip: Grip,
    player: Player,
    symbol: ChordSymbol | None = None,
    fingers: Sequence[Finger | None] | None = None,
) -> tuple[Found, ...]:
    """Return every way to hold a given grip, easiest first, as candidates.

    The thumb helps where four fingers are not enough. Raises GripError where the grip does
    not fit the neck or no hand can hold it so.
    """
    four_are_enough = finger_for(grip, player) is not None
    ways, base = held_ways(grip, player, thumb=not four_are_enough, fingers=fingers)
    midis = tuple(sound.midi for sound in soundings(grip, player.neck))
    raw = sound_raw(midis, symbol)
    return tuple(Found(grip, midis, way, effort, base, raw, player) for way, effort in ways)


def _constant(chain: Chain, places: Sequence[Place], wanted: Wanted) -> Chain:
    """Return the chain with one grip for chords asked alike, where that costs little more.

    For each question in turn, the exact best chain under each one grip that the chain uses for
    it; CHANGED is what sparing a student one chord that differs from its like may cost.
    """
    for pool in {id(place.candidates): place.candidates for place in places}.values():
        at = [index for index, place in enumerate(places) if place.candidates is pool]
        used = Counter(chain.grips[index].grip for index in at)
        if len(used) < 2:
            continue
        trials = []
        for grip in used:
            only = tuple(one for one in pool if one.grip == grip)
            held = [replace(p, candidates=only) if p.candidates is pool else p for p in places]
            trials.append((best_chain(held, rising=wanted.rising), held))
        best, held = min(trials, key=lambda trial: trial[0].cost)
        if best.cost <= chain.cost + CHANGED * (len(at) - max(used.values())):
            chain, places = best, held
    return chain


def _fingered(
    chain: Chain, asked: Sequence[Asked], places: Sequence[Place], wanted: Wanted
) -> Chain:
    """Return the chain with the fingers that suit the whole of it best."""
    holds: dict[Grip, tuple[Found, ...]] = {}
    again = []
    for found, one, place in zip(chain.grips, asked, places, strict=True):
        if one.fingers is not None:
            again.append(place)
            continue
        if found.grip not in holds:
            holds[found.grip] = _at_level(all_holds(found), wanted.limits.level)
        again.append(Place(holds[found.grip], place.time_s))
    return best_chain(again, aim=wanted.aim, rising=wanted.rising)


def _at_level(held: tuple[Found, ...], level: int) -> tuple[Found, ...]:
    """Return the ways that a student of a level may be asked for, all where there are none."""
    easy = [
        one for one in held
        if fits_level(shape_of(one.grip.frets, one.player.neck.stops)[0], one.way, one.base,
                      one.player.rig, level)
    ]  # fmt: skip
    return tuple(easy) or held


def _told(asked: Sequence[Asked], chain: Chain, places: Sequence[Place]) -> Arrangement:
    grips = chain.grips
    moves = tuple(move_between(a, b) for a, b in pairwise(grips))
    losses = tuple(
        loss_of(one.symbol, found.midis, found.player.neck)
        if one.symbol and one.grip is None
        else Loss()
        for one, found in zip(asked, grips, strict=True)
    )
    efforts = tuple(share(strain) for strain in chain.strains)
    cautions = chain_cautions(
        [found.fingering.barres for found in grips],
        [one.length_s for one in asked],
        [move.shift_mm for move in moves],
        [place.time_s for place in places[1:]],
    )
    reach = {text for f in grips for text in f.fingering.cautions}
    return Arrangement(grips, moves, losses, efforts, (*sorted(reach), *cautions))
