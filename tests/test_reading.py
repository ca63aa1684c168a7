"""Readings of grips: common practice, no source, unless a source is named.

How often the best reading is right is measured in evaluation/; here are the laws.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import GripError
from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip, parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck, Tuning, make_neck, parse_tuning
from gripwright.theory.harte_read import parse_harte
from gripwright.theory.interval import Degree, degrees
from gripwright.theory.pitch import FLAT_NAMES, parse_note, spell_midi
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

UKULELE = make_neck(parse_tuning("G4 C4 E4 A4"))
frets = st.lists(st.one_of(st.none(), st.integers(0, 11)), min_size=6, max_size=6).filter(
    lambda given_frets: sum(fret is not None for fret in given_frets) > 1
)


def best(grip: str, neck: Neck = STANDARD_NECK, **where: str) -> Reading:
    """Return the best reading; ``key``, ``before`` and ``after`` as text."""
    context = {
        name: parse_key(text) if name == "key" else parse_symbol(text)
        for name, text in where.items()
    }
    return readings(parse_grip(grip, len(neck)), neck, **context)[0]  # type: ignore[arg-type]


def name(reading: Reading) -> str:
    """Return the symbol or ``cluster``."""
    return reading.symbol.text if reading.symbol else reading.quality


@pytest.mark.parametrize(
    ("grip", "symbol", "degrees"),
    [
        ("x35453", "Cmaj7", "1 5 7 3 5"), ("x32343", "C7(#9)", "1 3 b7 #9 5"),
        ("x3233x", "C9", "1 3 b7 9"), ("3x345x", "G13", "1 b7 3 13"),
        ("x33333", "C9sus4", "1 4 b7 9 5"), ("x02200", "Asus2", "1 5 1 2 5"),
        ("x35443", "Cm(maj7)", "1 5 7 b3 5"), ("x2313x", "Bdim7", "1 b5 bb7 b3"),
        ("x3435x", "C7(b5)", "1 b5 b7 3"), ("x32332", "C9(#11)", "1 3 b7 9 #11"),
        ("x32233", "C6/9", "1 3 6 9 5"), ("2x0232", "D/F#", "3 1 5 1 3"),
        ("x32010", "C", "1 3 5 1 3"), ("3550xx", "G5", "1 5 1 1"),
        ("x00010", "Am11", "1 11 b7 b3 5"), ("x76000", "E(add#9)", "1 3 #9 5 1"),
        ("023100", "E(addb9)", "1 5 b9 3 5 1"), ("x01220", "A(add#11)", "1 #11 1 3 5"),
        ("x34013", "C5(add#11)", "1 #11 5 1 5"), ("x3x431", "Cmaj7sus4(add9)", "1 7 9 4"),
    ],
)  # fmt: skip
def test_grips_that_players_use_have_their_name(grip: str, symbol: str, degrees: str) -> None:
    """Symbol and degrees, bass side first."""
    reading = best(grip)
    assert name(reading) == symbol
    assert " ".join(tone.degree.text for tone in reading.tones) == degrees


def test_what_is_left_out_is_told() -> None:
    """A thirteenth without fifth and ninth."""
    reading = best("3x345x")
    assert [degree.text for degree in reading.omits] == ["5", "9"]
    assert reading.harte == "G:7(13,*5)"


@pytest.mark.parametrize(("grip", "count"), [("xxxxxx", "no note"), ("x3xxxx", "one note")])
def test_one_note_or_none_is_no_chord(grip: str, count: str) -> None:
    """The error says how many sound and what to do."""
    with pytest.raises(GripError, match=count) as caught:
        readings(parse_grip(grip))
    assert caught.value.field == "grip" and caught.value.remedy


def test_a_cluster_is_called_one() -> None:
    """Three half steps in a row: no symbol, one reading, notes counted from the bass."""
    (reading,) = readings(parse_grip("x-11-7-3-x-x"))
    assert (reading.symbol, reading.quality, reading.harte) == (None, "cluster", "X")
    assert reading.weight == 1 and reading.why


@settings(max_examples=120, deadline=None)
@given(frets)
def test_readings_are_whole(given_frets: list[int | None]) -> None:
    """Weights fall and sum to 1, tones are the sounding strings, labels read back."""
    grip = Grip(tuple(given_frets))
    given = readings(grip)
    assert sum(reading.weight for reading in given) == pytest.approx(1)
    weights = [reading.weight for reading in given]
    assert weights == sorted(weights, reverse=True)
    for reading in given:
        sounds = soundings(grip, STANDARD_NECK)
        assert [(t.string, t.midi) for t in reading.tones] == [(s.string, s.midi) for s in sounds]
        assert all(tone.note.pc == tone.midi % 12 for tone in reading.tones)
        if reading.symbol is not None:
            label = parse_harte(reading.harte)
            assert (label.root.pc, label.bass_note.pc) == (reading.root.pc, reading.bass.pc)
            assert parse_symbol(reading.symbol.text) == reading.symbol


@settings(max_examples=80, deadline=None)
@given(frets, st.integers(1, 11))
def test_transposition_moves_every_answer_alike(given_frets: list[int | None], up: int) -> None:
    """The same shape under a capo: same qualities, degrees and weights, roots moved."""
    grip = Grip(tuple(given_frets))
    low, high = readings(grip), readings(grip, make_neck(capo=up))
    for one, other in zip(low, high, strict=True):
        assert (one.root.pc + up) % 12 == other.root.pc
        assert (one.quality, one.weight) == (other.quality, other.weight)
        assert [t.degree for t in one.tones] == [t.degree for t in other.tones]


@pytest.mark.parametrize("notes", ["C3 G3 C4 E4", "C3 E3 G3 B3", "D3 A3 C4 F#4", "E3 G3 B3 D4 F#4"])
def test_order_of_strings_changes_no_root(notes: str) -> None:
    """An unambiguous chord keeps its root whatever string sounds which note."""
    strings = notes.split()
    for turn in range(len(strings)):
        tuning = parse_tuning(" ".join(strings[turn:] + strings[:turn]))
        reading = readings(Grip((0,) * len(strings)), make_neck(tuning))[0]
        assert reading.root.name == strings[0][:-1]


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["1 3 5", "1 3 5 b7", "1 3 5 7", "1 3 5 b7 9", "1 b3 5 b7 9", "1 3 5 b7 #9"]),
    st.integers(36, 47), st.data(),
)  # fmt: skip
def test_octave_doublings_change_no_root(content: str, root: int, data: st.DataObject) -> None:
    """Any notes of an unambiguous chord on its root, sounded again higher up."""
    close = [root + degree.pc for degree in degrees(content)]
    doubles = data.draw(st.lists(st.sampled_from(close), max_size=4))
    midi = [*close, *(note + 12 * data.draw(st.integers(1, 2)) for note in doubles)]
    strings = tuple(spell_midi(note, parse_note(FLAT_NAMES[note % 12])) for note in midi)
    neck = Neck(Tuning(strings), (0,) * len(midi))
    reading = readings(Grip((0,) * len(midi)), neck)[0]
    assert reading.root.pc == root % 12
    assert {tone.degree.text for tone in reading.tones} == set(content.split())


def test_the_bass_is_the_lowest_pitch() -> None:
    """On a re-entrant neck the bass of F is the C string."""
    reading = best("2010", UKULELE)
    assert (name(reading), reading.bass.name) == ("F", "C")


@pytest.mark.parametrize(
    ("grip", "where", "symbol"),
    [
        ("x35555", {}, "C6"), ("x35555", {"after": "D7"}, "Am7/C"),
        ("464444", {"key": "E major"}, "G#m7"), ("464444", {"key": "Gb major"}, "Abm7"),
        ("xx0101", {}, "Ddim7"), ("xx0101", {"after": "Am"}, "G#dim7/D"),
        ("xx0101", {"key": "A minor"}, "G#dim7/D"), ("xx0101", {"after": "Cm"}, "Bdim7/D"),
        ("x3424x", {"after": "C"}, "Cdim7"), ("xx1212", {"after": "Dm7"}, "Ebdim7"),
        ("3x233x", {"after": "A7"}, "Em7(b5)/G"), ("3x233x", {}, "Gm6"),
        ("042xxx", {"before": "E5", "after": "E5"}, "E6(no3)"),
        ("3x2210", {"before": "Am", "after": "F"}, "Am/G"), ("xx2213", {}, "Am7/E"),
        ("xx2213", {"before": "G7", "after": "C", "key": "C major"}, "C6/E"),
        ("x4546x", {"before": "Dm7", "after": "Cmaj7"}, "Db7(#11)"),
        ("xx3455", {"before": "Dm7", "after": "Cmaj7"}, "G13"), ("xx3455", {}, "Fmaj7(#11)"),
        ("x23200", {"key": "A minor"}, "Fmaj7(#11)/B"),
        ("3x3444", {"key": "C minor"}, "G7(b9,b13)"), ("3x344x", {"key": "C minor"}, "G7(b13)"),
        ("1x120x", {"key": "C major"}, "F7(#11)"), ("x2323x", {"key": "C major"}, "Bm7(b5)"),
    ],
)  # fmt: skip
def test_key_and_neighbours_weigh_in(grip: str, where: dict[str, str], symbol: str) -> None:
    """C6 at rest, Am7 on its way; letters by key; diminished sevenths by where they go."""
    assert name(best(grip, **where)) == symbol


def test_a_strict_spelling_keeps_double_accidentals() -> None:
    """The seventh of a diminished seventh on D sharp's enharmonic neighbour."""
    grip = parse_grip("xx1212")
    after = parse_symbol("Dm7")
    letters = {
        strict: [t.note.name for t in readings(grip, after=after, strict=strict)[0].tones]
        for strict in (False, True)
    }
    assert letters[True] == ["Eb", "Bbb", "Dbb", "Gb"]
    assert all(len(letter) < 3 for letter in letters[False])


