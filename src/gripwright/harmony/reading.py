"""Readings: the ways to hear a grip, best first.

A grip's pitch classes seen from its bass look up the ways to hear them (`table`); how it is
voiced and where it stands in a key and between neighbours add a few linear terms (`terms`); the
sums become weights, halved for every eight points; `spelled` gives the letters and `why` the
reasons. docs/naming.md gives the whole sum.
"""

from __future__ import annotations

import importlib
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from gripwright.errors import GripError
from gripwright.harmony.claims import Claim, true_sentences
from gripwright.harmony.spelled import Context, Voice, hear, misspelling
from gripwright.harmony.table import Way, cluster_above, limit, terms, ways
from gripwright.harmony.terms import context_cost, voicing_cost
from gripwright.harmony.tones import PLAIN_DEGREES, Tone
from gripwright.harmony.why import Heard, about_bass, against, reasons
from gripwright.neck.grip import Grip, Sounding, bass_of, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.harte import harte_label
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import degree_note, root_note
from gripwright.theory.symbol import ChordSymbol

if TYPE_CHECKING:
    from gripwright.harmony.letters import Letters


ARGUED = 0.02  # a reading lighter than this is no argument against another


class Reading(NamedTuple):
    """One way to hear a grip.

    ``symbol`` is None for a cluster, whose ``quality`` is ``cluster``; ``tones`` are bass side
    first; ``omits`` are degrees that the symbol claims and that do not sound; ``weight`` sums
    to 1 over the readings given together; ``harte`` is the label of what sounds, ``X`` for a
    cluster; ``text`` is the symbol in ASCII, empty for a cluster. ``also`` are symbols of the same
    notes that tell no other root that sounds: this reading's root with another name for a doubtful
    note and, beside the best reading, chords whose root does not sound.
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
    text: str = ""
    also: tuple[str, ...] = ()


def readings(
    grip: Grip,
    neck: Neck = STANDARD_NECK,
    *,
    key: Key | None = None,
    before: ChordSymbol | None = None,
    after: ChordSymbol | None = None,
    strict: bool = False,
    letters: Letters | None = None,
) -> tuple[Reading, ...]:
    """Return the readings of a grip, best first; one cluster where no chord is defended.

    ``key`` and the chords ``before`` and ``after`` weigh in. ``strict`` keeps double
    accidentals. ``letters`` are those of the notes, where a whole succession has given them.
    Raises GripError for a grip with fewer than two sounding strings or one that does not fit
    the neck.

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
    bass = bass_of(sounds).midi
    shape = tuple(sound.midi - bass for sound in sounds)
    if letters is None and key is not None:
        pcs = tuple(sorted({sound.midi % 12 for sound in sounds}))
        # Without a key nothing is spelled by it, and a one-grip question does not load it.
        spelling = importlib.import_module("gripwright.harmony.letters")
        letters = spelling.letters_among(pcs, key, before, after)
    context = Context(key, before, after, strict, letters)
    at_rest = key is None and before is None and after is None
    kept = _at_rest(shape) if at_rest else _kept(_placed(shape, bass % 12, context))
    if not kept.given:
        return (_cluster(shape, sounds, bass % 12, context),)
    return _given(kept, sounds, context, neck.re_entrant)


Costs = list[tuple[int, Way]]
Weighed = tuple[tuple[Way, float], ...]


class Kept(NamedTuple):
    """The ways to be given, best first, and their weights; each one's rival, those told with it."""

    given: Weighed
    rivals: tuple[Way | None, ...]
    also: tuple[tuple[Way, ...], ...]


@lru_cache(maxsize=32768)
def _at_rest(shape: tuple[int, ...]) -> Kept:
    """Return the ways to hear a shape that stands alone."""
    return _kept(_voiced(shape))


def _voiced(shape: tuple[int, ...]) -> Costs:
    """Return the ways to hear a shape with what each costs, none if it is a cluster."""
    mask = _mask(shape)
    found = ways(mask)
    if not found or found[0].cost > cluster_above(mask.bit_count()):
        return []
    return [(way.cost + voicing_cost(way, shape), way) for way in found]


