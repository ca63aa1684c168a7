"""Degrees: a note's place above a root, counted on the major scale.

``1 b3 5 b7 9 #11 13`` as the trade writes them; ``2`` and ``9`` are the same pitch class and
stay distinct degrees, since a suspension and a tension are different things.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from gripwright.errors import NoteError
from gripwright.theory.pitch import STEP_SEMITONES, Note, accidental

_DEGREE = re.compile(r"(bb|##|b|#|♭♭|♯♯|♭|♯)?([1-9]|1[0-5])")


@dataclass(frozen=True, slots=True)
class Degree:
    """A degree: ``number`` 1 to 15 and ``alter`` in semitones from the major scale's.

    ``text`` is its ASCII writing, ``#11``.

    >>> Degree(7, -1).text, Degree(7, -1).semitones
    ('b7', 10)
    """

    number: int
    alter: int = 0
    text: str = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", f"{accidental(self.alter)}{self.number}")

    @property
    def semitones(self) -> int:
        """Return the size above the root in semitones, 9 as 14."""
        octave, step = divmod(self.number - 1, 7)
        return STEP_SEMITONES[step] + 12 * octave + self.alter

    @property
    def pc(self) -> int:
        """Return the pitch class above the root, 0 to 11."""
        return self.semitones % 12

    @property
    def pretty(self) -> str:
        """Return the printed writing, ``♯11``."""
        return f"{accidental(self.alter, pretty=True)}{self.number}"

    @property
    def order(self) -> tuple[int, int]:
        """Return a key that sorts degrees by number, then by alteration."""
        return (self.number, self.alter)

    def __str__(self) -> str:
        return self.text


def parse_degree(text: str) -> Degree:
    """Read a degree such as ``b7`` or ``♯11``; raises NoteError."""
    match = _DEGREE.fullmatch(text.strip())
    if not match:
        raise NoteError(
            f"{text!r} is not a degree",
            field="degree", at=0, remedy="write a number 1 to 15 with b or # before it, such as b7",
        )  # fmt: skip
    sign = (match[1] or "").replace("♭", "b").replace("♯", "#")
    return Degree(int(match[2]), sign.count("#") - sign.count("b"))


def degrees(text: str) -> tuple[Degree, ...]:
    """Read degrees separated by spaces, ``"1 b3 5"``."""
    return tuple(parse_degree(part) for part in text.split())


def note_at(root: Note, degree: Degree) -> Note:
    """Return the spelled note a degree above a root.

    >>> note_at(Note(5, -1), Degree(9, -1)).name
    'Bbb'
    """
    step = (root.step + degree.number - 1) % 7
    want = (root.pc + degree.semitones) % 12
    alter = (want - STEP_SEMITONES[step] + 6) % 12 - 6
    return Note(step, alter)


def degree_between(root: Note, note: Note) -> Degree:
    """Return the degree 1 to 7 of a spelled note above a spelled root.

    >>> degree_between(Note(5, -1), Note(2, 0)).text
    '#5'
    """
    number = (note.step - root.step) % 7 + 1
    size = (note.pc - root.pc - STEP_SEMITONES[number - 1] + 6) % 12 - 6
    return Degree(number, size)
