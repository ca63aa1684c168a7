"""Reasons are claims, and a claim is true of the notes it speaks of or it is not said."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.claims_grip import SENTENCES, VERIFIERS
from gripwright.harmony.reading import readings
from gripwright.neck.grip import Grip, parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.theory.interval import degrees, parse_degree
from gripwright.theory.pitch import parse_note
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

C, D, E, F, G, A, B = map(parse_note, "CDEFGAB")
EB, FS, BB = map(parse_note, ("Eb", "F#", "Bb"))
C7, CSUS, CADD9 = (48, 52, 55, 58), (48, 53, 55), (48, 52, 55, 62)

NINTH = parse_degree("9")

# Claim, notes of which it is true, notes of which it is false.
TABLE = [
    ("root-in-bass", (C, 2), (48, 55, 60), (48, 55)),
    ("root-missing", (C,), (52, 55), C7),
    ("inverted", (C, E, parse_degree("3")), (52, 55, 60), C7),
    ("slash", (F, G, (A, C)), (43, 53, 57, 60), (43, 53, 57, 59)),
    ("suspended", (C, F), CSUS, (48, 52, 53, 55)),
    ("no-third", (C,), (48, 55), C7),
    ("power", (C,), (48, 55, 60), (48, 55, 58)),
    ("seventh-alone", (C, BB, parse_degree("b7")), (48, 55, 58), C7),
    ("third-kind", (C, E), C7, CSUS),
    ("triad-kind", (C, E), CADD9, C7),
    ("seventh-kind", (C, E, BB), C7, CADD9),
    ("sharp-nine", (C, E, EB), (*C7, 63), C7),
    ("altered-fifth", (C, FS), (48, 52, 54), (48, 52, 54, 55)),
    ("half-diminished", (C, FS), (48, 51, 54, 58), (48, 51, 55, 58)),
    ("fifth-or-tension", (C, FS), (48, 52, 58, 66), (48, 52, 55, 58, 66)),
    ("beside-fifth", (C, FS, G, parse_degree("#11")), (48, 52, 54, 55), (48, 52, 54)),
    ("added", (C, ((NINTH, D),)), CADD9, (*CADD9, 58)),
    ("with-seventh", (C, BB, ((NINTH, D), (parse_degree("13"), A))), (*C7, 62, 69), (*C7, 62)),
    ("left-out", (C, ((parse_degree("5"), G), (NINTH, D))), (48, 52, 58), (48, 52, 58, 62)),
    ("even", (C,), (48, 52, 56), C7),
    ("rival", (A, tuple(zip(degrees("1 b3 5 b7"), (A, C, E, G), strict=True))),
     (48, 52, 55, 57), (45, 48, 52, 55)),
    ("rival-in-bass", (A, tuple(zip(degrees("1 b3 5 b7"), (A, C, E, G), strict=True))),
     (45, 48, 52, 55), (48, 52, 55, 57)),
    ("cluster", (C, degrees("1 b9 9")), (48, 49, 50), C7),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "args", "true", "false"), TABLE)
def test_each_verifier_tells_true_from_false(
    kind: str, args: tuple[object, ...], true: tuple[int, ...], false: tuple[int, ...]
) -> None:
    """On notes written out by hand."""
    assert holds(Claim(f"grip.{kind}", true, args))
    assert not holds(Claim(f"grip.{kind}", false, args))
    assert sentence(Claim(f"grip.{kind}", true, args)).endswith(".")


def test_moves_and_keys_are_checked_too() -> None:
    """A root in a key, a root that falls a fifth, a diminished root that leads up."""
    key = parse_key("G major")
    assert holds(Claim("grip.in-key", C7, (C, key))) and not holds(
        Claim("grip.in-key", C7, (F, key))
    )
    assert holds(Claim("grip.falls-a-fifth", C7, (C, F)))
    assert not holds(Claim("grip.falls-a-fifth", C7, (C, G)))
    assert holds(Claim("grip.leads-up", (47, 50, 53, 56), (B, C)))
    assert not holds(Claim("grip.leads-up", C7, (B, C)))
    assert holds(Claim("grip.common-tone", (48, 51, 54, 57), (C, C)))
    assert not holds(Claim("grip.common-tone", (47, 50, 53, 56), (B, C)))
    assert holds(Claim("grip.falls-a-half-step", C7, (C, B)))
    assert not holds(Claim("grip.falls-a-half-step", (52, 55, 58, 60), (C, B)))


NEIGHBOURS = [
    ("bass-stays", C7, (C,), "C5", "C/E"),
    ("bass-moves", (45, 48, 52, 55), (C, A), "C", "Am"),
    ("resolves", (*C7, 61), (C, parse_note("Db"), parse_degree("b9")), "Fmaj7", "Fmaj7(no5)"),
    ("resolves", (48, 52, 56, 58), (C, parse_note("G#"), parse_degree("#5")), "Fmaj7", "Bb6"),
]


@pytest.mark.parametrize(("kind", "notes", "args", "true", "false"), NEIGHBOURS)
def test_moves_between_chords_are_checked(
    kind: str, notes: tuple[int, ...], args: tuple[object, ...], true: str, false: str
) -> None:
    """What is said of a chord beside it is looked up in that chord."""
    claims = [Claim(f"grip.{kind}", notes, (*args, parse_symbol(name))) for name in (true, false)]
    assert [holds(claim) for claim in claims] == [True, False]
    assert sentence(claims[0]).endswith(".")


def test_an_altered_note_is_told_with_the_letter_it_moves_to() -> None:
    """A sharp fifth rises, a flat ninth falls, each to a note of the next chord."""
    why = readings(parse_grip("3x3444"), after=parse_symbol("C6"))[0].why
    assert "D♯, the sharp fifth, rises a half step to E in the next chord." in why
    assert "A♭, the flat ninth, falls a half step to G in the next chord." in why


def test_every_claim_has_a_verifier_and_a_sentence() -> None:
    """And this file tries each of them."""
    assert VERIFIERS.keys() == SENTENCES.keys()
    moves = {"in-key", "falls-a-fifth", "falls-a-half-step", "leads-up", "common-tone"}
    tried = {kind for kind, *_ in (*TABLE, *NEIGHBOURS)} | moves
    assert tried == VERIFIERS.keys()


def test_a_claim_that_nobody_can_check_is_a_bug() -> None:
    """Unknown families and names raise."""
    for kind in ("grip.nonsense", "nonsense.grip"):
        with pytest.raises(KeyError):
            holds(Claim(kind, C7, ()))


@settings(max_examples=100, deadline=None)
@given(st.lists(st.integers(0, 9), min_size=6, max_size=6), st.integers(0, 5), st.integers(1, 5))
def test_change_one_note_and_each_sentence_changes_or_stays_true(
    frets: list[int], string: int, up: int
) -> None:
    """A sentence said of both grips is true of both: an oracle reads the plain ones."""
    other = [fret + up if index == string else fret for index, fret in enumerate(frets)]
    for given_frets in (frets, other):
        grip = Grip(tuple(given_frets))
        midi = [sound.midi for sound in soundings(grip, STANDARD_NECK)]
        for reading in readings(grip):
            above = {(number - reading.root.pc) % 12 for number in midi}
            for said in reading.why:
                _oracle(said, above, midi, reading.root.pc)


def _oracle(said: str, above: set[int], midi: list[int], root: int) -> None:
    """Check what a sentence says about third, fifth, seventh, root and bass."""
    if said.startswith("No third"):
        assert not above & {3, 4}
    if said.startswith("No seventh"):
        assert not above & {10, 11}
    if "No natural fifth" in said:
        assert 7 not in above
    if "The natural fifth" in said:
        assert 7 in above
    if said.endswith("the root is implied."):
        assert 0 not in above
    if "sharp ninth" in said and "major third" in said:
        assert {3, 4} <= above
    if "half-diminished" in said:
        assert {3, 6, 10} <= above
    if said.endswith("left out."):
        gone = {parse_note(word).pc for word in said.split(", ")[1::2]}
        assert gone and not gone & {number % 12 for number in midi}
    if said.startswith("Only root and fifth"):
        assert above == {0, 7}
    if said.startswith("Heard from"):
        _same_notes(said, midi)
    if said.startswith("The root") and "in the bass" in said:
        assert min(midi) % 12 == root
        times = {"twice": 2, "three": 3, "four": 4}
        counted = next((n for word, n in times.items() if word in said), 1)
        assert sum(number % 12 == root for number in midi) == counted or "times" in said


def _same_notes(said: str, midi: list[int]) -> None:
    """Check that the degrees told above another root are the notes, and whose the bass is."""
    words = said.removeprefix("Heard from ").split()
    other, (told, ending) = parse_note(words[0]), said.split(" are ")[1].split(", ")
    pcs = {(other.pc + degree.pc) % 12 for degree in degrees(told)}
    assert pcs == {number % 12 for number in midi}
    assert (min(midi) % 12 == other.pc) == ending.startswith("and")


def test_muting_a_doubled_note_changes_no_claim_about_the_others() -> None:
    """Open C with and without its top E."""
    whole, less = (readings(parse_grip(grip))[0].why for grip in ("x32010", "x3201x"))
    assert whole == less


@settings(max_examples=80, deadline=None)
@given(st.lists(st.integers(0, 9), min_size=2, max_size=5), st.data())
def test_a_muted_double_leaves_every_other_claim(frets: list[int], data: st.DataObject) -> None:
    """Any grip and any of its notes doubled above: the same name, the same degrees and reasons.

    Only the count of roots, and who the next best reading is, may differ.
    """
    less = [*frets, *[None] * (6 - len(frets))]
    sounds = soundings(Grip(tuple(less)), STANDARD_NECK)
    pc = data.draw(st.sampled_from(sorted({sound.midi % 12 for sound in sounds})))
    double = next(n for n in range(8, 20) if STANDARD_NECK.midi(5, n) % 12 == pc)
    whole_told, less_told = (_told(Grip(tuple(each))) for each in ([*less[:5], double], less))
    common = whole_told.keys() & less_told.keys()
    assert common
    for name in common:
        assert whole_told[name] == less_told[name]


def _told(grip: Grip) -> dict[str, tuple[object, ...]]:
    """Return by symbol the degrees below the top string, and the reasons that do not count."""
    return {
        str(reading.symbol): (
            [(tone.string, tone.degree) for tone in reading.tones if tone.string > 1],
            [s for s in reading.why if not s.startswith(("The root", "Heard from"))],
        )
        for reading in readings(grip)
    }
