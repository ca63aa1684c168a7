"""How many chords of analysed scores get the analyst's key, root and whole numeral.

    OMP_NUM_THREADS=1 python evaluation/numerals.py [--folds] [--seed N]

The RomanText analyses of music21's corpus, whole pieces through `explain`, read three ways: from
their chords alone (symbols and lengths); from bare notes, where each chord is no more than pitch
classes over a bass, which the product names as it names grips in changes (`explain_changes`); and
from chords with the analyst's key given, which tells what is lost by the key and what by the
numeral. Shares of length, 95 % bootstrap intervals by piece.

*Root of numeral* is, as in published tables (AugmentedNet, 2021), the pitch class at which key and
numeral together put the root, against the analyst's: V of C and I of G have the same root. A symbol
tells it, so only the row of bare notes says anything of it.
*Degree in its key* is stricter: tonic, degree and goal are all the analyst's.

The peer is music21: one key for the piece by its own analysis of the same chords, numerals by
`romanNumeralFromChord`. A major seventh is written ``maj7`` here and ``7`` there, which is not
counted as a difference. *Applied and chromatic* are the chords whose figure, as the analyst wrote
it, has a goal or stands on an altered degree. The committed table was fitted on these scores; with
``--folds`` each is read by a table that was not.
"""

from __future__ import annotations

import argparse
import re
import warnings
from collections.abc import Sequence

from keys import FAMILY, unseen
from keys_data import Piece, expected, interval, scores

from gripwright.harmony.changes import Change
from gripwright.harmony.explain import Explained, explain, explain_changes
from gripwright.harmony.facts import Facts
from gripwright.harmony.numeral import numeral
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.theory.pitch import simple_note
from gripwright.theory.scale import Key

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import analysis, chord, roman, stream

Shares = list[tuple[float, float]]
Told = tuple[int, str, str]  # tonic, mode, numeral
# A neck that plays any pitch classes over any bass: the fret is the pitch class.
KEYBOARD = make_neck(parse_tuning("C2 C3 C3 C3 C3 C3 C3 C3"))
STEPS = dict(zip(("I", "II", "III", "IV", "V", "VI", "VII"), (0, 2, 4, 5, 7, 9, 11), strict=True))


def plain(told: str | None) -> str:
    """Return a numeral without what RomanText does not write."""
    return re.sub(r"maj|add6|sus\d", "", told or "")


def degree_of(figure: str) -> tuple[str, str]:
    """Return the degree that a numeral stands on, whatever its quality, and its goal."""
    head, _, goal = figure.partition("/")
    found = [re.match(r"([b#]*)([ivIV]*)", part) for part in (head, goal)]
    return tuple((m[1] + m[2].upper()) if m else "" for m in found)  # type: ignore[return-value]


def root_of(tonic: int, figure: str) -> int | None:
    """Return the pitch class that a numeral in a key puts the root at, None for no numeral.

    >>> root_of(0, "viio7/V"), root_of(0, "bVI6")
    (6, 8)
    """
    head, goal = degree_of(figure)
    steps = [_step(part) for part in (head, goal) if part]
    return None if not steps or None in steps else (tonic + sum(filter(None, steps))) % 12


def _step(degree: str) -> int | None:
    sign, roman = degree.rstrip("IV"), degree.lstrip("b#")
    return STEPS[roman] + sign.count("#") - sign.count("b") if roman in STEPS else None


def _told(chord: Explained) -> Told:
    mode = chord.key.mode
    return chord.key.tonic.pc, FAMILY.get(mode, mode), plain(chord.numeral)


def ours(piece: Piece) -> list[Told]:
    """Return tonic, mode and numeral of each chord."""
    told = explain([c.symbol if c else None for c in piece.chords], piece.lengths)
    return [_told(chord) for chord in told.chords if chord.symbol]


def from_bare_notes(piece: Piece) -> list[Told]:
    """Return tonic, mode and numeral of each chord, told no more than pitch classes and bass.

    Where an analyst leaves one note of a chord there is nothing to name: it is a silence here.
    """
    changes = [
        Change(None, _grip(chord) if chord and len(chord.pcs) > 1 else None, length)
        for chord, length in zip(piece.chords, piece.lengths, strict=True)
    ]
    told = explain_changes(changes, neck=KEYBOARD)
    return [_told(said) for said, chord in zip(told.chords, piece.chords, strict=True) if chord]


