"""Build the naming table: every way to hear each of the 2,048 pitch-class sets from its bass.

    python scripts/build_naming_table.py

writes ``src/gripwright/harmony/naming.json``. A set is a 12-bit mask of intervals above the
bass (bit 0, the bass itself, is always there). For each of the twelve roots the notes are given
degrees in every way that the trade would write, the degrees are turned into a quality, and the
way gets a cost: what a musician would hold against it. The costs below are common practice, no
source; docs/naming.md says how they add up. Written for reading, not for speed.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from gripwright.theory.interval import Degree, parse_degree
from gripwright.theory.quality import BASES, Quality, quality_of
from gripwright.theory.quality_text import QualityError, quality_text, read_quality

OUT = Path(__file__).parent.parent / "src" / "gripwright" / "harmony" / "naming.json"

KEEP = 8  # readings kept a set
NEAR = 60  # readings costlier than the best by more than this are dropped
# A set of so many different notes whose best reading costs more than this is no chord.
CLUSTER = (0, 0, 50, 46, 50, 56, 60, 62, 64)

THIRDS = {"3": 0, "b3": 2, "4": 8, "2": 10, "": 24}
FIFTHS = {"5": 0, "b5": 13, "#5": 10, "": 0}
SEVENTHS = {"": 0, "6": 8, "b7": 3, "7": 4, "bb7": 2}

# What a tension costs on each kind of chord. A tension that a kind does not list costs FOREIGN.
FOREIGN = 40
TENSIONS = {
    "dominant": {"9": 3, "b9": 6, "#9": 7, "11": 16, "#11": 6, "b13": 8, "13": 4},
    "major seventh": {"9": 3, "#11": 5, "13": 6, "11": 24, "#9": 24, "b13": 24},
    "minor seventh": {"9": 3, "11": 3, "13": 6, "b9": 18, "b13": 34, "#11": 26},
    "half-diminished": {"9": 9, "11": 6, "b13": 22, "b9": 14, "13": 22},
    "diminished seventh": {"7": 16, "9": 18, "11": 19, "b13": 19},
    "minor-major seventh": {"9": 4, "11": 6, "13": 14, "#11": 22, "b13": 22},
    "sixth": {"9": 3, "#11": 10, "11": 26},
    "minor sixth": {"9": 3, "11": 9, "#11": 24},
    "major": {"9": 5, "11": 16, "#11": 31, "b6": 32, "b9": 36, "#9": 36},
    "minor": {"9": 6, "11": 9, "b6": 22, "#11": 28, "b9": 30},
    "diminished": {"9": 26, "11": 26, "b6": 26},
    "augmented": {"9": 18, "#11": 24},
    "suspended seventh": {"9": 2, "b9": 6, "13": 5, "b13": 24, "#9": 30, "#11": 30},
    "suspended": {"9": 14, "13": 12, "b9": 24, "b6": 26, "#11": 26},
    "open": {"9": 8, "11": 14, "#11": 18, "13": 10, "b9": 20, "b6": 20, "b13": 20},
}
# Qualities in everyday use beside the bases of the symbol table; any other costs UNUSUAL more.
UNUSUAL = 24
EVERYDAY = """
(b5) (b6) (add9) (add11) (addb9) (add#9) (add#11) (add9,add#11) 6(#11) m(add9) m(add11) m(addb9)
m(add#11) m(b6) sus4(addb9) maj9sus4 5(add#11) 7(b9,no3) 7(b5) 7(#5) 7(b9) 7(#9) 7(#11) 7(b13)
9(#5) 9(#11) 9(b13) 13(b9) 13(#9) 13(#11) 7(b9,#9) 7(b5,b9) 7(b5,#9) 7(#5,b9) 7(#5,#9) 7(b9,#11)
7(#9,#11) 7(b9,b13) 7(#9,b13) 13(b9,#11) 13(#9,#11) 7sus4(b9) 13sus4(b9) maj7(#5) maj7(#9)
maj7(#11) maj9(#11) maj13(#11) m9(b5) m11(b5) m7(add11) m7(b5,add11) m(maj9,add11) 6/9(#11)
7(no3) 9(no3) m7(b9) m7(b13) 7(add11) maj7(add11) maj7(no3) (no5) m(no5) 6(no3) sus4(add9)
sus2(add6) maj9(no3) maj13(no3) maj7(#11,no3) 5(add9,add#11)
"""

# What a bass other than the root costs, by its degree, and a bass that is no chord tone.
# A suspended note is hardly the bass of its own chord.
INVERSIONS = {
    "3": 16, "b3": 16, "5": 15, "b5": 20, "#5": 22, "b7": 17, "7": 18, "bb7": 22, "6": 30,
    "4": 30, "2": 22, "9": 40, "b9": 40, "#9": 40, "11": 32, "#11": 28, "b13": 36, "13": 32,
    "b6": 44,
}  # fmt: skip
SLASH = {1: 50, 2: 32, 3: 38, 5: 32, 6: 42, 8: 38, 9: 40, 10: 34, 11: 34}  # bass above the root
SLASH_UPPER = {"": 0, "m": 3, "7": 6, "maj7": 6, "m7": 8, "m7(b5)": 16, "6": 30}
ROOTLESS = 24
ROOTLESS_BASS = {"3": 4, "b3": 6, "b7": 6, "7": 6, "5": 7}  # any other: half of its inversion
ADDED_FLAT_NINTH = 12  # without a seventh, heard from another bass
DIMINISHED_TURNED = 20  # a diminished seventh from another note than its bass
NO_FIFTH = 4  # in a chord with a third (or what stands for it) and a seventh
NO_FIFTH_SIXTH, NO_FIFTH_NINTH = 16, 8  # in a sixth chord, in a 6/9
NO_FIFTH_SHARP_ELEVENTH = 24  # more in a sixth chord whose sharp eleventh would be its flat fifth
NO_FIFTH_BARE = 20
TWO_NINTHS = 18
BARE = 10  # a third heard from another bass by nothing else
BARE_SEVENTH = 6  # a minor seventh chord without its fifth heard from another bass
BARE_SUSPENDED = 8  # a suspended seventh chord, likewise
ROOT_AND_FIFTH = 2  # both left out
DIMINISHED_FOR_DOMINANT = 30  # a diminished triad heard as a dominant without its root
SUSPENDED_SIXTH = 12
SECOND_AND_MAJOR_SEVENTH = 20  # a fifth higher the same notes are a triad over a bass
DOMINANT_ABOVE = 48  # fourth, ninth and major seventh: the bass's own dominant, whole, above it
ALL_ALTERED = -24  # both fifths and both ninths altered: one name, not four alterations
BARE_THIRTEENTH = 12  # with neither third nor ninth
BARE_SHARP_ELEVENTH = 5  # on a fifth alone
TWO_ADDED = 8  # two added notes on a triad
SECOND_AND_SEVENTH = 2
POWER = 20  # off a bare fifth: it is whole without a third
DIMINISHED = 7  # off a flat fifth under a minor third
MINOR_MAJOR = 5
PLAIN_FLAT_FIVE = 4  # off a seventh chord with a flat five and no tension
THIRTEENTH_WITHOUT_NINTH = 2  # and more where a sharp eleven stands on the missing ninth

# Points that halve a weight; a reading dearer than the best by more than "faint" is not given;
# readings given at most.
LIMITS = {"halving": 8, "faint": 52, "most": 6}

# What voicing, key and neighbours add; terms.py says when each counts.
TERMS = {
    "fifth right above a bass that is not the root": 12,
    "octave on top of that fifth": 6,
    "no fifth against that fifth": 2,
    "bass doubled under a chord that is not whole": 2,
    "triad doubled over its flat seventh": -26,
    "root doubled": -2,  # for each time beyond the first, twice at most
    "slash bass doubled": 8,
    "root above the bass, bass on an inner string": -12,
    "tension as the bass, on an inner string": -20,
    "thirteenth under its seventh": 12,  # over its root, without a fifth
    "foreign bass under a root that is given": 12,
    "tension for a fifth, high": -3,  # a sharp eleven or flat thirteen without a fifth
    "tension for a fifth, low": 3,
    "root in key": -2,
    "root out of key": 3,
    "tonic": -4,
    "fifth or tension against the letter of the key": 6,
    "root falls a fifth": -18,
    "root fell a fifth": -3,
    "rootless between two and one": -26,
    "bass falls a half step": -22,  # from the root of a dominant
    "bass moves under a triad": -24,
    "bass stays a root": -6,
    "root of a neighbour above another bass": -6,
    "leading tone rises": -60,  # a diminished seventh, to the next root or to the tonic
    "altered note resolves": -4,
}

USED = {*BASES, *(quality_text(read_quality(name)) for name in EVERYDAY.split())}
CHOICES: dict[int, tuple[str, ...]] = {
    0: ("1",), 1: ("b9",), 2: ("9", "2"), 3: ("b3", "#9"), 4: ("3",), 5: ("11", "4"),
    6: ("#11", "b5"), 7: ("5",), 8: ("b13", "#5", "b6"), 9: ("13", "6", "bb7"), 10: ("b7",),
    11: ("7",),
}  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One way to hear a set: root above the bass, written form and cost."""

    root: int
    form: str
    cost: int


def ways(mask: int) -> list[Way]:
    """Return the ways to hear a set, best first, the cheapest of each root and quality."""
    found: dict[tuple[int, str], Way] = {}
    for root in range(12):
        pcs = frozenset((pc - root) % 12 for pc in range(12) if mask >> pc & 1)
        for way in itertools.chain(_whole(root, pcs), _over_bass(root, pcs)):
            key = (root, way.form.split("|")[0])
            if key not in found or way.cost < found[key].cost:
                found[key] = way
    ranked = sorted(found.values(), key=lambda way: (way.cost, way.root, way.form))
    return [way for way in ranked if way.cost <= ranked[0].cost + NEAR][:KEEP]


def _whole(root: int, pcs: frozenset[int]) -> Iterator[Way]:
    """Hear every note as part of the chord; the root may be left out."""
    bass = -root % 12
    for names in _assignments(pcs):
        cost = _cost(names)
        at = next(name for name in names if _pc(name) == bass)
        if "1" not in names:
            if not _may_lose_root(names):
                continue
            cost += ROOTLESS + ROOTLESS_BASS.get(at, INVERSIONS[at] // 2)
            cost += 0 if {"5", "b5", "#5"} & set(names) else ROOT_AND_FIFTH
            cost += DIMINISHED_FOR_DOMINANT if set(names) == {"3", "5", "b7"} else 0
        elif at != "1":
            cost += INVERSIONS[at] + _turned(set(names))
        form = _form(names)
        used = form.split("|")[0] in USED
        if form and (used or "1" in names):
            yield Way(root, form, cost + (0 if used else UNUSUAL))


def _over_bass(root: int, pcs: frozenset[int]) -> Iterator[Way]:
    """Hear a full chord over a bass that is none of its notes."""
    bass = -root % 12
    upper = pcs - {bass}
    if bass not in SLASH or 0 not in upper:
        return
    for names in _assignments(upper):
        shell = {"3", "b3"} & set(names) and {"b7", "7"} & set(names) and "b5" not in names
        fifth = ("5",) if shell and "5" not in names else ()
        quality = quality_of(parse_degree(name) for name in (*names, *fifth))
        kind = quality_text(quality) if quality else None
        if kind in SLASH_UPPER:
            cost = SLASH[bass] + SLASH_UPPER[kind] + (NO_FIFTH if fifth else 0)
            if form := _form(names):
                yield Way(root, form, cost)


def _turned(have: set[str]) -> int:
    """Return what too few notes, or notes that are all alike, cost a root that is not the bass."""
    rules = (
        (BARE, have in ({"1", "3"}, {"1", "b3"})),
        (BARE_SEVENTH, have == {"1", "b3", "b7"}),
        (BARE_SUSPENDED, have == {"1", "4", "b7"}),
        (DIMINISHED_TURNED, "bb7" in have),
        (ADDED_FLAT_NINTH, "b9" in have and not have & {"b7", "bb7", "7"}),
    )
    return sum(points for points, applies in rules if applies)


def _assignments(pcs: frozenset[int]) -> Iterator[tuple[str, ...]]:
    """Give each note a degree in every way that agrees with the others."""
    for names in itertools.product(*(CHOICES[pc] for pc in sorted(pcs))):
        if _agrees(set(names)):
            yield names


def _agrees(names: set[str]) -> bool:
    """Return whether degrees can stand together in one chord."""
    thirds = names & {"3", "b3", "4", "2"}
    seventh = bool(names & {"b7", "7", "bb7", "6"})
    tension = "b7" in names or "7" in names or "bb7" in names
    rules = (
        len(thirds) <= 1,
        "#9" not in names or "3" in names,
        not ("5" in names and names & {"b5", "#5"}),
        not ("13" in names and not (names & {"b7", "7"})),
        not ("6" in names and tension),
        not ("bb7" in names and not {"b3", "b5"} <= names),
        not ("bb7" in names and "b7" in names),
        not ("7" in names and "b7" in names),
        not ("b13" in names and not seventh),
        not ("b6" in names and (seventh or "5" not in names)),
        not ("#11" in names and "b3" in names and "5" not in names),
        not ("b5" in names and (thirds & {"4", "2"} or "6" in names)),
        not ("b5" in names and "7" in names and "b3" not in names),
        not ("#5" in names and thirds & {"4", "2"}),
        not ("#5" in names and not names & {"3", "b7"}),
        not ("b3" in names and "#5" in names),
        not ("b5" in names and "#5" in names and not ("3" in names and "b7" in names)),
        not ("9" in names and not thirds and "11" in names),
        not ("2" in names and names & {"11", "#11", "b9"}),
    )
    return all(rules)


def _kind(names: set[str]) -> str:
    """Return the row of TENSIONS that a chord of these degrees follows."""
    third = next(iter(names & {"3", "b3", "4", "2"}), "")
    if third in ("4", "2"):
        return "suspended seventh" if names & {"b7", "7"} else "suspended"
    if not third:
        return "dominant" if "b7" in names else "open"
    if third == "3":
        if "b7" in names:
            return "dominant"
        if "7" in names:
            return "major seventh"
        if "6" in names:
            return "sixth"
        return "augmented" if "#5" in names else "major"
    if "bb7" in names:
        return "diminished seventh"
    if "b7" in names:
        return "half-diminished" if "b5" in names else "minor seventh"
    if "7" in names:
        return "minor-major seventh"
    if "6" in names:
        return "minor sixth"
    return "diminished" if "b5" in names else "minor"


def _cost(names: tuple[str, ...]) -> int:
    """Return what the chord itself costs, whatever its bass."""
    have = set(names)
    third = next(iter(have & {"3", "b3", "4", "2"}), "")
    seventh = next(iter(have & {"b7", "bb7", "6"}), "7" if "7" in have else "")
    kind = _kind(have)
    frame = THIRDS[third] + SEVENTHS[seventh] + _fifth(have, third, seventh)
    return frame + _exceptions(have, third, seventh, kind) + _tensions(have, kind)


def _fifth(have: set[str], third: str, seventh: str) -> int:
    """Return what an altered or missing fifth costs; a diminished triad's is its own."""
    if not have & {"5", "b5", "#5"}:
        return _without_fifth(third, seventh, "9" in have)
    if {"b3", "b5"} <= have:
        return FIFTHS["b5"] - DIMINISHED
    return sum(FIFTHS[name] for name in have & {"b5", "#5"})


def _exceptions(have: set[str], third: str, seventh: str, kind: str) -> int:
    """Return what single chords cost more or less than their parts."""
    rules = (
        (-PLAIN_FLAT_FIVE, have == {"1", "3", "b5", "b7"}),
        (-POWER, have == {"1", "5"}),
        (MINOR_MAJOR, kind == "minor-major seventh"),
        (SUSPENDED_SIXTH, third in ("4", "2") and seventh == "6"),
        (SECOND_AND_MAJOR_SEVENTH, third == "2" and seventh == "7"),
        (DOMINANT_ABOVE, third == "4" and seventh == "7" and {"5", "9"} <= have),
        (ALL_ALTERED, have >= {"b5", "#5", "b9", "#9"}),
        (BARE_SHARP_ELEVENTH, have == {"1", "5", "#11"}),
        (NO_FIFTH_SHARP_ELEVENTH, have == {"1", "3", "6", "#11"}),
        (BARE_THIRTEENTH, not third and "13" in have and not have & {"b9", "9", "#9"}),
        (SECOND_AND_SEVENTH, third == "2" and seventh not in ("", "7")),
    )
    return sum(points for points, applies in rules if applies)


def _tensions(have: set[str], kind: str) -> int:
    """Return what ninths, elevenths, thirteenths and added notes cost together."""
    frame = {"1", "3", "b3", "4", "2", "5", "b5", "#5", "6", "b7", "bb7"}
    frame |= {"7"} if "bb7" not in have else set()
    cost = sum(TENSIONS[kind].get(name, FOREIGN) for name in have - frame)
    ninths = have & {"b9", "9", "#9"}
    if len(ninths) > 1 and "9" in ninths:
        cost += TWO_NINTHS
    if kind in ("major", "minor", "suspended") and len(have & {"9", "11", "#11", "6"}) > 1:
        cost += TWO_ADDED
    if "13" in have and not ninths:
        cost += THIRTEENTH_WITHOUT_NINTH * (8 if "#11" in have else 1)
    return cost


def _without_fifth(third: str, seventh: str, nine: bool) -> int:
    if third in ("3", "b3") and seventh == "6":
        return NO_FIFTH_NINTH if nine else NO_FIFTH_SIXTH
    return NO_FIFTH if third and seventh in ("b7", "7") else NO_FIFTH_BARE


def _may_lose_root(names: tuple[str, ...]) -> bool:
    """Return whether a chord is still heard without its root: third, seventh and a colour.

    Without its fifth too only a dominant is, by its tritone; of sixth chords a 6/9 is. With no
    colour a dominant is, faintly: what is left is a diminished triad.
    """
    have = set(names)
    if have in ({"3", "5", "6", "9"}, {"3", "5", "b7"}):
        return True
    if not have & {"5", "b5", "#5"} and not {"3", "b7"} <= have:
        return False
    colour = have & ({"9", "11"} if "b3" in have else {"9", "b9", "#9", "13", "b13", "#11", "11"})
    return bool(have & {"3", "b3"}) and bool(have & {"b7", "7"}) and len(have) >= 4 and bool(colour)


def _form(names: tuple[str, ...]) -> str:
    """Write a way, quality, degrees that sound, degrees left out; empty if there is no quality.

    The parts of the quality follow: base, alterations, added notes, numbers that it omits. A
    quality is none if its writing reads as another one: nobody says two elevenths.
    """
    sounding = sorted((parse_degree(name) for name in names), key=lambda d: d.order)
    claimed = set(sounding) | set(_implied(set(names)))
    quality = quality_of(claimed)
    if quality is None or not _reads_back(quality):
        return ""
    gone = [d.text for d in quality.degrees if d not in sounding]
    said = (quality_text(quality), " ".join(d.text for d in sounding), " ".join(gone))
    changes = (" ".join(d.text for d in part) for part in (quality.alterations, quality.adds))
    return "|".join((*said, quality.base, *changes, " ".join(map(str, quality.omits))))


def _reads_back(quality: Quality) -> bool:
    try:
        return read_quality(quality_text(quality)) == quality
    except QualityError:
        return False


def _implied(have: set[str]) -> Iterator[Degree]:
    """Yield what the name claims beside what sounds: root, plain fifth, the nine under thirteen."""
    yield parse_degree("1")
    if not have & {"5", "b5", "#5"}:
        yield parse_degree("5")
    seventh = have & {"b7", "7"}
    nines = have & {"b9", "9", "#9", "2"}
    if seventh and not nines and ("13" in have or {"b3", "11"} <= have) and "b5" not in have:
        yield parse_degree("9")


def _pc(name: str) -> int:
    return parse_degree(name).pc


def build() -> dict[str, object]:
    """Return the table as it is written."""
    forms: dict[str, int] = {}
    sets: list[list[int]] = []
    for high in range(2048):
        row: list[int] = []
        for way in ways(high << 1 | 1):
            row += [way.root, forms.setdefault(way.form, len(forms)), way.cost]
        sets.append(row)
    return {**LIMITS, "cluster": CLUSTER, "terms": TERMS, "forms": list(forms), "sets": sets}


def main() -> None:
    """Write the table beside the code that reads it."""
    table = build()
    OUT.write_text(json.dumps(table, separators=(",", ":"), ensure_ascii=False) + "\n", "utf-8")
    print(f"{len(table['forms'])} forms, {OUT.stat().st_size} bytes")  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
