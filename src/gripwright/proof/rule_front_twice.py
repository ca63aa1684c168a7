"""A second block of front matter, deep in the file, where it is prose and changes nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from gripwright.lesson.front import FACTS, FIELDS
from gripwright.proof.evidence import Evidence, Finding

RULE = "front-twice"
_BLOCK = re.compile(
    r"^---[ \t]*\r?\n((?:[ \t]*[A-Za-z-]+[ \t]*:[^\n]*\n|[ \t]*\r?\n)+)---[ \t]*\r?$", re.MULTILINE
)
_FIELD = re.compile(r"^[ \t]*([A-Za-z-]+)[ \t]*:", re.MULTILINE)


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a doubt for each stretch of prose that looks like front matter."""
    for index, stretch in enumerate(evidence.lesson.prose):
        for block in _BLOCK.finditer(stretch.markdown):
            fields = [name.lower() for name in _FIELD.findall(block[1])]
            known = [name for name in fields if name in (*FIELDS, *FACTS)]
            if known:
                start = evidence.parsed.spans["prose", index].start + block.start()
                yield evidence.find_at(
                    "doubtful", RULE, start,
                    f"a second front matter: its {', '.join(dict.fromkeys(known))} changes nothing",
                    "move what is meant to the top of the file, and take this block out",
                )  # fmt: skip
