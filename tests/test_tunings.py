"""Which tuning suits a song."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gripwright.errors import SearchError
from gripwright.neck.effort import Player
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, make_neck, parse_tuning
from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.arrange import Asked
from gripwright.voicing.changes import parse_changes
from gripwright.voicing.tunings import (
    COMMON_TUNINGS,
    Fit,
    lowest_needed,
    rank_tunings,
    song_necks,
)

HOME = Player()
DROP_D = make_neck(parse_tuning("D2 A2 D3 G3 B3 E4"))


def fit_of(fits: tuple[Fit, ...], neck: object) -> Fit:
    """Return the fit of one neck."""
    return next(fit for fit in fits if fit.neck == neck)


def test_fits_are_ranked_by_what_is_missing_then_by_effort() -> None:
    """The order never puts a tuning that reaches less before one that reaches more."""
    fits = rank_tunings(parse_changes("Dm7 G7 | Cmaj7"), HOME, song_necks(STANDARD_NECK))
    assert [fit.order for fit in fits] == sorted(fit.order for fit in fits)
    assert len({fit.neck for fit in fits}) == len(fits) > len(COMMON_TUNINGS)


def test_the_same_pitches_sound_in_every_tuning_that_reaches_them() -> None:
    """A fixed grip found elsewhere sounds exactly what it sounded at home."""
    grip = parse_grip("320003")
    want = sorted(sound.midi for sound in soundings(grip, STANDARD_NECK))
    fits = rank_tunings([Asked(None, grip)], HOME, song_necks(STANDARD_NECK))
    checked = 0
    for fit in fits:
        if fit.grips[0] is not None and not fit.lost:
            checked += 1
            assert sorted(s.midi for s in soundings(fit.grips[0], fit.neck)) == want
    assert checked >= 4


def test_what_is_left_out_is_inner_and_told() -> None:
    """Where not all pitches can be had, bass and top stay and the loss is counted."""
    grip = parse_grip("320003")
    fits = rank_tunings([Asked(None, grip)], HOME, song_necks(STANDARD_NECK))
    lossy = [fit for fit in fits if fit.lost]
    assert lossy
    for fit in lossy:
        assert fit.grips[0] is not None and "inner note" in fit.lost[0][1]
        midis = [sound.midi for sound in soundings(fit.grips[0], fit.neck)]
        assert (min(midis), max(midis)) == (43, 67)


def test_a_pitch_below_the_strings_is_not_reached() -> None:
    """With a capo at 5 the low G is gone, and the fit says so."""
    fits = rank_tunings([Asked(None, parse_grip("320003"))], HOME, [make_neck(capo=5)])
    assert fits[0].grips == (None,) and fits[0].effort == 1.0
    assert fits[0].unreached[0].text == "the pitches of 320003 cannot be reached"


def test_the_same_shapes_are_named_anew() -> None:
    """G kept as a shape sounds A with a capo at 2; Drop D gives its E shape a D in the bass."""
    asked = [Asked(parse_symbol("G"), parse_grip("320003"))]
    fits = rank_tunings(asked, HOME, [make_neck(capo=2), STANDARD_NECK], keep="shapes")
    assert fit_of(fits, make_neck(capo=2)).sounds == ((0, "A"),)
    assert fit_of(fits, STANDARD_NECK).sounds == ()
    assert fit_of(fits, make_neck(capo=2)).grips == (parse_grip("320003"),)


def test_symbols_find_their_own_grips_in_a_tuning() -> None:
    """In drop D a D with all six strings and a low D in the bass is there."""
    fits = rank_tunings([Asked(parse_symbol("D"))], HOME, [DROP_D])
    assert fits[0].grips[0] is not None and not fits[0].lost and not fits[0].unreached


def test_a_symbol_made_plainer_is_told_as_lost() -> None:
    """Four strings a fifth apart have no grip for seven notes."""
    neck = make_neck(parse_tuning("C2 G2 D3 A3"))
    fits = rank_tunings([Asked(parse_symbol("C13(#11,b9)"))], replace(HOME, neck=neck), [neck])
    assert fits[0].lost and "played as" in fits[0].lost[0][1]


def test_the_lowest_notes_that_a_song_needs() -> None:
    """From fixed grips their lowest pitch, from symbols the bass above the lowest string."""
    asked = [
        Asked(parse_symbol("D")),
        Asked(None, parse_grip("320003")),
        Asked(parse_symbol("C/E")),
    ]
    assert lowest_needed(asked, STANDARD_NECK) == (40, 43, 50)


def test_given_tunings_come_in_beside_the_common_ones() -> None:
    """A tuning that was given is tried first, and each neck once."""
    own = make_neck(parse_tuning("C2 G2 D3 A3 E4 G4"))
    necks = song_necks(STANDARD_NECK, [own, STANDARD_NECK])
    assert necks[0] == own and len(set(necks)) == len(necks)
    assert any(neck.capo is None for neck in necks)


def test_a_song_without_chords_is_refused() -> None:
    """There is nothing to fit."""
    with pytest.raises(SearchError, match="no chords to fit"):
        rank_tunings([], HOME, [STANDARD_NECK])
