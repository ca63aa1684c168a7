"""Spelled: one way to hear notes with its letters, over its bass, in a key, between neighbours."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from gripwright.harmony.table import Form, Way
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.harmony.why import Spelling
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import NOWHERE, degree_note, note_in_key, odd, root_note
from gripwright.theory.symbol import ChordSymbol

_LEADING, _FLAT_SECOND = Degree(7), Degree(2, -1)


class Context(NamedTuple):
    """Where a grip stands: its key and the chords before and after it, any of them unknown."""

    key: Key | None = None
    before: ChordSymbol | None = None
    after: ChordSymbol | None = None
    strict: bool = False

    @property
    def onward(self) -> frozenset[int]:
        """Return the pitch classes of the chord after."""
        return self.after.pcs if self.after else NOWHERE


class Voice(NamedTuple):
    """A form heard from a spelled root over a spelled bass; ``slash`` if that is no chord tone."""

    form: Form
    root: Note
    bass: Note
    slash: bool
    letters: Spelling

    def told(self, pc: int) -> tuple[Note, Degree]:
        """Return letter and degree of a sounding pitch class."""
        above = (pc - self.root.pc) % 12
        degree = self.form.degrees.get(above)
        if degree is None:
            return self.bass, PLAIN_DEGREES[above]
        return self.letters.spelled[degree], degree


@lru_cache(maxsize=32768)
def hear(way: Way, bass_pc: int, context: Context) -> Voice:
    """Return the spelling of root, bass and all that a way hears over a bass."""
    form, above = way.form, -way.root % 12
    degree = form.degrees.get(above, PLAIN_DEGREES[above])
    slash = above not in form.degrees
    root = _root(way, bass_pc, context, None if slash else degree)
    free = context.key is None and not context.strict
    eased = degree if free and odd(note_at(root, degree)) else None
    if not slash:
        letters = _letters(form, root, context, eased)
        return Voice(form, root, letters.spelled[degree], False, letters)
    bass = simple_note(bass_pc, flats=True) if eased else _spell(root, degree, form, context)
    return Voice(form, root, bass, True, _letters(form, root, context, None))


@lru_cache(maxsize=16384)
def _letters(form: Form, root: Note, context: Context, eased: Degree | None) -> Spelling:
    """Return the letters of a form on a root; an ``eased`` degree, its bass, is a white key."""
    spelled = {degree: _spell(root, degree, form, context) for degree in form.degrees.values()}
    if eased is not None:
        spelled[eased] = simple_note(spelled[eased].pc, flats=True)
    omits = {degree: _spell(root, degree, form, context) for degree in form.omits}
    by_text = {degree.text: (degree, note) for degree, note in spelled.items()}
    return Spelling(spelled, omits, by_text)


def _spell(root: Note, degree: Degree, form: Form, context: Context) -> Note:
    """Return a note's spelling: letters that name the chord stay, others may take the key's."""
    if degree.number == 1:
        return root
    key = None if degree in form.fixed else context.key
    if key and form.quality.base == "dim7" and not context.strict:
        return note_in_key((root.pc + degree.pc) % 12, key, context.onward)
    return degree_note(root, degree, strict=context.strict, key=key, onward=context.onward)


def _root(way: Way, bass_pc: int, context: Context, low: Degree | None) -> Note:
    """Return the root's spelling; a diminished seventh is spelled towards the next root."""
    pc = (bass_pc + way.root) % 12
    if way.form.quality.base == "dim7":
        if context.after is not None:
            for degree in (_LEADING, _FLAT_SECOND):
                note = note_at(context.after.root, degree)
                if note.pc == pc and abs(note.alter) < 2:
                    return note
        if context.key and not context.strict:
            return note_in_key(pc, context.key, context.onward)
    free = low if not context.strict else None
    return root_note(pc, way.form.degrees.values(), context.key, context.onward, low=free)
