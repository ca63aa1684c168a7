"""Readings: the ways to hear a grip, best first.

A grip's pitch classes seen from its bass look up the ways to hear them (`table`); how it is
voiced and where it stands in a key and between neighbours add a few linear terms (`terms`); the
sums become weights, halved for every eight points. docs/naming.md gives the whole sum.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from gripwright.errors import GripError
from gripwright.harmony.claims import Claim, true_sentences
from gripwright.harmony.table import Form, Way, cluster_above, limit, terms, ways
from gripwright.harmony.terms import context_cost, voicing_cost
from gripwright.harmony.tones import PLAIN_DEGREES, Tone
from gripwright.harmony.why import Heard, Spelling, reasons
from gripwright.neck.grip import Grip, Sounding, bass_of, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.harte import harte_label
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import NOWHERE, degree_note, note_in_key, odd, root_note
from gripwright.theory.symbol import ChordSymbol

_LEADING, _FLAT_SECOND = Degree(7), Degree(2, -1)


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to hear a grip.

    ``symbol`` is None for a cluster, whose ``quality`` is ``cluster``; ``tones`` are bass side
    first; ``omits`` are degrees that the symbol claims and that do not sound; ``weight`` sums
    to 1 over the readings given together; ``harte`` is the label of what sounds, ``X`` for a
    cluster.
    """

    symbol: ChordSymbol | None
    quality: str
    root: Note
    bass: Note
    tones: tuple[Tone, ...]
    omits: tuple[Degree, ...]
    why: tuple[str, ...]
    weight: float
    harte: str


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


def readings(
    grip: Grip,
    neck: Neck = STANDARD_NECK,
    *,
    key: Key | None = None,
    before: ChordSymbol | None = None,
    after: ChordSymbol | None = None,
    strict: bool = False,
) -> tuple[Reading, ...]:
    """Return the readings of a grip, best first; one cluster where no chord is defended.

    ``key`` and the chords ``before`` and ``after`` weigh in. ``strict`` keeps double
    accidentals. Raises GripError for a grip with fewer than two sounding strings or one that
    does not fit the neck.

    >>> from gripwright.neck.grip import parse_grip
    >>> [reading.symbol.text for reading in readings(parse_grip("x32210"))][:2]
    ['Am/C', 'C6']
    """
    sounds = soundings(grip, neck)
    if len(sounds) < 2:
        raise GripError(
            f"grip {grip.text!r} sounds {'one note' if sounds else 'no note'}, a chord needs two",
            field="grip", at=0, remedy="give at least two strings a fret",
        )  # fmt: skip
    context = Context(key, before, after, strict)
    bass = bass_of(sounds)
    ranked = _ranked(sounds, bass, context)
    if not ranked:
        return (_cluster(sounds, bass.midi, context),)
    best = ranked[0][0]
    kept = [(cost - best, way) for cost, way in ranked if cost - best <= limit("faint")]
    return _given(kept[: limit("most")], sounds, bass.midi, context)


def _given(
    kept: list[tuple[int, Way]], sounds: tuple[Sounding, ...], bass_midi: int, context: Context
) -> tuple[Reading, ...]:
    """Return the readings of ways whose costs count from the best."""
    shares = [2 ** (-cost / limit("halving")) for cost, _ in kept]
    voices = [_hear(way, bass_midi, context) for _, way in kept]
    total = sum(shares)
    pcs = tuple(sorted({(sound.midi - bass_midi) % 12 for sound in sounds}))
    given = []
    for place, (one, share) in enumerate(zip(voices, shares, strict=True)):
        rival = voices[0 if place else 1] if len(voices) > 1 else None
        count = sum(sound.midi % 12 == one.root.pc for sound in sounds)
        said = _say(one, _gist(bass_midi, pcs, one.root, count), rival, context)
        given.append(_reading(one, said, sounds, share / total))
    return tuple(given)


def _gist(bass_midi: int, pcs: tuple[int, ...], root: Note, count: int) -> tuple[int, ...]:
    """Return notes with the same bass, pitch classes and number of roots, in one octave.

    The claims ask for no more, so that grips which differ in octaves share their reasons.
    """
    low = bass_midi % 12
    place = (root.pc - low) % 12
    return (*(low + pc for pc in pcs), *(low + place for _ in range(count - 1)))


def _ranked(
    sounds: tuple[Sounding, ...], bass: Sounding, context: Context
) -> list[tuple[int, Way]]:
    """Return the ways to hear the notes with what each costs, none if they are a cluster."""
    mask = 0
    for sound in sounds:
        mask |= 1 << (sound.midi - bass.midi) % 12
    found = ways(mask)
    if not found or found[0].cost > cluster_above(mask.bit_count()):
        return []
    low, where = bass.midi % 12, (context.key, context.before, context.after)
    sums = [
        (way.cost + voicing_cost(way, sounds, bass) + context_cost(way, low, *where), way)
        for way in found
    ]
    return _given_once(sorted(sums, key=_sum))


