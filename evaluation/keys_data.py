"""The songs and scores that keys and numerals are fitted and measured on.

Songs: JSON lines with Harte labels, lengths in bars and the tonic of each chord (Rock Corpus 2.1
by de Clercq and Temperley, CC BY 4.0; McGill Billboard by Burgoyne, Wild and Fujinaga, CC0),
read from a folder and never copied here. Scores: the RomanText analyses of music21's corpus.
"""

from __future__ import annotations

import itertools
import json
import random
import re
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from gripwright.harmony.changes import read_label
from gripwright.harmony.facts import Facts, facts_of
from gripwright.theory.interval import degree_between
from gripwright.theory.pitch import parse_note
from gripwright.theory.quality import Quality, quality_of
from gripwright.theory.symbol import ChordSymbol

MODES = ("major", "minor")
ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")


@dataclass(frozen=True)
class Piece:
    """Chords with lengths, the tonic of each, and for scores its mode and figure."""

    name: str
    source: str
    group: str
    chords: tuple[Facts | None, ...]
    lengths: tuple[float, ...]
    tonics: tuple[int, ...]
    modes: tuple[str | None, ...]
    figures: tuple[str | None, ...]


def songs(folder: Path) -> list[Piece]:
    """Return the songs of a folder; readings of one song share a group.

    Two analysts read each song of the Rock Corpus, and some songs of Billboard are there twice.
    """
    return _grouped(list(_read_songs(folder)))


def _read_songs(folder: Path) -> Iterator[Piece]:
    for source in ("rock", "billboard"):
        path = folder / f"{source}-dev.jsonl"
        for line in path.read_text(encoding="utf-8").splitlines():
            song = json.loads(line)
            symbols = [
                None if label in ("N", "X") else read_label(label) for label in song["chords"]
            ]
            yield Piece(
                song["id"], source, re.sub(r"-(dt|tdc)$", "", song["id"]),
                tuple(facts_of(symbol) if symbol else None for symbol in symbols),
                tuple(song["bars"]), tuple(parse_note(tonic).pc for tonic in song["tonic"]),
                (None,) * len(symbols), (None,) * len(symbols),
            )  # fmt: skip


STRETCH, SAME_SONG, FEWEST_STRETCHES = 6, 0.6, 8


def _grouped(pieces: Sequence[Piece]) -> list[Piece]:
    """Put songs that share most of their stretches of six chords, in any key, in one group."""
    found = [_stretches(piece) for piece in pieces]
    group = [piece.group for piece in pieces]
    for one, other in itertools.combinations(range(len(pieces)), 2):
        fewer, more = sorted((found[one].total(), found[other].total()))
        distinct = min(len(found[one]), len(found[other]))
        if group[one] == group[other] or fewer < SAME_SONG * more or distinct < FEWEST_STRETCHES:
            continue
        if (found[one] & found[other]).total() >= SAME_SONG * more:
            old, new = group[other], group[one]
            group = [new if name == old else name for name in group]
    return [replace(piece, group=name) for piece, name in zip(pieces, group, strict=True)]


def _stretches(piece: Piece) -> Counter[tuple[tuple[int, str], ...]]:
    chords = [chord for chord, _ in itertools.groupby(piece.chords) if chord]
    runs = (chords[at : at + STRETCH] for at in range(len(chords) - STRETCH + 1))
    return Counter(tuple(((c.root - run[0].root) % 12, c.kind) for c in run) for run in runs)


def scores() -> Iterator[Piece]:
    """Yield the RomanText analyses of music21's corpus that it can read."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import music21

        root = Path(music21.__file__).parent / "corpus"
        paths = [path for kind in ("rntxt", "rntext") for path in sorted(root.rglob(f"*.{kind}"))]
        for path in paths:
            score = music21.converter.parse(path, format="romanText")
            yield _score(path.stem, list(score.recurse().getElementsByClass("RomanNumeral")))


def _score(name: str, numerals: Sequence[object]) -> Piece:
    """Return the chords of an analysis with what the analyst wrote."""
    rows = [(rn, _symbol(rn)) for rn in numerals]
    keys = [(rn.key.tonic.name.replace("-", "b"), rn.key.mode) for rn, _ in rows]  # type: ignore[attr-defined]
    return Piece(
        name, "scores", name,
        tuple(facts_of(symbol) for _, symbol in rows),
        tuple(max(float(rn.quarterLength), 0.25) for rn, _ in rows),  # type: ignore[attr-defined]
        tuple(parse_note(tonic).pc for tonic, _ in keys), tuple(mode for _, mode in keys),
        tuple(expected(rn.figure, mode) for (rn, _), (_, mode) in zip(rows, keys, strict=True)),  # type: ignore[attr-defined]
    )  # fmt: skip


def _symbol(rn: object) -> ChordSymbol:
    names = [pitch.name.replace("-", "b") for pitch in rn.pitches]  # type: ignore[attr-defined]
    root = parse_note(rn.root().name.replace("-", "b"))  # type: ignore[attr-defined]
    bass = parse_note(rn.bass().name.replace("-", "b"))  # type: ignore[attr-defined]
    content = frozenset(degree_between(root, parse_note(name)) for name in names)
    quality = quality_of(content) or Quality("5")
    return ChordSymbol(root, quality, None if bass == root else bass)


def expected(figure: str, mode: str) -> str:
    """Return a RomanText figure in our convention: degrees from the major scale, plain figures.

    Brackets (``[no3]``) are left to the symbol; ``IV7`` says the diatonic seventh there, so
    the size of a seventh is compared by the chord and not by the figure.
    """
    plain = re.sub(r"(\d)/(?=\d)", r"\1", re.sub(r"\[.*?\]", "", figure)).rstrip("/")
    head, _, goal = plain.partition("/")
    return _one(head, mode if not goal else "major") + (f"/{_one(goal, mode)}" if goal else "")


def _one(figure: str, mode: str) -> str:
    match = re.match(r"([b#]*)([ivIV]+)(o|ø|\+)?(.*)", figure)
    if not match or match[2].upper() not in ROMAN:
        return figure
    sign, roman, quality, rest = match[1], match[2], match[3] or "", re.sub(r"\D", "", match[4])
    number = ROMAN.index(roman.upper()) + 1
    if mode == "minor" and not sign and (number == 3 or (number in (6, 7) and roman.isupper())):
        sign = "b"
    return f"{sign}{roman}{quality}{'42' if rest == '2' else rest}"


def folds(pieces: Sequence[Piece], count: int = 5, seed: int = 1) -> list[int]:
    """Return a fold for each piece; one group is never in two."""
    groups = sorted({piece.group for piece in pieces})
    random.Random(seed).shuffle(groups)
    return [groups.index(piece.group) % count for piece in pieces]


def interval(
    shares: Sequence[tuple[float, float]], draws: int = 1000
) -> tuple[float, float, float]:
    """Return the share of (right, all) over pieces and its 95 % bootstrap interval, in percent."""
    rng = random.Random(7)
    found = sorted(
        100 * sum(r for r, _ in sample) / sum(a for _, a in sample)
        for sample in (rng.choices(shares, k=len(shares)) for _ in range(draws))
    )
    whole = 100 * sum(right for right, _ in shares) / sum(every for _, every in shares)
    return whole, found[int(0.025 * draws)], found[int(0.975 * draws)]
