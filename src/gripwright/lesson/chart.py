"""The chart lane: the chords of a bar.

A chord lasts a beat, ``/`` strikes it again, ``_`` lets it ring on, ``rest`` (or ``.``) is
silence; alone in its bar, a chord fills it. ``<C9`` arrives half a beat early, ``<<C9`` a
quarter; ``C9?1:12`` is a doubt with its place in the record; ``C9@lift`` is a label for prose.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from gripwright.lesson.chords import GripBook
from gripwright.lesson.grid import Ruler, lay_out, push_length
from gripwright.lesson.marks import DOUBT, LABEL, parse_doubt
from gripwright.lesson.model import Chord, ChordEvent
from gripwright.lesson.source import Report, Span, Token

ITEM = re.compile(rf"(<{{0,2}})(.+?)({DOUBT})?(?:@({LABEL}))?")


@dataclass(slots=True)
class Labels:
    """The labels of a lesson and where each stands."""

    places: dict[str, Span] = field(default_factory=dict)

    def claim(self, label: Token, report: Report) -> None:
        """Take a label; a second one of the same name is a problem."""
        if label.text in self.places:
            line, _ = report.place(self.places[label.text].start)
            report.add(
                "label-twice", label, f"the label {label.text!r} is already on line {line}",
                "give each label once",
            )  # fmt: skip
        else:
            self.places[label.text] = label.span


class ChartLane:
    """Read the chord cells of one part, in order: a bar may go on from the one before."""

    def __init__(self, book: GripBook, labels: Labels, report: Report) -> None:
        self.book = book
        self.labels = labels
        self.report = report
        self.last: Chord | None = None

    def read(
        self, items: Sequence[Token], ruler: Ruler
    ) -> tuple[tuple[ChordEvent, ...], tuple[Span, ...]]:
        """Return the events of a bar and where each stands."""
        events: list[ChordEvent] = []
        spans: list[Span] = []
        for laid in lay_out(items, ruler, self.report):
            event = self._event(laid.token, laid.offset, laid.length, ruler)
            if event is not None:
                events.append(event)
                spans.append(laid.token.span)
        return tuple(events), tuple(spans)

    def _event(
        self, token: Token, offset: Fraction, length: Fraction, ruler: Ruler
    ) -> ChordEvent | None:
        match = ITEM.fullmatch(token.text)
        if match is None or match[2][0] in "<?@":
            self.report.add(
                "chord", token, f"{token.text!r} is no chord",
                "write < or << right before a chord, ? or @label right after it",
            )  # fmt: skip
            return None
        if match[4]:
            self.labels.claim(Token(match[4], token.start + match.start(4)), self.report)
        push = push_length(ruler.metre, len(match[1])) if match[1] else Fraction(0)
        body = Token(match[2], token.start + match.start(2))
        if body.text in ("rest", "."):
            return ChordEvent(offset, length, None, push, label=match[4])
        struck = body.text != "_"
        if body.text in ("/", "_"):
            chord = self._again(body)
        else:
            doubt = parse_doubt(match[3]) if match[3] else None
            chord = self.book.chord(body, doubt)
        if chord is None:
            return None
        self.last = chord
        return ChordEvent(offset, length, chord, push, struck, match[4])

    def _again(self, token: Token) -> Chord | None:
        if self.last is None:
            self.report.add(
                "no-chord-before", token, f"{token.text!r} has no chord before it in this part",
                "name the chord here",
            )  # fmt: skip
        return self.last
