"""Chords as written: the grips set out once, and chords named in the chart.

A ``grips`` block has a line a grip, its name first, and where wanted its fingers beneath in
the same places::

    Am9    5x555x        name and grip
           2.333.        fingers: T 1 2 3 4, a dot for none
    Am9'   x02413        a second voicing of the same symbol
    cloud  x32430=Cmaj9  a name that is no symbol, and what it says
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import replace
from typing import cast

from gripwright.errors import GripError, SymbolError
from gripwright.lesson.capo import moved
from gripwright.lesson.lexer import Block
from gripwright.lesson.marks import DOUBT, parse_doubt
from gripwright.lesson.model import Chord, Doubt, Finger
from gripwright.lesson.source import Node, Report, Span, Token
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.theory.symbol import ChordSymbol, nearest_symbol, parse_symbol

MAX_NAME = 40  # characters of a grip's name
WORDS = frozenset({"/", "_", ".", "...", "rest", "same", "by"})
_GRIP_LIKE = re.compile(r"(?=.*[0-9xX])[xX0-9-]{3,}")
_DOUBTED = re.compile(rf"(.+?)({DOUBT})?")
_FINGERS = re.compile(r"[T1-4.\-]+")


class GripBook:
    """The chords that a lesson sets out, by name, and the reading of chords in the chart.

    ``names_up`` is how many semitones a symbol sounds above its writing, where names are of
    shapes under a capo.
    """

    def __init__(self, neck: Neck, report: Report, *, names_up: int = 0) -> None:
        self.neck = neck
        self.report = report
        self.names_up = names_up
        self.entries: dict[str, Chord] = {}
        self.spans: dict[Node, Span] = {}
        self._by_symbol: dict[ChordSymbol, Chord] = {}

    def read_block(self, block: Block) -> None:
        """Read a ``grips`` block."""
        name: str | None = None
        for line in block.lines:
            words = [Token(m[0], line.start + m.start()) for m in re.finditer(r"\S+", line.text)]
            if not words:
                continue
            if line.text[0] in " \t" and len(words) == 1:
                self._fingers(words[0], name)
            else:
                name = self._entry(words)

    def _entry(self, words: list[Token]) -> str | None:
        """Read a line that sets out a grip; return its name."""
        name = words[0]
        if len(words) != 2:
            self.report.add(
                "grip-line", name, "a line of grips has a name and a grip",
                "write a name, then the grip, such as: Am9  5x555x",
            )  # fmt: skip
            return None
        if not self._name_is_free(name):
            return None
        match = _DOUBTED.fullmatch(words[1].text)
        assert match
        chord = self._joined(Token(match[1], words[1].start), name.text)
        if chord is None:
            return None
        if chord.symbol is None:
            chord = replace(chord, symbol=self._symbol(name.text.rstrip("'")))
        doubt = parse_doubt(match[2]) if match[2] else None
        self.entries[name.text] = replace(chord, doubt=doubt)
        if chord.symbol and "'" not in name.text:
            self._by_symbol.setdefault(chord.symbol, self.entries[name.text])
        self.spans["grip", name.text] = Span(name.start, words[1].span.end)
        return name.text

    def _name_is_free(self, name: Token) -> bool:
        if name.text in self.entries:
            self.report.add(
                "grip-twice", name, f"the grip {name.text!r} is set out twice",
                f"call the second voicing {name.text}'",
            )  # fmt: skip
            return False
        if name.text in WORDS or re.search(r"[?@<=|{}]|^\(", name.text):
            self.report.add(
                "grip-name", name, f"{name.text!r} cannot be the name of a grip",
                "use a chord symbol or a plain word",
            )  # fmt: skip
            return False
        if len(name.text) > MAX_NAME:
            self.report.add(
                "grip-name", name,
                f"the name of this grip has {len(name.text):,} characters, a page has room for "
                f"{MAX_NAME}", "use a chord symbol or a short word",
            )  # fmt: skip
            return False
        return True

    def _fingers(self, token: Token, name: str | None) -> None:
        """Read a line of fingers beneath the grip ``name``."""
        chord = self.entries.get(name or "")
        if chord is None or chord.grip is None:
            if name is not None or not self.entries:
                self.report.add(
                    "fingers", token, "these fingers have no grip above them",
                    "put them right beneath the line of their grip",
                )  # fmt: skip
            return
        grip = chord.grip
        signs = token.text.replace("-", "")
        if not _FINGERS.fullmatch(token.text) or len(signs) != len(grip):
            self.report.add(
                "fingers", token,
                f"fingers need one sign for each of the {len(grip)} places of {grip.text}",
                "write T 1 2 3 4, and a dot where no finger is",
            )  # fmt: skip
            return
        for fret, sign in zip(grip.frets, signs, strict=True):
            if sign != "." and not fret:
                self.report.add(
                    "fingers", token, f"finger {sign} is on a string that {grip.text} leaves open",
                    "write a dot there",
                )  # fmt: skip
                return
        fingers = tuple(cast(Finger, sign) if sign != "." else None for sign in signs)
        self.entries[chord.name] = replace(chord, fingers=fingers)
        if chord.symbol and self._by_symbol.get(chord.symbol) == chord:
            self._by_symbol[chord.symbol] = self.entries[chord.name]
        self.spans["fingers", chord.name] = token.span

    def chord(self, token: Token, doubt: Doubt | None) -> Chord | None:
        """Return the chord that a word of the chart names; a problem and None if it is none."""
        chord = self.entries.get(token.text)
        if chord is None and (_GRIP_LIKE.fullmatch(token.text) or "=" in token.text):
            chord = self._joined(token, token.text)
        elif chord is None:
            chord = self._by_name(token)
        if chord is not None and doubt is not None:
            chord = replace(chord, doubt=doubt)
        return chord

    def _by_name(self, token: Token) -> Chord | None:
        plain = token.text.rstrip("'")
        symbol = self._symbol(plain)
        if symbol is not None and plain == token.text:
            return self._by_symbol.get(symbol) or Chord(token.text, symbol)
        near = difflib.get_close_matches(token.text, [*self.entries, "rest", "same"], 2, 0.6)
        guess = [*near, *_some(nearest_symbol(plain) if symbol is None else plain)]
        what = "voicing set out" if symbol else "grip set out, nor a chord symbol"
        self.report.add(
            "chord", token, f"{token.text!r} is no {what}",
            f"perhaps {' or '.join(dict.fromkeys(guess))}" if guess
            else "set it out in a grips block, or write a symbol such as Cmaj7",
        )  # fmt: skip
        return None

    def _symbol(self, text: str) -> ChordSymbol | None:
        """Return what a name says sounds, None if it is no symbol."""
        try:
            return moved(parse_symbol(text), self.names_up)
        except SymbolError:
            return None

    def _joined(self, token: Token, name: str) -> Chord | None:
        """Read a grip, or a grip and what it says, ``5x555x=Am7``."""
        text, equals, said = token.text.partition("=")
        grip = self.grip(Token(text, token.start))
        symbol: ChordSymbol | None = None
        if equals:
            at = Token(said, token.start + len(text) + 1)
            try:
                symbol = moved(parse_symbol(said), self.names_up)
            except SymbolError as error:
                self.report.add_error("symbol", at, error)
                return None
        return None if grip is None else Chord(name, symbol, grip)

    def grip(self, token: Token) -> Grip | None:
        """Return a grip of this neck; a problem and None if it is none."""
        strings = len(self.neck)
        try:
            grip = parse_grip(token.text, strings)
        except GripError as error:
            remedy = error.remedy
            if str(error.remedy) == f"give {strings} places":
                remedy = _too_many(token.text, strings)
            self.report.add("grip", token, error.message, remedy)
            return None
        for index, fret in enumerate(grip.frets):
            if fret and fret + self.neck.stops[index] > MAX_FRET:
                self.report.add(
                    "grip", token,
                    f"fret {fret} of grip {grip.text!r} is past the neck's end: with the capo "
                    f"at {self.neck.stops[index]} it is fret {fret + self.neck.stops[index]}",
                    f"use frets up to {MAX_FRET - self.neck.stops[index]}",
                )  # fmt: skip
                return None
        return grip


def _too_many(text: str, strings: int) -> str:
    """Return what to do about a grip with too many places: drop an x on the thumb side."""
    signs = text.split("-") if "-" in text else list(text)
    spare, kept = signs[: len(signs) - strings], signs[len(signs) - strings :]
    if all(sign in "xX" for sign in spare):
        joined = ("-" if any(len(sign) > 1 for sign in kept) else "").join(kept)
        return f"take the x on the thumb side out: {joined}"
    return f"give {strings} places, or set a tuning of {len(signs)} strings"


def _some(text: str | None) -> Iterable[str]:
    return (text,) if text else ()
