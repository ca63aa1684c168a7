"""The practice page: one file, its notes in a bank that it carries."""

from __future__ import annotations

from gripwright.lesson.perform import perform
from gripwright.pack.stage import Job, Made
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.bank import make_bank
from gripwright.screen.practice import practice_page

NOTE = (
    "Practise in short sittings with a loose hand; stop when something hurts, and see a doctor "
    "or a hand therapist if it does not pass. Keep the volume moderate."
)


def make(job: Job) -> tuple[Made, ...]:
    """Write ``practice.html``; raises OSError."""
    lesson = job.lesson
    sounds = perform(lesson)
    bank = make_bank(sounds, lesson.neck, job.place("bank.flac"))
    page = practice_page(
        lesson, sounds, bank, fingers_by_grip(lesson),
        left_handed=job.settings["left_handed"], note=NOTE,
    )  # fmt: skip
    job.place("practice.html").write_text(page, encoding="utf-8", newline="\n")
    return (Made("practice.html", "practice"),)
