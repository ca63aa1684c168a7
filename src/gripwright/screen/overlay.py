"""The overlay: the grips of a rendering on screen, in step with its sound."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gripwright.screen.ground import Picture
from gripwright.screen.planes import YUV420, Canvas
from gripwright.screen.shots import FPS, Shot
from gripwright.screen.tiles import Board, tiles
from gripwright.screen.video import write_mp4


def write_overlay(
    place: Path, board: Board, shots: Sequence[Shot], *, sound: Path | None = None,
    track: Path | None = None,    under: Picture | None = None,
) -> None:  # fmt: skip
    """Write the shots as a video; every tile and every picture is drawn once.

    Its sound is made of a file, or is a track that `write_aac` made. They are laid on ``under``,
    a picture of the frame's size, or on the board's paper.
    """
    layout = board.layout
    ground = board.colours.paper if under is None else under
    canvas = Canvas(layout.width, layout.height, ground, YUV420)
    runs = [(shot.scene, shot.frames) for shot in shots]
    write_mp4(
        place, runs, lambda scene: canvas.picture(tiles(board, scene)),
        width=layout.width, height=layout.height, fps=FPS, sound=sound, track=track,
    )  # fmt: skip
