"""The practice page: one file, its notes in a bank that it carries."""

from __future__ import annotations

from gripwright.lesson.perform import perform
from gripwright.pack.stage import TAKE, Job, Made, TakeFacts
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.bank import make_bank
from gripwright.screen.practice import PageTake, practice_page
from gripwright.screen.soundtrack import write_aac

NOTE = (
    "Practise in short sittings with a loose hand; stop when something hurts, and see a doctor "
    "or a hand therapist if it does not pass. Keep the volume moderate."
)


LONGEST_TAKE_S = 1200  # about 10 MB of sound, 13 MB of page


def make(job: Job) -> tuple[Made, ...]:
    """Write ``practice.html``; raises MediaError or OSError."""
    lesson = job.lesson
    sounds = perform(lesson)
    bank = make_bank(sounds, lesson.neck, job.place("bank.flac"))
    take, said = _carried(job)
    page = practice_page(
        lesson, sounds, bank, fingers_by_grip(lesson), left_handed=job.settings["left_handed"],
        note=f"{NOTE} {said}".strip(), take=take,
    )  # fmt: skip
    job.place("practice.html").write_text(page, encoding="utf-8", newline="\n")
    return (Made("practice.html", "practice"),)


def _carried(job: Job) -> tuple[PageTake | None, str]:
    """Return the take as the page carries it, and what to say where it does not."""
    take = job.settings["take"]
    if not isinstance(take, TakeFacts) or not take.events:
        return None, ""
    if take.seconds > LONGEST_TAKE_S:
        return None, (
            f"The take lasts {take.seconds / 60:.0f} minutes, longer than the "
            f"{LONGEST_TAKE_S // 60} that this page can carry, so it is left out here."
        )
    place = job.place("take.m4a")
    write_aac(place, job.given[TAKE], mono=True)
    data = place.read_bytes()
    place.unlink()
    return PageTake(data, take.events), ""
