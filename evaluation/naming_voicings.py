"""How often the name of a generated voicing is found again.

    python evaluation/naming_voicings.py [--misses] [--peer-roots N]

Voicings are made from the plain table of qualities below, on twelve roots: close position and
its inversions, drop 2, drop 3, drop 2 and 4, forms without the fifth and, where a third, a
seventh and a tension remain, without the root. This script makes them without looking at the
naming code. A voicing is ambiguous when another quality of the table, on any root and in any of
these forms, has the same pitch classes; an augmented or diminished seventh chord is the same on
each of its notes. An unambiguous one counts as right when root, bass and
the degree of every note are right in the best reading; an ambiguous one when they are so in one
of the first three. The column "told" counts it too where one of the first three tells it as the
same sound (``also_heard_as``: the same root written otherwise, a chord whose root does not sound
beside the best reading). Where the very same notes are made as more than three chords, no list of
three holds them all: the column "at most" is what the best list of three for each set of notes
would reach. The peer is music21, on fewer roots since it is slow.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from naming_peer import peer_symbol

from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck, Tuning
from gripwright.theory.pitch import FLAT_NAMES, parse_note, spell_midi
from gripwright.theory.symbol import ChordSymbol, parse_symbol

# Qualities and their degrees: common practice, no source.
QUALITIES = {
    "": "1 3 5", "m": "1 b3 5", "dim": "1 b3 b5", "aug": "1 3 #5", "sus2": "1 2 5",
    "sus4": "1 4 5", "6": "1 3 5 6", "m6": "1 b3 5 6", "6/9": "1 3 5 6 9", "m6/9": "1 b3 5 6 9",
    "add9": "1 3 5 9", "m(add9)": "1 b3 5 9", "7": "1 3 5 b7", "maj7": "1 3 5 7",
    "m7": "1 b3 5 b7", "m(maj7)": "1 b3 5 7", "dim7": "1 b3 b5 bb7", "m7(b5)": "1 b3 b5 b7",
    "7sus4": "1 4 5 b7", "9sus4": "1 4 5 b7 9", "13sus4": "1 4 5 b7 9 13",
    "7sus4(b9)": "1 4 5 b7 b9", "9": "1 3 5 b7 9", "maj9": "1 3 5 7 9", "m9": "1 b3 5 b7 9",
    "m(maj9)": "1 b3 5 7 9", "m11": "1 b3 5 b7 9 11", "13": "1 3 5 b7 9 13",
    "maj13": "1 3 5 7 9 13", "m13": "1 b3 5 b7 9 13", "7(b5)": "1 3 b5 b7", "7(#5)": "1 3 #5 b7",
    "maj7(#5)": "1 3 #5 7", "maj7(#11)": "1 3 5 7 #11", "maj9(#11)": "1 3 5 7 9 #11",
    "7(b9)": "1 3 5 b7 b9", "7(#9)": "1 3 5 b7 #9", "7(#11)": "1 3 5 b7 #11",
    "7(b13)": "1 3 5 b7 b13", "9(#11)": "1 3 5 b7 9 #11", "9(#5)": "1 3 #5 b7 9",
    "9(b13)": "1 3 5 b7 9 b13", "13(b9)": "1 3 5 b7 b9 13", "13(#9)": "1 3 5 b7 #9 13",
    "13(#11)": "1 3 5 b7 9 #11 13", "7(b9,b13)": "1 3 5 b7 b9 b13",
    "7(#9,b13)": "1 3 5 b7 #9 b13", "7(b9,#11)": "1 3 5 b7 b9 #11", "7(#5,#9)": "1 3 #5 b7 #9",
    "7(#5,b9)": "1 3 #5 b7 b9", "7(b9,#9)": "1 3 5 b7 b9 #9", "7(#9,#11)": "1 3 5 b7 #9 #11",
    "maj13(#11)": "1 3 5 7 9 #11 13", "11": "1 3 5 b7 9 11", "maj11": "1 3 5 7 9 11",
    "dim(maj7)": "1 b3 b5 7", "7sus2": "1 2 5 b7", "maj7sus4": "1 4 5 7", "maj7sus2": "1 2 5 7",
    "add11": "1 3 5 11", "m(add11)": "1 b3 5 11", "m7(add11)": "1 b3 5 b7 11",
    "7(add11)": "1 3 5 b7 11",
    "m7(b5,add11)": "1 b3 b5 b7 11", "7alt": "1 3 b5 #5 b7 b9 #9",
    "m9(b5)": "1 b3 b5 b7 9", "m11(b5)": "1 b3 b5 b7 9 11",
}  # fmt: skip
MAJOR = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}
SYMMETRIC = ("aug", "dim7")
SIMPLE = {2: 9, 4: 11, 6: 13}
FORMS = ("whole", "fifthless", "rootless")


def semitones(degree: str) -> int:
    """Return a degree's semitones above the root."""
    number = int(degree.strip("b#"))
    return MAJOR[number] + degree.count("#") - degree.count("b")