def _placed(shape: tuple[int, ...], bass_pc: int, context: Context) -> Costs:
    """Return the ways to hear a shape in a key and between neighbours."""
    where = (context.key, context.before, context.after)
    return [
        (cost + context_cost(way, bass_pc, *where) + misspelling(way, bass_pc, context), way)
        for cost, way in _voiced(shape)
    ]


def _kept(costs: Costs) -> Kept:
    """Return the ways to be given, those within ``faint`` of the best and at most ``most``."""
    ranked = _given_once(sorted(costs, key=_sum))
    best = ranked[0][0] if ranked else 0
    faint, halving = limit("faint"), limit("halving")
    near = [(cost - best, way) for cost, way in ranked if cost - best <= faint]
    first = near[: limit("most")]
    shares = [2 ** (-cost / halving) for cost, _ in first]
    total = sum(shares)
    given = tuple((way, share / total) for (_, way), share in zip(first, shares, strict=True))
    rivals = tuple(_rival(way, given) for way, _ in given)
    return Kept(given, rivals, _told_with(given, [way for _, way in near]))


def _told_with(given: Weighed, near: list[Way]) -> tuple[tuple[Way, ...], ...]:
    """Return for each way those with its root, and for the best those without a sounding root."""
    best = given[0][0] if given else None
    over = [way for way in near if not way.form.slash(way.root)]
    return tuple(
        tuple(
            other for other in over
            if other is not way
            and (other.root == way.root or (way is best and 0 not in other.form.degrees))
        )
        for way, _ in given
    )  # fmt: skip


def _mask(shape: tuple[int, ...]) -> int:
    """Return the set of what sounds above the bass, one bit a semitone."""
    mask = 0
    for height in shape:
        mask |= 1 << height % 12
    return mask


def _given(
    kept: Kept, sounds: tuple[Sounding, ...], context: Context, re_entrant: bool
) -> tuple[Reading, ...]:
    """Return the readings of ways with their weights."""
    pcs = [sound.midi % 12 for sound in sounds]
    bass_pc = bass_of(sounds).midi % 12
    mask = _mask(tuple(pc - bass_pc for pc in pcs))
    given = []
    for (way, weight), rival, others in zip(*kept, strict=True):
        said = _say(way, bass_pc, mask, context, re_entrant)
        one = said.voice
        tones = [
            Tone(sound.string, sound.fret, sound.midi, *said.told[pc])
            for sound, pc in zip(sounds, pcs, strict=True)
        ]
        if way.root:
            why = (*_opening(way, bass_pc, mask, 1, context), *said.why)
        else:
            why = (*_opening(way, bass_pc, 1, pcs.count(bass_pc), context), *said.why)
        if rival:
            why += _against(rival, bass_pc, mask, context)
        given.append(
            Reading(
                said.symbol, one.form.text, one.root, one.bass, tuple(tones), one.form.omits, why,
                weight, said.harte, said.text,
                tuple([_symbol(other, bass_pc, context, re_entrant)[1] for other in others])
                if others
                else (),
            )
        )  # fmt: skip
    return tuple(given)


def _rival(way: Way, kept: Weighed) -> Way | None:
    """Return the best of the ways worth arguing from another root, if it and the bass belong."""
    for other, weight in kept:
        if weight < ARGUED:
            return None
        if other.root != way.root and other.form.degrees.keys() >= {0, -other.root % 12}:
            return other
    return None


def _sum(entry: tuple[int, Way]) -> int:
    return entry[0]


def _given_once(ranked: Costs) -> Costs:
    """Return the ways, best first, chords over a foreign bass behind a name with their root."""
    more = terms()["foreign bass under a root that is given"]
    roots: set[int] = set()
    sums = []
    for cost, way in ranked:
        again = way.root in roots and way.form.slash(way.root)
        sums.append((cost + more if again else cost, way))
        roots.add(way.root)
    return sorted(sums, key=_sum)


class _Said(NamedTuple):
    """What is said of a way in words and signs; ``told`` by the pitch classes that sound."""

    voice: Voice
    symbol: ChordSymbol
    text: str
    harte: str
    why: tuple[str, ...]
    told: dict[int, tuple[Note, Degree]]


