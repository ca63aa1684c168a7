"""Explain changes: keys, numerals, functions, scales, remarks and threads in one value."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from gripwright.errors import InputError
from gripwright.harmony.changes import Change, named
from gripwright.harmony.facts import Facts, facts_of
from gripwright.harmony.function import function_of
from gripwright.harmony.key import Keys, Stated, find_keys
from gripwright.harmony.numeral import numeral
from gripwright.harmony.remarks import Remark, remarks_on
from gripwright.harmony.remarks.passage import Place, Stop, place_of
from gripwright.harmony.scales_for import scales_at_rest, scales_for
from gripwright.harmony.threads import Thread, threads_between, threads_between_grips
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.pitch import Pitch
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class Explained:
    """A chord explained; a silence (``symbol`` None) has a key and nothing else.

    ``notes`` are what its grip sounds, bass side first, where the changes give a grip.
    """

    symbol: ChordSymbol | None
    key: Key
    numeral: str | None = None
    function: str | None = None
    scales: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    notes: tuple[Pitch, ...] = ()


@dataclass(frozen=True, slots=True)
class Explanation:
    """Changes explained: one `Explained` a chord, and the threads from chord to chord."""

    keys: Keys
    chords: tuple[Explained, ...]
    threads: tuple[tuple[int, int, Thread], ...]


def explain(
    chords: Sequence[ChordSymbol | None],
    lengths: Sequence[float] | None = None,
    key: Stated = None,
    *,
    grips: Sequence[Grip | None] | None = None,
    neck: Neck = STANDARD_NECK,
) -> Explanation:
    """Explain changes; None among the chords is a silence.

    ``lengths`` are in any one unit, all alike where not given. A ``key`` holds throughout, or
    is given chord by chord; where it is None the key regions are found. ``grips``, one a chord
    or None, let the threads follow what is heard. Raises InputError for no chords or lists of
    different lengths.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> told = explain([parse_symbol(text) for text in "Dm7 G7 Cmaj7".split()])
    >>> [chord.numeral for chord in told.chords]
    ['ii7', 'V7', 'Imaj7']
    """
    held = grips if grips is not None else [None] * len(chords)
    if len(held) != len(chords):
        raise InputError(
            f"there are {len(chords)} chords and {len(held)} grips", field="grips",
            remedy="give one grip a chord, null where there is none",
        )  # fmt: skip
    facts = _facts(chords)
    keys = find_keys(facts, lengths, key=key)
    return _explanation(facts, keys, held, neck, [()] * len(chords))


def explain_changes(
    changes: Sequence[Change], key: Stated = None, neck: Neck = STANDARD_NECK
) -> Explanation:
    """Explain changes as they are given, their grips named first; raises like `explain`."""
    known = named(changes, key=key, neck=neck)
    facts = _facts([change.symbol for change in known])
    keys = find_keys(facts, [change.length for change in known], key=key)
    held = [change.grip if change.symbol else None for change in known]
    return _explanation(facts, keys, held, neck, [change.notes for change in known])


def _facts(chords: Sequence[ChordSymbol | None]) -> list[Facts | None]:
    """Return the facts of each chord, None for silence; a symbol that comes again is known."""
    once = {id(chord): chord for chord in chords}
    known = {place: None if chord is None else facts_of(chord) for place, chord in once.items()}
    return [known[id(chord)] for chord in chords]


def _explanation(
    facts: Sequence[Facts | None],
    keys: Keys,
    grips: Sequence[Grip | None],
    neck: Neck,
    notes: Sequence[tuple[Pitch, ...]],
) -> Explanation:
    """Explain chords whose keys are known; ``notes`` are what the grip of each sounds."""
    places = _places(facts, keys)
    stops = _stops(places, grips, neck)
    remarks = remarks_on(stops)
    told: list[Explained] = []
    for index, (place, after) in enumerate(zip(places, _following(facts), strict=True)):
        if place is None:
            told.append(Explained(None, keys.at(index), notes=notes[index]))
            continue
        standing = _standing(place, None if place.rests else after)
        about = remarks.get(index, ())
        told.append(Explained(place.chord.symbol, place.key, *standing, about, notes[index]))
    return Explanation(keys, tuple(told), _threads(stops, neck))


@lru_cache(maxsize=16384)
def _standing(place: Place, after: Facts | None) -> tuple[str, str | None, tuple[str, ...]]:
    """Return the numeral, the function and the scales of a chord."""
    chord, key = place.chord, place.key
    scales = scales_at_rest(chord, key) if place.rests else scales_for(chord, key, after)
    return numeral(chord, key, after), function_of(chord, key, after), scales


def _places(facts: Sequence[Facts | None], keys: Keys) -> list[Place | None]:
    """Return each chord in its key; in a blues the sevenths on I and IV rest."""
    places: list[Place | None] = []
    for region in keys.regions:
        inside = facts[region.start : region.end]
        blue = _is_blues(inside, region.key)
        known: dict[tuple[Facts, bool], Place] = {}
        before: Facts | None = None  # the last chord on another root
        last: Facts | None = None
        for chord in inside:
            if chord is None:
                places.append(None)
                continue
            if last is not None and last.root != chord.root:
                before = last
            last = chord
            rests = chord.dominant and _rests(chord, region.key, before, blue)
            if (chord, rests) not in known:
                known[chord, rests] = place_of(chord, region.key, rests)
            places.append(known[chord, rests])
    return places


def _rests(chord: Facts, key: Key, before: Facts | None, blue: bool) -> bool:
    """Return whether a blues keeps a dominant seventh at rest: not after its own two."""
    prepared = before is not None and before.kind in ("min7", "hdim")
    led = prepared and before is not None and (before.root - chord.root) % 12 == 7
    return blue and not led and (chord.root - key.tonic.pc) % 12 in (0, 5)


def _is_blues(chords: Sequence[Facts | None], key: Key) -> bool:
    """Return whether most chords on the first and on the fourth degree are dominant sevenths."""
    for degree in (0, 5):
        root = (key.tonic.pc + degree) % 12
        kinds = [chord.dominant for chord in chords if chord is not None and chord.root == root]
        if not kinds or sum(kinds) * 2 <= len(kinds):
            return False
    return key.mode in ("major", "mixolydian")


def _stops(
    places: Sequence[Place | None], grips: Sequence[Grip | None], neck: Neck
) -> tuple[Stop, ...]:
    """Return the chords without silences and without what is only struck again."""
    stops: list[Stop] = []
    known: dict[Grip | None, tuple[Grip | None, tuple[int, ...]]] = {None: (None, ())}
    for index, (place, grip) in enumerate(zip(places, grips, strict=True)):
        if place is None:
            continue
        if grip not in known and grip is not None:
            known[grip] = (grip, tuple(one.midi for one in soundings(grip, neck)))
        first, heard = known[grip]
        last = stops[-1] if stops else None
        if not (last and last.place is place and last.grip is first):
            stops.append(Stop(index, place, place.chord, first, neck, heard))
    return tuple(stops)


def _following(facts: Sequence[Facts | None]) -> list[Facts | None]:
    """Return for each chord the next one on another root."""
    after: list[Facts | None] = [None] * len(facts)
    goal: Facts | None = None
    last: Facts | None = None
    for index in range(len(facts) - 1, -1, -1):
        chord = facts[index]
        if chord is None:
            continue
        if last is not None and last.root != chord.root:
            goal = last
        after[index], last = goal, chord
    return after


def _threads(stops: Sequence[Stop], neck: Neck) -> tuple[tuple[int, int, Thread], ...]:
    """Return the threads from stop to stop; grips that come again are followed as before."""
    found: list[tuple[int, int, Thread]] = []
    known: dict[tuple[int, ...], tuple[Thread, ...]] = {}
    for one, two in itertools.pairwise(stops):
        if one.grip is None or two.grip is None:
            threads = threads_between(one.chord, two.chord)
        else:
            same = (id(one.chord), id(one.grip), id(two.chord), id(two.grip))
            if same not in known:
                ends = (one.chord.symbol, one.grip), (two.chord.symbol, two.grip)
                known[same] = threads_between_grips(*ends, neck)
            threads = known[same]
        here, there = one.at, two.at
        found += [(here, there, thread) for thread in threads]
    return tuple(found)
