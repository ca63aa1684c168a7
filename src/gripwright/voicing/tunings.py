"""Which tuning suits a song: what it reaches, how hard the best chain is, what is lost.

Two questions. *The same pitches*: chords that are fixed as grips must sound as they do now,
string for string free, and symbols find grips of their own. *The same shapes*: fixed grips
keep their frets and sound what they sound. Tunings have no names here but their notes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from gripwright.errors import GripError, SearchError
from gripwright.harmony.reading import readings
from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import STANDARD, Neck, make_neck, parse_tuning
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.arrange import Arrangement, Asked, Wanted, arrange, fixed_grip
from gripwright.voicing.easier import Attempt, attempts
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import wish_for, wish_for_pitches
from gripwright.voicing.search import Found, find_grips

Keep = Literal["pitches", "shapes"]

# Common practice, no source.
COMMON_TUNINGS = tuple(
    parse_tuning(text)
    for text in (
        "E2 A2 D3 G3 B3 E4", "D2 A2 D3 G3 B3 E4", "D2 A2 D3 G3 B3 D4", "D2 A2 D3 G3 A3 D4",
        "D2 A2 D3 F#3 A3 D4", "D2 G2 D3 G3 B3 D4", "E2 B2 E3 G#3 B3 E4", "E2 A2 E3 A3 C#4 E4",
        "C2 G2 C3 G3 C4 E4", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4", "D2 G2 C3 F3 A3 D4",
        "E2 A2 D3 G3 C4 F4",
    )
)  # fmt: skip
# Capos on the tuning that the song is in: full ones, and partial ones as one stop a string.
FULL_CAPOS = (1, 2, 3, 4, 5, 7)
PARTIAL_CAPOS = ((0, 2, 2, 2, 2, 2), (0, 2, 2, 2, 0, 0))
FRETS = (0, 12)
MOST = 60


@dataclass(frozen=True, slots=True)
class Unreached:
    """A chord that a tuning cannot give: its index, and why in words."""

    index: int
    text: str


@dataclass(frozen=True, slots=True)
class Fit:
    """How a neck suits a song.

    ``grips`` has one grip a chord, None where it is not reached; ``lost`` tells by index what
    a chord loses; ``sounds`` names by index what a kept shape sounds instead. ``effort`` is the
    mean over the chords that are reached, 0 to 1, and ``arrangement`` the chain of those.
    """

    neck: Neck
    grips: tuple[Grip | None, ...]
    arrangement: Arrangement | None
    unreached: tuple[Unreached, ...]
    lost: tuple[tuple[int, str], ...]
    sounds: tuple[tuple[int, str], ...]

    @property
    def effort(self) -> float:
        """Return the mean effort of what is reached, 1 where nothing is."""
        return self.arrangement.effort if self.arrangement else 1.0

    @property
    def order(self) -> tuple[float, ...]:
        """Return what fits are ranked by: chords that are missing or changed, then effort."""
        missing = len(self.unreached) + len(self.sounds)
        return (missing, len(self.lost), self.effort)


def lowest_needed(asked: Sequence[Asked], neck: Neck) -> tuple[int, ...]:
    """Return the lowest pitches that fixed grips sound and the bass notes symbols ask for.

    The three lowest of them at most, as MIDI numbers; a symbol's bass is taken in the octave
    from the lowest string of ``neck`` up.
    """
    floor = min(neck.midi(index, 0) for index in range(len(neck)))
    found = set()
    for one in asked:
        if one.grip is not None:
            found.add(min((s.midi for s in soundings(one.grip, neck)), default=floor))
        elif one.symbol is not None:
            found.add(floor + (one.symbol.bass_note.pc - floor) % 12)
    return tuple(sorted(found)[:3])


def song_necks(neck: Neck, given: Sequence[Neck] = ()) -> tuple[Neck, ...]:
    """Return the necks to try: those given, the song's own, the common ones with its number of
    strings, and capos on the song's tuning."""
    tuning = neck.tuning
    common = [make_neck(t) for t in COMMON_TUNINGS if len(t) == len(tuning)]
    capos = [make_neck(tuning, capo) for capo in FULL_CAPOS]
    if len(tuning) == len(STANDARD):
        capos += [make_neck(tuning, stops) for stops in PARTIAL_CAPOS]
    return tuple(dict.fromkeys([*given, neck, *common, *capos]))


