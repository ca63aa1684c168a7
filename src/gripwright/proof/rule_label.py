"""Names that their own notes contradict.

A symbol is held against the notes of its grip. What a player may leave out is fine: the
perfect fifth, the ninth of an eleventh or thirteenth chord, the eleventh of a thirteenth
(common practice, no source). A missing third or root, a bass that no slash names and a colour
that the symbol does not claim are *doubtful*; a note that no chord of that name has, and a
missing note that gives the name its meaning, are *wrong*; so is a chord with neither its root nor
its third.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from gripwright.harmony.reading import readings
from gripwright.harmony.tones import Tone, tones_under
from gripwright.lesson.model import Chord
from gripwright.neck.grip import soundings
from gripwright.neck.tuning import Neck
from gripwright.proof.evidence import Evidence, Finding, Severity
from gripwright.theory.interval import Degree
from gripwright.theory.symbol import ChordSymbol

RULE = "label-contradicts-notes"
_COLOURS = {"9", "13", "#11"}
_DOMINANT_COLOURS = {"b9", "b3", "b13"}
Fault = tuple[Severity, str]


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for each way in which a chord's name and notes disagree."""
    lesson = evidence.lesson
    for node, chord in evidence.written_chords():
        if chord.grip is None or chord.symbol is None:
            continue
        if node[0] == "chord" and chord.name in {entry.name for entry in lesson.grips}:
            continue
        faults = list(_faults(chord.symbol, chord, lesson.neck))
        if faults:
            worst: Severity = "wrong" if "wrong" in dict(faults) else "doubtful"
            told = "; ".join(message for _, message in faults)
            said = _what_the_notes_say(chord, lesson.neck, evidence)
            yield evidence.find(worst, RULE, node, f"{chord.name}: {told}", said)


def _faults(symbol: ChordSymbol, chord: Chord, neck: Neck) -> Iterator[Fault]:
    assert chord.grip is not None
    tones = tones_under(symbol, chord.grip, neck)
    if len(tones) < 2:
        yield "wrong", f"a chord needs two strings, its grip plays {len(tones)}"
        return
    yield from _foreign(symbol, tones)
    yield from _missing(symbol, tones)
    yield from _bass(symbol, tones, neck)


def _foreign(symbol: ChordSymbol, tones: Sequence[Tone]) -> Iterator[Fault]:
    """Yield notes that the symbol does not claim."""
    told: set[int] = set()
    for tone in tones:
        if tone.claimed or tone.midi % 12 in told:
            continue
        told.add(tone.midi % 12)
        severity: Severity = "doubtful" if _is_colour(tone.degree, symbol) else "wrong"
        found = f"string {tone.string} sounds {tone.note.pretty}, the {tone.degree.pretty}"
        yield severity, f"{found}, which the name does not claim"


def _is_colour(degree: Degree, symbol: ChordSymbol) -> bool:
    """Tell whether a degree could be added to the symbol without contradicting it."""
    claimed = {d.text for d in symbol.degrees}
    if degree.number in symbol.quality.omits:
        return False
    seventh = bool(claimed & {"b7", "7", "bb7"})
    if degree.text in ("b7", "7"):
        return not seventh and "6" not in claimed
    if degree.text == "11":
        return "3" not in claimed
    dominant = "b7" in claimed and symbol.quality.third in ("major", "sus")
    return degree.text in _COLOURS or (dominant and degree.text in _DOMINANT_COLOURS)


def _missing(symbol: ChordSymbol, tones: Sequence[Tone]) -> Iterator[Fault]:
    """Yield claimed degrees that do not sound and may not be left out."""
    have = {(tone.midi - symbol.root.pc) % 12 for tone in tones}
    gone = [degree for degree in symbol.degrees if degree.pc not in have]
    if symbol.quality.base == "7alt":
        altered = [d for d in symbol.degrees if d.number in (5, 9)]
        gone = [d for d in gone if d.number not in (5, 9)]
        if not any(d.pc in have for d in altered):
            yield "wrong", "nothing in its grip is altered"
    nothing_left = {1, 3} <= {degree.number for degree in gone}
    for degree in gone:
        severity = _how_bad_without(degree, symbol)
        if nothing_left and degree.number in (1, 3):
            severity = "wrong"
        if severity is not None:
            yield severity, f"the name promises the {degree.pretty}, no string sounds it"


def _how_bad_without(degree: Degree, symbol: ChordSymbol) -> Severity | None:
    """Return how bad it is that a degree is missing, None where it may be."""
    quality = symbol.quality
    named = (*quality.alterations, *quality.adds)
    if degree in named:
        return "wrong"
    if degree.text == "5":
        return "doubtful" if quality.base == "5" else None
    if degree.number == 1:
        return None if symbol.bass else "doubtful"
    if degree.number == 3:
        return "doubtful"
    top = max(d.number for d in symbol.degrees if d not in named)
    return None if degree.number in (9, 11) and degree.number < top else "wrong"


def _bass(symbol: ChordSymbol, tones: Sequence[Tone], neck: Neck) -> Iterator[Fault]:
    lowest = min(tones, key=lambda tone: tone.midi)
    found = f"the lowest note is {lowest.note.pretty}"
    if lowest.midi % 12 == symbol.bass_note.pc:
        return
    if symbol.bass is not None:
        yield "wrong", f"{found}, the name puts {symbol.bass.pretty} in the bass"
    elif lowest.claimed and not neck.re_entrant and symbol.root.pc in _pcs(tones):
        yield "doubtful", f"{found}, the {lowest.degree.pretty}, and the name has no slash"


def _pcs(tones: Iterable[Tone]) -> set[int]:
    return {tone.midi % 12 for tone in tones}


def _what_the_notes_say(chord: Chord, neck: Neck, evidence: Evidence) -> str | None:
    """Return the reading that keeps the root if there is a likely one, else the best one."""
    assert chord.grip is not None and chord.symbol is not None
    if len(soundings(chord.grip, neck)) < 2:
        return None
    found = [r for r in readings(chord.grip, neck, key=evidence.lesson.key) if r.symbol]
    same_root = [r for r in found if r.root.pc == chord.symbol.root.pc]
    best = next(iter(same_root or found), None)
    if best is None or best.symbol is None or best.symbol == chord.symbol:
        return None
    return f"the notes say {best.symbol.text}"
