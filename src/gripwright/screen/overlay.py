"""The overlay: the grips of a rendering on screen, in step with its sound."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gripwright.screen.planes import YUV420, Canvas
from gripwright.screen.shots import FPS, Shot
from gripwright.screen.tiles import Board, tiles
from gripwright.screen.video import write_mp4


def write_overlay(
    place: Path, board: Board, shots: Sequence[Shot], *, sound: Path | None = None
) -> None:
    """Write the shots as a video; every tile and every picture is drawn once."""
    layout = board.layout
    canvas = Canvas(layout.width, layout.height, board.colours.paper, YUV420)
    runs = [(shot.scene, shot.frames) for shot in shots]
    write_mp4(
        place, runs, lambda scene: canvas.picture(tiles(board, scene)),
        width=layout.width, height=layout.height, fps=FPS, sound=sound,
    )  # fmt: skip
