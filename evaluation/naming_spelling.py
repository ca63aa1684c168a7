"""How many notes of scores are spelled as written, chord by chord, spelling hidden.

    python evaluation/naming_spelling.py [--scores N]

Scores of music21's corpus are cut into chords (`chordify`). Each chord is named as open strings
that sound its notes, in a key, with the next chord's notes known, and the notes' letters are
compared with the score. The key comes from the sounding notes alone: a window of six quarters
to each side against the profiles of Krumhansl and Kessler (1982), its letter the one nearest
the keys before it and the signature. Chromatic notes are those outside the signature. The peer
is partitura's ps13 (Meredith 2006), which hears the whole score at once. Scores of the first
seed were used while setting the strains; the table is made from another seed's.
"""

from __future__ import annotations

import random
import sys
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from naming_voicings import as_grip
from partitura.musicanalysis import estimate_spelling

from gripwright.errors import GripwrightError
from gripwright.harmony.reading import readings
from gripwright.theory.pitch import LETTERS, Note
from gripwright.theory.quality import Quality
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, corpus
    from music21.key import KeySignature

COMPOSERS = {
    "bach": 30, "mozart": 4, "haydn": 4, "beethoven": 3, "schubert": 2, "schumann_clara": 2,
    "schumann_robert": 2, "monteverdi": 3, "chopin": 2, "corelli": 3, "joplin": 2,
}  # fmt: skip
MOST_NOTES = 4500  # ps13 takes quadratic time
WINDOW = 6.0  # quarters to each side
PROFILES = {
    "major": (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    "minor": (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
MODES = [(tonic, mode) for mode in PROFILES for tonic in range(12)]
ROWS = np.array([np.roll(np.array(PROFILES[mode]), tonic) for tonic, mode in MODES])
ROWS = (ROWS - ROWS.mean(1, keepdims=True)) / ROWS.std(1, keepdims=True)


@dataclass(frozen=True)
class Score:
    """Chords with their start and length in quarters: (midi, letter) of each note."""

    path: str
    sharps: int
    starts: list[float]
    lengths: list[float]
    chords: list[list[tuple[int, Note]]]


def scores(seed: int, limit: int | None) -> Iterator[Score]:
    """Yield scores drawn by a seed."""
    draw = random.Random(seed)
    paths = []
    for composer, count in COMPOSERS.items():
        known = [str(p) for p in corpus.getComposer(composer) if str(p).endswith((".mxl", ".xml"))]
        draw.shuffle(known)
        paths += known[:count]
    for path in paths[:limit]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            score = _read(path)
        if 0 < sum(map(len, score.chords)) <= MOST_NOTES:
            yield score


def _read(path: str) -> Score:
    parsed = corpus.parse(path)
    signature = parsed.recurse().getElementsByClass(KeySignature).first()
    starts, lengths, chords, now = [], [], [], 0.0
    for element in parsed.chordify().recurse().getElementsByClass(chord.Chord):
        if len(element.pitches) > 1:
            starts.append(now)
            lengths.append(float(element.quarterLength))
            chords.append([(int(p.midi), _note(p.step, p.alter)) for p in element.pitches])
        now += float(element.quarterLength)
    return Score(path, signature.sharps if signature else 0, starts, lengths, chords)


def _note(step: str, alter: float) -> Note:
    return Note(LETTERS.index(step), int(alter))


def keys(score: Score) -> Iterator[Key]:
    """Yield the key at each chord."""
    starts = np.array(score.starts)
    heard = np.zeros((len(starts) + 1, 12))
    for index, (notes, length) in enumerate(zip(score.chords, score.lengths, strict=True)):
        for midi, _ in notes:
            heard[index + 1, midi % 12] += max(length, 0.1)
    sums = heard.cumsum(0)
    last = float(score.sharps)
    for start in starts:
        low = np.searchsorted(starts, start - WINDOW)
        high = np.searchsorted(starts, start + WINDOW, side="right")
        mass = sums[high] - sums[low]
        tonic, mode = MODES[int(np.argmax(ROWS @ (mass - mass.mean())))]
        letters = [Note(step, alter) for step in range(7) for alter in (-1, 0, 1)]
        near = 0.7 * last + 0.3 * score.sharps
        key = min(
            (Key(note, mode) for note in letters if note.pc == tonic),
            key=lambda key: abs(key.fifths - near),
        )
        last = float(key.fifths)
        yield key


def ours(score: Score) -> list[Note]:
    """Return our letters of all notes."""
    found: list[Note] = []
    for notes, after, key in zip(score.chords, [*score.chords[1:], []], keys(score), strict=True):
        midi = [number for number, _ in notes]
        try:
            best = readings(*as_grip(midi), key=key, after=_chord(after, key))[0]
        except GripwrightError:
            found += [Note(0)] * len(midi)
            continue
        letters = {tone.midi: tone.note for tone in best.tones}
        found += [letters[number] for number in midi]
    return found


def _chord(notes: list[tuple[int, Note]], key: Key) -> ChordSymbol | None:
    """Return the next chord as its best reading in the key, letters unknown."""
    if len({midi % 12 for midi, _ in notes}) < 2:
        return None
    symbol = readings(*as_grip([midi for midi, _ in notes]), key=key)[0].symbol
    return symbol or ChordSymbol(Note(0), Quality(""))


def peer(score: Score) -> list[Note]:
    """Return ps13's letters of all notes."""
    rows = [
        (start, max(length, 0.05), midi)
        for start, length, notes in zip(score.starts, score.lengths, score.chords, strict=True)
        for midi, _ in notes
    ]
    kinds = [("onset_beat", "f4"), ("duration_beat", "f4"), ("pitch", "i4")]
    spelled = estimate_spelling(np.array(rows, dtype=kinds))
    return [_note(str(row["step"]), row["alter"]) for row in spelled]


def main() -> None:
    """Print the table."""
    limit = int(sys.argv[sys.argv.index("--scores") + 1]) if "--scores" in sys.argv else None
    count: Counter[str] = Counter()
    for score in scores(seed=2, limit=limit):
        written = [note for notes in score.chords for _, note in notes]
        for name, found in (("ours", ours(score)), ("ps13", peer(score))):
            for note, guess in zip(written, found, strict=True):
                chromatic = abs(note.fifths - score.sharps - 2) > 3
                count[name] += note == guess
                count[f"{name} chromatic"] += chromatic and note == guess
                count[f"{name} all"] += 1
                count[f"{name} all chromatic"] += chromatic
        count["scores"] += 1
    total, chromatic = count["ours all"], count["ours all chromatic"]
    print(f"{count['scores']} scores       notes     ours     ps13")
    print(f"all notes      {total:9}{count['ours'] / total:9.2%}{count['ps13'] / total:9.2%}")
    shares = (count["ours chromatic"] / chromatic, count["ps13 chromatic"] / chromatic)
    print(f"chromatic notes{chromatic:9}{shares[0]:9.2%}{shares[1]:9.2%}")


if __name__ == "__main__":
    main()
