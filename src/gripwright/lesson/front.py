"""Front matter: ``field: value`` lines between two lines of ``---``.

Fields with a meaning of their own are `FIELDS`; other fields are kept as facts. A field that
is nearly a known one is taken for a slip.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, TypeVar

from gripwright.beats import Metre, parse_metre
from gripwright.errors import InputError
from gripwright.lesson.lexer import Block
from gripwright.lesson.marks import parse_length
from gripwright.lesson.source import Node, Report, Span, Token
from gripwright.neck.tuning import STANDARD, STANDARD_NECK, Neck, make_neck, parse_tuning
from gripwright.theory.scale import Key, parse_key

FIELDS = (
    "title", "tempo", "metre", "swing", "tuning", "capo", "names", "key", "pickup", "order", "hand",
)  # fmt: skip
FACTS = (
    "subtitle", "author", "language", "level", "scale-length-mm", "reference-hz", "hand-mm",
    "instrument", "record", "licence", "date", "left-handed", "loudness-lufs", "record-start-s",
)  # fmt: skip
LEVELS = ("1", "2", "3", "4", "5")
MAX_TITLE = 200  # characters of a title, subtitle or author
MAX_VISITS = 20_000  # of parts in an order, the most that is read
_LINE = re.compile(r"\s*([^\s:]+)\s*:\s*(.*?)\s*")
_VISIT = re.compile(r"(.*?)\s+x([1-9][0-9]?)")
T = TypeVar("T")


@dataclass(slots=True)
class Front:
    """What the front matter says; ``hand`` and ``order`` are checked against the parts later."""

    title: str = ""
    tempo_bpm: Fraction = Fraction(90)
    metre: Metre = field(default_factory=Metre)
    swing: Fraction = Fraction(1, 2)
    neck: Neck = STANDARD_NECK
    key: Key | None = None
    pickup: Fraction = Fraction(0)
    order: tuple[Token, ...] = ()
    hand: Token | None = None
    names: Literal["sound", "shape"] = "sound"
    facts: tuple[tuple[str, str], ...] = ()
    spans: dict[Node, Span] = field(default_factory=dict)


def read_front(block: Block | None, report: Report) -> Front:
    """Read the front matter; None is a file without any."""
    front = Front()
    if block is None:
        report.add(
            "front", Token(report.text[:1], 0), "the lesson has no front matter",
            "start with a line of ---, then title: ..., then ---",
        )  # fmt: skip
        return front
    values = _fields(block, front, report)
    if not values.get("title", Token("", 0)).text:
        report.add("title", Token("---", 0), "the lesson has no title", "write title: ...")
    front.title = values["title"].text if "title" in values else ""
    if "title" in values:
        _check_length(values["title"], "the title", report)
    read = _Reader(values, report)
    front.tempo_bpm = read("tempo", parse_tempo, front.tempo_bpm)
    front.metre = read("metre", parse_metre, front.metre)
    front.swing = read("swing", parse_swing, front.swing)
    front.key = read("key", _parse_key, front.key)
    front.pickup = read("pickup", lambda text: _parse_pickup(text, front.metre), front.pickup)
    tuning = read("tuning", parse_tuning, STANDARD)
    front.neck = read("capo", lambda text: make_neck(tuning, _stops(text)), make_neck(tuning))
    front.names = read("names", lambda text: _names(text, front.neck), front.names)
    front.order = _order(values["order"]) if "order" in values else ()
    front.hand = values.get("hand")
    return front


class _Reader:
    """Read fields of the front matter; a value that does not parse is a problem."""

    def __init__(self, values: dict[str, Token], report: Report) -> None:
        self.values = values
        self.report = report

    def __call__(self, name: str, parse: Callable[[str], T], default: T) -> T:
        token = self.values.get(name)
        if token is None:
            return default
        try:
            return parse(token.text)
        except InputError as error:
            self.report.add_error(name, token, error)
            return default


def _fields(block: Block, front: Front, report: Report) -> dict[str, Token]:
    """Return the known fields as tokens and put the others among the facts."""
    values: dict[str, Token] = {}
    facts: dict[str, str] = {}
    for line in block.lines:
        if not line.text.strip():
            continue
        match = _LINE.fullmatch(line.text)
        if match is None:
            report.add("front", line, "this is no field", "write field: value")
            continue
        name = Token(_known(match[1]), line.start + match.start(1))
        value = Token(match[2], line.start + match.start(2))
        if name.text in values or name.text in facts:
            report.add(
                "field-twice", name, f"the field {name.text!r} is given twice",
                "keep the one that is meant",
            )  # fmt: skip
        elif name.text in FIELDS:
            values[name.text] = value
        elif _is_fact(name, report):
            facts[name.text] = value.text
            _check_fact(name, value, report)
        front.spans["front", name.text] = value.span
    front.facts = tuple(facts.items())
    return values


def _known(name: str) -> str:
    """Return a known field's own writing whatever the case, another name as it is."""
    return name.lower() if name.lower() in (*FIELDS, *FACTS) else name


