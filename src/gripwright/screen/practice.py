"""The practice page: one file that opens by double click and needs nothing else.

It carries its script, style, type and sounds. A content policy in its head lets it do no more
than that: no network, no other script; it stores nothing. The text of a lesson reaches the
page only escaped.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from importlib.resources import files

from gripwright.draw.diagram import diagram
from gripwright.draw.look import DARK, LIGHT
from gripwright.draw.type import FONT_FOLDER
from gripwright.lesson.model import Finger, Lesson
from gripwright.lesson.sound import Sound
from gripwright.neck.grip import Grip
from gripwright.screen.bank import Bank
from gripwright.screen.page_chart import chart_html, symbol_html
from gripwright.screen.page_score import page_score, song_of
from gripwright.screen.take import TakeEvent

SCRIPTS = ("score.js", "bank.js", "practising.js", "player.js", "take.js", "desk.js", "view.js",
           "keys.js", "main.js")  # fmt: skip
INKS = ("paper", "ink", "quiet", "hairline", "accent")
FACES = (("GripwrightSans-Regular.ttf", 400), ("GripwrightSans-SemiBold.ttf", 600))


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the page: its name in the browser, as it is shown, its deed, what it does."""

    key: str
    shown: str
    deed: str
    does: str


KEYS = (
    Key(" ", "space", "play", "play, or stop"),
    Key("ArrowLeft", "←", "back", "a bar back"),
    Key("ArrowRight", "→", "on", "a bar on"),
    Key("Home", "Home", "first", "to the first bar of what is practised"),
    Key("ArrowUp", "↑", "faster", "5 % faster"),
    Key("ArrowDown", "↓", "slower", "5 % slower"),
    Key("0", "0", "full", "full tempo"),
    Key("[", "[", "loop-from", "over and over from this bar"),
    Key("]", "]", "loop-to", "over and over up to this bar"),
    Key("p", "P", "loop-part", "this part over and over"),
    Key("w", "W", "loop-off", "the whole song, once"),
    Key("c", "C", "counting", "count-in on or off"),
    Key("k", "K", "clicking", "click on or off"),
    Key("t", "T", "swap", "the take or the plucked notes, where the page carries a take"),
    Key("?", "?", "keys", "show or hide this list"),
)


@dataclass(frozen=True, slots=True)
class PageTake:
    """A take that the page carries: its sound as AAC in MP4, and its events."""

    m4a: bytes
    events: Sequence[TakeEvent]


def practice_page(
    lesson: Lesson,
    sounds: Sequence[Sound],
    bank: Bank,
    fingers: Mapping[Grip, tuple[Finger | None, ...] | None],
    *,
    left_handed: bool = False,
    note: str = "",
    take: PageTake | None = None,
) -> str:
    """Return the page as HTML. ``note`` is a plain sentence or two for its foot."""
    song = song_of(lesson)
    score = page_score(song, sounds, bank.places, take.events if take else None)
    style, script = _style(), _script()
    body = "\n".join(
        [_head(lesson), _desk(), _hand(take), chart_html(song), _key_list(), _foot(note)]
    )
    drawings = "".join(
        f'<template id="grip-{place}">{_drawn(grip, lesson, fingers, left_handed)}</template>'
        for place, grip in enumerate(song.grips)
    )
    symbols = "".join(
        f'<template id="symbol-{place}">{symbol_html(chord)}</template>'
        for place, chord in enumerate(song.chords)
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(style, script, take)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(lesson.title)} – practice</title>\n<style>{style}</style>\n</head>\n"
        f"<body>\n{body}\n{drawings}{symbols}\n"
        f'<script type="application/json" id="score">{_json(score)}</script>\n'
        f'<script type="text/plain" id="bank">{base64.b64encode(bank.flac).decode()}</script>\n'
        f"{_take_sound(take)}"
        f'<script type="module">{script}</script>\n</body>\n</html>\n'
    )


def _take_sound(take: PageTake | None) -> str:
    if take is None:
        return ""
    data = base64.b64encode(take.m4a).decode()
    return (
        '<audio id="take-sound" preload="auto"></audio>\n'
        f'<script type="text/plain" id="take">{data}</script>\n'
    )