def _sum(entry: tuple[int, Way]) -> int:
    return entry[0]


def _given_once(ranked: list[tuple[int, Way]]) -> list[tuple[int, Way]]:
    """Return the ways, best first, chords over a foreign bass behind a name with their root."""
    roots: set[int] = set()
    sums = []
    for cost, way in ranked:
        again = way.root in roots and way.form.slash(way.root)
        sums.append(
            (cost + (terms()["foreign bass under a root that is given"] if again else 0), way)
        )
        roots.add(way.root)
    return sorted(sums, key=_sum)


class _Voice(NamedTuple):
    """A form heard from a spelled root over a spelled bass."""

    form: Form
    root: Note
    bass: Note
    slash: bool
    eased: Degree | None


class _Said(NamedTuple):
    """What is said of a form in words and signs."""

    symbol: ChordSymbol
    harte: str
    why: tuple[str, ...]
    letters: Spelling


def _hear(way: Way, bass_midi: int, context: Context) -> _Voice:
    """Return the spelling that a way gives root and bass."""
    form, above = way.form, -way.root % 12
    degree = form.degrees.get(above, PLAIN_DEGREES[above])
    root = _root(way, bass_midi, context, degree if above in form.degrees else None)
    free = context.key is None and not context.strict
    eased = degree if free and odd(note_at(root, degree)) else None
    if above in form.degrees:
        bass = _letters(form, root, context, eased).spelled[degree]
        return _Voice(form, root, bass, False, eased)
    bass = simple_note(bass_midi, flats=True) if eased else _spell(root, degree, form, context)
    return _Voice(form, root, bass, True, None)


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


def _root(way: Way, bass_midi: int, context: Context, low: Degree | None) -> Note:
    """Return the root's spelling; a diminished seventh is spelled towards the next root."""
    pc = (bass_midi + way.root) % 12
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


@lru_cache(maxsize=65536)
def _say(one: _Voice, midi: tuple[int, ...], rival: _Voice | None, context: Context) -> _Said:
    """Return symbol, label and reasons of a form over notes; ``rival`` is the other reading."""
    form = one.form
    slash = one.bass if one.bass != one.root and 0 in form.degrees else None
    symbol = ChordSymbol(one.root, form.quality, slash)
    degree = form.degrees.get((one.bass.pc - one.root.pc) % 12)
    low = one.bass if degree is None else note_at(one.root, degree)
    label = harte_label(one.root, form.degrees.values(), low)
    claims = reasons(
        _heard(one, midi, context),
        rival=_heard(rival, midi, context) if rival else None,
        key=context.key,
        before=context.before,
        after=context.after,
    )
    letters = _letters(one.form, one.root, context, one.eased)
    return _Said(symbol, label, true_sentences(claims), letters)


def _heard(voice: _Voice, midi: tuple[int, ...], context: Context) -> Heard:
    letters = _letters(voice.form, voice.root, context, voice.eased)
    return Heard(midi, voice.root, voice.bass, letters, voice.slash)


def _reading(one: _Voice, said: _Said, sounds: tuple[Sounding, ...], weight: float) -> Reading:
    form, spelled = one.form, said.letters.spelled
    tones = []
    for sound in sounds:
        above = (sound.midi - one.root.pc) % 12
        degree = form.degrees.get(above)
        tones.append(
            Tone(sound.string, sound.fret, sound.midi, one.bass, PLAIN_DEGREES[above], False)
            if degree is None
            else Tone(sound.string, sound.fret, sound.midi, spelled[degree], degree)
        )
    return Reading(
        said.symbol, form.text, one.root, one.bass, tuple(tones), form.omits, said.why, weight,
        said.harte,
    )  # fmt: skip


def _cluster(sounds: tuple[Sounding, ...], bass_midi: int, context: Context) -> Reading:
    """Return the one reading of notes that make no chord: degrees above the bass."""
    content = tuple(PLAIN_DEGREES[pc] for pc in sorted({(s.midi - bass_midi) % 12 for s in sounds}))
    key = context.key
    bass = note_in_key(bass_midi, key, context.onward) if key else root_note(bass_midi, content)
    tones = []
    for sound in sounds:
        degree = PLAIN_DEGREES[(sound.midi - bass_midi) % 12]
        note = degree_note(bass, degree)
        if key is not None:
            note = note_in_key(sound.midi, key, context.onward)
        tones.append(Tone(sound.string, sound.fret, sound.midi, note, degree, claimed=False))
    claim = Claim("grip.cluster", tuple(s.midi for s in sounds), (bass, content))
    return Reading(
        None, "cluster", bass, bass, tuple(tones), (), true_sentences((claim,)), 1.0, "X"
    )
