"""Find the keys that changes pass through, with their boundaries and the readings beside them.

The tonic and its family come from one exact dynamic programme (`key_path`) over what the
chords say (`key_evidence`); the mode of a region is the one of its family that its chords
speak for (`key_modes`). Where another tonic comes near, it is given too.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from gripwright.errors import InputError
from gripwright.harmony.facts import Facts
from gripwright.harmony.key_events import Event, Idiom, events_of, habit_of, idiom_of
from gripwright.harmony.key_evidence import evidence
from gripwright.harmony.key_lifts import lifts_of, lowered
from gripwright.harmony.key_modes import family_of, mode_of, stretch_of
from gripwright.harmony.key_path import best_path
from gripwright.harmony.key_practice import tolls_of
from gripwright.harmony.key_spelling import spell_tonic
from gripwright.harmony.key_turns import turns_of
from gripwright.harmony.key_weights import Vector, change_rows
from gripwright.theory.scale import Key

# A key that is stated: one throughout, or one a chord, None where it is to be found.
Stated = Key | Sequence[Key | None] | None
LEAST_LENGTH, MOST_LENGTH = 1e-6, 1e9
# Log odds by which a second tonic may stand behind the first in a region and still be told; in
# songs times the root of how many chords are heard.
NEAR: dict[Idiom, float] = {"songs": 20.0, "parts": 12.0}
# What a key that another region is in is worth more as the second reading.
HELD_ELSEWHERE: dict[Idiom, float] = {"songs": 60.0, "parts": 0.0}


@dataclass(frozen=True, slots=True)
class Region:
    """A key from the chord at ``start`` up to, not including, the one at ``end``.

    ``lead`` is by how many log odds it stands before the next tonic in this region, the changes of
    key at its edges included.
    """

    key: Key
    start: int
    end: int
    lead: float


@dataclass(frozen=True, slots=True)
class Keys:
    """The regions of a song, and for the doubtful ones the second reading."""

    regions: tuple[Region, ...]
    also: tuple[Region, ...] = ()

    def at(self, index: int) -> Key:
        """Return the key at a chord."""
        return next(region.key for region in self.regions if region.start <= index < region.end)


def find_keys(
    chords: Sequence[Facts | None],
    lengths: Sequence[float] | None = None,
    *,
    key: Stated = None,
) -> Keys:
    """Return the key regions of changes; None among them is a silence.

    ``lengths`` are in any one unit. A ``key`` that is given holds throughout and is not
    questioned; of a list, one a chord, runs of one key are regions, and each stretch of None is
    looked at by itself. Raises InputError for no chords, or lengths or keys that do not fit them.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> vamp = [facts_of(parse_symbol(text)) for text in ["Dm7", "G7"] * 4]
    >>> [region.key.name for region in find_keys(vamp).regions]
    ['D dorian']
    """
    lengths = _checked(chords, lengths)
    if key is None:
        return _found(chords, lengths)
    stated = [key] * len(chords) if isinstance(key, Key) else list(key)
    if len(stated) != len(chords):
        raise InputError(
            f"there are {len(chords)} chords and {len(stated)} keys", field="key",
            remedy="give one key throughout, or one a chord, null where it is to be found",
        )  # fmt: skip
    return _stated(chords, lengths, stated)


def _stated(
    chords: Sequence[Facts | None], lengths: Sequence[float], stated: Sequence[Key | None]
) -> Keys:
    """Return keys as they are stated, and those found where none is; silence goes along."""
    regions: list[Region] = []
    also: list[Region] = []
    start = 0
    for key, run in itertools.groupby(stated):
        end = start + len(list(run))
        following = stated[end] if end < len(stated) else None
        if key is None and not any(chords[start:end]):
            key = regions[-1].key if regions else following
        if key is not None:
            regions.append(Region(key, start, end, 0.0))
        else:
            keys = _found(chords[start:end], lengths[start:end])
            regions += [_moved(region, start) for region in keys.regions]
            also += [_moved(region, start) for region in keys.also]
        start = end
    return Keys(tuple(_joined(regions)), tuple(also))


def _moved(region: Region, by: int) -> Region:
    return replace(region, start=region.start + by, end=region.end + by)


def _found(chords: Sequence[Facts | None], lengths: Sequence[float]) -> Keys:
    """Return the keys that the programme finds."""
    events = events_of(chords, lengths)
    if not events:
        raise InputError(
            "nothing here has a chord, so there is no key", field="chords",
            remedy="give at least one chord symbol",
        )  # fmt: skip
    idiom, still = idiom_of(events), [0] * len(events)
    lifts = lifts_of([event.mark for event in events]) if idiom == "songs" else still
    heard = lowered(events, lifts)
    rows = evidence(heard, idiom)
    marks = [event.mark for event in heard]
    changes = change_rows(idiom, habit_of(marks))
    path = best_path(rows, changes, tolls_of(marks) if idiom == "songs" else None)
    turns = turns_of(path, [event.facts for event in heard]) if idiom == "songs" else still
    near, elsewhere = _near(idiom, events), dict.fromkeys(path, HELD_ELSEWHERE[idiom])
    regions: list[Region] = []
    also: list[Region] = []
    for start, end in _runs(list(zip(path, lifts, turns, strict=True))):
        sums, first = _sums(rows, changes, path, start, end), path[start]
        second = _second(sums, first, elsewhere)
        lead = round(sums[first] - sums[second], 2)
        told = [first, second] if lead < near else [first]
        keys = _keys([_raised(state, lifts[start]) for state in told], events[start:end], idiom)
        edges = events[start].start, len(chords) if end == len(events) else events[end].start
        regions.append(Region(keys[0], *edges, lead))
        also += [Region(key, *edges, -lead) for key in keys[1:]]
    return Keys(tuple(_joined(regions)), tuple(_joined(also)))


def _runs(values: Sequence[object]) -> Iterator[tuple[int, int]]:
    """Yield where each run of one value starts and ends."""
    start = 0
    for _, run in itertools.groupby(values):
        end = start + len(list(run))
        yield start, end
        start = end


def _second(sums: Sequence[float], first: int, more: Mapping[int, float]) -> int:
    """Return the second reading of a region: another tonic, some of them worth ``more``."""
    return max(
        (state for state in range(len(sums)) if state % 12 != first % 12),
        key=lambda state: sums[state] + more.get(state, 0.0),
    )


def _near(idiom: Idiom, events: Sequence[Event]) -> float:
    """Return the lead under which a second reading is told: of two chords either may be home."""
    if idiom == "parts":
        return NEAR[idiom]
    two = len({event.facts.root for event in events}) == 2
    return math.inf if two else NEAR[idiom] * len(events) ** 0.5


def _raised(state: int, lift: int) -> int:
    return state - state % 12 + (state + lift) % 12


def _sums(
    rows: Sequence[Sequence[float]],
    changes: Sequence[Vector],
    path: Sequence[int],
    start: int,
    end: int,
) -> list[float]:
    """Return what each state would have in a region, the changes at its edges included."""
    sums = [sum(column) for column in zip(*rows[start:end], strict=True)]
    if start:
        sums = [one + price for one, price in zip(sums, changes[path[start - 1]], strict=True)]
    if end < len(path):
        sums = [one + row[path[end]] for one, row in zip(sums, changes, strict=True)]
    return sums


def _keys(states: Sequence[int], events: Sequence[Event], idiom: Idiom) -> list[Key]:
    """Return the keys of states in a region; of a song a state tells only the tonic."""
    stretch = stretch_of(events)
    keys = []
    for state in states:
        tonic = state % 12
        family = family_of(tonic, stretch) if idiom == "songs" else state // 12
        mode = mode_of(family, tonic, stretch)
        keys.append(Key(spell_tonic(tonic, mode, events), mode))
    return keys


def _joined(regions: Sequence[Region]) -> list[Region]:
    """Join neighbours that came out as the same key."""
    joined: list[Region] = []
    for region in regions:
        last = joined[-1] if joined else None
        if last and last.key == region.key and last.end == region.start:
            joined[-1] = Region(last.key, last.start, region.end, min(last.lead, region.lead))
        else:
            joined.append(region)
    return joined


def _checked(chords: Sequence[Facts | None], lengths: Sequence[float] | None) -> Sequence[float]:
    if not chords:
        raise InputError("there are no changes", field="chords", remedy="give at least one chord")
    if lengths is None:
        return [1.0] * len(chords)
    if len(lengths) != len(chords):
        raise InputError(
            f"there are {len(chords)} chords and {len(lengths)} lengths", field="lengths",
            remedy="give one length a chord, all in one unit",
        )  # fmt: skip
    for index, length in enumerate(lengths):
        if not LEAST_LENGTH <= length <= MOST_LENGTH:
            raise InputError(
                f"length {index + 1} is {length}", field="lengths", at=index,
                remedy=f"give lengths from {LEAST_LENGTH} to {MOST_LENGTH:.0f}, all in one unit",
            )  # fmt: skip
    return lengths
