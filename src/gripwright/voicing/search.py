"""Every playable grip for a symbol or a set of pitches, easiest first.

`find_grips` is complete: it gives every grip that sounds the wish (`rules`), lies within the
limits (`limits`) and can be held by the rules of `neck.shapes`; docs/hand.md says all of it on
one page. `pick_different` takes from them the few that a player would want to choose between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, takewhile

from gripwright.neck.effort import Effort, Player
from gripwright.neck.fingering import Way, best_way
from gripwright.neck.geometry import reach_share
from gripwright.neck.grip import Grip
from gripwright.neck.hand import Fingering, fingering_of
from gripwright.neck.shapes import shape_of
from gripwright.neck.tuning import MAX_FRET
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.enumerate import enumerate_grips
from gripwright.voicing.levels import best_way_at
from gripwright.voicing.limits import MOST_REACH, Limits, check_limits
from gripwright.voicing.rules import Wish, wish_for
from gripwright.voicing.sound import sound_raw, sound_share

SOUND_WEIGHT = 1.5
LITTLE_MORE = 0.2
FAR_OPENS, FAR_OPENS_MOST, NEAR_NUT = 0.16, 1.0, 3
# What the four-note forms that players of jazz learn first are favoured by, and those on five
# strings side by side (common practice, no source).
FOUR_NOTES, FIVE_STRINGS, DIFFERENT = 0.25, 0.12, 4


@dataclass(frozen=True, slots=True)
class Found:
    """A grip that was found and the easiest way to hold it; ``midis`` sound bass side first.

    ``base`` is the lowest pressed fret counted from the nut, 0 where all is open.
    """

    grip: Grip
    midis: tuple[int, ...]
    way: Way
    effort: Effort
    base: int
    raw_sound: float
    player: Player

    @property
    def fingering(self) -> Fingering:
        """Return the grip with its easiest fingering."""
        return fingering_of(self.grip, self.way, self.effort, self.base, self.player)

    @property
    def sound(self) -> float:
        """Return how it sounds, 0 to 1."""
        return sound_share(self.raw_sound)

    @property
    def cost(self) -> float:
        """Return effort and sound together; the smaller the better."""
        return self.effort.raw + SOUND_WEIGHT * self.raw_sound

    @property
    def group(self) -> tuple[object, ...]:
        """Return what a player cares about: place, bass string, top note, barre, open strings."""
        sounding = [index for index, fret in enumerate(self.grip.frets) if fret is not None]
        return (
            region(self), sounding[0], max(self.midis),
            any(hold.is_barre for hold in self.way.holds), 0 in self.grip.frets,
        )  # fmt: skip


def region(one: Found) -> int:
    """Return the region of the neck: 0 for the nut, then three frets each."""
    return (one.base + 1) // 3


def find_grips(
    wanted: ChordSymbol | Wish,
    player: Player | None = None,
    limits: Limits | None = None,
    *,
    thumb: bool = False,
    symbol: ChordSymbol | None = None,
) -> tuple[Found, ...]:
    """Return every playable grip, easiest first (of equals the better sounding, then by frets).

    ``symbol`` is the symbol that the sound is judged under where none is wanted.
    Raises SearchError for limits that cannot be; an empty answer is no error here
    (`conflicts.explain_nothing` says why nothing was found).

    >>> from gripwright.theory.symbol import parse_symbol
    >>> found = find_grips(parse_symbol("C"))
    >>> "x32010" in [one.grip.text for one in found]
    True
    """
    player, limits = player or Player(), limits or Limits()
    check_limits(limits, player.neck)
    if isinstance(wanted, ChordSymbol):
        wish, symbol = wish_for(wanted, player.neck), wanted
    else:
        wish = wanted
    found = list(_playable(wish, player, limits, thumb, symbol))
    found.sort(key=lambda one: (one.effort.raw, one.raw_sound, one.grip.text))
    return tuple(found)


def _playable(
    wish: Wish, player: Player, limits: Limits, thumb: bool, symbol: ChordSymbol | None
) -> Iterator[Found]:
    neck, rig = player.neck, player.rig
    opens = [neck.midi(index, 0) for index in range(len(neck))]
    furthest = [furthest_fret(base, limits.span, player) for base in range(MAX_FRET + 1)]
    for frets in enumerate_grips(wish, neck, limits, furthest):
        shape, base = shape_of(frets, neck.stops)
        level = limits.level
        best = (
            best_way(shape, base, rig, thumb)
            if level == 5
            else best_way_at(shape, base, rig, level)
        )
        if best is None:
            continue
        way, effort = best
        midis = tuple(opens[i] + fret for i, fret in enumerate(frets) if fret is not None)
        blur = sound_raw(midis, symbol) + _far_opens(frets, base)
        sound = max(0.0, blur - _learnt(frets, midis, symbol))
        yield Found(Grip(frets), midis, way, effort, base, sound, player)


def furthest_fret(base: int, span: int, player: Player) -> int:
    """Return the highest fret that a hand takes with a lowest pressed fret, within a span.

    >>> furthest_fret(1, 8, Player()), furthest_fret(12, 8, Player())
    (5, 19)
    """
    scale_mm = player.build.scale_mm
    top = min(base + span - 1, MAX_FRET)
    while top > base and reach_share(base, top, player.hand, scale_mm) > MOST_REACH:
        top -= 1
    return top


def _far_opens(frets: tuple[int | None, ...], base: int) -> float:
    """Return what open strings cost beside strings stopped high up, which ring otherwise."""
    return min(FAR_OPENS_MOST, FAR_OPENS * max(0, base - NEAR_NUT)) if 0 in frets else 0.0


def _learnt(
    frets: tuple[int | None, ...], midis: tuple[int, ...], symbol: ChordSymbol | None
) -> float:
    """Return what speaks for the movable forms of the trade, with the root in the bass.

    Four different notes on four strings side by side (the second highest dropped an octave) or
    with one left out above the bass (the third highest dropped); the same with a fifth string.
    """
    if symbol is None or 0 in frets or midis[0] % 12 != symbol.root.pc:
        return 0.0
    if len(symbol.degrees) < DIFFERENT or len({midi % 12 for midi in midis}) < DIFFERENT:
        return 0.0
    strings = [index for index, fret in enumerate(frets) if fret is not None]
    first, last = strings[0], strings[-1]
    if len(strings) == DIFFERENT and last - first <= DIFFERENT and last - strings[1] == 2:
        return FOUR_NOTES
    return FIVE_STRINGS if len(strings) == last - first + 1 == DIFFERENT + 1 else 0.0


def pick_different(found: Sequence[Found], count: int = 10) -> tuple[Found, ...]:
    """Return the best by effort and sound, each differing from the others in what matters.

    Of each group (`Found.group`) the best is taken. Grips that are the same but for silent
    strings are one family, which stands where its best member does and is shown by the fullest
    one that costs little more. The rest fills up only when nothing different is left.
    """
    ranked = sorted(found, key=teaching_order)
    chosen: list[Found] = []
    groups: set[tuple[object, ...]] = set()
    for one in ranked:
        if len(chosen) == count:
            break
        if one.group in groups or any(_same_hand(one, other) for other in chosen):
            continue
        fullest = _fullest(one, ranked)
        if fullest.group not in groups:
            chosen.append(fullest)
            groups |= {one.group, fullest.group}
    rest = (one for one in ranked if one not in chosen)
    return (*chosen, *islice(rest, count - len(chosen)))


def teaching_order(one: Found) -> tuple[float, str]:
    """Return what grips are ordered by for people: effort and sound together, then frets."""
    return one.cost, one.grip.text


def _fullest(best: Found, ranked: Sequence[Found]) -> Found:
    """Return the fullest grip of a family that costs little more than its best."""
    most = best.cost + LITTLE_MORE
    near = takewhile(lambda one: one.cost <= most, ranked)
    family = [one for one in near if one.base == best.base and _same_hand(one, best)]
    return min(family, key=lambda one: (-len(one.midis), one.raw_sound, one.grip.text))


def _same_hand(one: Found, other: Found) -> bool:
    """Tell whether two grips agree on every string that both sound, and touch most strings."""
    pairs = [
        (f, g) for f, g in zip(one.grip.frets, other.grip.frets, strict=True)
        if f is not None and g is not None
    ]  # fmt: skip
    fewer = min(len(one.midis), len(other.midis))
    return len(pairs) >= fewer - 1 and all(f == g for f, g in pairs)
