"""Which string a note sounds on: each string's own tuning tells places with the same pitches apart.

No two strings of a guitar are tuned to the same cent. Once most chords of a take are placed, the
deviation of each string is known, and a chord that could be held in two places is likelier where
its notes deviate as those strings do. Expectation and maximisation over the candidates of all
chords (Dempster, Laird and Rubin, J. Royal Stat. Soc. B 39(1), 1977); the application is our own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import LOW_MIDI, RATE, SIZE, Floats, powers
from gripwright.hearing.handed import Held
from gripwright.hearing.listener import PITCHES
from gripwright.hearing.segments import Group
from gripwright.hearing.strokes import Stroked
from gripwright.hearing.tuning import peak_cents
from gripwright.neck.grip import soundings
from gripwright.neck.tuning import Neck

Doubles = NDArray[np.float64]

_LOOKS = 3
_SHORTEST = 4096
_PARTIALS = (1, 2, 3)
_CLASHING, _CLASH = 9, 0.9
_SPREAD_CENTS = 2.5
_LEAST_CENTS, _MOST_CENTS = 0.7, 5.0
_STRAY, _STRAY_DENSITY = 0.15, 1 / 60
_ROUNDS = 5
_TRUST = 0.7


@dataclass(frozen=True, slots=True, eq=False)
class Strung:
    """The candidates weighed anew, and each string's deviation from the take's tuning in cents.

    ``strings_cents`` is bass side first, NaN where a string says too little.
    """

    candidates: tuple[tuple[Held, ...], ...]
    strings_cents: Doubles


def note_deviations(x: Floats, stroked: Stroked, groups: tuple[Group, ...]) -> Doubles:
    """Return by how many cents each heard pitch of each chord deviates, [groups, PITCHES].

    NaN where a pitch is not heard, or no partial of it stands clear of the other pitches'.
    """
    out = np.full((len(groups), PITCHES), np.nan)
    for row, group in zip(out, groups, strict=True):
        heard = np.flatnonzero(group.odds > 0)
        partials = _clear_partials(heard)
        values: list[list[tuple[float, float]]] = [[] for _ in heard]
        for start, length in _looks(stroked, group):
            power = powers(x, np.array([start]), length)[0]
            for own, pitch, clear in zip(values, heard, partials, strict=True):
                own += _seen(power, int(pitch), clear, length, stroked.tuning_cents)
        for own, pitch in zip(values, heard, strict=True):
            if own:
                row[pitch] = _weighted_median(np.array(own))
    return out


def _looks(stroked: Stroked, group: Group) -> list[tuple[int, int]]:
    """Return start and length in samples of the longest stretches that ring undisturbed."""
    starts = ((stroked.strokes.last_s[group.first : group.end] + 0.03) * RATE).astype(int)
    ends = (stroked.ends_s[group.first : group.end] * RATE).astype(int)
    lengths = np.minimum(ends - starts, SIZE)
    order = np.argsort(-lengths, kind="stable")[:_LOOKS]
    return [(int(starts[i]), int(lengths[i])) for i in order if lengths[i] >= _SHORTEST]


def _clear_partials(heard: NDArray[np.int64]) -> list[list[int]]:
    """Return for each pitch the partials that no partial of another pitch comes near."""
    ladder = 12 * np.log2(np.arange(1, _CLASHING))
    out = []
    for pitch in heard:
        others = (heard[heard != pitch][:, None] + ladder).ravel()
        places = [(k, pitch + 12 * np.log2(k)) for k in _PARTIALS]
        out.append([k for k, at in places if not (np.abs(others - at) < _CLASH).any()])
    return out


def _seen(
    power: Floats, pitch: int, partials: list[int], length: int, cents: float
) -> list[tuple[float, float]]:
    """Return (cents, weight) of the clear partials of a pitch in one spectrum."""
    found = []
    for partial in partials:
        peak = peak_cents(power, pitch + LOW_MIDI, cents, partial)
        if peak is not None:
            level = np.exp(0.25 * (peak[1] - np.log(power.max() + 1e-14)))
            found.append((peak[0], float(level * partial * length)))
    return found


def _weighted_median(pairs: Doubles) -> float:
    order = np.argsort(pairs[:, 0])
    total = np.cumsum(pairs[order, 1])
    return float(pairs[order, 0][int(np.searchsorted(total, 0.5 * total[-1]))])


def weigh_places(deviations: Doubles, candidates: list[tuple[Held, ...]], neck: Neck) -> Strung:
    """Return each chord's candidates weighed by how its notes deviate, best first.

    A chord is judged by what other chords tell of the strings, never by itself or its like.
    """
    most = max((len(held) for held in candidates), default=0)
    seen, score = _laid_out(deviations, candidates, neck, most)
    like = _alike(candidates)
    middle, noise = np.zeros(len(neck)), 2.0
    gain = np.zeros(score.shape)
    for _ in range(_ROUNDS):
        weight = np.exp(score + gain - np.max(score + gain, axis=1, keepdims=True, initial=-99.0))
        weight = weight / np.maximum(weight.sum(axis=1, keepdims=True), 1e-12)
        share = weight[:, :, None] * np.isfinite(seen)
        noise = _noise(seen, middle, share)
        sums, counts = _gathered(np.nan_to_num(seen) * share, like), _gathered(share, like)
        pull = (noise / _SPREAD_CENTS) ** 2
        middle = sums.sum(axis=0) / (counts.sum(axis=0) + pull)
        rest = counts.sum(axis=0) - counts[like]
        others = (sums.sum(axis=0) - sums[like]) / (rest + pull)
        spread = noise**2 + noise**2 / (rest + pull)
        gain = _TRUST * _told(seen, others[:, None, :], spread[:, None, :], noise)
    weighed = tuple(
        tuple(sorted(
            (replace(h, score=h.score + float(g)) for h, g in zip(held, gains, strict=False)),
            key=lambda h: -h.score,
        ))
        for held, gains in zip(candidates, gain, strict=True)
    )  # fmt: skip
    known = counts.sum(axis=0) >= 1.5 if most else np.zeros(len(neck), bool)
    return Strung(weighed, np.where(known, middle, np.nan))


def _laid_out(
    deviations: Doubles, candidates: list[tuple[Held, ...]], neck: Neck, most: int
) -> tuple[Doubles, Doubles]:
    """Return deviations [chords, candidates, strings] and scores; NaN and -99 where there is none.

    A pitch on two strings at once tells of neither.
    """
    seen = np.full((len(candidates), most, len(neck)), np.nan)
    score = np.full((len(candidates), most), -99.0)
    for chord, held in enumerate(candidates):
        for number, one in enumerate(held):
            score[chord, number] = one.score
            sounds = soundings(one.grip, neck)
            pitches = [sound.midi for sound in sounds]
            for sound in sounds:
                place = sound.midi - LOW_MIDI
                if pitches.count(sound.midi) == 1 and 0 <= place < PITCHES:
                    seen[chord, number, sound.index] = deviations[chord, place]
    return seen, score


def _alike(candidates: list[tuple[Held, ...]]) -> NDArray[np.int64]:
    """Return a number for each chord, the same for chords of the same likeliest pitches."""
    names: dict[tuple[int, ...], int] = {}
    keys = [held[0].midi if held else () for held in candidates]
    return np.array([names.setdefault(key, len(names)) for key in keys], np.int64)


def _gathered(values: Doubles, like: NDArray[np.int64]) -> Doubles:
    """Return sums [kinds of chord, strings] of values [chords, candidates, strings]."""
    out = np.zeros((int(like.max(initial=-1)) + 1, values.shape[2]))
    np.add.at(out, like, values.sum(axis=1))
    return out


def _noise(seen: Doubles, middle: Doubles, share: Doubles) -> float:
    """Return the spread of notes about their strings: 1.48 median absolute deviations."""
    off, weight = np.abs(np.nan_to_num(seen) - middle).ravel(), share.ravel()
    if weight.sum() < 1:
        return _MOST_CENTS
    inside = weight > 0
    pairs = np.column_stack([off[inside], weight[inside]])
    return float(np.clip(1.48 * _weighted_median(pairs), _LEAST_CENTS, _MOST_CENTS))


def _told(seen: Doubles, middle: Doubles, spread: Doubles, noise: float) -> Doubles:
    """Return the log-odds of candidates against notes whose string is not known."""
    wide = noise**2 + _SPREAD_CENTS**2
    near = _density(seen - middle, spread)
    any_ = _density(seen, np.full_like(spread, wide))
    told = np.log((1 - _STRAY) * near + _STRAY * _STRAY_DENSITY)
    told -= np.log((1 - _STRAY) * any_ + _STRAY * _STRAY_DENSITY)
    return np.asarray(np.nansum(told, axis=2))


def _density(off: Doubles, variance: Doubles) -> Doubles:
    return np.asarray(np.exp(-0.5 * off**2 / variance) / np.sqrt(2 * np.pi * variance))
