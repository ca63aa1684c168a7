"""A take for the pack: where each event of the lesson falls in it, or in a cut that holds it.

To follow a take takes a while, so what was found is kept in the cache, under the music of the
lesson, the bytes of the take and of the cut, and the corrections that stand beside the lesson.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import msgspec

from gripwright.dsp.film import film_facts
from gripwright.dsp.media import sound_seconds
from gripwright.errors import InputError
from gripwright.lesson.model import Lesson
from gripwright.lesson.timing_file import timing_path
from gripwright.pack.cache import Cache
from gripwright.pack.digest import code_digest, digest, file_digest
from gripwright.pack.stage import Made, TakeFacts
from gripwright.pack.views import music
from gripwright.screen.take import TakeEvent, events_in_cut

_FILE = "events.json"


def take_facts(
    lesson: Lesson, source: Path, take: Path, cache: Cache, *, cut: Path | None = None,
    film: bool = True,
) -> TakeFacts:  # fmt: skip
    """Return what the stages need to know of a take of the lesson in the file ``source``.

    With a ``cut``, an edited recording that holds pieces of the take, it is that of the cut: its
    bytes, its length, its picture, and the events where they fall in it. ``film`` False leaves
    the picture out. Raises MediaError for a file that cannot be read and InputError where take and
    lesson, or take and cut, do not match.
    """
    beside = timing_path(source)
    corrected = file_digest(beside) if beside.exists() else None
    ours = [file_digest(one) if one.is_file() else "" for one in (take, cut or take)]
    key = digest((code_digest(), "take", music(lesson), ours, corrected, film))
    entry = cache.find(key)
    if entry:
        return msgspec.json.decode(entry[0].place.read_bytes(), type=TakeFacts)
    seen = film_facts(cut or take) if film else None
    followed = import_module("gripwright.hearing.follow").follow(source, take, cut=cut)
    timing = followed.timing
    events = tuple(TakeEvent(one.index, one.start_s, one.end_s) for one in timing.events)
    seconds = timing.duration_s
    if cut is not None:
        events, seconds = events_in_cut(events, followed.pieces), sound_seconds(cut)
        if not events:
            raise InputError(
                f"no piece of {take.name} was found in {cut.name}", field="cut", at=str(cut),
                remedy="give the edited film that holds this take, with the take's own sound",
            )  # fmt: skip
    facts = TakeFacts(ours[1], seconds, events, seen)
    with cache.half() as folder:
        (folder / _FILE).write_bytes(msgspec.json.encode(facts))
        cache.put(key, (Made(_FILE, "take"),), folder)
    return facts
