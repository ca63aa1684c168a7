"""Readings: the ways to hear a grip, best first.

A grip's pitch classes seen from its bass look up the ways to hear them (`table`); how it is
voiced and where it stands in a key and between neighbours add a few linear terms; the sums
become weights, halved for every eight points of cost. docs/naming.md gives the whole sum.
"""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.errors import GripError
from gripwright.harmony.claims import Claim, true_sentences
from gripwright.harmony.table import Way, cluster_above, ways
from gripwright.harmony.terms import context_cost, voicing_cost
from gripwright.harmony.tones import PLAIN_DEGREES, Tone
from gripwright.harmony.why import reasons
from gripwright.neck.grip import Grip, Sounding, bass_of, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.harte import harte_label
from gripwright.theory.interval import Degree
from gripwright.theory.pitch import Note
from gripwright.theory.quality_text import quality_text
from gripwright.theory.scale import Key
from gripwright.theory.spelling import degree_note, root_note
from gripwright.theory.symbol import ChordSymbol

HALVING = 8  # points of cost that halve a reading's weight
FAINT = 52  # a reading dearer than the best by more than this is not given
MOST = 6  # readings given at most


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
        heard = {tone.degree for tone in self.tones if tone.claimed}
        return harte_label(self.root, heard, self.bass)


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
    bass = bass_of(sounds)
    bass_midi = bass.midi
    mask = 0
    for sound in sounds:
        mask |= 1 << (sound.midi - bass_midi) % 12
    sums = sorted(
        (
            (
                way.cost
                + voicing_cost(way, sounds, bass)
                + context_cost(way, bass_midi % 12, key, before, after),
                order,
                way,
            )
            for order, way in enumerate(ways(mask))
        ),
        key=lambda entry: entry[:2],
    )
    if not sums or sums[0][0] > cluster_above(mask.bit_count()):
        return (_cluster(sounds, bass_midi, key),)
    best = sums[0][0]
    kept = [(cost - best, way) for cost, _, way in sums if cost - best <= FAINT][:MOST]
    total = sum(2 ** (-cost / HALVING) for cost, _ in kept)
    return tuple(
        _reading(way, sounds, bass_midi, key, strict, 2 ** (-cost / HALVING) / total)
        for cost, way in kept
    )


def _reading(
    way: Way,
    sounds: tuple[Sounding, ...],
    bass_midi: int,
    key: Key | None,
    strict: bool,
    weight: float,
) -> Reading:
    form = way.form
    root = root_note(bass_midi + way.root, form.degrees.values(), key)
    spelled = {degree: degree_note(root, degree, strict=strict) for degree in form.degrees.values()}
    slash = -way.root % 12 not in form.degrees
    tones = tuple(_tone(way, root, spelled, sound, strict) for sound in sounds)
    bass = next(tone.note for tone in tones if tone.midi == bass_midi)
    symbol = ChordSymbol(root, form.quality, None if bass == root else bass)
    midi = tuple(sound.midi for sound in sounds)
    why = true_sentences(reasons(midi, root, bass, spelled, slash=slash))
    return Reading(
        symbol, quality_text(form.quality), root, bass, tones, form.omits, why, weight
    )  # fmt: skip


def _tone(way: Way, root: Note, spelled: dict[Degree, Note], sound: Sounding, strict: bool) -> Tone:
    above = (sound.midi - root.pc) % 12
    degree = way.form.degrees.get(above)
    if degree is not None:
        return Tone(sound.string, sound.fret, sound.midi, spelled[degree], degree)
    plain = PLAIN_DEGREES[above]
    note = degree_note(root, plain, strict=strict)
    return Tone(sound.string, sound.fret, sound.midi, note, plain, claimed=False)


def _cluster(sounds: tuple[Sounding, ...], bass_midi: int, key: Key | None) -> Reading:
    """Return the one reading of notes that make no chord: degrees above the bass."""
    pcs = {(sound.midi - bass_midi) % 12 for sound in sounds}
    content = tuple(PLAIN_DEGREES[pc] for pc in sorted(pcs))
    bass = root_note(bass_midi, content, key)
    tones = tuple(
        Tone(s.string, s.fret, s.midi, degree_note(bass, plain), plain, claimed=False)
        for s in sounds
        for plain in (PLAIN_DEGREES[(s.midi - bass_midi) % 12],)
    )
    claim = Claim("grip.cluster", tuple(s.midi for s in sounds), (bass, content))
    return Reading(None, "cluster", bass, bass, tones, (), true_sentences((claim,)), 1.0)
