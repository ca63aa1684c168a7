"""Music heard again higher: common practice, no source."""

from gripwright.harmony.facts import facts_of
from gripwright.harmony.key import find_keys
from gripwright.harmony.key_lifts import lifts_of
from gripwright.theory.symbol import parse_symbol

LOOP = [(0, "maj"), (9, "min"), (5, "maj"), (7, "7")]


def raised(by: int) -> list[tuple[int, str]]:
    """Return two laps of a loop, so many half steps higher."""
    return [((root + by) % 12, sort) for root, sort in LOOP * 2]


def test_a_chorus_a_half_step_higher_is_lifted_where_it_begins() -> None:
    """And again from there."""
    assert lifts_of(raised(0) + raised(1) + raised(2)) == [0] * 8 + [1] * 8 + [2] * 8


def test_what_comes_back_down_is_no_longer_lifted() -> None:
    """The music as it was first."""
    assert lifts_of(raised(0) + raised(3) + raised(0)) == [0] * 8 + [3] * 8 + [0] * 8


def test_a_riff_moved_by_a_fourth_is_not_lifted() -> None:
    """Blues and riffs move so within a key."""
    assert not any(lifts_of(raised(0) + raised(5) + raised(0)))


def test_too_little_to_know_again_is_not_lifted() -> None:
    """Two chords a whole step higher are heard in every sequence."""
    assert not any(lifts_of([(0, "maj"), (5, "maj")] * 4 + [(2, "maj"), (7, "maj")] * 4))


def test_the_key_rises_with_the_music() -> None:
    """A verse, then the same a half step higher, with the chords' own names."""
    text = "C F G7 C Am F G7 C " + "Db Gb Ab7 Db Bbm Gb Ab7 Db"
    chords = [facts_of(parse_symbol(symbol)) for symbol in text.split()]
    regions = find_keys(chords).regions
    assert [(one.key.name, one.start) for one in regions] == [("C major", 0), ("Db major", 8)]
