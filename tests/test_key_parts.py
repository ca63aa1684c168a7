"""What is heard in parts, and the keys of pieces in parts."""

from __future__ import annotations

import pytest

from gripwright.harmony.facts import facts_of
from gripwright.harmony.key import find_keys
from gripwright.harmony.key_events import Event, events_of, idiom_of
from gripwright.harmony.key_parts import clues_in_parts, clues_throughout
from gripwright.harmony.key_weights import table
from gripwright.theory.pitch import simple_note
from gripwright.theory.symbol import ChordSymbol, parse_symbol

# Cadences of a textbook kind in F, its dominant and its relative. Common practice, no source.
CHORALE = (
    "F C/E F Bb/D F/C C F F G7/B C F/A G7/D C/E Dm/F C/G G7 C "
    "A/C# Dm Gm/Bb Dm/A A7 Dm Bb Gm/Bb C7/Bb F/A Gm/Bb F/C C7 F"
)


def heard(text: str, lengths: list[float] | None = None) -> list[Event]:
    """Return chords as events."""
    symbols = text.split()
    return events_of(
        [facts_of(parse_symbol(one)) for one in symbols], lengths or [1.0] * len(symbols)
    )


def cadences(events: list[Event]) -> list[dict[str, int]]:
    """Return by event the cadences that it hears, each with the root of its goal."""
    return [
        {str(clue[0]): clue[1][0] for clues, _ in found for clue in clues  # type: ignore[misc]
         if str(clue[0]).startswith(("to ", "from "))}
        for found in clues_in_parts(events)
    ]  # fmt: skip


def test_each_chord_hears_the_cadence_ahead_and_the_one_behind() -> None:
    """From its own place up to the goal, which is named by how long it lasts."""
    found = cadences(heard("Dm/F G C Am/C D G", [1, 1, 4, 1, 1, 1]))
    assert found[0] == {"to long near": 0}
    assert found[2] == {"to long here": 0}
    assert found[3] == {"to short near": 7, "from long one off": 0}


@pytest.mark.parametrize("text", ["G/B C", "G C/E", "Gm C", "F C", "G Csus4", "G Bdim"])
def test_no_other_step_is_a_cadence(text: str) -> None:
    """It takes a major chord, a fifth down, and both roots in the bass."""
    assert cadences(heard(text)) == [{}, {}]


def test_the_notes_that_fill_a_piece_are_weighed_by_length() -> None:
    """Each chord's notes count by its part of the whole."""
    events = heard("C G/B", [3, 1])
    amounts = {pc: 0.0 for pc in range(12)}
    for clues, amount in clues_throughout(events):
        for name, mark in clues:
            if name == "holds":
                amounts[mark[0]] += amount  # type: ignore[index]
    assert {pc: amount for pc, amount in amounts.items() if amount} == {
        0: 0.75, 2: 0.25, 4: 0.75, 7: 1.0, 11: 0.25
    }  # fmt: skip


def test_both_ends_are_heard_all_along() -> None:
    """The first and the last chord count once, wherever one listens."""
    ends = [clues for clues, _ in clues_throughout(heard("C G/B Am")) if clues[0][0] == "opens"]
    assert ends == [(("opens", (0, "maj")), ("closes", (9, "min")))]


@pytest.mark.parametrize("steps", range(12))
def test_keys_of_parts_move_with_the_notes(steps: int) -> None:
    """A chorale in another key has the same regions there: home, dominant, relative, home."""
    chords = [facts_of(_moved(parse_symbol(text), steps)) for text in CHORALE.split()]
    assert idiom_of(events_of(chords, [1.0] * len(chords))) == "parts"
    found = [((r.key.tonic.pc - steps) % 12, r.key.mode) for r in find_keys(chords).regions]
    assert found == [(5, "major"), (0, "major"), (2, "minor"), (5, "major")]


def _moved(symbol: ChordSymbol, steps: int) -> ChordSymbol:
    bass = None if symbol.bass is None else simple_note((symbol.bass.pc + steps) % 12)
    return ChordSymbol(simple_note((symbol.root.pc + steps) % 12), symbol.quality, bass)


def test_the_table_knows_what_parts_hear() -> None:
    """Each kind of row is there."""
    words = {name.split()[0] for name in table("parts")["rows"]}
    assert {"chord", "bass", "long", "move", "first", "last"} < words
    assert {"to", "from", "holds", "opens", "closes"} < words
