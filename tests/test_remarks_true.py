"""Whatever is told is true of the notes: sentences read back by an oracle that knows only notes.

The oracle takes each sentence apart with patterns of its own, reads the names in it, and does the
arithmetic again. Changes are drawn at random, one chord is exchanged, and every sentence told
afterwards must be true of the changes as they are now.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.explain import explain
from gripwright.theory.interval import note_at, parse_degree
from gripwright.theory.pitch import parse_note
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import ChordSymbol, parse_symbol

WORDS = (
    "C Cm C7 Cmaj7 Cm7 C/E C/G Dm7 Dm7b5 D7 D7/F# Dm/F Eb Ebmaj7 Eb7 Em Em7 E7 E7(b9) F F/A F/C Fm "
    "Fm6 F7 F#dim7 F#m7b5 G G/B G/D G7 G7(b9) G7alt Gsus4 G7sus4 F/G Gm7 Ab Abmaj7 Ab7 Ab7(b5) Am "
    "Am7 Am/G Am(maj7) Am6 A7 Bb Bb7 Bbmaj7 Bdim Bdim7 Bm7b5 B7 Db Db/F Db7 Dbmaj7 Ebdim7 Caug C5"
)
words = st.sampled_from(WORDS.split(" "))
keys = st.sampled_from(["C major", "C minor", "A minor", "D dorian", "G mixolydian", "F lydian"])
SIZES = {"half step": 1, "whole step": 2, "minor third": 3, "major third": 4, "fourth": 5,
         "tritone": 6, "fifth": 7}  # fmt: skip
CHORD, NOTE, DEGREE = r"(\S+)", r"([A-G](?:♭|♯)*)", r"(root|[♭♯]*\d+)"
GOAL = rf"(?:{CHORD} .*, and goes there|\S+, and {CHORD} stands over its root)"
Window = list[ChordSymbol]


def plain(text: str) -> str:
    """Return ASCII for print."""
    return text.replace("♭", "b").replace("♯", "#").rstrip(".:,")


def chord(text: str) -> ChordSymbol:
    """Return the symbol that a sentence names."""
    return parse_symbol(plain(text))


def notes(text: str) -> list[int]:
    """Return the pitch classes of a list of note names in prose."""
    return [parse_note(plain(name)).pc for name in re.split(r", | and ", text)]


def listed(text: str) -> list[ChordSymbol]:
    """Return the chords of a list in prose."""
    return [chord(name) for name in re.split(r", | and ", text)]


def fall(one: ChordSymbol, two: ChordSymbol) -> int:
    """Return the semitones that a root falls."""
    return (one.root.pc - two.root.pc) % 12


def apart(one: int, two: int) -> int:
    """Return the distance of two pitch classes."""
    return min((one - two) % 12, (two - one) % 12)


def onward(at: Window) -> ChordSymbol:
    """Return the next chord on another root."""
    return next(c for c in at if c.root.pc != at[0].root.pc)


def diatonic(match: re.Match[str], at: Window) -> bool:
    """Every note of the chord is in the key."""
    scale = {note.pc for note in parse_key(plain(match[2])).notes}
    return chord(match[1]) == at[0] and at[0].pcs <= scale


def borrowed(match: re.Match[str], at: Window) -> bool:
    """The notes named are all that the key lacks, and the lender has them."""
    lender, key = (parse_key(plain(text)) for text in (match[2], match[4]))
    strange = at[0].pcs - {note.pc for note in key.notes}
    return strange == set(notes(match[3])) and strange <= {note.pc for note in lender.notes}


def applied(match: re.Match[str], at: Window) -> bool:
    """The root falls a fifth to the next chord, or to its bass, from a major third."""
    major = (at[0].root.pc + 4) % 12 in at[0].pcs
    return goes(match, at, 7) and major


def goes(match: re.Match[str], at: Window, size: int) -> bool:
    """The root falls so far to that of the next chord, or to the bass of a triad on its fifth."""
    after = onward(at)
    reached = after.root if match[2] else after.bass_note
    over_fifth = match[2] or (after.bass_note.pc - after.root.pc) % 12 == 7
    fits = (at[0].root.pc - reached.pc) % 12 == size
    return chord(match[2] or match[3]) == after and fits and bool(over_fifth)


def led(match: re.Match[str], at: Window) -> bool:
    """The root rises a half step to the next chord, or to its bass."""
    return goes(match, at, 11)


def substitute(match: re.Match[str], at: Window) -> bool:
    """Both notes are in both chords, a tritone apart, and the root falls a half step."""
    pair = {parse_note(plain(match[3])).pc, parse_note(plain(match[4])).pc}
    own = pair <= at[0].pcs and pair <= chord(match[2]).pcs
    return own and apart(*pair) == 6 and fall(at[0], onward(at)) == 1


def altered(match: re.Match[str], at: Window) -> bool:
    """Each note is in the chord at its degree, and a half step from one of the next."""
    found = re.findall(rf"{NOTE} \(([♭♯]*\d+)\)", match[2])
    named = [parse_note(plain(note)) for note, _ in found]
    placed = all(
        note_at(at[0].root, parse_degree(plain(degree))) == note
        for note, (_, degree) in zip(named, found, strict=True)
    )
    near = all(any(apart(note.pc, other) == 1 for other in onward(at).pcs) for note in named)
    return bool(named) and placed and near and fall(at[0], onward(at)) == 7


def creeping(match: re.Match[str], at: Window) -> bool:
    """Each note is in its chord and a half step from the one before, all one way."""
    line = notes(match[2])
    sign = 1 if match[1] == "up" else -1
    steps = {(two - one) % 12 for one, two in itertools.pairwise(line)}
    return steps == {sign % 12} and all(pc in c.pcs for pc, c in zip(line, at, strict=False))


def walking(match: re.Match[str], at: Window) -> bool:
    """The notes are the basses."""
    return notes(match[1]) == [c.bass_note.pc for c in at[: len(notes(match[1]))]]


def two_five(match: re.Match[str], at: Window) -> bool:
    """Roots that fall by fifths to the one that is named."""
    named = listed(match[1])
    return named == at[:3] and fall(at[0], at[1]) == fall(at[1], at[2]) == 7


def sixth(match: re.Match[str], at: Window) -> bool:
    """Both notes are in the chord and lie a half step from their goal, on either side."""
    low, high, goal = (parse_note(plain(name)).pc for name in match.groups()[1:])
    opens = (low - goal) % 12 == 1 and (goal - high) % 12 == 1
    return opens and {low, high} <= at[0].pcs and onward(at).bass_note.pc == goal


def resolved(match: re.Match[str], at: Window) -> bool:
    """The note leaves the chord for the third of the next on the same root."""
    start, goal = parse_note(plain(match[1])).pc, parse_note(plain(match[3])).pc
    third = (goal - at[1].root.pc) % 12 in (3, 4)
    return start in at[0].pcs and start not in at[1].pcs and third and fall(at[0], at[1]) == 0


def decorated(match: re.Match[str], at: Window) -> bool:
    """The note named is in both."""
    return parse_note(plain(match[3])).pc in at[0].pcs & at[1].pcs


def held(match: re.Match[str], at: Window) -> bool:
    """One bass under all that are named, each once, and under no chord after them."""
    bass = parse_note(plain(match[1])).pc
    over = list(itertools.takewhile(lambda c: c.bass_note.pc == bass, at))
    return listed(match[2]) == list(dict.fromkeys(over))


def chained(match: re.Match[str], at: Window) -> bool:
    """Dominants that fall by fifths or half steps."""
    named = listed(match[1])
    steps = {fall(one, two) for one, two in itertools.pairwise(at[: len(named) + 1])}
    sevenths = all({(c.root.pc + 4) % 12, (c.root.pc + 10) % 12} <= c.pcs for c in named)
    return named == at[: len(named)] and sevenths and steps <= {1, 7}


def circling(match: re.Match[str], at: Window) -> bool:
    """Roots that fall by fifths."""
    named = listed(match[1])
    steps = [fall(one, two) for one, two in itertools.pairwise(named)]
    return named == at[: len(named)] and set(steps) <= {6, 7} and len(named) > 4


def mediant(match: re.Match[str], at: Window) -> bool:
    """Like triads with one note in common; told at the second."""
    one, two = (chord(match[n]) for n in (1, 2))
    third = 4 if (one.root.pc + 4) % 12 in one.pcs else 3
    triads = [{(c.root.pc + size) % 12 for size in (0, third, 7)} for c in (one, two)]
    like = all(triad <= c.pcs for triad, c in zip(triads, (one, two), strict=True))
    return like and two == at[0] and len(triads[0] & triads[1]) == 1


ORACLE: dict[str, tuple[str, Callable[[re.Match[str], Window], bool]]] = {
    "diatonic": (rf"{CHORD} is diatonic: every note of it belongs to (.+)\.", diatonic),
    "borrowed": (rf"{CHORD} is borrowed from (.+): (.+) (?:is|are) not in (.+)\.", borrowed),
    "secondary-dominant": (
        rf"{CHORD} is the secondary dominant of {GOAL}\.", applied,
    ),
    "secondary-leading-tone": (
        rf"{CHORD} is the secondary leading-tone chord of {GOAL}\.", led,
    ),
    "tritone-substitute": (
        rf"{CHORD} is the tritone substitute of {CHORD} both have {NOTE} and {NOTE}, .*",
        substitute,
    ),
    "altered-dominant": (rf"{CHORD} has .*: (.+) lies? a half step from .*", altered),
    "line": (r"A (?:line cliché: a )?voice creeps (up|down) .*: (.+)\.", creeping),
    "line-through": (r"A (?:line cliché: a )?voice creeps (up|down) .*: (.+)\.", creeping),
    "bass-line": (r"The bass .*: (.+)\.", walking),
    "lament": (r"The bass .*: (.+)\.", walking),
    "two-five-one": (r"(.+) are a two-five-one in .*", two_five),
    "augmented-sixth": (rf"{CHORD} is an? .*: {NOTE} and {NOTE} open out to {NOTE}\.", sixth),
    "suspension-resolves": (rf"The suspended {NOTE} of {CHORD} resolves to {NOTE}, .*", resolved),
    "common-tone-diminished": (
        rf"{CHORD} is a common-tone .*: it decorates {CHORD} and {NOTE} is in both\.", decorated,
    ),
    "pedal": (rf"{NOTE} stays in the bass under (.+): a pedal point\.", held),
    "dominant-chain": (r"(.+) are a chain of dominants: .*", chained),
    "circle": (r"The roots of (.+) fall by fifths: .*", circling),
    "chromatic-mediant": (rf"{CHORD} to {CHORD} is a chromatic mediant: .*", mediant),
}  # fmt: skip


def wrong(changes: list[str], key: str) -> list[str]:
    """Return the sentences told that are not true of the changes."""
    symbols = [parse_symbol(word) for word in changes]
    told = explain(symbols, key=parse_key(key))
    untrue = []
    for index, explained in enumerate(told.chords):
        ahead = [c for c, _ in itertools.groupby(symbols[index:])]
        for remark in explained.remarks:
            if remark.kind in ORACLE:
                pattern, is_true = ORACLE[remark.kind]
                match = re.fullmatch(pattern, remark.text)
                if not match or not is_true(match, ahead):
                    untrue.append(remark.text)
    return untrue


@settings(max_examples=120, deadline=None)
@given(st.lists(words, min_size=3, max_size=10), keys, st.integers(0, 9), words)
def test_sentences_change_or_stay_true(
    changes: list[str], key: str, place: int, other: str
) -> None:
    """Exchange one chord: whatever is told then is true of the chords as they are."""
    assert wrong(changes, key) == []
    changes[place % len(changes)] = other
    assert wrong(changes, key) == []


@settings(max_examples=120, deadline=None)
@given(words, words)
def test_threads_are_true_of_both_chords(one: str, two: str) -> None:
    """Each note is the degree that is told, and lies as far off as is told."""
    pair = [parse_symbol(word) for word in (one, two)]
    pattern = rf"{NOTE}, the {DEGREE} of {CHORD} (?:(stays as(?: {NOTE},)?)|(rises|falls) an? (.+) to {NOTE},) the {DEGREE} of {CHORD}"  # noqa: E501
    for _, _, thread in explain(pair, key=parse_key("C major")).threads:
        match = re.fullmatch(pattern, thread.text)
        assert match, thread.text
        start, goal = parse_note(plain(match[1])).pc, parse_note(plain(match[8] or match[5] or
                                                                       match[1])).pc  # fmt: skip
        for pc, degree, symbol in ((start, match[2], pair[0]), (goal, match[9], pair[1])):
            size = parse_degree(plain(degree.replace("root", "1"))).semitones
            assert (pc - symbol.root.pc - size) % 12 == 0 and pc in symbol.pcs
        size = SIZES[match[7]] if match[7] else 0
        assert (goal - start) % 12 == (size if match[6] == "rises" else -size) % 12


def test_the_oracle_reads_every_kind_that_it_claims_to() -> None:
    """A pattern that fits no sentence would pass anything."""
    songs = [
        ("C A7 Dm7 G7(b9) Cmaj7 Fm C", "C major"), ("C C#dim7 Dm7 Db7 Cmaj7", "C major"),
        ("Cm Ab7 G Cm", "C minor"), ("C C7 F Fm C Gsus4 G C", "C major"),
        ("Am Am(maj7) Am7 Am6", "A minor"), ("Cm Cm/Bb Ab G", "C minor"),
        ("C G/B Am C/G F C/E Dm7 G7 C", "C major"), ("C Cdim7 C F/C C", "C major"),
        ("C E7 A7 D7 G7 C", "C major"), ("Am Dm G C F", "C major"), ("C Ab C", "C major"),
    ]  # fmt: skip
    found = set()
    for text, key in songs:
        told = explain([parse_symbol(word) for word in text.split()], key=parse_key(key))
        found |= {remark.kind for one in told.chords for remark in one.remarks}
        assert wrong(text.split(), key) == []
    assert set(ORACLE) <= found


def test_the_oracle_finds_out_a_false_sentence() -> None:
    """Read against the wrong chords."""
    pattern, is_true = ORACLE["tritone-substitute"]
    text = (
        "D♭7 is the tritone substitute of G7: both have F and B, and the root falls a half step "
        "to C."
    )
    match = re.fullmatch(pattern, text)
    assert match and is_true(match, [chord("Db7"), chord("C")])
    assert not is_true(match, [chord("Db"), chord("C")])
    assert not is_true(match, [chord("Db7"), chord("F")])