def _policy(style: str, script: str, take: PageTake | None) -> str:
    """Return the content policy; only a page with a take may play what it holds itself."""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        f"font-src data:; {'media-src blob:; ' if take else ''}base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """Return the source expression of an inline text (W3C, Content Security Policy 3)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _json(value: object) -> str:
    """Return JSON that no closing tag in a title can end early."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")


def _resource(name: str) -> str:
    return (files("gripwright.screen") / "practice_page" / name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def _script() -> str:
    """Return the modules of the page as one: without their imports and exports, in order."""
    joined = "\n".join(_resource(name) for name in SCRIPTS)
    without_imports = re.sub(r"^import .*?;\n", "", joined, flags=re.MULTILINE | re.DOTALL)
    return re.sub(r"^export ", "", without_imports, flags=re.MULTILINE)


@lru_cache(maxsize=1)
def _style() -> str:
    faces = "".join(
        '@font-face{font-family:"Gripwright Sans";font-weight:' + str(weight) + ";src:url(data:"
        f"font/ttf;base64,{base64.b64encode((FONT_FOLDER / name).read_bytes()).decode()})}}\n"
        for name, weight in FACES
    )
    return faces + _colours() + _resource("page.css")


def _colours() -> str:
    """Return the colours of the page, and rules that give drawings those of a dark ground."""
    light = "".join(f"--{name}:{getattr(LIGHT, name)};" for name in INKS)
    dark = "".join(f"--{name}:{getattr(DARK, name)};" for name in INKS)
    pairs = [(getattr(LIGHT, name), getattr(DARK, name)) for name in INKS]
    pairs += [(colour, DARK.family(family)) for family, colour in LIGHT.families]
    rules = "".join(
        f'svg [{what}="{colour}"]{{{what}:{instead}}}'
        for colour, instead in dict(pairs).items()
        for what in ("fill", "stroke")
    )
    return f":root{{{light}}}@media (prefers-color-scheme: dark){{:root{{{dark}}}{rules}}}\n"


def _drawn(
    grip: Grip, lesson: Lesson, fingers: Mapping[Grip, tuple[Finger | None, ...] | None],
    left_handed: bool,
) -> str:  # fmt: skip
    return diagram(
        grip, lesson.neck, fingers=fingers.get(grip), weight="large", left_handed=left_handed
    )


def _head(lesson: Lesson) -> str:
    tuning = " ".join(pitch.note.pretty for pitch in lesson.neck.tuning.strings)
    facts = [f"Tuning {tuning}"]
    if lesson.neck.capo:
        facts.append(f"capo at fret {lesson.neck.capo}")
    elif lesson.neck.capo is None:
        facts.append("partial capo")
    facts.append(f"{float(lesson.tempo_bpm):g} a minute in {lesson.metre.text}")
    if lesson.key:
        facts.append(lesson.key.pretty)
    return (
        f'<header><h1>{escape(lesson.title)}</h1><p class="facts">{escape(" · ".join(facts))}</p>'
        "</header>"
    )


def _desk() -> str:
    return (
        '<main>\n<section class="desk" aria-label="What the hand is on">'
        '<div id="grip"></div>'
        '<div class="said"><p id="place"><span id="part"></span> <span id="bar" class="quiet">'
        '</span></p><p id="symbol"></p><p id="words" aria-live="polite"></p></div>'
        '<div><p class="quiet">next</p><div id="next-grip"></div><p id="next-symbol"></p></div>'
        '<div id="beats" aria-hidden="true"></div></section>'
    )


def _hand(take: PageTake | None) -> str:
    tempo = (
        '<label class="tempo">Tempo <input id="tempo" type="range" min="40" max="120" step="1" '
        'value="100"></label><span id="tempo-text"></span>'
    )
    loops = "".join(
        _button(deed, text) for deed, text in (
            ("loop-from", "from here"), ("loop-to", "to here"), ("loop-part", "this part"),
        )
    )  # fmt: skip
    choice = "".join(
        _button(deed, text, deed) for deed, text in (("plucked", "Plucked"), ("taken", "The take"))
    )
    sound = (
        f'<div role="group" aria-label="Sound"><span class="quiet">Sound</span>{choice}</div>'
        if take else ""
    )  # fmt: skip
    return (
        '<section class="hand" aria-label="Practise">'
        f"<div>{_button('play', 'Play', 'play')}{tempo}</div>"
        f'<div role="group" aria-label="Loop"><span class="quiet">Loop</span>{loops}'
        f"{_button('loop-off', 'off', 'loop-off')}</div>"
        f"{sound}<div>{_button('counting', 'Count-in', 'counting')}"
        f"{_button('clicking', 'Click', 'clicking')}</div>"
        '<p class="quiet">Playing <span id="loop"></span></p></section>'
    )


def _button(deed: str, text: str, id_: str = "") -> str:
    named = f' id="{id_}"' if id_ else ""
    return f'<button type="button" data-deed="{deed}"{named}>{text}</button>'


def _key_list() -> str:
    rows = "".join(
        f'<dt data-key="{escape(key.key)}" data-deed="{key.deed}"><kbd>{escape(key.shown)}</kbd>'
        f"</dt><dd>{escape(key.does)}</dd>"
        for key in KEYS
    )
    return f'<details id="keys"><summary>Keys</summary><dl>{rows}</dl></details>\n</main>'


def _foot(note: str) -> str:
    return (
        "<footer><p>This page works offline, sends nothing and remembers nothing. "
        f"{escape(note)}</p></footer>"
    )
