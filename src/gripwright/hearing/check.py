"""Check what was played against what the chart says, as far as the evidence carries.

For each chord the evidence of its strokes is gathered pitch by pitch; logistic curves, fitted
on made takes whose charts were falsified (evaluation/hearing_sync.py), turn it into the
probability that an expected note is missing or that a foreign one was struck. The curves stand
halfway between that fit and a flatter one: instruments that training never heard say less.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import LOW_MIDI
from gripwright.hearing.chart import Chart
from gripwright.hearing.laid import SyncedEvent
from gripwright.hearing.strokes import Stroked, pitch_places

SAID = 0.9
"""A finding is said where its probability is at least this."""

_MISSING = (-3.5, -1.1)
_MISSING_MASKED = (-3.4, -0.93)
_EXTRA = (-4.6, 1.26)
_PARTIALS = (12, 19, 24)
_MOST_STROKES = 8


@dataclass(frozen=True, slots=True)
class Doubted:
    """One note in doubt: ``place`` counts the synced events, ``probability`` that it is so."""

    place: int
    kind: Literal["missing", "extra"]
    midi: int
    probability: float


def doubted(
    chart: Chart, stroked: Stroked, events: tuple[SyncedEvent, ...], least: float = SAID
) -> tuple[Doubted, ...]:
    """Return the notes that are probably missing or foreign, in the order of playing."""
    expected = {e.index: e for e in chart.expected}
    out = []
    for place, event in enumerate(events):
        chord = expected.get(event.index)
        if chord is None or not chord.exact or not event.found or event.confidence < 0.5:
            continue
        missing, extra = evidence(stroked, event)
        own = set(pitch_places(chord.midi).tolist())
        also = set(pitch_places(chord.also).tolist())
        for pitch in range(len(missing)):
            if pitch in also:
                continue
            kind: Literal["missing", "extra"] = "missing" if pitch in own else "extra"
            if pitch in own:
                chance = missing_chance(missing[pitch], masked(pitch, own))
            else:
                chance = extra_chance(extra[pitch])
            if chance >= least:
                out.append(Doubted(place, kind, pitch + LOW_MIDI, chance))
    return tuple(out)


def evidence(
    stroked: Stroked, event: SyncedEvent
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return per pitch the evidence that it sounds, and that it was struck, in one event."""
    first_s = stroked.strokes.first_s
    own = np.flatnonzero((first_s > event.start_s - 0.02) & (first_s < event.end_s - 0.03))
    if not len(own):
        own = np.array([int(np.abs(first_s - event.start_s).argmin())])
    sounding = stroked.sounding[own].astype(np.float64)
    own = own[:_MOST_STROKES]
    both = np.minimum(stroked.struck[own], stroked.sounding[own]).astype(np.float64)
    return sounding.max(axis=0), both.max(axis=0)


def masked(pitch: int, own: set[int]) -> bool:
    """Return whether a lower note of the grip has a strong partial at a pitch."""
    return any(pitch - partial in own for partial in _PARTIALS)


def missing_chance(value: float, hidden: bool = False) -> float:
    """Return the probability that an expected note is missing, from its evidence.

    ``hidden`` is for a note that a lower one masks: its silence says less.
    """
    return _logistic(_MISSING_MASKED if hidden else _MISSING, value)


def extra_chance(value: float) -> float:
    """Return the probability that a foreign note was struck, from its evidence."""
    return _logistic(_EXTRA, value)


def _logistic(curve: tuple[float, float], value: float) -> float:
    return float(1 / (1 + np.exp(-(curve[0] + curve[1] * np.clip(value, -12, 12)))))
