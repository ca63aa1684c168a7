"""Readings: the ways to hear a grip, best first.

A grip's pitch classes seen from its bass look up the ways to hear them (`table`); how it is
voiced and where it stands in a key and between neighbours add a few linear terms (`terms`); the
sums become weights, halved for every eight points. docs/naming.md gives the whole sum.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gripwright.errors import GripError
from gripwright.harmony.claims import Claim, true_sentences
from gripwright.harmony.table import Form, Way, cluster_above, limit, ways
from gripwright.harmony.terms import context_cost, voicing_cost
from gripwright.harmony.tones import PLAIN_DEGREES, Tone
from gripwright.harmony.why import Heard, Spelling, reasons
from gripwright.neck.grip import Grip, Sounding, bass_of, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.harte import harte_label
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import NOWHERE, degree_note, note_in_key, root_note
from gripwright.theory.symbol import ChordSymbol

_LEADING, _FLAT_SECOND = Degree(7), Degree(2, -1)


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to hear a grip.

    ``symbol`` is None for a cluster, whose ``quality`` is ``cluster``; ``tones`` are bass side
    first; ``omits`` are degrees that the symbol claims and that do not sound; ``weight`` sums
    to 1 over the readings given together.
    """

    symbol: ChordSymbol | None
    quality: str
    root: Note
    bass: Note
    tones: tuple[Tone, ...]
    omits: tuple[Degree, ...]
    why: tuple[str, ...]
    weight: float

    @property
    def harte(self) -> str:
        """Return the Harte label of what sounds; ``X`` for a cluster."""
        if self.symbol is None:
            return "X"
        heard = frozenset(tone.degree for tone in self.tones if tone.claimed)
        return harte_label(self.root, heard, self.bass)


@dataclass(frozen=True, slots=True)
class Context:
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
    kept = kept[: limit("most")]
    weights = [2 ** (-cost / limit("halving")) for cost, _ in kept]
    heard = [_hear(way, sounds, bass.midi, context) for _, way in kept]
    rivals = [*heard[1:2], *heard[:1]] if len(heard) > 1 else [None]
    return tuple(
        _reading(way, one, sounds, context, rivals[min(place, 1)], weight / sum(weights))
        for place, ((_, way), one, weight) in enumerate(zip(kept, heard, weights, strict=True))
    )


def _ranked(
    sounds: tuple[Sounding, ...], bass: Sounding, context: Context
) -> list[tuple[int, Way]]:
    """Return the ways to hear the notes with what each costs, none if they are a cluster."""
    mask = 0
    for sound in sounds:
        mask |= 1 << (sound.midi - bass.midi) % 12
    sums = [
        (
            way.cost
            + voicing_cost(way, sounds, bass)
            + context_cost(way, bass.midi % 12, context.key, context.before, context.after),
            way,
        )
        for way in ways(mask)
    ]
    sums.sort(key=lambda entry: entry[0])
    return sums if sums and sums[0][0] <= cluster_above(mask.bit_count()) else []


def _hear(way: Way, sounds: tuple[Sounding, ...], bass_midi: int, context: Context) -> Heard:
    """Return the spelling that a way gives the notes."""
    form = way.form
    root = _root(way, bass_midi, context)
    spelling = _letters(form, root, context)
    degree = form.degrees.get(-way.root % 12)
    bass = spelling.spelled[degree] if degree else _foreign(-way.root % 12, root, form, context)
    return Heard(tuple(sound.midi for sound in sounds), root, bass, spelling, degree is None)


@lru_cache(maxsize=16384)
def _letters(form: Form, root: Note, context: Context) -> Spelling:
    """Return the letters of a form on a root."""
    spelled = {degree: _spell(root, degree, form, context) for degree in form.degrees.values()}
    omits = {degree: _spell(root, degree, form, context) for degree in form.omits}
    by_text = {degree.text: (degree, note) for degree, note in spelled.items()}
    return Spelling(spelled, omits, by_text)


def _foreign(above: int, root: Note, form: Form, context: Context) -> Note:
    """Return the spelling of a bass that is no chord tone."""
    return _spell(root, PLAIN_DEGREES[above], form, context)


def _spell(root: Note, degree: Degree, form: Form, context: Context) -> Note:
    """Return a note's spelling: letters that name the chord stay, others may take the key's."""
    if degree.number == 1:
        return root
    key = None if degree in form.fixed else context.key
    if key and form.quality.base == "dim7" and not context.strict:
        return note_in_key((root.pc + degree.pc) % 12, key, context.onward)
    return degree_note(root, degree, strict=context.strict, key=key, onward=context.onward)


def _root(way: Way, bass_midi: int, context: Context) -> Note:
    """Return the root's spelling; a diminished seventh is spelled towards the next root."""
    pc = (bass_midi + way.root) % 12
    if way.form.quality.base == "dim7":
        if context.after is not None:
            for degree in (_LEADING, _FLAT_SECOND):
                note = note_at(context.after.root, degree)
                if note.pc == pc and abs(note.alter) < 2:
                    return note
        elif context.key and not context.strict:
            return note_in_key(pc, context.key, context.onward)
    return root_note(pc, way.form.degrees.values(), context.key, context.onward)


def _reading(
    way: Way,
    heard: Heard,
    sounds: tuple[Sounding, ...],
    context: Context,
    rival: Heard | None,
    weight: float,
) -> Reading:
    form, root = way.form, heard.root
    onward = context.after.root if context.after else None
    why = true_sentences(reasons(heard, rival=rival, key=context.key, onward=onward))
    symbol = ChordSymbol(root, form.quality, None if heard.bass == root else heard.bass)
    tones = tuple(_tone(heard, form.degrees, sound) for sound in sounds)
    return Reading(symbol, form.text, root, heard.bass, tones, form.omits, why, weight)


def _tone(heard: Heard, content: dict[int, Degree], sound: Sounding) -> Tone:
    above = (sound.midi - heard.root.pc) % 12
    degree = content.get(above)
    if degree is None:
        plain = PLAIN_DEGREES[above]
        return Tone(sound.string, sound.fret, sound.midi, heard.bass, plain, claimed=False)
    return Tone(sound.string, sound.fret, sound.midi, heard.spelled[degree], degree)


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
    return Reading(None, "cluster", bass, bass, tuple(tones), (), true_sentences((claim,)), 1.0)
