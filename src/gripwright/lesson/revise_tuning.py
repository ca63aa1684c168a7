"""Change a lesson's tuning: the same shapes, or the same pitches.

With ``keep="shapes"`` the frets stay and everything may sound different; with
``keep="pitches"`` every fret of grips and licks moves on its string so that each note sounds as
before, and fingers of a grip that changed go.
"""

from __future__ import annotations

import re
from typing import Literal

from gripwright.errors import InputError
from gripwright.lesson.chart import ITEM
from gripwright.lesson.edit import Edit, merged
from gripwright.lesson.revise_text import set_front
from gripwright.lesson.source import Span
from gripwright.lesson.text import Parsed
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import MAX_FRET, Tuning

Keep = Literal["shapes", "pitches"]
_STOPPED = re.compile(r"([>hprb0-9x]*[0-9][>hprb0-9x]*)on([0-9])")


def retune(text: str, parsed: Parsed, tuning: Tuning, *, keep: Keep) -> Edit:
    """Return the edit that gives the lesson another tuning.

    Raises InputError for another number of strings, and where a pitch lies off the new neck.
    """
    old = parsed.draft.neck.tuning
    if len(tuning) != len(old):
        raise InputError(
            f"the lesson has {len(old)} strings, this tuning {len(tuning)}", field="tuning",
            remedy="give a tuning of as many strings",
        )  # fmt: skip
    front = set_front(text, parsed, "tuning", tuning.text)
    changes = [(Span(front.start, front.end), front.text)]
    if keep == "pitches":
        moves = tuple(was - now for was, now in zip(old.midi, tuning.midi, strict=True))
        changes += _grips(text, parsed, moves)
        changes += _licks(text, parsed, moves)
    return merged(text, changes)


def _grips(text: str, parsed: Parsed, moves: tuple[int, ...]) -> list[tuple[Span, str]]:
    """Return the changes of grips set out and of grips that stand in the chart."""
    changes: list[tuple[Span, str]] = []
    for chord in parsed.draft.grips:
        assert chord.grip is not None
        new = _moved(chord.grip, moves)
        span = parsed.spans["grip", chord.name]
        if new == chord.grip:
            continue
        at = text.index(chord.grip.text, span.start + len(chord.name))
        changes.append((Span(at, at + len(chord.grip.text)), new.text))
        fingers = parsed.spans.get(("fingers", chord.name))
        if fingers is not None:
            start = text.rfind("\n", 0, fingers.start) + 1
            changes.append((Span(start, text.find("\n", fingers.end) + 1), ""))
    named = {chord.name for chord in parsed.draft.grips}
    for part in parsed.draft.parts:
        for index, bar in enumerate(part.bars):
            for place, event in enumerate(bar.chords):
                at_word = parsed.spans.get(("chord", part.name, index, place))
                chord_here = event.chord
                if at_word is None or chord_here is None or chord_here.grip is None:
                    continue
                match = ITEM.fullmatch(text[at_word.start : at_word.end])
                if match and match[2] == chord_here.name and chord_here.name not in named:
                    start = at_word.start + match.start(2)
                    length = len(match[2].partition("=")[0])
                    new_text = _moved(chord_here.grip, moves).text
                    changes.append((Span(start, start + length), new_text))
    return changes


def _licks(text: str, parsed: Parsed, moves: tuple[int, ...]) -> list[tuple[Span, str]]:
    strings = len(moves)

    def again(match: re.Match[str]) -> str:
        move = moves[strings - int(match[2])]
        frets = re.sub(r"[0-9]+", lambda digits: str(_on_neck(int(digits[0]) + move)), match[1])
        return f"{frets}on{match[2]}"

    cells = [span for node, span in parsed.spans.items() if node[0] == "lick"]
    told = [(span, text[span.start : span.end]) for span in cells]
    return [(span, _STOPPED.sub(again, cell)) for span, cell in told if cell]


def _moved(grip: Grip, moves: tuple[int, ...]) -> Grip:
    pairs = zip(grip.frets, moves, strict=True)
    return Grip(tuple(None if fret is None else _on_neck(fret + move) for fret, move in pairs))


def _on_neck(fret: int) -> int:
    if not 0 <= fret <= MAX_FRET:
        raise InputError(
            f"a note would lie at fret {fret} in the new tuning", field="tuning",
            remedy="keep the shapes, or find the chord another grip first",
        )  # fmt: skip
    return fret
