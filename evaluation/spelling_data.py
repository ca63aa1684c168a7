"""Scores of music21's corpus as successions of chords, each note with its letter.

A chord is what sounds between two moments at which a note starts or stops, two notes or more.
Letters are places on the line of fifths, C = 0. Scores whose parts have different signatures
at one time are left out (transposing instruments write other letters than they sound).
"""

from __future__ import annotations

import random
import warnings
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from spelling_read import SUFFIXES, Signature, Written, read

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import music21
    from music21 import converter
    from music21.key import KeySignature

CORPUS = Path(music21.__file__).parent / "corpus"
# Composers that are scored together, with costs fitted on all the others.
FOLDS = (
    ("bach", "handel", "corelli"),
    ("monteverdi", "lusitano", "beach", "liliuokalani"),
    ("mozart", "chopin", "johnson_j_r", "cpebach"),
    ("haydn", "schubert", "schumann_robert", "joplin"),
    ("beethoven", "schumann_clara", "verdi", "weber"),
)
HUMDRUM = ".krn"
SEED, CHORALES = 0, 140
STEPS = {"C": 0, "D": 2, "E": 4, "F": -1, "G": 1, "A": 3, "B": 5}
MOST_ALTERED = 2


@dataclass(frozen=True)
class Score:
    """Chords with start and length in quarters, (midi, letter) of each note, and signatures."""

    path: str
    starts: tuple[float, ...]
    lengths: tuple[float, ...]
    chords: tuple[tuple[tuple[int, int], ...], ...]
    signs: tuple[int, ...]

    @property
    def composer(self) -> str:
        """Return the folder of the corpus."""
        return self.path.split("/")[0]

    @property
    def notes(self) -> int:
        """Return how many notes the chords have."""
        return sum(map(len, self.chords))

    @property
    def chromatic(self) -> tuple[bool, ...]:
        """Return of each note whether it lies outside the signature in force."""
        return tuple(
            abs(letter - signs - 2) > 3
            for chord, signs in zip(self.chords, self.signs, strict=True)
            for _, letter in chord
        )


def fold_of(composer: str) -> int:
    """Return the number of the fold that a composer is scored in."""
    return next(number for number, names in enumerate(FOLDS) if composer in names)


def paths(largest_kb: int = 10_000) -> list[Path]:
    """Return the scores to read: all of the composers, of the chorales a seeded sample."""
    found = []
    for names in FOLDS:
        for name in names:
            mine = [p for p in sorted((CORPUS / name).rglob("*")) if p.suffix in SUFFIXES]
            mine += [p for p in (CORPUS / name).rglob(f"*{HUMDRUM}") if _only_one(p)]
            if name == "bach":
                random.Random(SEED).shuffle(mine)
                mine = mine[:CHORALES]
            found += [path for path in mine if path.stat().st_size < 1024 * largest_kb]
    return sorted(found, key=lambda path: path.stat().st_size)


def _only_one(path: Path) -> bool:
    """Return whether a score is there in no other form."""
    return not any(path.with_suffix(suffix).exists() for suffix in SUFFIXES)


def scores() -> list[Score]:
    """Return the scores, in the order of their names."""
    found = []
    for path in sorted(paths()):
        notes, signatures = _humdrum(path) if path.suffix == HUMDRUM else read(path)
        if not _transposes(signatures):
            found.append(_score(str(path.relative_to(CORPUS)), notes, signatures))
    return [score for score in found if score.notes and _readable(score)]


def _humdrum(path: Path) -> tuple[list[Written], list[Signature]]:
    """Return the notes and signatures of a score that is no MusicXML, as music21 reads it."""
    notes, signatures = [], []
    for number, part in enumerate(converter.parse(path).parts):
        for sign in part.flatten().getElementsByClass(KeySignature):
            signatures.append(Signature(float(sign.offset), number, int(sign.sharps)))
        for element in part.stripTies().flatten().notes:
            start, length = float(element.offset), float(element.quarterLength)
            notes += [
                Written(start, length, int(p.midi), p.step, int(p.alter), number)
                for p in element.pitches
                if not element.duration.isGrace
            ]
    return sorted(notes), sorted(signatures)


def _transposes(signatures: Sequence[Signature]) -> bool:
    together = defaultdict(set)
    for signature in signatures:
        together[signature.start].add(signature.sharps)
    return any(len(found) > 1 for found in together.values())


def _score(path: str, notes: Sequence[Written], signatures: Sequence[Signature]) -> Score:
    """Cut a score's notes into chords."""
    sounding = [
        (round(note.start, 6), round(note.end, 6), note.midi, STEPS[note.step] + 7 * note.alter)
        for note in notes
        if note.length > 0
    ]
    moments = sorted({moment for note in sounding for moment in note[:2]})
    place = {moment: index for index, moment in enumerate(moments)}
    at: list[set[tuple[int, int]]] = [set() for _ in moments]
    for start, end, midi, letter in sounding:
        for index in range(place[start], place[end]):
            at[index].add((midi, letter))
    full = [index for index, sounds in enumerate(at) if len(sounds) > 1]
    signs = [(signature.start, signature.sharps) for signature in signatures]
    return Score(
        path,
        tuple(moments[index] for index in full),
        tuple(moments[index + 1] - moments[index] for index in full),
        tuple(tuple(sorted(at[index])) for index in full),
        tuple(_in_force(signs, moments[index]) for index in full),
    )


def _in_force(signs: list[tuple[float, int]], moment: float) -> int:
    before = [sharps for start, sharps in signs if start <= moment + 1e-6]
    return before[-1] if before else signs[0][1] if signs else 0


def _readable(score: Score) -> bool:
    """Return whether no note has more than two accidentals (a slip of the encoding)."""
    letters = {letter for chord in score.chords for _, letter in chord}
    return max(abs((letter + 1) // 7) for letter in letters) <= MOST_ALTERED
