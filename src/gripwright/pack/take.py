"""A take for the pack: where each event of the lesson falls in it.

To follow a take takes a while, so what was found is kept in the cache, under the music of the
lesson, the bytes of the take and the corrections that stand beside the lesson.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import msgspec

from gripwright.lesson.model import Lesson
from gripwright.lesson.timing_file import timing_path
from gripwright.pack.cache import Cache
from gripwright.pack.digest import code_digest, digest, file_digest
from gripwright.pack.stage import Made, TakeFacts
from gripwright.pack.views import music
from gripwright.screen.take import TakeEvent

_FILE = "events.json"


def take_facts(lesson: Lesson, source: Path, take: Path, cache: Cache) -> TakeFacts:
    """Return what the stages need to know of a take of the lesson in the file ``source``.

    Raises MediaError for a take that cannot be read and InputError where take and lesson do
    not match.
    """
    beside = timing_path(source)
    corrected = file_digest(beside) if beside.exists() else None
    sha256 = file_digest(take) if take.is_file() else ""
    key = digest((code_digest(), "take", music(lesson), sha256, corrected))
    entry = cache.find(key)
    if entry:
        return msgspec.json.decode(entry[0].place.read_bytes(), type=TakeFacts)
    timing = import_module("gripwright.hearing.follow").follow(source, take).timing
    events = tuple(TakeEvent(one.index, one.start_s, one.end_s) for one in timing.events)
    facts = TakeFacts(sha256, timing.duration_s, events)
    with cache.half() as folder:
        (folder / _FILE).write_bytes(msgspec.json.encode(facts))
        cache.put(key, (Made(_FILE, "take"),), folder)
    return facts