@dataclass(frozen=True)
class Voicing:
    """Notes above a root with the degree of each, lowest first, and how it was made."""

    quality: str
    form: str
    notes: tuple[tuple[int, str], ...]

    @property
    def pcs(self) -> frozenset[int]:
        """Return the pitch classes above the root."""
        return frozenset(note % 12 for note, _ in self.notes)


def voicings() -> Iterator[Voicing]:
    """Yield every voicing on one root."""
    for quality, content in QUALITIES.items():
        names = content.split()
        for form, kept in (
            ("whole", names),
            ("fifthless", [name for name in names if name != "5"]),
            ("rootless", names[1:]),
        ):
            if form == "fifthless" and (len(kept) == len(names) or len(kept) < 3 or _bare(kept)):
                continue
            if form == "rootless" and not _still_heard(kept):
                continue
            yield from _placed(quality, form, kept)


def _bare(names: list[str]) -> bool:
    return "2" in names or not any(name.strip("b#") == "7" for name in names)


def _still_heard(names: list[str]) -> bool:
    third = any(name in ("3", "b3") for name in names)
    seventh = any(name in ("b7", "7") for name in names)
    tension = any(int(name.strip("b#")) > 7 for name in names)
    return third and seventh and tension and not {"3", "11"} <= set(names)


def _placed(quality: str, form: str, names: list[str]) -> Iterator[Voicing]:
    """Yield inversions in close position and their drops; no tension is the bass."""
    close = sorted(names, key=lambda name: semitones(name) % 12)
    for turn in range(len(close)):
        order = close[turn:] + close[:turn]
        heights = _stack(order)
        for drop in ((), (2,), (3,), (2, 4)) if len(order) >= 4 else ((),):
            voicing = _dropped(quality, form, heights, order, drop)
            if int(voicing.notes[0][1].strip("b#")) <= 7:
                yield voicing


def _stack(order: list[str]) -> list[int]:
    heights: list[int] = []
    for name in order:
        height = semitones(name) % 12
        while heights and height <= heights[-1]:
            height += 12
        heights.append(height)
    return heights


def _dropped(
    quality: str, form: str, heights: list[int], order: list[str], drop: tuple[int, ...]
) -> Voicing:
    """Lower the given voices, counted from the top, by an octave."""
    notes = [
        (height - 12 if len(order) - place in drop else height, name)
        for place, (height, name) in enumerate(zip(heights, order, strict=True))
    ]
    return Voicing(quality, form, tuple(sorted(notes)))


def _letter(degree: str) -> tuple[int, int]:
    number = int(degree.strip("b#"))
    return SIMPLE.get(number, number), degree.count("#") - degree.count("b")


def right(reading: Reading, voicing: Voicing, root: int) -> bool:
    """Return whether root, bass and the degree of each note are those it was made from."""
    want = sorted((note, _letter(name)) for note, name in voicing.notes)
    base = min(tone.midi for tone in reading.tones) - want[0][0]
    have = sorted((tone.midi - base, _letter(tone.degree.text)) for tone in reading.tones)
    if reading.quality in SYMMETRIC and reading.quality == voicing.quality:
        return (reading.root.pc - root) % 12 in voicing.pcs
    return reading.root.pc == root and have == want


def peer_right(symbol: ChordSymbol | None, voicing: Voicing, root: int) -> bool:
    """Return whether the peer's name has the same root, bass and sounding degrees."""
    if symbol is None or symbol.root.pc != root:
        return False
    claimed = {_letter(degree.text) for degree in symbol.degrees}
    bass = (root + voicing.notes[0][0]) % 12
    return symbol.bass_note.pc == bass and {_letter(n) for _, n in voicing.notes} <= claimed


