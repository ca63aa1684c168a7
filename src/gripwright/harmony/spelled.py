"""Spelled: one way to hear notes with its letters, over its bass, in a key, between neighbours."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from gripwright.harmony.table import Form, Way
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.harmony.why import Spelling
from gripwright.theory.interval import Degree, degrees, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import degree_note, names_of, odd, root_note
from gripwright.theory.symbol import ChordSymbol

if TYPE_CHECKING:
    from gripwright.harmony.letters import Letters

_LEADING, _FLAT_SECOND = Degree(7), Degree(2, -1)
_DIMINISHED = degrees("1 b3 b5 bb7")
_HALF_DIMINISHED = degrees("b3 b5 b7")
_RAISED_FOURTH = 6  # fifths above the tonic
SHARP_ROOT = 12.0  # log odds against a major third on a root sharper than that
MISSPELT = 40  # points against a diminished seventh whose letters are another's
RESPELL = 0.7  # log odds: a note whose other name is so much likelier takes that name


class Context(NamedTuple):
    """Where a grip stands: its key and the chords before and after it, any of them unknown.

    ``letters`` are those that the key and the neighbours give its notes.
    """

    key: Key | None = None
    before: ChordSymbol | None = None
    after: ChordSymbol | None = None
    strict: bool = False
    letters: Letters | None = None


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
    note, letters = degree_note(root, degree, strict=context.strict), context.letters
    if letters is None or context.strict or degree in form.fixed or _half_diminished(form, degree):
        return note
    if note.pc not in letters.odds:
        return note
    if form.quality.base == "dim7" and letters.best(root.pc) == root:
        return note
    best = letters.best(note.pc)
    if letters.surprise(note) < RESPELL or abs(best.alter) > 1:
        return note
    return best


def _half_diminished(form: Form, degree: Degree) -> bool:
    """Return whether a degree is the third, fifth or seventh of a whole half-diminished chord."""
    return form.degrees.keys() >= {0, 3, 6, 10} and degree in _HALF_DIMINISHED


def _root(way: Way, bass_pc: int, context: Context, low: Degree | None) -> Note:
    """Return the root's spelling; a diminished seventh is spelled towards the next root."""
    pc, letters = (bass_pc + way.root) % 12, context.letters
    if way.form.quality.base == "dim7":
        if letters is not None and pc in letters.odds and not context.strict:
            best = letters.best(pc)
            return best if abs(best.alter) < 2 else simple_note(pc, flats=best.alter < 0)
        if context.after is not None:
            for degree in (_LEADING, _FLAT_SECOND):
                note = note_at(context.after.root, degree)
                if note.pc == pc and abs(note.alter) < 2:
                    return note
    if letters is not None:
        return _root_among(pc, way.form, context)
    free = low if not context.strict else None
    return root_note(pc, way.form.degrees.values(), low=free)


def _root_among(pc: int, form: Form, context: Context) -> Note:
    """Return the name of a root whose chord agrees best with the letters of its notes.

    A major third is seldom built on a root sharper than a raised fourth: it is D flat seven.
    """
    letters, key = context.letters, context.key
    assert letters is not None and key is not None
    major = 4 in form.degrees

    def against(root: Note) -> tuple[float, int]:
        notes = (note_at(root, degree) for degree in form.degrees.values())
        sharp = major and root.fifths - key.tonic.fifths > _RAISED_FOURTH
        cost = sum(letters.surprise(note) for note in notes) + (SHARP_ROOT if sharp else 0.0)
        return cost, abs(root.alter)

    return min(names_of(pc), key=against)


def misspelling(way: Way, bass_pc: int, context: Context) -> int:
    """Return what speaks against a diminished seventh's root in points: letters it has not.

    Its root is the leading tone of the next chord, if the letters are thirds above that.
    """
    letters, after = context.letters, context.after
    if letters is None or after is None or way.form.quality.base != "dim7":
        return 0
    leading = (after.root.pc - 1) % 12
    other = leading != (bass_pc + way.root) % 12
    return MISSPELT if other and _in_thirds(letters, leading) else 0


def _in_thirds(letters: Letters, pc: int) -> bool:
    """Return whether the letters of a diminished seventh are minor thirds above a root."""
    if pc not in letters.odds:
        return False
    root = letters.best(pc)
    notes = (degree_note(root, degree) for degree in _DIMINISHED)
    return all(letters.surprise(note) == 0 for note in notes)
