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
from fractions import Fraction

from gripwright.lesson.grid import Laid, Ruler, lay_out
from gripwright.lesson.marks import DOUBT, parse_doubt
from gripwright.lesson.model import LickNote, Technique, note_order
from gripwright.lesson.source import Report, Token
from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.theory.pitch import parse_note

REACHED: dict[str, Technique] = {">": "slide", "h": "hammer", "p": "pull", "r": "release"}
SPANS: dict[str, Technique] = {"pm{": "palm-mute", "ring{": "let-ring"}
MAX_BEND = 6  # semitones; four is already rare on any string
AFTER: dict[str, Technique] = {"~": "vibrato", "*": "natural-harmonic", "**": "touch-harmonic"}
_ONE = r"x?[0-9]{0,2}(?:b[0-9]{1,2})?"
_NOTE = re.compile(
    rf"(?P<tie>_)?(?P<chain>[>hpr]?{_ONE}(?:[>hpr]{_ONE})*)on(?P<string>[0-9])"
    rf"(?P<after>(?:\*{{1,2}}|~)*)(?:=(?P<spelling>[A-G](?:##|bb|#|b|♯|♭)?))?(?P<doubt>{DOUBT})?"
)
_LINK = re.compile(r"([>hpr]?)(x?)([0-9]{0,2})(?:b([0-9]{1,2}))?")


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
        string = int(match["string"])
        if not all(self._link_is_right(link, string, token) for link in links):
            return []
        if match["spelling"] and not self._spelling_fits(match["spelling"], links[-1], token):
            return []
        return self._built(links, match, laid)

    def _built(
        self, links: Sequence[re.Match[str]], match: re.Match[str], laid: Laid
    ) -> list[LickNote]:
        """Return the notes of a chain whose parts are all right."""
        after = tuple(AFTER[sign] for sign in re.findall(r"\*{1,2}|~", match["after"]))
        spans = tuple(dict.fromkeys(name for _, name in self.open))
        step = laid.step / len(links)
        at = laid.offset
        notes = []
        for link in links:
            last = link is links[-1]
            notes.append(LickNote(
                at, laid.offset + laid.length - at if last else step, int(match["string"]),
                int(link[3] or 0), (*_how(link), *(after if last else ()), *spans),
                int(link[4]) if link[4] else None, match["spelling"] if last else None,
                tied=bool(match["tie"]) and link is links[0],
                doubt=parse_doubt(match["doubt"]) if last and match["doubt"] else None,
            ))  # fmt: skip
            at += step
        return notes

    def _string_is_there(self, text: str, token: Token) -> bool:
        if 1 <= int(text) <= len(self.neck):
            return True
        self.report.add(
            "string", token, f"there is no string {text}, this tuning has {len(self.neck)}",
            f"use strings 1 (treble side) to {len(self.neck)}",
        )  # fmt: skip
        return False

    def _link_is_right(self, link: re.Match[str], string: int, token: Token) -> bool:
        """Check the fret and the bend of one note of a chain."""
        _, dead, digits, bend = link.groups()
        if not digits and not dead:
            self.report.add("note", token, f"{token.text!r} lacks a fret", "write it, as in 13on2")
            return False
        fret = int(digits or 0)
        top = MAX_FRET - self.neck.stops[len(self.neck) - string]
        if fret > top:
            self.report.add(
                "fret", token, f"fret {fret} is past the neck's end", f"use frets 0 to {top}"
            )
            return False
        if bend and not fret < int(bend) <= fret + MAX_BEND:
            self.report.add(
                "bend", token, f"a bend from fret {fret} is not heard at fret {bend}",
                f"write the fret that is heard at the top, {fret + 1} to {fret + MAX_BEND}",
            )  # fmt: skip
            return False
        return True

    def _spelling_fits(self, spelling: str, link: re.Match[str], token: Token) -> bool:
        """Check that a fixed spelling is the note that the fret sounds, unbent."""
        string = int(token.text.partition("on")[2][0])
        fret = int(link[3] or 0)
        midi = self.neck.midi(len(self.neck) - string, fret)
        fits = parse_note(spelling).pc == midi % 12
        if not fits:
            self.report.add(
                "spelling", token, f"fret {fret} of string {string} is no {spelling}",
                "leave the spelling out, or mend the fret",
            )  # fmt: skip
        return fits


def _how(link: re.Match[str]) -> tuple[Technique, ...]:
    """Return how a note is reached and made."""
    reached = (REACHED[link[1]],) if link[1] else ()
    dead: tuple[Technique, ...] = ("dead",) if link[2] else ()
    bend: tuple[Technique, ...] = ("bend",) if link[4] else ()
    return (*reached, *dead, *bend)
