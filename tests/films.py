"""Films whose truth is known: a flash in the picture with each click in the sound.

The left quarter of the upright picture is brighter than the rest and the number of the frame
stands in its grey, so that tests see which frame is shown, and which way is up.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

RATE = 44_100
TICKS = 30_000  # a second, in the time stamps of frames
FLASHES_S = (1.0, 2.0, 3.2)
DARK, BRIGHT, WHITE = 60, 120, 235


def even_times(fps: float, seconds: float) -> list[float]:
    """Return the times of frames at a constant rate."""
    return [number / fps for number in range(round(fps * seconds))]


def sound(seconds: float, flashes_s: Sequence[float] = FLASHES_S) -> np.ndarray[Any, Any]:
    """Return mono sound with a click at each flash over a soft tone."""
    time_s = np.arange(round(seconds * RATE)) / RATE
    x = 0.02 * np.sin(2 * np.pi * 220 * time_s)
    for flash in flashes_s:
        at = round(flash * RATE)
        x[at : at + 60] += 0.7
    return x.astype(np.float32)


def write_film(
    path: Path, *, size: tuple[int, int] = (320, 180), times_s: Sequence[float],
    seconds: float, codec: str = "libx264", pixels: str = "yuv420p",
    shape: Fraction = Fraction(1), flashes_s: Sequence[float] = FLASHES_S,
    sounding: bool = True, turn: int = 0, options: dict[str, str] | None = None,
) -> None:  # fmt: skip
    """Write a film; a frame is white when the last flash is less than 0.1 s before it.

    ``turn`` marks it to be turned by so many degrees against the clock when it is shown.
    """
    width, height = size
    with av.open(str(path), "w") as out:
        video: Any = out.add_stream(codec, rate=30)
        video.width, video.height, video.pix_fmt = width, height, pixels
        video.codec_context.time_base = Fraction(1, TICKS)
        video.codec_context.sample_aspect_ratio = shape
        if codec == "libx264":
            video.codec_context.options = {"preset": "ultrafast", "crf": "12", **(options or {})}
        if turn:
            video.set_display_rotation(turn)
        audio: Any = out.add_stream("aac", rate=RATE, layout="mono") if sounding else None
        for number, second in enumerate(times_s):
            lit = any(flash - 1e-6 <= second < flash + 0.1 for flash in flashes_s)
            picture = np.full((height, width, 3), WHITE if lit else DARK, np.uint8)
            if not lit:
                picture[:, : width // 4] = BRIGHT
            picture[-height // 4 :, -width // 4 :] = 40 + 4 * (number % 40)
            frame = av.VideoFrame.from_ndarray(picture, "rgb24").reformat(
                format=pixels, dst_colorspace="ITU709"
            )
            frame.pts, frame.time_base = round(second * TICKS), Fraction(1, TICKS)
            out.mux(video.encode(frame))
        out.mux(video.encode(None))
        if audio is not None:
            x = sound(seconds, flashes_s)
            for start in range(0, len(x), 1024):
                block = av.AudioFrame.from_ndarray(x[None, start : start + 1024], "fltp", "mono")
                block.sample_rate, block.pts = RATE, start
                out.mux(audio.encode(block))
            out.mux(audio.encode(None))
