"""Find where pieces of a take lie in an edited cut, by sound.

Fingerprints (changes of band energy over 8 ms hops) of take and cut are matched over all
offsets at once; stretches of the cut that agree with one offset are pieces, and their edges are
then placed where the agreement of the waveforms begins and ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import RATE, Floats, window

_HOP = 256
_LENGTH = 1024
_HOP_S = _HOP / RATE
_LOOK_S = 1.5
_LEAST_S = 0.7
_AGREES = 0.55
_WORTH, _BEARABLE = 0.42, 8.0
_QUIET = 1e-3
# Places of the take that fit a look nearly as well as the best: told apart by their waveforms.
_NEAR_BEST, _RIVALS, _APART = 0.35, 6, 8
_LATE = 3 * _HOP  # by how much a fingerprint of changes sees a start late


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the cut that holds a stretch of the take, in seconds of each.

    ``agreement`` is the mean correlation of their fingerprints, at most 1.
    """

    cut_start_s: float
    cut_end_s: float
    take_start_s: float
    agreement: float


def fingerprint(x: Floats) -> Floats:
    """Return unit vectors of bands and their changes, [hops, 48]; what is quiet gives zeros."""
    padded = np.pad(x, (_LENGTH // 2, _LENGTH))
    frames = np.lib.stride_tricks.sliding_window_view(padded, _LENGTH)[::_HOP]
    edges = np.geomspace(4, _LENGTH // 2, 25).astype(int)
    level = np.empty((len(frames), 24), np.float32)
    total = np.empty(len(frames), np.float32)
    for at in range(0, len(frames), 8192):
        spectra = np.fft.rfft(frames[at : at + 8192] * window(_LENGTH))
        power = np.asarray(spectra.real**2 + spectra.imag**2, np.float32)
        total[at : at + 8192] = power.sum(axis=1)
        level[at : at + 8192] = np.log(np.add.reduceat(power[:, :-1], edges[:-1], axis=1) + 1e-9)
    level -= np.median(level, axis=0)  # what a room or a filter does to all of it
    level -= level.mean(axis=1, keepdims=True)
    change = np.zeros_like(level)
    change[2:] = level[2:] - level[:-2]
    shape = np.concatenate([0.35 * level, change], axis=1)
    shape /= np.linalg.norm(shape, axis=1, keepdims=True) + 1e-3
    shape[total < _QUIET * np.percentile(total, 90)] = 0
    return np.asarray(shape, np.float32)


def find_pieces(take: Floats, cut: Floats) -> tuple[Piece, ...]:
    """Return the pieces of a take in a cut, in the order of the cut.

    Both are mono at `RATE`. A piece shorter than about 0.7 s is not looked for.
    """
    a, b = fingerprint(take), fingerprint(cut)
    look = int(_LOOK_S / _HOP_S)
    step = look // 3
    if len(b) < look or len(a) < look:
        look = min(len(a), len(b))
        step = max(1, look)
    offsets: list[tuple[int, int]] = []
    for start in range(0, max(1, len(b) - look + 1), max(1, step)):
        likely = _likely_offsets(a, b[start : start + look])
        if likely[0][1] > _AGREES:
            rivals = [(offset - start, score) for offset, score in likely]
            offsets.append((start, _by_wave(take, cut, start, start + look, rivals)))
    pieces: list[Piece] = []
    at = 0
    for start, shift in offsets:
        if start + look <= at:
            continue
        low, high = _grown(a, b, start, start + look, shift, at)
        if (high - low) * _HOP_S < _LEAST_S:
            continue
        piece = _placed(take, cut, a, b, low, high, shift)
        if pieces and _continues(pieces[-1], piece):
            last = pieces.pop()
            piece = Piece(last.cut_start_s, piece.cut_end_s, last.take_start_s,
                          min(last.agreement, piece.agreement))  # fmt: skip
        pieces.append(piece)
        at = high
    return tuple(pieces)


def _likely_offsets(a: Floats, look: Floats) -> list[tuple[int, float]]:
    """Return the hops of the take at which a look fits best, with their mean correlation.

    The best comes first, then what comes near it: a song says the same things more than once.
    """
    size = 1 << int(np.ceil(np.log2(len(a) + len(look))))
    spectrum = np.fft.rfft(a, size, axis=0) * np.conj(np.fft.rfft(look, size, axis=0))
    score = np.fft.irfft(spectrum.sum(axis=1), size)[: max(1, len(a) - len(look) + 1)]
    score = score / max(int(np.any(look, axis=1).sum()), len(look) // 3, 1)
    found: list[tuple[int, float]] = []
    least = float(score.max()) - _NEAR_BEST
    while len(found) < _RIVALS and score.max() >= least:
        best = int(score.argmax())
        found.append((best, float(score[best])))
        score[max(0, best - _APART) : best + _APART + 1] = -np.inf
    return found


def _by_wave(
    take: Floats, cut: Floats, low: int, high: int, rivals: list[tuple[int, float]]
) -> int:
    """Return the shift in hops at which fingerprints and waveforms together agree most."""
    if len(rivals) == 1:
        return rivals[0][0]
    begin, end = low * _HOP, min(high * _HOP, len(cut))

    def agreement(shift: int) -> float:
        exact = shift * _HOP + _fine_shift(take, cut, begin, end, shift * _HOP)
        first, last = max(begin, -exact), min(end, len(take) - exact)
        x, y = cut[first:last], take[first + exact : last + exact]
        size = float(np.sqrt(np.dot(x, x) * np.dot(y, y)))
        return float(np.dot(x, y)) / size if size > 0 else 0.0

    return max(rivals, key=lambda rival: rival[1] + agreement(rival[0]))[0]


def _grown(a: Floats, b: Floats, low: int, high: int, shift: int, floor: int) -> tuple[int, int]:
    """Return the stretch of the cut over which one shift goes on to agree."""
    first, last = max(floor, -shift), min(len(b), len(a) - shift)
    same = np.full(len(b), 0.0, np.float32)
    if last > first:
        same[first:last] = (b[first:last] * a[first + shift : last + shift]).sum(axis=1)
    low, high = max(low, first), min(high, last)
    worth = same - _WORTH
    worth[first:last][~np.any(a[first + shift : last + shift], axis=1)] = 0
    grown_low = _best_edge(worth[first:low][::-1])
    grown_high = _best_edge(worth[high:last])
    low, high = low - grown_low, high + grown_high
    middle = (low + high) // 2
    return middle - _best_edge(worth[low:middle][::-1]), middle + _best_edge(worth[middle:high])


def _best_edge(worth: Floats) -> int:
    """Return how many hops outward from an edge still pay, gaps of up to half a second borne."""
    gain = np.concatenate([[0.0], np.cumsum(worth)])
    best = np.maximum.accumulate(gain)
    lost = np.flatnonzero(best - gain > _BEARABLE)
    end = int(lost[0]) if len(lost) else len(gain)
    return int(gain[:end].argmax())


def _placed(
    take: Floats, cut: Floats, a: Floats, b: Floats, low: int, high: int, shift: int
) -> Piece:
    """Return a piece with its offset to the sample, by the waveforms where they are loudest."""
    begin, end = low * _HOP, min(high * _HOP, len(cut))
    shift_samples = shift * _HOP + _fine_shift(take, cut, begin, end, shift * _HOP)
    agreement = float((b[low:high] * a[low + shift : high + shift]).sum(axis=1).mean())
    first, last = _edges(take, cut, begin, end, shift_samples)
    if last - first < 0.8 * (end - begin):  # a filter or a limiter has changed the waveform
        first, last = max(begin - _LATE, 0, -shift_samples), end
    return Piece(first / RATE, last / RATE, (first + shift_samples) / RATE, min(agreement, 1.0))


def _fine_shift(take: Floats, cut: Floats, begin: int, end: int, shift: int) -> int:
    length = min(end - begin, 2 * RATE)
    middle = (begin + end - length) // 2
    piece = cut[middle : middle + length]
    low = max(0, middle + shift - _HOP)
    whole = take[low : middle + shift + length + _HOP]
    size = 1 << int(np.ceil(np.log2(len(whole) + len(piece))))
    score = np.fft.irfft(np.fft.rfft(whole, size) * np.conj(np.fft.rfft(piece, size)), size)
    best = int(score[: 2 * _HOP + 1].argmax())
    return low + best - (middle + shift)


def _edges(take: Floats, cut: Floats, begin: int, end: int, shift: int) -> tuple[int, int]:
    """Return the first and last sample of the cut at which the waveforms agree."""
    reach = 2 * RATE
    low, high = max(0, begin - reach, -shift), min(len(cut), end + reach, len(take) - shift)
    x, y = cut[low:high], take[low + shift : high + shift]
    inner_x, inner_y = x[begin - low : end - low], y[begin - low : end - low]
    gain = float(np.dot(inner_x, inner_y) / (np.dot(inner_y, inner_y) + 1e-12))
    block = RATE // 200
    rows = len(x) // block
    off = ((x - gain * y)[: rows * block].reshape(rows, block) ** 2).sum(axis=1)
    own = ((gain * y)[: rows * block].reshape(rows, block) ** 2).sum(axis=1)
    agrees = _steady(off < 0.5 * own + 1e-7 * block)
    middle = ((begin + end) // 2 - low) // block
    first = last = min(middle, rows - 1)
    misses = 0
    for row in range(first, -1, -1):
        misses = 0 if agrees[row] else misses + 1
        if misses > 12:
            break
        first = row if agrees[row] else first
    misses = 0
    for row in range(last, rows):
        misses = 0 if agrees[row] else misses + 1
        if misses > 12:
            break
        last = row if agrees[row] else last
    return low + first * block, min(low + (last + 1) * block, len(cut))


def _steady(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return flags where the majority of five neighbours agrees."""
    return np.asarray(np.convolve(flags.astype(int), np.ones(5, int), "same") >= 3)


def _continues(before: Piece, after: Piece) -> bool:
    """Return whether two pieces are one: same shift and next to nothing between."""
    shift = (after.take_start_s - after.cut_start_s) - (before.take_start_s - before.cut_start_s)
    return abs(shift) < 0.002 and after.cut_start_s - before.cut_end_s < 0.1