@pytest.mark.parametrize(
    ("grip", "names"),
    [
        ("xx2333", "Em7(b5) C9 Gm6/E"), ("x35555", "C6 Am7/C Fmaj9"),
        ("xx2433", "Em7 G6/E Cmaj9"), ("xx1333", "Ebmaj7 Cm9"), ("xx3455", "Fmaj7(#11) G13"),
        ("7x67xx", "G#dim/B Bm6 E7"),
    ],
)  # fmt: skip
def test_the_first_three_say_different_things(grip: str, names: str) -> None:
    """On the bass, on another note that sounds, and on one that a bass player may add."""
    three = [name(reading) for reading in readings(parse_grip(grip))[:3]]
    assert three[0] == names.split()[0]
    assert set(names.split()) <= set(three)


@pytest.mark.parametrize(
    ("grip", "told"),
    [
        ("xx3444", "Db9 G7(#5,b9) G7(b9,b13)"), ("x32010", ""),
        ("xx4556", "F#7(#11) D9(#5) D9(b13) Ab9(#5) Ab9(b13)"),
    ],
)  # fmt: skip
def test_the_best_tells_what_else_is_the_same_sound(grip: str, told: str) -> None:
    """Its root with another name for a doubtful note, and chords whose root does not sound."""
    best_reading, *others = readings(parse_grip(grip))
    assert set(best_reading.also) == set(told.split())
    for reading in others:
        roots = {parse_symbol(text).root.pc for text in reading.also}
        assert roots <= {reading.root.pc}