def _is_fact(name: Token, report: Report) -> bool:
    if name.text in FACTS:
        return True
    near = difflib.get_close_matches(name.text.lower(), (*FIELDS, *FACTS), 1, 0.75)
    if near:
        report.add("field", name, f"there is no field {name.text!r}", f"perhaps {near[0]}")
    return not near


def _check_fact(name: Token, value: Token, report: Report) -> None:
    if name.text in ("subtitle", "author"):
        _check_length(value, f"the {name.text}", report)
    elif name.text == "level" and value.text not in LEVELS:
        report.add(
            "level", Token(value.text or name.text, value.start if value.text else name.start),
            f"{value.text!r} is no level", "write a level from 1 (easy) to 5",
        )  # fmt: skip


def _check_length(value: Token, what: str, report: Report) -> None:
    if len(value.text) > MAX_TITLE:
        report.add(
            "too-long", value,
            f"{what} has {len(value.text):,} characters, a page has room for {MAX_TITLE}",
            "shorten it, and say the rest in the prose",
        )  # fmt: skip


def parse_tempo(text: str) -> Fraction:
    """Read beats a minute, ``92`` or ``92.5``; raises InputError outside 10 to 400."""
    match = re.fullmatch(r"([0-9]{1,4}(?:\.[0-9]{1,6}|/[0-9]{1,6})?)(?:\s*bpm)?", text)
    value = Fraction(match[1]) if match and not match[1].endswith("/0") else Fraction(0)
    if not 10 <= value <= 400:
        raise InputError(
            f"{text!r} is no tempo", field="tempo",
            remedy="write beats a minute from 10 to 400, such as 92",
        )  # fmt: skip
    return value


def parse_swing(text: str) -> Fraction:
    """Read the share of a beat that its first half gets: ``2/3``, ``0.6``, ``60%``, ``straight``.

    Raises InputError outside 1/2 to 3/4.
    """
    words = {"straight": "1/2", "none": "1/2", "triplet": "2/3"}
    number = words.get(text.strip(), text.strip())
    try:
        if not number.isascii():
            raise ValueError(number)
        percent = number.endswith("%")
        value = Fraction(number.rstrip("% ")) / (100 if percent else 1)
    except (ValueError, ZeroDivisionError):
        value = Fraction(0)
    if not Fraction(1, 2) <= value <= Fraction(3, 4):
        raise InputError(
            f"{text!r} is no swing", field="swing",
            remedy="write the share of the beat that its first half gets, 1/2 (straight) to "
            "3/4; 2/3 is triplet swing",
        )  # fmt: skip
    return value


def _parse_key(text: str) -> Key | None:
    return None if text.strip().lower() == "auto" else parse_key(text)


def _parse_pickup(text: str, metre: Metre) -> Fraction:
    length = parse_length(text)
    if length is None or length > metre.length:
        why = "is no pickup" if length is None else f"is longer than a bar of {metre.text}"
        raise InputError(f"{text!r} {why}", field="pickup", remedy="write its length, such as 3/8")
    return length


def _stops(text: str) -> int | tuple[int, ...]:
    """Return the fret of a capo, or one stop a string, bass side first, for a partial one."""
    words = text.split()
    if text.strip() in ("none", "no"):
        return 0
    if not words or not all(re.fullmatch(r"[0-9]{1,2}", word) for word in words):
        raise InputError(
            f"{text!r} is no capo", field="capo",
            remedy="write its fret, or one stop a string for a partial one: 0 2 2 2 2 0",
        )  # fmt: skip
    stops = tuple(map(int, words))
    return stops[0] if len(stops) == 1 else stops


def _names(text: str, neck: Neck) -> Literal["sound", "shape"]:
    """Return ``sound`` or ``shape``: what the symbols name under a capo."""
    if text == "sound":
        return "sound"
    if text != "shape":
        raise InputError(
            f"{text!r} is no kind of names", field="names", remedy="write names: sound or shape"
        )
    if neck.capo is None:
        raise InputError(
            "under a partial capo a shape has no name of its own", field="names",
            remedy="write names: sound",
        )  # fmt: skip
    return "shape"


def _order(value: Token) -> tuple[Token, ...]:
    """Return the part names of an order; ``Verse x2`` is two visits.

    An order of more than `MAX_VISITS` is read no further: the lesson is too long anyway.
    """
    names: list[Token] = []
    for match in re.finditer(r"[^,]+", value.text):
        stripped = match[0].strip()
        at = value.start + match.start() + len(match[0]) - len(match[0].lstrip())
        times = _VISIT.fullmatch(stripped)
        if stripped:
            name = Token(times[1] if times else stripped, at)
            names.extend([name] * (int(times[2]) if times else 1))
        if len(names) > MAX_VISITS:
            break
    return tuple(names)