@lru_cache(maxsize=65536)
def _say(way: Way, bass_pc: int, mask: int, context: Context, re_entrant: bool) -> _Said:
    """Return symbol, label, letters and reasons of a way over a bass and what is above it.

    The claims ask for no more than pitch classes and the bass, so that grips which differ in
    octaves share their reasons.
    """
    one, form = hear(way, bass_pc, context), way.form
    symbol, text = _symbol(way, bass_pc, context, re_entrant)
    degree = form.degrees.get(-way.root % 12)
    low = one.bass if degree is None else note_at(one.root, degree)
    midi = _notes(bass_pc, mask)
    claims = reasons(_heard(one, midi), key=context.key, before=context.before, after=context.after)
    told = {pc % 12: one.told(pc % 12) for pc in midi}
    label = harte_label(one.root, form.degrees.values(), low)
    return _Said(one, symbol, text, label, true_sentences(claims), told)


@lru_cache(maxsize=65536)
def _symbol(way: Way, bass_pc: int, context: Context, re_entrant: bool) -> tuple[ChordSymbol, str]:
    """Return the symbol of a way, and in ASCII.

    It has no slash without its root, nor on a re-entrant neck for a note of the chord: the lowest
    string lies inside there, and players leave it unsaid (common practice, no source).
    """
    one = hear(way, bass_pc, context)
    slash = one.bass != one.root and 0 in way.form.degrees and (one.slash or not re_entrant)
    symbol = ChordSymbol(one.root, way.form.quality, one.bass if slash else None)
    return symbol, symbol.text


@lru_cache(maxsize=65536)
def _opening(way: Way, bass_pc: int, mask: int, count: int, context: Context) -> tuple[str, ...]:
    """Return what is said of the bass, which sounds so many times, and of the root."""
    midi = (bass_pc,) * (count - 1) + _notes(bass_pc, mask)
    return true_sentences((about_bass(_heard(hear(way, bass_pc, context), midi)),))


@lru_cache(maxsize=65536)
def _against(rival: Way, bass_pc: int, mask: int, context: Context) -> tuple[str, ...]:
    """Return what another way to hear the notes says."""
    midi = _notes(bass_pc, mask)
    return true_sentences(against(midi, _heard(hear(rival, bass_pc, context), midi)))


@lru_cache(maxsize=32768)
def _notes(bass_pc: int, mask: int) -> tuple[int, ...]:
    """Return the pitch classes of a mask above a bass, in one octave."""
    return tuple(bass_pc + above for above in range(12) if mask >> above & 1)


def _heard(voice: Voice, midi: tuple[int, ...]) -> Heard:
    return Heard(midi, voice.root, voice.bass, voice.letters, voice.slash)


def _cluster(
    shape: tuple[int, ...], sounds: tuple[Sounding, ...], bass_pc: int, context: Context
) -> Reading:
    """Return the one reading of notes that make no chord: degrees above the bass."""
    bass, told, why = _as_cluster(_mask(shape), bass_pc, context)
    tones = tuple(
        Tone(sound.string, sound.fret, sound.midi, *told[sound.midi % 12], claimed=False)
        for sound in sounds
    )
    return Reading(None, "cluster", bass, bass, tones, (), why, 1.0, "X")


@lru_cache(maxsize=16384)
def _as_cluster(
    mask: int, bass_pc: int, context: Context
) -> tuple[Note, dict[int, tuple[Note, Degree]], tuple[str, ...]]:
    """Return the letter of the bass, letters and degrees of all notes, and what is said of them."""
    letters = context.letters
    content = tuple(PLAIN_DEGREES[above] for above in range(12) if mask >> above & 1)
    bass = letters.best(bass_pc) if letters else root_note(bass_pc, content)
    told = {}
    for degree in content:
        pc = (bass_pc + degree.pc) % 12
        told[pc] = (letters.best(pc) if letters else degree_note(bass, degree), degree)
    midi = _notes(bass_pc, mask)
    claim = Claim("grip.cluster", midi, (bass, content))
    return bass, told, true_sentences((claim,))