def rank_tunings(
    asked: Sequence[Asked],
    home: Player,
    necks: Sequence[Neck],
    *,
    keep: Keep = "pitches",
    wanted: Wanted | None = None,
    told: Callable[[float], None] = lambda share: None,
) -> tuple[Fit, ...]:
    """Return how each neck suits the song, the best first.

    ``home`` is the player on the neck that the song is written for; ``told`` hears which share of
    the necks is tried. Raises SearchError where there are no chords.
    """
    if not asked:
        raise SearchError("there are no chords to fit", field="lesson", remedy="write a chart")
    wanted = wanted or Wanted(Limits(frets=FRETS))
    fits = []
    for number, neck in enumerate(necks, 1):
        fits.append(_fit(asked, home, replace(home, neck=neck), keep, wanted))
        told(number / len(necks))
    return tuple(sorted(fits, key=lambda fit: (*fit.order, fit.neck.tuning.text, fit.neck.stops)))


def _fit(asked: Sequence[Asked], home: Player, player: Player, keep: Keep, wanted: Wanted) -> Fit:
    known: dict[tuple[object, ...], _Reached] = {}
    reached = []
    for one in asked:
        key = (one.symbol, one.grip, one.top)
        if key not in known:
            known[key] = _reach(one, home, player, keep, wanted)
        reached.append(known[key])
    pairs = zip(asked, reached, strict=True)
    kept = [replace(one, grip=None, fingers=None) for one, there in pairs if there.pool]
    pools = [r.pool for r in reached if r.pool]
    chain = arrange(kept, player, wanted, pools=pools)[0] if pools else None
    found = iter(chain.grips) if chain else iter(())
    grips = tuple(next(found).grip if r.pool else None for r in reached)
    return Fit(
        player.neck, grips, chain,
        tuple(Unreached(i, r.trouble) for i, r in enumerate(reached) if not r.pool),
        tuple((i, r.trouble) for i, r in enumerate(reached) if r.pool and r.trouble),
        tuple((i, r.sounds) for i, r in enumerate(reached) if r.sounds),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Reached:
    """What a neck offers for a chord, what is wrong with it, and what it sounds instead."""

    pool: tuple[Found, ...]
    trouble: str = ""
    sounds: str = ""


def _reach(one: Asked, home: Player, player: Player, keep: Keep, wanted: Wanted) -> _Reached:
    if one.grip is not None and keep == "shapes":
        return _shape(one, one.grip, home, player)
    if one.grip is not None:
        return _pitches(one, one.grip, home, player, wanted)
    assert one.symbol is not None
    for attempt in attempts(one.symbol):
        wish = wish_for(attempt.symbol, player.neck, any_bass=attempt.any_bass)
        pool = find_grips(wish, player, wanted.limits, symbol=one.symbol)
        if pool:
            best = sorted(pool, key=lambda found: (found.cost, found.grip.text))
            return _Reached(tuple(best[:MOST]), _trouble(one.symbol, attempt))
    return _Reached((), f"{one.symbol.text} has no grip here")


def _trouble(symbol: ChordSymbol, attempt: Attempt) -> str:
    """Say what an attempt gives up, nothing for the symbol itself."""
    if attempt.symbol != symbol:
        return f"{symbol.text}: played as {attempt.symbol.text}"
    return f"{symbol.text}: another note in the bass" if attempt.any_bass else ""


def _shape(one: Asked, grip: Grip, home: Player, player: Player) -> _Reached:
    """Return a grip kept as a shape, and the name of what it sounds where that changes."""
    try:
        pool = fixed_grip(grip, player, one.symbol, one.fingers)
        before = [sound.midi for sound in soundings(grip, home.neck)]
        after = [sound.midi for sound in soundings(grip, player.neck)]
    except GripError as error:
        return _Reached((), error.message)
    if before == after:
        return _Reached(pool)
    named = readings(grip, player.neck)
    return _Reached(pool, sounds=named[0].symbol.text if named[0].symbol else "a cluster")


def _pitches(one: Asked, grip: Grip, home: Player, player: Player, wanted: Wanted) -> _Reached:
    """Return the grips that sound a grip's pitches; without inner notes where all are too many."""
    if player.neck == home.neck:
        return _Reached(fixed_grip(grip, player, one.symbol, one.fingers))
    midis = sorted({sound.midi for sound in soundings(grip, home.neck)})
    for fewer in _without_inner(midis):
        wish = wish_for_pitches(fewer, grip.text)
        pool = find_grips(wish, player, wanted.limits, symbol=one.symbol)
        if pool:
            gone = len(midis) - len(fewer)
            trouble = f"{grip.text}: {gone} inner note{'s' * (gone > 1)} left out" if gone else ""
            return _Reached(pool[:MOST], trouble)
    return _Reached((), f"the pitches of {grip.text} cannot be reached")


def _without_inner(midis: list[int]) -> list[list[int]]:
    """Return the pitches, then ever fewer of them, bass and top kept.

    >>> _without_inner([40, 47, 52])
    [[40, 47, 52], [40, 52]]
    """
    tries = [midis]
    while len(tries[-1]) > 2:
        tries.append([tries[-1][0], *tries[-1][2:]])
    return tries