def _grip(chord: Facts) -> Grip:
    frets: list[int | None] = [chord.bass, *sorted(chord.pcs - {chord.bass})]
    return Grip(tuple(frets + [None] * (len(KEYBOARD) - len(frets))))


def with_key_given(piece: Piece) -> list[str]:
    """Return the numerals in the analyst's keys."""
    chords = [c for c in piece.chords if c]
    found = []
    for n, here in enumerate(chords):
        key = Key(simple_note(piece.tonics[n]), piece.modes[n] or "major")
        later = (c for c in chords[n + 1 :] if (c.root, c.kind) != (here.root, here.kind))
        found.append(plain(numeral(here, key, next(later, None))))
    return found


def peers(piece: Piece) -> list[Told]:
    """Return what music21 makes of the same chords."""
    notes = stream.Stream()
    chords = []
    for facts, length in zip(piece.chords, piece.lengths, strict=True):
        if facts is None:
            continue
        symbol = facts.symbol
        names = [note.name.replace("b", "-") for note in symbol.notes]
        bass = symbol.bass_note.name.replace("b", "-")
        one = chord.Chord([f"{bass}3", *(f"{name}4" for name in names)], quarterLength=length)
        chords.append(one)
        notes.append(one)
    key = analysis.discrete.KrumhanslKessler(notes).getSolution(notes)
    found = []
    for one in chords:
        rn = roman.romanNumeralFromChord(one, key)
        figure = plain(expected(rn.figure, key.mode))
        found.append((key.tonic.pitchClass, key.mode, figure))
    return found


def tell(name: str, rows: dict[str, Shares]) -> None:
    """Print what is right of what."""
    print(name)
    for what, shares in rows.items():
        if any(every for _, every in shares):
            print(f"  {what:<30}{'{:5.1f} %   [{:.1f}, {:.1f}]'.format(*interval(shares))}")


def compare(piece: Piece, told: Sequence[Told], rows: dict[str, Shares]) -> None:
    """Add a piece to the shares."""
    sums: dict[str, list[float]] = {}
    for n, (tonic, mode, figure) in enumerate(told):
        key = (tonic, mode) == (piece.tonics[n], piece.modes[n])
        want = plain(piece.figures[n])
        results = {
            "local key": key,
            "root of numeral": root_of(tonic, figure) == root_of(piece.tonics[n], want),
            "degree in its key": tonic == piece.tonics[n] and degree_of(figure) == degree_of(want),
            "whole numeral": key and figure == want,
        }
        chromatic = "/" in want or want.startswith(("b", "#"))
        kind = "applied and chromatic" if chromatic else "others"
        results[f"degree, {kind}"] = results["degree in its key"]
        results[f"whole, {kind}"] = results["whole numeral"]
        for what, right in results.items():
            pair = sums.setdefault(what, [0.0, 0.0])
            pair[0] += right * piece.lengths[n]
            pair[1] += piece.lengths[n]
    for what, (right, every) in sums.items():
        rows.setdefault(what, []).append((right, every))


def main() -> None:
    """Measure the product, its numerals with keys given, and the peer."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folds", action="store_true")
    parser.add_argument("--rounds", type=int, default=45)
    parser.add_argument("--seed", type=int, default=1, help="how the folds are drawn")
    asked = parser.parse_args()
    pieces = list(scores())
    mine: dict[str, Shares] = {}
    bare: dict[str, Shares] = {}
    given: dict[str, Shares] = {}
    other: dict[str, Shares] = {}
    looked = unseen(pieces, "parts", asked.rounds, asked.seed) if asked.folds else pieces
    for piece in looked:
        compare(piece, ours(piece), mine)
        compare(piece, from_bare_notes(piece), bare)
        told = [
            (piece.tonics[n], piece.modes[n] or "", figure)
            for n, figure in enumerate(with_key_given(piece))
        ]
        compare(piece, told, given)
        compare(piece, peers(piece), other)
    tell("gripwright, from symbols", mine)
    tell("gripwright, from bare notes", bare)
    tell("gripwright, the analyst's key given", given)
    tell("music21, one key for the piece", other)


if __name__ == "__main__":
    main()
