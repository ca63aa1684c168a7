"""Scores of music21's corpus as successions of chords, each note with its letter.

A chord is what sounds between two moments at which a note starts or stops, two notes or more.
Letters are places on the line of fifths, C = 0. Scores whose parts have different signatures
at one time are left out (transposing instruments write other letters than they sound).
Reading takes long: what has been read is kept in a file.
"""

from __future__ import annotations

import pickle
import random
import warnings
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import music21
    from music21 import converter
    from music21.key import KeySignature

CORPUS = Path(music21.__file__).parent / "corpus"
# Composers that are scored together, with costs fitted on all the others. The long quartets
# cost an hour to read: of Beethoven are those that were read in that time.
FOLDS = (
    ("bach", "handel", "corelli"),
    ("monteverdi", "lusitano", "beach", "liliuokalani"),
    ("mozart", "chopin", "johnson_j_r", "cpebach"),
    ("haydn", "schubert", "schumann_robert", "joplin"),
    ("beethoven", "schumann_clara", "verdi", "weber"),
)
SUFFIXES = (".mxl", ".xml", ".musicxml", ".krn")
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
            if name == "bach":
                random.Random(SEED).shuffle(mine)
                mine = mine[:CHORALES]
            found += [path for path in mine if path.stat().st_size < 1024 * largest_kb]
    return sorted(found, key=lambda path: path.stat().st_size)


def scores(kept: Path, *, read: bool = True) -> list[Score]:
    """Return the scores; those that the file ``kept`` lacks are read and added to it."""
    known: dict[str, dict[str, Any]] = {}
    if kept.exists():
        known = {raw["path"]: raw for raw in pickle.loads(kept.read_bytes())}
    if read:
        for number, path in enumerate(paths()):
            name = str(path.relative_to(CORPUS))
            if name not in known:
                print(f"{number} {name}", flush=True)
                known[name] = _raw(path)
                kept.write_bytes(pickle.dumps(list(known.values())))
    found = [_score(raw) for _, raw in sorted(known.items()) if not _transposes(raw)]
    known_composers = {name for names in FOLDS for name in names}
    return [s for s in found if s.notes and s.composer in known_composers and _readable(s)]


def _raw(path: Path) -> dict[str, Any]:
    """Return the notes (start, length, midi, step, alter, part) and signatures of a file."""
    notes, signs = [], []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = converter.parse(path)
        for part, stream in enumerate(score.parts or [score]):
            for signature in stream.flatten().getElementsByClass(KeySignature):
                signs.append((float(signature.offset), part, int(signature.sharps)))
            for element in stream.stripTies().flatten().notes:
                if element.duration.isGrace or "Harmony" in element.classes:
                    continue
                start, length = float(element.offset), float(element.quarterLength)
                notes += [
                    (start, length, int(p.midi), p.step, int(p.alter), part)
                    for p in element.pitches
                ]
    return {"path": str(path.relative_to(CORPUS)), "notes": sorted(notes), "sigs": sorted(signs)}


def _transposes(raw: dict[str, Any]) -> bool:
    together = defaultdict(set)
    for start, _, sharps in raw["sigs"]:
        together[start].add(sharps)
    return any(len(found) > 1 for found in together.values())


def _score(raw: dict[str, Any]) -> Score:
    """Cut a score's notes into chords."""
    sounding = [
        (round(start, 6), round(start + length, 6), midi, STEPS[step] + 7 * alter)
        for start, length, midi, step, alter, _ in raw["notes"]
        if length > 0
    ]
    moments = sorted({moment for note in sounding for moment in note[:2]})
    place = {moment: index for index, moment in enumerate(moments)}
    at: list[set[tuple[int, int]]] = [set() for _ in moments]
    for start, end, midi, letter in sounding:
        for index in range(place[start], place[end]):
            at[index].add((midi, letter))
    full = [index for index, notes in enumerate(at) if len(notes) > 1]
    signs = [(start, sharps) for start, _, sharps in raw["sigs"]]
    return Score(
        raw["path"],
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
