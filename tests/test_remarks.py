"""Remarks: what is told, what is not, and that a verifier finds out a false one."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony import claims_changes
from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.explain import explain
from gripwright.harmony.facts import facts_of
from gripwright.harmony.remarks import MOMENTS, RUNS
from gripwright.harmony.remarks.passage import Place, Stop
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import ChordSymbol, parse_symbol

# (kind, changes, key, the chord it is told at). Textbook cases; common practice, no source.
CASES = [
    ("diatonic", "C F", "C major", 0),
    ("leading-note", "Am E7 Am", "A minor", 1),
    ("borrowed", "C Fm C", "C major", 1),
    ("borrowed", "C Ab Bb C", "C major", 1),
    ("secondary-dominant", "C A7 Dm G7", "C major", 1),
    ("secondary-dominant-unresolved", "C E7 F", "C major", 1),
    ("secondary-leading-tone", "C C#dim7 Dm", "C major", 1),
    ("tritone-substitute", "Dm7 Db7 Cmaj7", "C major", 1),
    ("backdoor", "Fm7 Bb7 Cmaj7", "C major", 1),
    ("augmented-sixth", "Cm Ab7 G", "C minor", 1),
    ("augmented-sixth", "Cm Ab7 Cm/G G7", "C minor", 1),
    ("neapolitan", "Cm Db/F G7 Cm", "C minor", 1),
    ("chromatic-mediant", "C Ab C", "C major", 1),
    ("common-tone-diminished", "C Cdim7 C", "C major", 1),
    ("passing-diminished", "Em Ebdim7 Dm", "C major", 1),
    ("six-four", "F C/G G7 C", "C major", 1),
    ("deceptive", "C Dm G7 Am", "C major", 2),
    ("minor-plagal", "C Fm C", "C major", 1),
    ("two-five-one", "Dm7 G7 Cmaj7", "C major", 0),
    ("turnaround", "Cmaj7 Am7 Dm7 G7 Cmaj7", "C major", 0),
    ("blues-dominant", "A7 D7 A7 E7 D7 A7", "A major", 0),
    ("suspension-resolves", "Gsus4 G C", "C major", 0),
    ("suspension-stays", "Gsus4 C", "C major", 0),
    ("pedal", "C F/C G/C C", "C major", 0),
    ("line", "Am Am(maj7) Am7 Am6", "A minor", 0),
    ("parallel", "Cmaj7 Ebmaj7 Gbmaj7 Amaj7", "C major", 0),
    ("bass-line", "C G/B Gm/Bb F/A Fm/Ab C/G", "C major", 0),
    ("variable-degree", "Am Am6", "A minor", 1),
    ("variable-degree", "Am E/G# C/G D/F# F E", "A minor", 3),
    ("picardy", "Am Dm E7 A", "A minor", 3),
    ("phrygian-major", "E F G F E", "E phrygian", 0),
    ("two-five-one", "Cm7 Ebm7 Ab7 Dbmaj7 Dm7b5 G7 Cm7", "C minor", 1),
    ("two-sub-one", "Dm7 Db7 Cmaj7", "C major", 0),
    ("tritone-substitute", "Cm Ab7 G7 Cm", "C minor", 1),
    ("thirds-cycle", "C E Ab C", "C major", 0),
    ("thirds-cycle", "Cm Abm Em Cm", "C minor", 0),
    ("borrowed", "C Db C", "C major", 1),
    ("thirds-cycle", "Bmaj7 D7 Gmaj7 Bb7 Ebmaj7 F#7 Bmaj7", "B major", 0),
    ("secondary-dominant", "Bmaj7 D7 Gmaj7 Bb7 Ebmaj7 F#7 Bmaj7", "B major", 1),
    ("dominant-chain", "C E7 A7 D7 G7 C", "C major", 1),
    ("dominant-chain", "Cmaj7 Eb7 D7 Db7 Cmaj7", "C major", 1),
    ("two-five", "C Am7 D7 G7 C", "C major", 1),
    ("two-five-unresolved", "C Am7 D7 Dm7 G7 C", "C major", 1),
    ("altered-dominant", "Dm7 G7(b9,b13) Cmaj7", "C major", 1),
    ("borrowed", "C Bdim7 C", "C major", 1),
    ("borrowed", "C D F C", "C major", 1),
    ("neapolitan", "Cm Db/F Cm/G G7 Cm", "C minor", 1),
    ("augmented-sixth", "Cm D7(b5)/Ab G Cm", "C minor", 1),
    ("passing-diminished", "F F#dim7 C/G", "C major", 1),
    ("passing-six-four", "C G/D C/E", "C major", 1),
    ("side-step", "Dm7 Ebm7 Dm7", "D minor", 1),
    ("mode-colour", "Dm7 G Dm7 G", "D dorian", 1),
    ("plagal", "C G F C", "C major", 2),
    ("phrygian-half-close", "Cm Fm/Ab G", "C minor", 1),
    ("flat-six-seven-one", "C Ab Bb C", "C major", 1),
    ("double-plagal", "C Bb F C", "C major", 1),
    ("andalusian", "Am G F E", "A minor", 0),
    ("andalusian", "Am G F E", "E phrygian", 0),
    ("line-through", "C C7 F Fm C", "C major", 1),
    ("bass-line", "C G/B Am C/G F C/E Dm G C", "C major", 0),
    ("constant-structure", "Cmaj7 Abmaj7 Bmaj7 Dmaj7 Dbmaj7 Cmaj7", "C major", 0),
    ("two-five-one", "C7 F7 C7 Dm7 G7 C7 F7 C7", "C major", 3),
    ("two-five", "C7 F7 C7 Gm7 C7 F7 C7", "C major", 3),
    ("parallel", "Cmaj7 Ebmaj7 Gbmaj7 Amaj7 Cmaj7", "C major", 0),
    ("two-five-one", "Dm7 G7sus4 G7 G7(b9) Cmaj7", "C major", 0),
    ("secondary-dominant", "A C#/E# C#7 F#m", "A major", 1),
    ("secondary-dominant", "C A A7 Dm", "C major", 1),
    ("tritone-substitute", "Dm7 Db7 Db9 Cmaj7", "C major", 1),
    ("circle", "Am Dm G C F Bdim E Am", "A minor", 0),
    ("lament", "Cm Cm/Bb Ab G", "C minor", 0),
    ("lament", "Cm G/B Cm7/Bb F/A Fm/Ab G7", "C minor", 0),
    ("four-over-five", "C F/G C", "C major", 1),
    ("leading-note", "Am C+ F E7 Am", "A minor", 1),
    ("turnaround", "Bb6 G7 Cm7 F7 Dm7", "Bb major", 0),
]
NOT_TOLD = [
    ("borrowed", "C A7 Dm", "C major"),
    ("secondary-dominant", "A7 D7 A7 E7 D7 A7", "A major"),
    ("tritone-substitute", "Cm Ab7 G", "C minor"),
    ("deceptive", "C G Am F", "C major"),
    ("suspension-resolves", "Gsus4 Gsus2", "C major"),
    ("pedal", "C C7 C", "C major"),
    ("parallel", "C F Bb", "C major"),
    ("line", "Am G F E", "A minor"),
    ("chromatic-mediant", "C E7 Am", "C major"),
    ("neapolitan", "C Db C", "C major"),
    ("augmented-sixth", "Cm Ab7 G7 Cm", "C minor"),
    ("parallel", "C E7 A7 D7 G7 C", "C major"),
    ("parallel", "C Ab Bb C", "C major"),
    ("parallel", "Dm Em F", "C major"),
    ("borrowed", "Cm Db/F G7 Cm", "C minor"),
    ("borrowed", "Am Am6 Am", "A minor"),
    ("picardy", "Am A Am", "A minor"),
    ("deceptive", "Am7 D9 Em7", "G major"),
    ("secondary-dominant-unresolved", "C E Ab C", "C major"),
    ("chromatic-mediant", "Am E/G# C/G D/F# F E", "A minor"),
    ("bass-line", "Am Ab7 G", "C major"),
    ("turnaround", "C E7 A7 D7 G7 C", "C major"),
    ("turnaround", "Am Am/G F#m7b5 Fmaj7 E7 Am", "A minor"),
    ("parallel", "Cmaj7 Eb7 D7 Db7 Cmaj7", "C major"),
    ("secondary-dominant-unresolved", "Cmaj7 Eb7 D7 Db7 Cmaj7", "C major"),
    ("chromatic-mediant", "C D F C", "C major"),
    ("chromatic-mediant", "Cmaj7 Ebmaj7 Gbmaj7 Amaj7 Cmaj7", "C major"),
    ("borrowed", "G Csus4 C", "G major"),
    ("borrowed", "C7 F7 C7 Gm7 C7 F7 C7", "C major"),
    ("passing-diminished", "C Bdim7/Ab G7 C", "C major"),
    ("secondary-dominant", "Cm D7(b5)/Ab G Cm", "C minor"),
    ("secondary-dominant-unresolved", "C Am7 D7 Dm7 G7 C", "C major"),
    ("secondary-leading-tone-unresolved", "Fmaj7 Em7b5 A7 Dm7", "F major"),
    ("plagal", "E9 A9 E9", "E major"),
    ("minor-plagal", "C Fm/Ab C/G G7 C", "C major"),
    ("line", "C C/B C/Bb F/A", "C major"),
    ("side-step", "C Db C", "C major"),
    ("circle", "C E7 A7 D7 G7 C F C", "C major"),
    ("neapolitan", "C Bb Am7/E A5 E", "A minor"),
    ("parallel", "Am F D B E Am", "A minor"),
    ("backdoor", "G7 F7 G7", "G mixolydian"),
    ("two-five-unresolved", "Em F#m7 B7 B7(#5)/D# Em", "E minor"),
    ("six-four", "D Gm/D D Gm/D D", "G minor"),
    ("circle", "C Am Dm G C", "C major"),
    ("lament", "Am G F E", "A minor"),
    ("four-over-five", "C F/G Am", "C major"),
    ("altered-dominant", "Am C+ F E7 Am", "A minor"),
    ("two-five-unresolved", "Cmaj7 Fm7 Bb7 Cmaj7", "C major"),
    ("two-five-unresolved", "Dm7 G7 Dm7 G7", "D dorian"),
    ("dominant-chain", "C7 F7 C7 G7 F7 C7", "C major"),
    ("constant-structure", "Cmaj7 Fmaj7 Cmaj7 Fmaj7", "C major"),
    ("line-through", "C Am F G C Am F G", "C major"),
    ("secondary-leading-tone-unresolved", "C F#m7b5 Fm6 C/E", "C major"),
    ("plagal", "C F C G", "C major"),
    ("double-plagal", "C Bb Fm C", "C major"),
    ("double-plagal", "C Bb F C/E", "C major"),
    ("flat-six-seven-one", "C Ab Bb C/G", "C major"),
    ("thirds-cycle", "C E Am", "C major"),
    ("side-step", "E7 F7 E7", "A minor"),
]


def kinds(changes: str, key: str) -> list[list[str]]:
    """Return the kinds told at each chord."""
    told = explain([parse_symbol(word) for word in changes.split()], key=parse_key(key))
    return [[remark.kind for remark in chord.remarks] for chord in told.chords]


@pytest.mark.parametrize(("kind", "changes", "key", "at"), CASES)
def test_a_textbook_case_is_told(kind: str, changes: str, key: str, at: int) -> None:
    """At the chord it is about."""
    assert kind in kinds(changes, key)[at]


@pytest.mark.parametrize(("kind", "changes", "key"), NOT_TOLD)
def test_what_only_looks_like_it_is_not_told(kind: str, changes: str, key: str) -> None:
    """A wrong remark is worse than none."""
    assert all(kind not in told for told in kinds(changes, key))


def test_every_kind_has_a_case_a_verifier_and_words() -> None:
    """No claim of this family goes unchecked."""
    told = {case[0] for case in CASES} | {
        "thread", "pivot", "direct", "shape-moved", "top-pedal",
        "secondary-leading-tone-unresolved",
    }  # fmt: skip
    assert set(claims_changes.KINDS) == told


def test_the_page_names_every_kind() -> None:
    """docs/harmony.md lists what remarks there are."""
    page = (Path(__file__).parents[1] / "docs" / "harmony.md").read_text(encoding="utf-8")
    kinds_told = set(claims_changes.KINDS) - {"thread"}
    assert kinds_told and all(
        f"`{kind.removesuffix('-unresolved')}`" in page for kind in kinds_told
    )


def claims_in(changes: str, key: str) -> list[Claim]:
    """Return all that the finders propose for changes in one key."""
    places = [Place(facts_of(parse_symbol(w)), parse_key(key)) for w in changes.split()]
    around = zip([None, *places], places, [*places[1:], None], strict=False)
    found = [claim for three in around for moments, _ in MOMENTS for claim in moments(*three)]
    stops = [Stop(index, place, place.chord) for index, place in enumerate(places)]
    return found + [claim for runs in RUNS for _, claim in runs(stops)]


def moved(symbol: ChordSymbol, steps: int) -> ChordSymbol:
    """Return a symbol with its root and bass on letters so many steps on."""
    root = dataclasses.replace(symbol.root, step=(symbol.root.step + steps) % 7)
    bass = symbol.bass and dataclasses.replace(symbol.bass, step=(symbol.bass.step + steps) % 7)
    return dataclasses.replace(symbol, root=root, bass=bass)


@pytest.mark.parametrize(
    ("kind", "changes", "key"),
    [
        case[:3]
        for case in CASES
        if case[0] not in ("diatonic", "pedal", "constant-structure") and "C7 F7" not in case[1]
    ],
)
def test_a_verifier_refuses_the_claim_of_another_first_chord(
    kind: str, changes: str, key: str
) -> None:
    """Move one chord of the subject by a letter at a time: some move must break the claim."""
    claims = [c for c in claims_in(changes, key) if c.name == kind and holds(c)]
    if kind == "blues-dominant":
        claims = [Claim("changes.blues-dominant", (parse_symbol("A7"),), (parse_key(key),))]
    assert claims
    for claim in claims:
        first, *rest = claim.subject
        wrong = [Claim(claim.kind, (moved(first, n), *rest), claim.args) for n in (1, 2, 4)]
        assert not all(holds(one) for one in wrong)


@pytest.mark.parametrize(
    ("kind", "right", "wrong", "args"),
    [("pedal", "C F/C C", "C F C", ()),
     ("constant-structure", "Cmaj7 Abmaj7 Bmaj7 Dmaj7", "Cmaj7 Abmaj7 Bm7 Dmaj7", ("C major",)),
     ("diatonic", "C", "Cm", ("C major",))],
)  # fmt: skip
def test_a_verifier_refuses_another_chord_in_the_middle(
    kind: str, right: str, wrong: str, args: tuple[str, ...]
) -> None:
    """Those that no other first chord breaks."""
    for text, true in ((right, True), (wrong, False)):
        symbols = tuple(parse_symbol(word) for word in text.split())
        claim = Claim(f"changes.{kind}", symbols, tuple(map(parse_key, args)))
        assert holds(claim) is true


def test_long_lists_are_told_in_short() -> None:
    """A pedal under twelve chords names the first and the last of them, each once."""
    changes = "C D/C F/C G/C Am/C Bb/C Dm/C Em/C Eb/C Ab/C"
    told = explain([parse_symbol(word) for word in changes.split()], key=parse_key("C major"))
    text = next(r.text for r in told.chords[0].remarks if r.kind == "pedal")
    assert "... A♭/C: a pedal point." in text and len(text) < 100


WORDS = (
    "C Cm C7 Cmaj7 Dm7 D7 Em E7 F Fm F7 G G7 Gsus4 Am Am7 A7 Bb Bb7 Bdim Bdim7 Bm7b5 Db7 Ab7 "
    "Eb C/G F/C G/B Ebdim7 Caug C5"
)
words = st.sampled_from(WORDS.split(" "))


@settings(max_examples=60, deadline=None)
@given(st.lists(words, min_size=1, max_size=12))
def test_whatever_is_told_is_true_of_the_notes(changes: list[str]) -> None:
    """Diatonic and borrowed remarks on random changes, against the notes by themselves."""
    told = explain([parse_symbol(word) for word in changes])
    for word, chord in zip(changes, told.chords, strict=True):
        inside = {note.pc for note in chord.key.notes}
        said = {remark.kind for remark in chord.remarks}
        assert not ({"diatonic", "borrowed"} <= said)
        if "diatonic" in said:
            assert parse_symbol(word).pcs <= inside
        if "borrowed" in said:
            assert not parse_symbol(word).pcs <= inside


@settings(max_examples=30, deadline=None)
@given(st.lists(words, min_size=2, max_size=8))
def test_every_sentence_can_be_said(changes: list[str]) -> None:
    """Each is one clean sentence with printed accidentals."""
    told = explain([parse_symbol(word) for word in changes])
    for chord in told.chords:
        for remark in chord.remarks:
            assert remark.text.endswith(".") and "  " not in remark.text
            assert "#" not in remark.text and "None" not in remark.text


def in_keys(*stretches: tuple[str, str]) -> list[str]:
    """Return the kinds told of stretches, each in its key."""
    keys = [parse_key(key) for changes, key in stretches for _ in changes.split()]
    symbols = [parse_symbol(word) for changes, _ in stretches for word in changes.split()]
    told = explain(symbols, key=keys)
    return [remark.kind for chord in told.chords for remark in chord.remarks]


def test_a_modulation_is_told_at_the_new_key() -> None:
    """By pivot where a chord belongs to both keys, directly where none does."""
    found = in_keys(("C F G7 C Am", "C major"), ("D G D7 G", "G major"))
    assert found.count("pivot") == 1 and "direct" not in found
    found = in_keys(("C F G7 C", "C major"), ("F# B C#7 F#", "F# major"))
    assert found.count("direct") == 1 and "pivot" not in found


def test_a_pivot_has_its_numeral_in_both_keys() -> None:
    """A minor is six in C and two in G; a false numeral is found out."""
    keys = (parse_key("C major"), parse_key("G major"))
    claim = Claim("changes.pivot", (parse_symbol("Am"),), (*keys, "vi", "ii"))
    assert holds(claim) and sentence(claim).endswith("which belongs to both as vi and ii")
    assert not holds(Claim("changes.pivot", (parse_symbol("Am"),), (*keys, "vi", "iii")))


def test_a_shape_that_moves_is_told_of_grips() -> None:
    """The same frets two higher, with no open string."""
    grips = [parse_grip("x35453"), parse_grip("x57675")]
    told = explain([parse_symbol("Cmaj7"), parse_symbol("Dmaj7")], grips=grips)
    assert "The same shape moves up 2 frets." in [r.text for r in told.chords[0].remarks]
    assert not holds(Claim("changes.shape-moved", (grips[0], grips[1]), (3,)))


def of_grips(text: str) -> list[str]:
    """Return the kinds told of named grips, ``x32010=C``."""
    changes = [word.split("=") for word in text.split()]
    told = explain(
        [parse_symbol(name) for _, name in changes],
        grips=[parse_grip(grip) for grip, _ in changes],
        key=parse_key("C major"),
    )
    return [remark.kind for chord in told.chords for remark in chord.remarks]


def test_a_note_that_stays_on_top_is_told_of_grips() -> None:
    """G on the first string over three roots; not where the top moves."""
    drone = "x32013=C 320003=G 002003=Em7"
    assert "top-pedal" in of_grips(drone)
    assert "top-pedal" not in of_grips(drone.replace("002003=Em7", "002000=Em7"))
    claim = Claim(
        "changes.top-pedal",
        tuple(parse_symbol(name) for name in ("C", "G", "Em7")),
        (tuple(parse_grip(grip) for grip in ("x32013", "320003", "002000")), STANDARD_NECK),
    )
    assert not holds(claim)


def test_a_line_of_grips_is_heard_in_one_octave() -> None:
    """A to F sharp on one string; with the last note an octave away it is no line."""
    line = "x02210=Am x02110=Am(maj7) x02010=Am7"
    assert "line" in of_grips(f"{line} x0x210=Am")
    assert "line" in of_grips(f"{line} x0421x=Am6")
    assert "line" not in of_grips("x02210=Am x0x114=Am(maj7) 3x221x=Am7")


def test_the_words_of_a_substitute() -> None:
    """Names the chord it stands for, spelled from the goal."""
    subject = (parse_symbol("Db7"), parse_symbol("Cmaj7"))
    claim = Claim("changes.tritone-substitute", subject, (parse_key("C major"),))
    assert holds(claim)
    assert sentence(claim) == (
        "D♭7 is the tritone substitute of G7: both have F and B, "
        "and the root falls a half step to C"
    )
