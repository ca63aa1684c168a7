"""How many chords of analysed scores get the analyst's key, root and whole numeral.

    OMP_NUM_THREADS=1 python evaluation/numerals.py [--folds]

The RomanText analyses of music21's corpus, read from their chords alone (symbols and lengths),
whole pieces through `explain`; then once more with the analyst's key given, which tells what is
lost by the key and what by the numeral. Shares of length, 95 % bootstrap intervals by piece.
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

from gripwright.harmony.explain import explain
from gripwright.harmony.numeral import numeral
from gripwright.theory.pitch import simple_note
from gripwright.theory.scale import Key

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import analysis, chord, roman, stream

Shares = list[tuple[float, float]]


def plain(told: str | None) -> str:
    """Return a numeral without what RomanText does not write."""
    return re.sub(r"maj|add6|sus\d", "", told or "")


def degree_of(figure: str) -> tuple[str, str]:
    """Return the degree that a numeral stands on, whatever its quality, and its goal."""
    head, _, goal = figure.partition("/")
    found = [re.match(r"([b#]*)([ivIV]*)", part) for part in (head, goal)]
    return tuple((m[1] + m[2].upper()) if m else "" for m in found)  # type: ignore[return-value]


def ours(piece: Piece) -> list[tuple[int, str, str]]:
    """Return tonic, mode and numeral of each chord."""
    told = explain([c.symbol if c else None for c in piece.chords], piece.lengths)
    return [
        (c.key.tonic.pc, FAMILY.get(c.key.mode, c.key.mode), plain(c.numeral))
        for c in told.chords
        if c.symbol
    ]


def with_key_given(piece: Piece) -> list[str]:
    """Return the numerals in the analyst's keys."""
    chords = [c for c in piece.chords if c]
    found = []
    for n, here in enumerate(chords):
        key = Key(simple_note(piece.tonics[n]), piece.modes[n] or "major")
        later = (c for c in chords[n + 1 :] if (c.root, c.kind) != (here.root, here.kind))
        found.append(plain(numeral(here, key, next(later, None))))
    return found


def peers(piece: Piece) -> list[tuple[int, str, str]]:
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


def compare(piece: Piece, told: Sequence[tuple[int, str, str]], rows: dict[str, Shares]) -> None:
    """Add a piece to the shares."""
    sums: dict[str, list[float]] = {}
    for n, (tonic, mode, figure) in enumerate(told):
        key = (tonic, mode) == (piece.tonics[n], piece.modes[n])
        want = plain(piece.figures[n])
        results = {
            "local key": key,
            "root of numeral": tonic == piece.tonics[n] and degree_of(figure) == degree_of(want),
            "whole numeral": key and figure == want,
        }
        chromatic = "/" in want or want.startswith(("b", "#"))
        kind = "applied and chromatic" if chromatic else "others"
        results[f"root, {kind}"] = results["root of numeral"]
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
    asked = parser.parse_args()
    pieces = list(scores())
    mine: dict[str, Shares] = {}
    given: dict[str, Shares] = {}
    other: dict[str, Shares] = {}
    for piece in unseen(pieces, "parts", asked.rounds) if asked.folds else pieces:
        compare(piece, ours(piece), mine)
        told = [
            (piece.tonics[n], piece.modes[n] or "", figure)
            for n, figure in enumerate(with_key_given(piece))
        ]
        compare(piece, told, given)
        compare(piece, peers(piece), other)
    tell("gripwright", mine)
    tell("gripwright, the analyst's key given", given)
    tell("music21, one key for the piece", other)


if __name__ == "__main__":
    main()
