"""How often remarks call a chord applied that the analysts of scores call applied.

    OMP_NUM_THREADS=1 python evaluation/remarks.py

The RomanText analyses of music21's corpus, their chords as symbols and their keys given. A figure
with a goal is an applied chord; *other* are those of them that are no dominant of it (``ii/V``),
of which no remark speaks. *Told* are chords that a remark calls secondary, *right* those of them
that the analyst calls applied; *abroad* are those of his applied dominants that have a note from
outside the key (a minor one with its leading note); what is struck again is told once and counted
once. Analysts leave
unsaid what they please (``II6`` before V), so neither share can be whole. The peer is
`music21.roman.romanNumeralFromChord` with secondary dominants preferred, on the same chords in
the same keys.
"""

from __future__ import annotations

import re
import warnings
from collections import Counter

from keys_data import Piece, scores

from gripwright.harmony.applied import collection
from gripwright.harmony.explain import explain
from gripwright.theory.pitch import simple_note
from gripwright.theory.scale import Key

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, key, roman

_LEANING = re.compile(r"(V|vii)[^/]*/")


def keys_of(piece: Piece) -> list[Key]:
    """Return the analyst's keys."""
    return [
        Key(simple_note(tonic), mode or "major")
        for tonic, mode in zip(piece.tonics, piece.modes, strict=True)
    ]


def ours(piece: Piece) -> list[bool]:
    """Return for each chord whether a remark calls it secondary."""
    told = explain([c.symbol if c else None for c in piece.chords], piece.lengths, keys_of(piece))
    return [any(r.kind.startswith("secondary") for r in one.remarks) for one in told.chords]


def peers(piece: Piece) -> list[bool]:
    """Return for each chord whether the peer's figure has a goal."""
    return ["/" in figure for figure in map(_peer_figure, piece.chords, keys_of(piece))]


def _peer_figure(facts: object, home: Key) -> str:
    if facts is None:
        return ""
    symbol = facts.symbol  # type: ignore[attr-defined]
    names = [note.name.replace("b", "-") for note in symbol.notes]
    bass = symbol.bass_note.name.replace("b", "-")
    pitches = [f"{bass}2", *(f"{name}4" for name in names if name != bass)]
    tonic = home.tonic.name.replace("b", "-")
    scale = key.Key(tonic if home.mode == "major" else tonic.lower())
    return str(
        roman.romanNumeralFromChord(
            chord.Chord(pitches), scale, preferSecondaryDominants=True
        ).figure
    )


def abroad(piece: Piece) -> list[bool]:
    """Return for each chord whether it has a note from outside the key."""
    return [
        chord is not None and not chord.pcs <= collection(home)
        for chord, home in zip(piece.chords, keys_of(piece), strict=True)
    ]


def first_strokes(piece: Piece) -> list[bool]:
    """Return for each chord whether it is not just the one before it again."""
    pairs = list(zip(piece.chords, keys_of(piece), strict=True))
    return [not at or pair != pairs[at - 1] for at, pair in enumerate(pairs)]


def main() -> None:
    """Print the table."""
    warnings.simplefilter("ignore")
    tally: Counter[tuple[str, str]] = Counter()
    for piece in scores():
        figures = [figure or "" for figure in piece.figures]
        told = zip(ours(piece), peers(piece), strict=True)
        rows = zip(figures, told, abroad(piece), first_strokes(piece), strict=True)
        for figure, (mine, peer), strange, counts in rows:
            leaning = _LEANING.match(figure) is not None
            tally["theirs", "leaning"] += int(counts and leaning)
            tally["theirs", "abroad"] += int(counts and leaning and strange)
            tally["theirs", "other"] += int(counts and "/" in figure and not leaning)
            for who, says in (("ours", mine), ("music21", peer)):
                tally[who, "told"] += int(counts and says)
                tally[who, "right"] += int(counts and says and "/" in figure)
                tally[who, "met"] += int(counts and says and leaning)
                tally[who, "abroad"] += int(counts and says and leaning and strange)
    theirs, far, other = (tally["theirs", what] for what in ("leaning", "abroad", "other"))
    print(f"applied dominants of the analysts: {theirs}, abroad: {far}, other: {other}")
    print(f"{'':10}{'told':>8}{'right':>8}{'share':>8}{'of theirs':>12}{'abroad':>10}")
    for who in ("ours", "music21"):
        every, right, met, out = (tally[who, what] for what in ("told", "right", "met", "abroad"))
        shares = f"{right / every:>8.1%}{met / theirs:>12.1%}{out / far:>10.1%}"
        print(f"{who:10}{every:>8}{right:>8}{shares}")


if __name__ == "__main__":
    main()
