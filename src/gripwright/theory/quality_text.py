"""What follows the root of a symbol: written in one style, read in every usual one.

Reading gathers what the writing claims (a third, a fifth, a seventh, tensions, omissions) and
hands the degrees to `quality_of`, so that ``C-Δ9``, ``CmMaj9`` and ``Cm(maj7,9)`` are one
quality. Which writings are usual is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from gripwright.theory.interval import Degree, degrees
from gripwright.theory.quality import Quality, quality_of

# One token, tried at each place in this order; SIGNS has already made ♭ and ♯ plain.
_TOKEN = (
    r"(?P<omit>(?:no|omit)[ .]?(?:(?P<gone>1|3|5|7|9|11)(?:rd|th)?|(?P<rootless>root|r)))"
    r"|(?P<add>add|Add|ADD)(?P<added>(?:bb|[b#+-])?(?:1[0-5]|[2-79]))"
    r"|(?P<sus>[sS]us(?:2sus4|4sus2|2/4|4/2|24|42|[24](?!\d))?)"
    r"|(?P<half>ø|Ø|hdim|half-?dim(?:inished)?)"
    r"|(?P<dim>dim(?:inished)?|Dim|DIM|°|o(?![a-z]))"
    r"|(?P<aug>aug(?:mented)?|Aug|AUG)"
    r"|(?P<maj>maj(?:or)?|Maj(?:or)?|MAJ|[mM][aA](?=[\d#b(),+/ -]|$)|M(?![iI])|Δ|\^|j(?=\d))"
    r"|(?P<min>min(?:or)?|Min(?:or)?|MIN|m[iI]|M[iI]|m)"
    r"|(?P<alt>alt(?:ered)?)"
    r"|(?P<dom>dom(?:inant)?)"
    r"|(?P<number>(?<!\d)(?:6/9|69|1[0135]|[245679]))"
    r"|(?P<sign>bb|##|[b#♮+-])(?P<altered>6/9|69|1[0-5]|[2-79])?"
    r"|(?P<open>\()|(?P<close>\))|(?P<pause>[, ]|/(?=[\db#+-]))"
)
SIGNS = str.maketrans(
    {"♭": "b", "♯": "#", "−": "-", "–": "-", "º": "°", "˚": "°", "△": "Δ", "∆": "Δ", "＋": "+"}
)


def quality_text(quality: Quality) -> str:
    """Return what follows the root in the chosen style, ``7(b9,#11)``.

    >>> quality_text(Quality("", adds=degrees("9"))), quality_text(Quality("m", adds=degrees("9")))
    ('add9', 'm(add9)')
    """
    tail = [degree.text for degree in quality.alterations]
    tail += [f"add{degree.text}" for degree in quality.adds]
    tail += [f"no{number}" for number in quality.omits]
    base = quality.base
    if not tail:
        return base
    if base == "5" and tail == ["add6"]:
        return "6(no3)"
    if not base and len(tail) == len(quality.adds) == 1 and not quality.adds[0].alter:
        return tail[0]
    if base.endswith(")"):
        return f"{base[:-1]},{','.join(tail)})"
    return f"{base}({','.join(tail)})"


class QualityError(ValueError):
    """Report what follows a root and does not parse; ``at`` is the 0-based character."""

    def __init__(self, at: int) -> None:
        super().__init__(at)
        self.at = at


def read_quality(text: str) -> Quality:
    """Read what follows a root; raises QualityError.

    >>> quality_text(read_quality("-Δ9")), quality_text(read_quality("7b9sus4"))
    ('m(maj9)', '7sus4(b9)')
    """
    reader = _Reader()
    clean = text.translate(SIGNS)
    for match in _tokens(clean):
        if not reader.take(match):
            raise QualityError(match.start())
    if reader.depth:
        raise QualityError(len(text))
    quality = quality_of(reader.content())
    if quality is None:
        raise QualityError(len(text))
    return quality


def _tokens(text: str) -> Iterator[re.Match[str]]:
    pattern = re.compile(_TOKEN)  # kept by re, and not made where no symbol is read
    at = 0
    while at < len(text):
        match = pattern.match(text, at)
        if match is None:
            raise QualityError(at)
        yield match
        at = match.end()


_THIRDS = {"major": "3", "minor": "b3", "dim": "b3", "half": "b3", "aug": "3"}
_FIFTHS = {"dim": "b5", "half": "b5", "aug": "#5"}
_SUSPENDED = {"2": (2,), "4": (4,)}
_ADDED = ("2", "4", "9", "11", "13")  # in brackets after a plain triad these are added notes
_ALTERED = degrees("1 3 b5 #5 b7 b9 #9")
_SIGN = {"": 0, "♮": 0, "b": -1, "-": -1, "bb": -2, "#": 1, "+": 1, "##": 2}


class _Reader:
    """What has been claimed so far, token by token."""

    def __init__(self) -> None:
        self.mode = ""
        self.major_seventh = False
        self.extension = ""
        self.sus: tuple[int, ...] = ()
        self.alt = False
        self.extra: list[Degree] = []
        self.gone: set[int] = set()
        self.depth = 0

    def take(self, match: re.Match[str]) -> bool:
        """Take a token in; return whether it makes sense here."""
        kind = match.lastgroup or ""
        for name in ("omit", "add", "sus", "maj", "number", "sign", "open", "close", "pause"):
            if match[name] is not None:
                return bool(getattr(self, f"_{name}")(match))
        if kind == "alt":
            self.alt = True
            return True
        if kind == "dom":
            return not self.mode and not self.extension
        return self._set_mode({"min": "minor"}.get(kind, kind))

    def _set_mode(self, mode: str) -> bool:
        """Take a triad's word; after a number only ``aug`` and ``+`` may still come."""
        if self.mode or (self.extension and mode != "aug"):
            return False
        self.mode = mode
        return True

    def _omit(self, match: re.Match[str]) -> bool:
        self.gone.add(int(match["gone"] or 1))
        return True

    def _add(self, match: re.Match[str]) -> bool:
        if match["added"] == "3":
            self.extra.append(Degree(3))
            return True
        return self._tension(match["added"].rstrip("0123456789"), match["added"].lstrip("b#+-"))

    def _sus(self, match: re.Match[str]) -> bool:
        if self.sus:
            return False
        words = [int(digit) for digit in match[0] if digit in "24"]
        self.sus = tuple(words) or (4,)
        if self.mode == "minor":
            self.mode = ""
        return not self.mode

    def _maj(self, match: re.Match[str]) -> bool:
        if self.major_seventh:
            return False
        if self.mode == "dim" and self.extension:
            return self._seventh("")
        self.major_seventh = True
        if match["maj"] in ("Δ", "^") and not self.extension:
            self.extension = "Δ"
        return True

    def _number(self, match: re.Match[str]) -> bool:
        number = match["number"]
        if number in ("10", "15"):
            return False
        if self.extension in ("", "Δ") and not (self.depth and number in _ADDED):
            self.extension = number
            return number != "5" or not (self.mode or self.sus)
        if number in ("6/9", "69", "5"):
            return False
        if number == "7" and (self.major_seventh or Degree(7) in self.extra):
            return True
        return number != "7" and self._tension("", number)

    def _sign(self, match: re.Match[str]) -> bool:
        sign, number = match["sign"], match["altered"]
        if not self.extension and not self.mode and not self.depth and not self.extra:
            if sign == "-":
                self.mode = "minor"
                return number is None or self._first_number(number)
            if sign == "+":
                self.mode = "aug"
                return number is None or self._first_number(number)
        if number is None:
            return sign == "+" and self._set_mode("aug")
        return number not in ("6/9", "69") and self._tension(sign, number)

    def _first_number(self, number: str) -> bool:
        self.extension = number
        return number in ("6", "6/9", "69", "7", "9", "11", "13")

    def _open(self, _: re.Match[str]) -> bool:
        self.depth += 1
        return self.depth == 1

    def _close(self, _: re.Match[str]) -> bool:
        self.depth -= 1
        return self.depth == 0

    def _pause(self, _: re.Match[str]) -> bool:
        return True

    def _tension(self, sign: str, number: str) -> bool:
        """Take an added or altered note; a seventh said this way becomes the chord's own."""
        alter, place = _SIGN[sign], int(number)
        if place == 7:
            return self._seventh(sign)
        if place == 3:
            return False
        place = {2: 9, 4: 11}.get(place, place)
        if (place, alter) == (10, -1):
            place, alter = 9, 1
        if place in (10, 12, 14, 15):
            return False
        self.extra.append(Degree(place, alter))
        return True

    def _seventh(self, sign: str) -> bool:
        if sign in ("#", "♮", "+", ""):
            if self.mode == "dim" and self.extension:
                self.extra.append(Degree(7))
                return True
            self.major_seventh = True
            self.extension = self.extension or "7"
            return True
        self.extension = self.extension or "7"
        return sign in ("b", "-") and self.extension == "7"

    def content(self) -> frozenset[Degree]:
        """Return the degrees that the tokens claim together."""
        found = set(_ALTERED) if self.alt else self._plain()
        has_seventh = any(degree.number == 7 for degree in found)
        for degree in self.extra:
            found = self._with(found, degree, has_seventh)
        return frozenset(degree for degree in found if degree.number not in self.gone)

    def _plain(self) -> set[Degree]:
        """Return the degrees before alterations and added notes."""
        if self.extension == "5":
            return set(degrees("1 5"))
        mode = self.mode or "major"
        stands = self.sus or (() if self.mode else _SUSPENDED.get(self.extension, ()))
        third = str(max(stands)) if stands else _THIRDS[mode]
        both = ["9"] if len(stands) > 1 else []
        return set(degrees(" ".join(["1", third, _FIFTHS.get(mode, "5"), *both, *self._upper()])))

    def _upper(self) -> list[str]:
        """Return sixth, seventh and stacked tensions of the extension."""
        if self.extension in ("6", "69", "6/9"):
            return ["6"] + (["9"] if "9" in self.extension else [])
        seventh = "7" if self.major_seventh else "bb7" if self.mode == "dim" else "b7"
        if self.extension in ("2", "4") and self.mode:
            return [{"2": "9", "4": "11"}[self.extension]]
        if self.extension in ("", "2", "4"):
            return ["b7"] if self.mode == "half" else self._late_seventh()
        stack = {"9": ["9"], "11": ["9", "11"], "13": ["9", "13"]}
        return [seventh, *stack.get(self.extension, [])]

    def _late_seventh(self) -> list[str]:
        """Return the seventh of ``mmaj`` and ``dimmaj`` written without a number."""
        return ["7"] if self.major_seventh and self.mode in ("minor", "dim") else []

    @staticmethod
    def _with(found: set[Degree], degree: Degree, has_seventh: bool) -> set[Degree]:
        """Return the degrees with one more: an altered one replaces its plain self."""
        if degree.number == 6 and has_seventh and not degree.alter:
            degree = Degree(13)
        if degree.number == 13 and not has_seventh:
            degree = Degree(6, degree.alter)
        if degree.alter:
            found = found - {Degree(degree.number)}
        return found | {degree}
