"""Read captions: the cues of a WebVTT file (W3C, WebVTT: The Web Video Text Tracks Format).

Markup in cues is taken out; notes, styles and regions are left aside.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from pathlib import Path

from gripwright.errors import InputError
from gripwright.files import shown, why_unreadable

MAX_BYTES = 5_000_000
_STAMP = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_TIMES = re.compile(rf"[ \t]*{_STAMP}[ \t]+-->[ \t]+{_STAMP}(?:[ \t].*)?")
_REMEDY = "export the captions as WebVTT (.vtt) again"


@dataclass(frozen=True, slots=True)
class Caption:
    """A cue: its text from ``start_s`` to ``end_s``, and the line of the file it is timed on."""

    start_s: float
    end_s: float
    text: str
    line: int


def read_captions(path: Path) -> tuple[Caption, ...]:
    """Return the cues of a file in its order; raises InputError, naming the line at fault."""
    name = shown(path)
    try:
        other = why_unreadable(path)
        if other is not None:
            raise InputError(f"{name} {other[0]}", field="captions", at=name, remedy=other[1])
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
        text = data.decode("utf-8-sig")
    except OSError as error:
        raise InputError(
            f"{name}: {error.strerror or error}", field="captions", at=name,
            remedy="give the path of a WebVTT file",
        ) from error  # fmt: skip
    except UnicodeDecodeError as error:
        raise InputError(
            f"{name} is not UTF-8 (byte {error.start})", field="captions", at=name, remedy=_REMEDY
        ) from error
    if len(data) > MAX_BYTES:
        raise InputError(
            f"{name} is larger than captions are ({MAX_BYTES:,} bytes)", field="captions", at=name,
            remedy="is it the right file?",
        )  # fmt: skip
    return parse_captions(text, name)


def parse_captions(text: str, name: str = "captions") -> tuple[Caption, ...]:
    r"""Return the cues of a WebVTT text; raises InputError.

    >>> parse_captions("WEBVTT\n\n00:01.000 --> 00:02.500\n<v Ada>E half-diminished")
    (Caption(start_s=1.0, end_s=2.5, text='E half-diminished', line=3),)
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", lines[0]):
        raise InputError(
            f"{name} does not begin with WEBVTT", field="captions", at=1, remedy=_REMEDY
        )
    return tuple(_cues(lines, name))


def _cues(lines: list[str], name: str) -> list[Caption]:
    found: list[Caption] = []
    at = 1
    while at < len(lines):
        if "-->" not in lines[at]:
            at += 1
            continue
        start_s, end_s = _times(lines[at], at + 1, name)
        last = at + 1
        while last < len(lines) and lines[last].strip() and "-->" not in lines[last]:
            last += 1
        found.append(Caption(start_s, end_s, _plain(" ".join(lines[at + 1 : last])), at + 1))
        at = last
    return found


def _times(line: str, number: int, name: str) -> tuple[float, float]:
    match = _TIMES.fullmatch(line)
    if match is None:
        raise InputError(
            f"{name}, line {number}: {line.strip()[:60]!r} is not the time of a cue",
            field="captions", at=number, remedy="write it so: 00:01:02.500 --> 00:01:05.000",
        )  # fmt: skip
    start_s, end_s = (
        3600 * int(hours or 0) + 60 * int(minutes) + int(seconds) + int(thousandths) / 1000
        for hours, minutes, seconds, thousandths in (match.groups()[:4], match.groups()[4:])
    )
    if end_s <= start_s:
        raise InputError(
            f"{name}, line {number}: the cue ends before it begins", field="captions", at=number,
            remedy="put the later time second",
        )  # fmt: skip
    return start_s, end_s


def _plain(text: str) -> str:
    return html.unescape(re.sub(r"<[^>]*>", "", text)).strip()
