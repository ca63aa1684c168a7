"""The take's own picture with the grips laid on it, frame by frame.

What is drawn becomes planes with a share for each pixel once a scene; a frame then costs one
weighted sum over the plate. Frames go straight from the decoder to the encoder.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from gripwright.dsp.film import film_frames
from gripwright.screen.film_layout import FilmPlan
from gripwright.screen.planes import YUV420, YUVA420, Canvas, Planes, plane_view, video_frame
from gripwright.screen.shots import FPS, Scene, Shot
from gripwright.screen.soundtrack import Soundtrack
from gripwright.screen.tiles import Board, tiles
from gripwright.screen.video import GROUP, bt709_stream, opened_mp4

ENCODING = {"preset": "superfast", "crf": "21",
             "x264-params": f"bframes=0:keyint={GROUP}:scenecut=0"}  # fmt: skip
_KEPT = 64  # scenes that are kept drawn
_TOLD_EVERY = 15  # frames


@dataclass(frozen=True, slots=True)
class Film:
    """A film to be written: where, how it is laid out, and the board that draws on it."""

    place: Path
    plan: FilmPlan
    board: Board


def write_films(
    films: Sequence[Film], take: Path, shots: Sequence[Shot], *, track: Path,
    told: Callable[[float], None] = lambda share: None,
) -> None:  # fmt: skip
    """Write films of one take; its picture is decoded once.

    ``track`` is the take's sound as `write_aac` makes it; ``told`` hears how far we are, 0 to 1.
    Raises MediaError for a picture that cannot be read.
    """
    total = sum(shot.frames for shot in shots)
    scenes = [shot.scene for shot in shots for _ in range(shot.frames)]
    with ExitStack() as stack:
        writers = [_Writer(film, track, stack) for film in films]
        sizes = [(film.plan.picture.width, film.plan.picture.height) for film in films]
        frames = film_frames(take, sizes, fps=FPS, total=total)
        for number, (scene, shaped) in enumerate(zip(scenes, frames, strict=True)):
            for writer, frame in zip(writers, shaped, strict=True):
                writer.write(number, scene, frame)
            if number % _TOLD_EVERY == 0:
                told(number / total)
        for writer in writers:
            writer.finish()


class _Writer:
    """One film that is being written."""

    def __init__(self, film: Film, track: Path, stack: ExitStack) -> None:
        plan = film.plan
        self._container, _ = stack.enter_context(opened_mp4(film.place, None, track))
        self._video: Any = bt709_stream(self._container, plan.width, plan.height, FPS, ENCODING)
        self._sound = Soundtrack(self._container, track)
        self._laid = _over if film.board.layout.plate else _beside
        self._plan, self._drawn = plan, lru_cache(_KEPT)(_drawing(film.board))

    def write(self, number: int, scene: Scene, picture: Any) -> None:
        frame = self._laid(picture, self._drawn(scene), self._plan)
        frame.pts, frame.time_base = number, Fraction(1, FPS)
        self._sound.mux_until(Fraction(number, FPS))
        self._container.mux(self._video.encode(frame))

    def finish(self) -> None:
        self._container.mux(self._video.encode(None))
        self._sound.mux_until(None)


def _drawing(board: Board) -> Callable[[Scene], Planes]:
    """Return what draws a scene: planes with a share on a plate, without one below a picture."""
    layout = board.layout
    pixels = YUVA420 if layout.plate else YUV420
    ground = None if layout.plate else board.colours.paper
    canvas = Canvas(layout.width, layout.height, ground, pixels)

    def drawn(scene: Scene) -> Planes:
        planes = canvas.picture(tiles(board, scene))
        return _weighted(planes) if layout.plate else planes

    return drawn


def _weighted(planes: Planes) -> Planes:
    """Return (value times share) of the three planes, then what is left of the ground, 0 to 255.

    In limited range the weighted sum of code values is the code value of the sum, offsets and all.
    """
    *values, share = planes
    half = share.reshape(share.shape[0] // 2, 2, share.shape[1] // 2, 2).mean(axis=(1, 3))
    shares = (share.astype(np.float32), half, half)
    drawn = [np.round(v * s / 255).astype(np.uint16) for v, s in zip(values, shares, strict=True)]
    left = [np.round(255 - s).astype(np.uint16) for s in shares]
    return (*drawn, *left)


def _over(frame: Any, laid: Planes, plan: FilmPlan) -> Any:
    """Return a copy of a frame with a plate laid over it."""
    made = video_frame(_planes(frame), YUV420)
    for plane, drawn, left, by in zip(made.planes, laid[:3], laid[3:], YUV420.shrink, strict=True):
        y, x = plan.at[1] // by, plan.at[0] // by
        view = plane_view(plane, made, by, YUV420)
        view = view[y : y + drawn.shape[0], x : x + drawn.shape[1]]
        ground = view * left
        ground += 128
        ground += ground >> 8  # so that the shift divides by 255
        ground >>= 8
        ground += drawn
        view[...] = ground
    return made


def _beside(frame: Any, laid: Planes, plan: FilmPlan) -> Any:
    """Return a frame with the picture where the plan has it and what is drawn beside it."""
    box = plan.picture
    whole = []
    for picture, drawn, by in zip(_planes(frame), laid, YUV420.shrink, strict=True):
        plane = np.empty((plan.height // by, plan.width // by), np.uint8)
        y, x = plan.at[1] // by, plan.at[0] // by
        plane[y : y + drawn.shape[0], x : x + drawn.shape[1]] = drawn
        y, x = box.y // by, box.x // by
        plane[y : y + picture.shape[0], x : x + picture.shape[1]] = picture
        whole.append(plane)
    return video_frame(tuple(whole), YUV420)


def _planes(frame: Any) -> Planes:
    return tuple(
        plane_view(plane, frame, by, YUV420)[: frame.height // by, : frame.width // by]
        for plane, by in zip(frame.planes, YUV420.shrink, strict=True)
    )
