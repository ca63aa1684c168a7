"""Hear a take without a chart: tuning, beats, key, chords and the grips that made them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gripwright.errors import GripError, InputError
from gripwright.harmony.facts import facts_of
from gripwright.harmony.key import Region, find_keys
from gripwright.harmony.reading import Reading, readings
from gripwright.hearing.bands import LOW_MIDI
from gripwright.hearing.beats import Beats, find_beats
from gripwright.hearing.handed import Held, likely_chain, likely_grips
from gripwright.hearing.places import note_deviations, weigh_places
from gripwright.hearing.segments import Group, group_strokes
from gripwright.hearing.sound import Heard
from gripwright.hearing.strokes import Stroked, listen
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.scale import Key

_LISTENED, _PLACED = 0.55, 0.9  # the shares of the work when strokes, and places, are known


@dataclass(frozen=True, slots=True)
class HeardChord:
    """A chord as heard: its pitches, the likeliest grip, others, its first reading.

    ``grip`` is None where no grip in this tuning can make the pitches.
    """

    start_s: float
    end_s: float
    midi: tuple[int, ...]
    grip: Grip | None
    grips_also: tuple[Grip, ...]
    reading: Reading | None
    confidence: float
    strokes_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class HeardTake:
    """All that was heard; ``strings_cents`` is bass side first, None where a string says little."""

    tuning_cents: float
    strings_cents: tuple[float | None, ...]
    beats: Beats
    key: Key | None
    chords: tuple[HeardChord, ...]
    warnings: tuple[str, ...]


def hear(
    heard: Heard, neck: Neck = STANDARD_NECK, *, plain: bool = False,
    told: Callable[[float], None] = lambda share: None,
) -> HeardTake:  # fmt: skip
    """Hear a take; raises InputError where no note can be heard in it.

    ``told`` hears which share is done, 0 to 1.
    """
    stroked = listen(heard, plain=plain, told=lambda share: told(_LISTENED * share))
    groups = group_strokes(stroked)
    if not groups:
        raise InputError(
            "no note can be heard in the take, only noise or talk", field="take",
            remedy="give a recording of a guitar that is near enough to be heard",
        )  # fmt: skip
    deviations = note_deviations(heard.samples, stroked, groups)
    strung = weigh_places(deviations, [likely_grips(group.odds, neck) for group in groups], neck)
    candidates = list(strung.candidates)
    told(_PLACED)
    chosen = _chosen(candidates)
    merged = _merged(groups, chosen, candidates)
    changes = np.array([stroked.strokes.first_s[item[0].first] for item in merged])
    beats = find_beats(stroked, changes)
    ends = _ends(stroked, merged)
    chords = [
        _chord(stroked, group, pick, also, end_s)
        for (group, pick, also), end_s in zip(merged, ends, strict=True)
    ]
    key, named = _named(chords, neck)
    strings = tuple(
        None if np.isnan(own) else float(own) + stroked.tuning_cents for own in strung.strings_cents
    )
    return HeardTake(stroked.tuning_cents, strings, beats, key, named, heard.warnings)


_Merged = tuple[Group, Held | None, tuple[Held, ...]]


def _chosen(candidates: list[tuple[Held, ...]]) -> list[Held | None]:
    """Return the likeliest chain; chords that no grip makes stay None."""
    playable = [held for held in candidates if held]
    picks = iter(held[pick] for held, pick in zip(playable, likely_chain(playable), strict=True))
    return [next(picks) if held else None for held in candidates]


def _merged(
    groups: tuple[Group, ...], chosen: list[Held | None], candidates: list[tuple[Held, ...]]
) -> list[_Merged]:
    """Join neighbours that came out as the same grip."""
    out: list[_Merged] = []
    for group, pick, also in zip(groups, chosen, candidates, strict=True):
        if out and pick is not None and out[-1][1] is not None and out[-1][1].grip == pick.grip:
            before = out.pop()
            odds = before[0].odds + group.odds
            out.append((Group(before[0].first, group.end, odds), pick, before[2]))
        else:
            out.append((group, pick, also))
    return out


def _ends(stroked: Stroked, merged: list[_Merged]) -> list[float]:
    """Return where each chord ends: at the next, or with its own last stroke's sound."""
    ends = []
    for place, (group, _, _) in enumerate(merged):
        own = float(stroked.ends_s[group.end - 1])
        if place + 1 < len(merged):
            own = min(own, float(stroked.strokes.first_s[merged[place + 1][0].first]))
        ends.append(own)
    return ends


def _chord(
    stroked: Stroked, group: Group, pick: Held | None, also: tuple[Held, ...], end_s: float
) -> HeardChord:
    first = stroked.strokes.first_s
    heard = tuple(int(p) + LOW_MIDI for p in np.flatnonzero(group.odds > 0))
    midi = pick.midi if pick else heard
    others = tuple(held.grip for held in also if pick is None or held.grip != pick.grip)
    return HeardChord(
        float(first[group.first]), end_s, midi, pick.grip if pick else None, others[:5], None,
        _sure(group, midi), tuple(float(s) for s in first[group.first : group.end]),
    )  # fmt: skip


def _sure(group: Group, midi: tuple[int, ...]) -> float:
    """Return how likely the set of pitches is exactly right.

    A logistic curve over the weakest and the summed evidence, fitted on development takes.
    """
    inside = np.zeros(len(group.odds), bool)
    inside[[m - LOW_MIDI for m in midi if 0 <= m - LOW_MIDI < len(group.odds)]] = True
    margins = np.where(inside, group.odds, -group.odds)
    doubt = float(np.log1p(np.exp(-np.clip(margins, -8, 30))).sum())
    return float(1 / (1 + np.exp(-(3.65 - 4.25 * doubt))))


def _named(chords: list[HeardChord], neck: Neck) -> tuple[Key | None, tuple[HeardChord, ...]]:
    """Return the key and the chords with their readings in it."""
    loose = [_reading(chord, neck, None) for chord in chords]
    facts = [facts_of(r.symbol) if r and r.symbol else None for r in loose]
    lengths = [max(chord.end_s - chord.start_s, 0.05) for chord in chords]
    keys = find_keys(facts, lengths) if any(facts) else None
    named = tuple(
        HeardChord(
            c.start_s,
            c.end_s,
            c.midi,
            c.grip,
            c.grips_also,
            _reading(c, neck, keys.at(index) if keys else None),
            c.confidence,
            c.strokes_s,
        )
        for index, c in enumerate(chords)
    )
    return _main_key(keys.regions, lengths) if keys else None, named


def _main_key(regions: tuple[Region, ...], lengths: list[float]) -> Key:
    spans: dict[Key, float] = {}
    for region in regions:
        spans[region.key] = spans.get(region.key, 0.0) + sum(lengths[region.start : region.end])
    return max(spans, key=lambda key: spans[key])


def _reading(chord: HeardChord, neck: Neck, key: Key | None) -> Reading | None:
    if chord.grip is None:
        return None
    try:
        return readings(chord.grip, neck, key=key)[0]
    except GripError:
        return None  # a single string is no chord
