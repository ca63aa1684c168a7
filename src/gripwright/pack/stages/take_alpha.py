"""The grips of a take on a plate, with alpha, to lay over any picture in an editing program."""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.draw.look import LIGHT
from gripwright.pack.stage import Job, Made, TakeFacts
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.alpha import write_prores, write_vp9
from gripwright.screen.layout import PLATE
from gripwright.screen.planes import YUVA420, YUVA444_10, Canvas, Planes
from gripwright.screen.shots import FPS, Scene, frame_at, shots
from gripwright.screen.take import take_cues
from gripwright.screen.tiles import Board, tiles


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-alpha.mov`` (ProRes 4444) and ``take-alpha.webm`` (VP9); raises OSError."""
    lesson, take = job.lesson, job.settings["take"]
    assert isinstance(take, TakeFacts)
    total = frame_at(take.seconds)
    shown = shots(take_cues(lesson, take.events), (), 0.0, total)
    runs = [(shot.scene, shot.frames) for shot in shown]
    board = Board(
        PLATE, lesson.neck, LIGHT, fingers_by_grip(lesson), lesson.title,
        job.settings["left_handed"],
    )  # fmt: skip
    made = []
    for path, write, pixels in (
        ("take-alpha.mov", write_prores, YUVA444_10),
        ("take-alpha.webm", write_vp9, YUVA420),
    ):
        draw = _Drawing(board, Canvas(PLATE.width, PLATE.height, None, pixels))
        write(job.place(path), runs, draw, width=PLATE.width, height=PLATE.height, fps=FPS)
        made.append(Made(path, "video", total / FPS, supporter=False))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Draw scenes on a board."""

    board: Board
    canvas: Canvas

    def __call__(self, scene: Scene) -> Planes:
        return self.canvas.picture(tiles(self.board, scene))
