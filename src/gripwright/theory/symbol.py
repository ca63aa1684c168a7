"""Chord symbols: read every usual writing, write one.

`parse_symbol` takes ``Cmaj7``, ``CM7``, ``CΔ``, ``C-7``, ``Cø``, ``C°7``, ``C7sus``, ``C69``,
``C7(b9,#11)``, ``C7b9``, ``Cadd9``, ``C(no3)``, ``D/F#``, with ♭ ♯ or b #. `ChordSymbol.text`
is the one chosen style in ASCII, `pretty` with printed accidentals, `harte` the label of
Harte et al. (ISMIR 2005) and `runs` what a typesetter needs.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import lru_cache

from gripwright.errors import SymbolError
from gripwright.theory.interval import Degree, degree_between, note_at, parse_degree
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.quality import BASES, Quality


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a symbol to typeset: ``raised`` for quality and extensions."""

    text: str
    raised: bool = False


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A root, a quality and, for a slash chord, a bass.

    >>> parse_symbol("C-7").text, parse_symbol("A♭13#11").pretty, parse_symbol("C7b9").harte
    ('Cm7', 'A♭13(♯11)', 'C:7(b9)')
    """

    root: Note
    quality: Quality
    bass: Note | None = None

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """Return the degrees that the symbol claims above its root, the slash bass left out."""
        return self.quality.degrees

    @property
    def bass_note(self) -> Note:
        """Return the note in the bass: the slash bass, or the root."""
        return self.bass or self.root

    @property
    def notes(self) -> tuple[Note, ...]:
        """Return the spelled notes in the order of `degrees`."""
        return tuple(note_at(self.root, degree) for degree in self.degrees)

    @property
    def pcs(self) -> frozenset[int]:
        """Return the pitch classes claimed, the slash bass included."""
        return frozenset(note.pc for note in (*self.notes, self.bass_note))

    @property
    def text(self) -> str:
        """Return the symbol in the chosen style, ASCII."""
        slash = f"/{self.bass.name}" if self.bass else ""
        return f"{self.root.name}{quality_text(self.quality)}{slash}"

    @property
    def pretty(self) -> str:
        """Return the symbol with printed accidentals."""
        slash = f"/{self.bass.pretty}" if self.bass else ""
        return f"{self.root.pretty}{_print(quality_text(self.quality))}{slash}"

    @property
    def runs(self) -> tuple[Run, ...]:
        """Return root, raised quality and slash bass as typesetting runs."""
        text = _print(quality_text(self.quality))
        low = "m" if text.startswith("m") and not text.startswith("maj") else ""
        parts = [Run(self.root.pretty + low), Run(text[len(low) :], raised=True)]
        if self.bass:
            parts.append(Run(f"/{self.bass.pretty}"))
        return tuple(run for run in parts if run.text)

    @property
    def harte(self) -> str:
        """Return the Harte label, ``C:7(b9)/3``; omitted degrees as ``*5``."""
        bass = f"/{degree_between(self.root, self.bass).text}" if self.bass else ""
        return f"{self.root.name}:{quality_harte(self.quality)}{bass}"

    def __str__(self) -> str:
        return self.text


def _print(text: str) -> str:
    return re.sub(r"b(?=\d)", "♭", text).replace("#", "♯")


def quality_text(quality: Quality) -> str:
    """Return what follows the root in the chosen style, ``7(b9,#11)``."""
    tail = [d.text for d in quality.alterations]
    tail += [f"add{d.text}" for d in quality.adds]
    tail += [f"no{number}" for number in quality.omits]
    base = quality.base
    if tail and base.endswith(")"):
        return f"{base[:-1]},{','.join(tail)})"
    return base + (f"({','.join(tail)})" if tail else "")


def quality_harte(quality: Quality) -> str:
    """Return the Harte shorthand and its parenthesised changes.

    A shorthand is used where the base has one and only additions or omissions are left to
    say; otherwise all degrees are listed.
    """
    base = BASES[quality.base]
    said = set(quality.degrees)
    for name, row in ((base.harte, base.degrees), *_NEAR_HARTE):
        if name is None:
            continue
        extra = sorted(said - set(row), key=lambda d: d.order)
        gone = sorted(set(row) - said, key=lambda d: d.order)
        changes = [d.text for d in extra] + [f"*{d.text}" for d in gone]
        if base.harte == name or (not gone and len(extra) <= 2):
            return name + (f"({','.join(changes)})" if changes else "")
    return "(" + ",".join(d.text for d in quality.degrees) + ")"


_NEAR_HARTE = tuple(
    (BASES[name].harte, BASES[name].degrees)
    for name in ("9", "maj9", "m9", "7", "maj7", "m7", "6", "m6", "m(maj7)", "sus4", "sus2",
                 "", "m", "dim", "aug")
)  # fmt: skip

# Every usual writing of a base, longest first when matched. Common practice, no source.
_WRITINGS: dict[str, tuple[str, ...]] = {
    "": ("", "maj", "major", "M", "ma"),
    "m": ("m", "min", "minor", "-", "mi"),
    "dim": ("dim", "°", "o"),
    "aug": ("aug", "+", "(#5)"),
    "5": ("5", "5th", "(no3)", "no3"),
    "sus2": ("sus2", "2"),
    "sus4": ("sus4", "sus", "4"),
    "6": ("6", "maj6", "M6", "ma6", "add6", "add13"),
    "m6": ("m6", "min6", "-6", "mi6"),
    "6/9": ("6/9", "69", "6(9)", "6add9", "maj6/9", "M69"),
    "m6/9": ("m6/9", "m69", "-69", "min69", "m6(9)", "-6/9", "min6/9"),
    "7": ("7", "dom7", "dom"),
    "maj7": ("maj7", "M7", "Δ", "Δ7", "ma7", "△", "△7", "j7", "Maj7", "major7", "^7", "^"),
    "m7": ("m7", "min7", "-7", "mi7", "minor7"),
    "m(maj7)": ("m(maj7)", "mmaj7", "mM7", "m(M7)", "-maj7", "-M7", "-Δ", "-Δ7", "mΔ", "mΔ7",
                "minmaj7", "min(maj7)", "m#7", "m(#7)", "-(maj7)", "mMaj7", "mma7"),
    "dim7": ("dim7", "°7", "o7"),
    "m7(b5)": ("m7(b5)", "m7b5", "ø", "ø7", "min7b5", "-7b5", "m7-5", "Ø", "Ø7", "hdim7",
               "min7(b5)", "-7(b5)", "mi7b5", "hdim", "m7♭5"),
    "dim(maj7)": ("dim(maj7)", "dimmaj7", "°maj7", "°M7", "°(maj7)", "oM7", "°Δ"),
    "7sus4": ("7sus4", "7sus", "sus7", "sus4(7)", "7(sus4)"),
    "7sus2": ("7sus2", "7(sus2)"),
    "maj7sus4": ("maj7sus4", "maj7sus", "M7sus4", "Δsus4", "M7sus"),
    "maj7sus2": ("maj7sus2", "M7sus2"),
    "9": ("9", "7(9)", "7add9"),
    "maj9": ("maj9", "M9", "Δ9", "ma9", "maj7(9)", "△9", "^9", "maj7add9"),
    "m9": ("m9", "min9", "-9", "mi9", "m7(9)", "m7add9"),
    "m(maj9)": ("m(maj9)", "mmaj9", "mM9", "m(M9)", "-maj9", "-M9", "minmaj9", "min(maj9)", "-Δ9"),
    "9sus4": ("9sus4", "9sus", "sus9", "9(sus4)"),
    "11": ("11",),
    "maj11": ("maj11", "M11", "Δ11", "ma11"),
    "m11": ("m11", "min11", "-11", "mi11"),
    "13": ("13", "7(13)", "7add13"),
    "maj13": ("maj13", "M13", "Δ13", "ma13", "maj7(13)"),
    "m13": ("m13", "min13", "-13", "mi13"),
    "13sus4": ("13sus4", "13sus", "sus13", "13(sus4)"),
    "7alt": ("7alt", "alt", "7(alt)"),
}
_BY_WRITING = {writing: base for base, forms in _WRITINGS.items() for writing in forms}
_BY_LENGTH = sorted(_BY_WRITING, key=len, reverse=True)
_ROOT = re.compile(r"[A-G](?:#|b(?!b?\d*b?[a-z])|b)?")
_SIGNS = str.maketrans({"♭": "b", "♯": "#", "−": "-", "–": "-", " ": None, "º": "°", "˚": "°"})
_CHANGE = re.compile(
    r"(?P<add>add|/)?(?P<no>no|omit)?(?P<sign>bb|##|b|#|-|\+)?(?P<number>1[0135]|[2-9])"
    r"|(?P<sus>sus[24]?)|(?P<maj>maj7|M7)|(?P<aug>aug|\+)"
)


@lru_cache(maxsize=4096)
def parse_symbol(text: str) -> ChordSymbol:
    """Read a chord symbol in any usual writing.

    Raises SymbolError with the 0-based character where reading stopped and the nearest
    right symbol as its remedy.
    """
    clean = text.translate(_SIGNS)
    match = re.match(r"[A-G](?:##|bb|#|b)?", clean)
    if not match:
        raise _wrong(text, 0, "a symbol starts with its root, A to G")
    root = parse_note(match[0])
    body, bass = _split_bass(clean[match.end() :])
    for writing in _BY_LENGTH:
        if not body.startswith(writing):
            continue
        quality = _changes(_BY_WRITING[writing], body[len(writing) :])
        if quality is not None:
            return ChordSymbol(root, quality, None if bass == root else bass)
    raise _wrong(text, _how_far(body) + match.end(), "this ending is not known")


def _split_bass(body: str) -> tuple[str, Note | None]:
    """Split a slash bass off the end; ``6/9`` is none."""
    head, slash, tail = body.rpartition("/")
    if slash and re.fullmatch(r"[A-G](?:##|bb|#|b)?", tail):
        return head, parse_note(tail)
    return body, None


def _changes(base: str, rest: str) -> Quality | None:
    """Return the base with the changes written after it, None if they do not parse."""
    if rest.count("(") != rest.count(")"):
        return None
    items = re.sub(r"[(),]", " ", rest).split()
    alterations: list[Degree] = []
    adds: list[Degree] = []
    omits: list[int] = []
    for item in items:
        at = 0
        while at < len(item):
            match = _CHANGE.match(item, at)
            if not match or match.end() == at:
                return None
            at = match.end()
            if match["sus"]:
                sus = _BY_WRITING.get(base + match["sus"])
                if sus is None:
                    return None
                base = sus
            elif match["maj"]:
                base = {"": "maj7", "m": "m(maj7)", "dim": "dim(maj7)"}.get(base, "?")
                if base == "?":
                    return None
            elif match["aug"]:
                alterations.append(parse_degree("#5"))
            else:
                _one_change(match, alterations, adds, omits)
    return _settle(base, alterations, adds, omits)


def _one_change(
    match: re.Match[str], alterations: list[Degree], adds: list[Degree], omits: list[int]
) -> None:
    number = int(match["number"])
    if match["no"]:
        omits.append(number)
        return
    sign = (match["sign"] or "").replace("-", "b").replace("+", "#")
    degree = parse_degree(f"{sign}{number}")
    (adds if match["add"] or not sign else alterations).append(degree)


def _settle(
    base: str, alterations: list[Degree], adds: list[Degree], omits: list[int]
) -> Quality | None:
    """Fold changes that have a base of their own into it."""
    words = [d.text for d in alterations]
    if base == "m7" and "b5" in words:
        base, alterations = "m7(b5)", [d for d in alterations if d.text != "b5"]
    if base == "m" and words == ["b5"]:
        base, alterations = "dim", []
    if base == "" and words == ["#5"]:
        base, alterations = "aug", []
    if base == "" and omits == [3]:
        base, omits = "5", []
    folded = [d for d in adds if d not in BASES[base].degrees]
    return Quality(
        base,
        tuple(sorted(alterations, key=lambda d: d.order)),
        tuple(sorted(folded, key=lambda d: d.order)),
        tuple(sorted(omits)),
    )


def _how_far(body: str) -> int:
    """Return how many characters of a wrong ending still make sense."""
    for end in range(len(body), 0, -1):
        if any(w and body[:end] == w for w in _BY_LENGTH):
            return end
    return 0


def _wrong(text: str, at: int, reason: str) -> SymbolError:
    near = nearest_symbol(text)
    return SymbolError(
        f"{text!r} is not a chord symbol: {reason} (character {at + 1})",
        field="symbol", at=at, remedy=f"perhaps {near}" if near else "write a symbol such as Cmaj7",
    )  # fmt: skip


def nearest_symbol(text: str) -> str | None:
    """Return the right symbol nearest to a wrong one, None if none is near."""
    clean = text.translate(_SIGNS).strip()
    match = re.match(r"([A-Ga-g])(##|bb|#|b)?", clean)
    if not match:
        return None
    root = match[1].upper() + (match[2] or "")
    near = difflib.get_close_matches(clean[match.end() :], list(_BY_WRITING), 1, 0.4)
    return root + quality_text(Quality(_BY_WRITING[near[0]])) if near else None
