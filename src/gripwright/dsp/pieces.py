"""Sound of any length through work that wants a whole: in pieces that overlap and are joined.

The work makes each piece so many times as long. Two neighbours share a stretch of the input;
they are cross-faded where, in that stretch, what came of it differs least: between strokes,
or where the waves happen to fall together. Where a piece begins depends on the number of the
sample only, so a stream gives the same samples however it is cut into blocks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

Sound = np.ndarray[Any, np.dtype[np.float32]]

PIECE_S, SHARED_S = 30.0, 1.5
_FADE_S = 0.040
_EDGE = 0.2  # of what is shared, at either end: work may be rough at its edges


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the input from sample ``start``; up to ``own`` nothing later speaks."""

    start: int
    sound: Sound
    own: int


def joined(
    blocks: Iterable[Sound], rate: int, factor: float, work: Callable[[Sound, int], Sound]
) -> Iterator[Sound]:
    """Yield what ``work(piece, count)`` makes of a stream, ``factor`` times as long in all.

    Blocks have shape (samples, channels); ``work`` returns exactly ``count`` samples.
    """
    held: Sound | None = None
    for piece in pieces(blocks, round(PIECE_S * rate), round(SHARED_S * rate)):
        begin = round(piece.start * factor)
        out = work(piece.sound, round((piece.start + len(piece.sound)) * factor) - begin)
        if held is not None:
            faded = _cross_faded(held, out[: len(held)], round(_FADE_S * rate))
            out = np.concatenate([faded, out[len(held) :]])
        own = round((piece.start + piece.own) * factor) - begin
        yield out[:own]
        held = out[own:]


def pieces(blocks: Iterable[Sound], size: int, shared: int) -> Iterator[Piece]:
    """Yield the pieces of a stream; each but the last begins ``size`` before the next.

    >>> stream = [np.arange(7, dtype=np.float32)[:, None]] * 2
    >>> [(one.start, len(one.sound), one.own) for one in pieces(stream, 4, 1)]
    [(0, 5, 4), (4, 5, 4), (8, 6, 6)]
    """
    held: list[Sound] = []
    count = start = 0
    for block in blocks:
        held.append(block)
        count += len(block)
        while count >= 2 * (size + shared) - shared:
            whole = held[0] if len(held) == 1 else np.concatenate(held)
            yield Piece(start, whole[: size + shared], size)
            held, count, start = [whole[size:]], count - size, start + size
    if count:
        yield Piece(start, np.concatenate(held), count)


def _cross_faded(before: Sound, after: Sound, fade: int) -> Sound:
    """Return one of two accounts of the same stretch, faded from the first to the second."""
    low = int(_EDGE * len(before))
    apart = np.cumsum(((before - after) ** 2).sum(axis=1, dtype=np.float64))
    last = len(before) - low - fade
    at = low + int(np.argmin(apart[low + fade : last + fade] - apart[low:last]))
    share = np.clip((np.arange(len(before)) - at) / fade, 0.0, 1.0)[:, None]
    return np.asarray(before + (after - before) * share, np.float32)
