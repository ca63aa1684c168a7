"""The board of a video: what the settings and the lesson say of how its frames look."""

from __future__ import annotations

from gripwright.draw.look import LIGHT
from gripwright.pack.stage import BACKGROUND, Job
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.ground import Picture, backdrop, read_picture
from gripwright.screen.inks import inked
from gripwright.screen.layout import Layout
from gripwright.screen.tiles import Board


def board_of(job: Job, layout: Layout) -> tuple[Board, Picture | None]:
    """Return the board of a layout, and the picture under it where one was chosen.

    Raises InputError for a picture that cannot be read.
    """
    chosen, under, colours = job.settings["background"], None, LIGHT
    if chosen and chosen.startswith("#"):
        colours = inked([chosen])
    elif chosen:
        laid = backdrop(read_picture(job.given[BACKGROUND], (layout.width, layout.height)), layout)
        under, colours = laid.picture, laid.colours
    lesson = job.lesson
    board = Board(
        layout, lesson.neck, colours, fingers_by_grip(lesson), lesson.title,
        job.settings["left_handed"],
    )  # fmt: skip
    return board, under