def meaning(voicing: Voicing) -> tuple[object, ...]:
    """Return what tells a voicing's name from others of the same notes: root and degrees."""
    if voicing.quality in SYMMETRIC:
        return (voicing.quality,)
    letters = tuple(_letter(name) for _, name in voicing.notes)
    return (-voicing.notes[0][0] % 12, letters)


def told_with(given: tuple[Reading, ...], voicing: Voicing, root: int) -> bool:
    """Return whether one of the first three readings tells the voicing's name as the same sound."""
    want = {_letter(name) for _, name in voicing.notes}
    symbols = [parse_symbol(name) for reading in given[:3] for name in reading.also]
    return any(
        symbol.root.pc == root % 12
        and want <= {(SIMPLE.get(d.number, d.number), d.alter) for d in symbol.degrees} | {(1, 0)}
        for symbol in symbols
    )


def shape(voicing: Voicing) -> tuple[int, ...]:
    """Return the notes above the bass."""
    return tuple(note - voicing.notes[0][0] for note, _ in voicing.notes)


def holdable(made: list[Voicing]) -> dict[tuple[int, ...], set[tuple[object, ...]]]:
    """Return by notes the three names that most voicings of these notes were made as.

    Of equals whole chords go first, then fifthless ones.
    """
    meant: dict[tuple[int, ...], Counter[tuple[object, ...]]] = defaultdict(Counter)
    for voicing in sorted(made, key=lambda voicing: FORMS.index(voicing.form)):
        meant[shape(voicing)][meaning(voicing)] += 1
    return {notes: {name for name, _ in names.most_common(3)} for notes, names in meant.items()}


def as_grip(midi: list[int]) -> tuple[Grip, Neck]:
    """Return open strings that sound the notes."""
    strings = tuple(spell_midi(m, parse_note(FLAT_NAMES[m % 12])) for m in midi)
    return Grip((0,) * len(midi)), Neck(Tuning(strings), (0,) * len(midi))


def main() -> None:
    """Print the table."""
    made = [v for v in voicings() if max(v.notes)[0] < 40]
    senses: dict[frozenset[int], set[tuple[int, str]]] = defaultdict(set)
    for voicing in made:
        for root in range(12):
            senses[frozenset((pc + root) % 12 for pc in voicing.pcs)].add((root, voicing.quality))
    peer_roots = (
        int(sys.argv[sys.argv.index("--peer-roots") + 1]) if "--peer-roots" in sys.argv else 1
    )
    count: Counter[tuple[str, str]] = Counter()
    three = holdable(made)
    for voicing in made:
        group = "ambiguous" if len(senses[voicing.pcs]) > 1 else "unambiguous"
        for key in (group, f"{group}, {voicing.form}"):
            _tally(count, key, voicing, peer_roots)
            count[key, "holdable"] += 12 * (meaning(voicing) in three[shape(voicing)])
    print(f"{'':28}{'voicings':>10}{'best':>9}{'first 3':>9}{'at most':>9}{'told':>9}{'peer':>9}")
    for key in sorted({key for key, _ in count}):
        total = count[key, "all"]
        shares = [count[key, name] / total for name in ("best", "three", "holdable", "told")]
        shares.append(count[key, "peer"] / count[key, "peer all"])
        print(f"{key:28}{total:>10}" + "".join(f"{share:>9.2%}" for share in shares))


def _tally(count: Counter[tuple[str, str]], key: str, voicing: Voicing, peer_roots: int) -> None:
    for root in range(12):
        midi = [48 + root + note for note, _ in voicing.notes]
        given = readings(*as_grip(midi))
        best = right(given[0], voicing, root)
        three = any(right(reading, voicing, root) for reading in given[:3])
        count[key, "told"] += three or told_with(given, voicing, root)
        count[key, "all"] += 1
        count[key, "best"] += best
        count[key, "three"] += three
        if root < peer_roots:
            count[key, "peer all"] += 1
            count[key, "peer"] += peer_right(peer_symbol(midi), voicing, root)
        wrong = not best if key.startswith("un") else not three
        if "--misses" in sys.argv and wrong and root == 0 and "," in key:
            names = ", ".join(r.symbol.text if r.symbol else "cluster" for r in given[:4])
            print(f"C{voicing.quality} {voicing.form} {[n for _, n in voicing.notes]}: {names}")


if __name__ == "__main__":
    main()
