"""Long convolutions, block by block in the frequency domain (overlap and add)."""

from __future__ import annotations

from typing import Any

import numpy as np

Signal = np.ndarray[Any, np.dtype[np.float64]]

_LEAST = 65_536


def filtered(x: Signal, taps: Signal) -> Signal:
    """Return x of shape (samples, channels) through a finite filter, as long as x.

    The filter is causal: the first output uses the first input only.
    """
    size = 1 << max(_LEAST, 2 * len(taps)).bit_length() - 1
    step = size - len(taps) + 1
    spectrum = np.fft.rfft(taps, size)[:, None]
    out = np.zeros((len(x) + size, x.shape[1]))
    for start in range(0, len(x), step):
        block = np.fft.rfft(x[start : start + step], size, axis=0)
        out[start : start + size] += np.fft.irfft(block * spectrum, size, axis=0)
    return out[: len(x)]
