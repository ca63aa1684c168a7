"""The take's own picture with the grips laid on it, and a tall form of a wide one."""

from __future__ import annotations

from dataclasses import replace

from gripwright.draw.look import LIGHT
from gripwright.pack.stage import TAKE, TAKE_SOUND, Job, Made, TakeFacts
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.film import Film, write_films
from gripwright.screen.film_layout import Corner, FilmPlan, cornered, film_size, stacked
from gripwright.screen.inks import inked, mixed
from gripwright.screen.shots import FPS, frame_at
from gripwright.screen.take import take_shots
from gripwright.screen.tiles import PLATE_OPACITY, Board


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-film.mp4`` and, of a wide picture, ``take-film-tall.mp4``.

    Raises MediaError or OSError.
    """
    lesson, take = job.lesson, job.settings["take"]
    assert isinstance(take, TakeFacts)
    plans = film_plans(take, job.settings["corner"], job.settings["plate"])
    films = [Film(job.place(path), plan, _board(job, plan)) for path, plan in plans.items()]
    total = film_frames_of(take)
    shown = take_shots(lesson, take.events, total)
    write_films(films, job.given[TAKE], shown, track=job.given[TAKE_SOUND], told=job.told)
    return tuple(Made(path, "video", total / FPS) for path in plans)


def film_frames_of(take: TakeFacts) -> int:
    """Return how many frames the film of a take has: till both sound and picture end."""
    assert take.film is not None
    return frame_at(max(take.seconds, take.film.seconds))


def film_plans(take: TakeFacts, corner: Corner, plate: float | None) -> dict[str, FilmPlan]:
    """Return the films of a take by their paths."""
    film = take.film
    assert film is not None
    plans = {"take-film.mp4": cornered(*film_size(film.width, film.height), corner, plate)}
    if film.width > film.height:
        plans["take-film-tall.mp4"] = stacked(film.width, film.height)
    return plans


def _board(job: Job, plan: FilmPlan) -> Board:
    """Return a board whose inks are read over any picture that shines through its plate."""
    chosen = job.settings["background"]
    paper = chosen if chosen and chosen.startswith("#") else LIGHT.paper
    grounds = [paper]
    if plan.board.plate:
        grounds += [mixed(edge, paper, PLATE_OPACITY) for edge in ("#000000", "#FFFFFF")]
    colours = LIGHT if grounds == [LIGHT.paper] else replace(inked(grounds), paper=paper)
    return Board(
        plan.board, job.lesson.neck, colours, fingers_by_grip(job.lesson), job.lesson.title,
        job.settings["left_handed"],
    )  # fmt: skip
