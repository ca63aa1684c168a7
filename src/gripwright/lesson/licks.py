"""The lick lane: single notes, as they are said.

``13on2`` is fret 13 on string 2; ``13on2+12on3`` sound together. A mark before a note says how
it is reached from the one before it on its string: ``>`` slide, ``h`` hammer-on, ``p``
pull-off, ``r`` release, ``_`` tied. ``5>7on3`` does both in one step, half each (a ``_``
after it lengthens the last). ``7b9on3`` is
bent up until fret 9 is heard; ``xon3`` is dead; after the string come ``~`` vibrato, ``*`` a
natural harmonic, ``**`` a touched one, ``=C`` a fixed spelling. ``pm{ ... }`` is palm mute,
``ring{ ... }`` let ring.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from gripwright.errors import NoteError
from gripwright.lesson.grid import Laid, Ruler, lay_out
from gripwright.lesson.marks import DOUBT, parse_doubt
from gripwright.lesson.model import LickNote, Technique, note_order
from gripwright.lesson.source import Report, Token
from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.theory.pitch import parse_note

REACHED: dict[str, Technique] = {">": "slide", "h": "hammer", "p": "pull", "r": "release"}
SPANS: dict[str, Technique] = {"pm{": "palm-mute", "ring{": "let-ring"}
AFTER: dict[str, Technique] = {"~": "vibrato", "*": "natural-harmonic", "**": "touch-harmonic"}
_ONE = r"x?\d{0,2}(?:b\d{1,2})?"
_NOTE = re.compile(
    rf"(?P<tie>_)?(?P<chain>[>hpr]?{_ONE}(?:[>hpr]{_ONE})*)on(?P<string>\d)"
    rf"(?P<after>(?:\*{{1,2}}|~)*)(?:=(?P<spelling>[A-G](?:##|bb|#|b|♯|♭)?))?(?P<doubt>{DOUBT})?"
)
_LINK = re.compile(r"([>hpr]?)(x?)(\d{0,2})(?:b(\d{1,2}))?")


class LickLane:
    """Read the lick cells of one line, in order: spans go over the barline."""

    def __init__(self, neck: Neck, report: Report) -> None:
        self.neck = neck
        self.report = report
        self.open: list[tuple[Token, Technique]] = []
        self.sounding: tuple[LickNote, ...] = ()

    def read(self, items: Sequence[Token], ruler: Ruler) -> tuple[LickNote, ...]:
        """Return the notes of a bar, those that sound together bass side first."""
        notes: list[LickNote] = []
        last: list[LickNote] = []
        for laid in lay_out(items, ruler, self.report):
            if not laid.length:
                self._span(laid.token)
                continue
            last = self._item(laid)
            notes.extend(last)
        end = max((note.offset + note.length for note in last), default=Fraction(0))
        self.sounding = tuple(n for n in last if n.offset + n.length == end == ruler.length)
        return tuple(sorted(notes, key=note_order))

    def finish(self) -> None:
        """Report spans that nothing closed."""
        for token, _ in self.open:
            self.report.add("span-open", token, f"{token.text!r} is not closed", "end it with }")

    def _span(self, token: Token) -> None:
        if token.text in SPANS:
            self.open.append((token, SPANS[token.text]))
        elif token.text == "}" and self.open:
            self.open.pop()
        else:
            self.report.add(
                "span", token, f"{token.text!r} opens or closes nothing",
                "write pm{ ... } for palm mute or ring{ ... } for let ring",
            )  # fmt: skip

    def _item(self, laid: Laid) -> list[LickNote]:
        if laid.token.text in (".", "rest", "..."):
            return []
        if laid.token.text == "_":
            self._nothing_before(laid.token)
            return []
        found: list[LickNote] = []
        at = laid.token.start
        for word in laid.token.text.split("+"):
            found.extend(self._notes(Token(word, at), laid))
            at += len(word) + 1
        return found

    def _nothing_before(self, token: Token) -> None:
        """Report a ``_`` that starts a bar, with the tied notes to write instead."""
        again = "+".join(f"_{note.fret}on{note.string}" for note in self.sounding)
        self.report.add(
            "no-note-before", token, "'_' has no note before it in its bar to ring on",
            f"write the tied note: {again}" if again else "write the note, or . for silence",
        )  # fmt: skip

    def _notes(self, token: Token, laid: Laid) -> list[LickNote]:
        """Return the notes of one word; a chain shares its first step equally."""
        match = _NOTE.fullmatch(token.text)
        if match is None or not self._string_is_there(match["string"], token):
            if match is None:
                self.report.add(
                    "note", token, f"{token.text!r} is no note",
                    "write fret and string, such as 13on2, x for a dead note, . for silence",
                )  # fmt: skip
            return []
        links = [link for link in _LINK.finditer(match["chain"]) if link[0]]
        step = laid.step / len(links)
        notes = []
        for index, link in enumerate(links):
            note = self._note(link, match, token, first=index == 0)
            if note is None:
                return []
            notes.append(replace(note, offset=laid.offset + index * step, length=step))
        last = replace(notes[-1], length=step + laid.length - laid.step)
        after = tuple(AFTER[sign] for sign in re.findall(r"\*{1,2}|~", match["after"]))
        doubt = parse_doubt(match["doubt"]) if match["doubt"] else None
        notes[-1] = replace(last, spelling=match["spelling"], doubt=doubt)
        spans = tuple(dict.fromkeys(name for _, name in self.open))
        last_index = len(notes) - 1
        return [
            replace(n, techniques=(*n.techniques, *(after if i == last_index else ()), *spans))
            for i, n in enumerate(notes)
        ]

    def _string_is_there(self, text: str, token: Token) -> bool:
        if 1 <= int(text) <= len(self.neck):
            return True
        self.report.add(
            "string", token, f"there is no string {text}, this tuning has {len(self.neck)}",
            f"use strings 1 (treble side) to {len(self.neck)}",
        )  # fmt: skip
        return False

    def _note(
        self, link: re.Match[str], match: re.Match[str], token: Token, *, first: bool
    ) -> LickNote | None:
        mark, dead, digits, bend = link.groups()
        if not digits and not dead:
            self.report.add("note", token, f"{token.text!r} lacks a fret", "write it, as in 13on2")
            return None
        string = int(match["string"])
        fret = int(digits or 0)
        top = MAX_FRET - self.neck.stops[len(self.neck) - string]
        if max(fret, int(bend or 0)) > top + (12 if bend else 0) or fret > top:
            self.report.add(
                "fret", token, f"fret {max(fret, int(bend or 0))} is past the neck's end",
                f"use frets 0 to {top}",
            )  # fmt: skip
            return None
        if bend and int(bend) <= fret:
            self.report.add(
                "bend", token, f"a bend goes up: fret {bend} is not above {fret}",
                "write the fret that is heard at the top, such as 7b9on3",
            )  # fmt: skip
            return None
        if match["spelling"] and first and not self._spelling_fits(match, link, token):
            return None
        how = (REACHED[mark],) if mark else ()
        kind: tuple[Technique, ...] = (*how, *(("dead",) if dead else ()))
        techniques = (*kind, *(("bend",) if bend else ()))
        tied = bool(match["tie"]) and first
        return LickNote(
            Fraction(0), Fraction(0), string, fret, techniques, int(bend) if bend else None,
            tied=tied,
        )  # fmt: skip

    def _spelling_fits(self, match: re.Match[str], link: re.Match[str], token: Token) -> bool:
        """Check that the fixed spelling is the note that the last fret of the chain sounds."""
        last = re.findall(r"\d+", match["chain"])[-1]
        midi = self.neck.midi(len(self.neck) - int(match["string"]), int(last))
        try:
            fits = parse_note(match["spelling"]).pc == midi % 12
        except NoteError:
            fits = False
        if not fits:
            self.report.add(
                "spelling", token,
                f"fret {last} of string {match['string']} is no {match['spelling']}",
                "leave the spelling out, or mend the fret",
            )  # fmt: skip
        return fits
