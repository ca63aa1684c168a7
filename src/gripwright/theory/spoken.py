"""Chord names in running text: symbols, and names said in words.

``G13(b9)`` and ``A flat major seven`` are names; ``a minor detail`` and the note ``E4`` are
none. A plain letter, or one with only *major* or *minor* after it, may be a note or a key, so it
is no name here. How names are said is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from gripwright.errors import SymbolError
from gripwright.theory.symbol import ChordSymbol, parse_symbol

_NUMBERS = {
    "two": "2", "second": "2", "four": "4", "fourth": "4", "five": "5", "fifth": "5", "six": "6",
    "sixth": "6", "seven": "7", "seventh": "7", "nine": "9", "ninth": "9", "eleven": "11",
    "eleventh": "11", "thirteen": "13", "thirteenth": "13",
}  # fmt: skip
_WORDS = _NUMBERS | {
    "major": "maj", "minor": "m", "dominant": "", "diminished": "dim", "half-diminished": "ø",
    "augmented": "aug", "suspended": "sus", "sus": "sus", "add": "add", "added": "add",
    "flat": "b", "sharp": "#", "altered": "alt", "half": "half", "2": "2", "4": "4", "5": "5",
    "6": "6", "7": "7", "9": "9", "11": "11", "13": "13",
}  # fmt: skip
_WORD = "|".join(sorted(map(re.escape, _WORDS), key=len, reverse=True))
_ROOT = r"[A-G](?:[#b♯♭]|[ -](?:flat|sharp))?"
_SAID = re.compile(
    rf"(?<![\w#♯♭/-])(?P<root>{_ROOT})(?P<tight>(?:7|9|11|13|m7|m9|m11|maj7|maj9|m)?)"
    rf"(?P<words>(?:[ -](?:{_WORD})\b)+)(?: (?:over|slash) (?P<bass>{_ROOT})\b)?"
)
_WRITTEN = re.compile(
    r"(?<![\w#♯♭/])[A-G][#b♯♭]?"
    r"(?:maj|min|m(?![a-z])|dim|aug|sus|add|alt|[øØ°Δ+]|6/9|6(?=add)|7|9|1[13])"
    r"[\w#♭♯ø°Δ+(),/-]*"
)
_WEAK = frozenset({"maj", "m", "", "b", "#"})  # with these alone it may be a key
_LONE = frozenset({"6", "7", "9", "11", "13"})  # said alone after a root they make a chord


@dataclass(frozen=True, slots=True)
class Said:
    """A chord name in a text: from ``start`` to ``end`` (exclusive), and what it names."""

    start: int
    end: int
    symbol: ChordSymbol


def names_in(text: str) -> tuple[Said, ...]:
    """Return the chord names of a text from left to right; where two overlap, the longer one.

    >>> [said.symbol.text for said in names_in("C7 flat nine leans on F, not on E half-diminished")]
    ['C7(b9)', 'Em7(b5)']
    >>> names_in("A minor point about E4 and the key of D minor")
    ()
    """
    found = sorted([*_written(text), *_said(text)], key=lambda one: (one.start, -one.end))
    kept: list[Said] = []
    for one in found:
        if not kept or one.start >= kept[-1].end:
            kept.append(one)
    return tuple(kept)


def _written(text: str) -> Iterator[Said]:
    for match in _WRITTEN.finditer(text):
        word = match[0].rstrip(",-/")
        while word.count(")") > word.count("("):
            word = word[: word.rindex(")")]
        symbol = _symbol(word)
        if symbol is not None and word[len(symbol.root.name) :] not in ("m", "min", "maj", "add"):
            yield Said(match.start(), match.start() + len(word), symbol)


def _said(text: str) -> Iterator[Said]:
    for match in _SAID.finditer(text):
        words = match["words"].replace("half-dim", "half dim").replace("-", " ").split()
        parts = [_WORDS[word] for word in words]
        if not match["tight"] and not _is_name(match["root"], parts):
            continue
        body = match["tight"] + "".join(parts).replace("halfdim", "ø").replace("69", "6/9")
        symbol = _symbol(_root(match["root"]) + body + _bass(match["bass"]))
        if symbol is not None:
            yield Said(match.start(), match.end(), symbol)


def _is_name(root: str, parts: list[str]) -> bool:
    """Tell a chord from a key, from ``A nine bar phrase`` and from G with a sharp nine."""
    if len(parts) > 1 or parts[0] not in _NUMBERS.values():
        return not set(parts) <= _WEAK
    return parts[0] in _LONE and root != "A" and not root.endswith("sharp")


def _root(text: str) -> str:
    return re.sub(r"[ -]?flat", "b", re.sub(r"[ -]?sharp", "#", text))


def _bass(text: str | None) -> str:
    return f"/{_root(text)}" if text else ""


def _symbol(text: str) -> ChordSymbol | None:
    try:
        return parse_symbol(text)
    except SymbolError:
        return None