def test_a_diminished_seventh_tells_a_dominant_whose_root_it_lacks() -> None:
    """Edim7 is C7(b9) without C; its other inversions say nothing new."""
    three = [name(reading) for reading in readings(parse_grip("xx2323"))[:3]]
    assert three[:2] == ["Edim7", "C7(b9)"] and "dim" not in three[2]


@pytest.mark.parametrize(
    ("tuning", "grip", "symbol"),
    [
        ("D2 A2 D3 F#3 A3 D4", "x02220", "E7/A"), ("D2 A2 D3 G3 A3 D4", "x04000", "Dadd11/A"),
        ("E2 A2 D3 G3 B3 E4", "3x355x", "G13sus4"), ("G4 C4 E4 A4", "0203", "Cadd9"),
    ],
)  # fmt: skip
def test_where_notes_lie_decides(tuning: str, grip: str, symbol: str) -> None:
    """V7 over its tonic; a sixth under the seventh; a ninth that only happens to be lowest."""
    assert name(best(grip, make_neck(parse_tuning(tuning)))) == symbol


def test_a_natural_fifth_makes_the_tritone_a_tension() -> None:
    """With it a sharp eleven, without it a flat five."""
    told = {
        grip: {t.degree.text for t in best(grip).tones if (t.midi - best(grip).root.pc) % 12 == 6}
        for grip in ("x34343", "x3435x")
    }
    assert told == {"x34343": {"#11"}, "x3435x": {"b5"}}


@settings(max_examples=150, deadline=None)
@given(frets)
def test_letters_stand_as_far_apart_as_degrees_say(given_frets: list[int | None]) -> None:
    """Strictly spelled, each tone is its degree above the root, and no maj7 has a flat five."""
    for reading in readings(Grip(tuple(given_frets)), strict=True):
        texts = {tone.degree.text for tone in reading.tones}
        assert not {"3", "b5", "7"} <= texts
        for tone in reading.tones if reading.symbol else ():
            steps = (tone.note.step - reading.root.step) % 7
            assert steps == (tone.degree.number - 1) % 7


@settings(max_examples=100, deadline=None)
@given(frets)
def test_no_bass_is_an_altered_name_of_a_white_key(given_frets: list[int | None]) -> None:
    """Without a key: no B sharp, E sharp, C flat or F flat after the slash; none if rootless."""
    for reading in readings(Grip(tuple(given_frets))):
        if reading.symbol is not None:
            assert reading.bass.name not in ("B#", "E#", "Cb", "Fb")
            assert Degree(1) not in reading.omits or reading.symbol.bass is None
