"""Set a page by typst: one warm compiler, our fonts only, tagged PDF, the same bytes again."""

from __future__ import annotations

import contextlib
import json
import unicodedata
from collections.abc import Set
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import typst

from gripwright.draw.type import FONT_FOLDER, covers
from gripwright.errors import BuildError

TEMPLATES = Path(str(files("gripwright.page") / "templates"))
_REMEDY = "this is a fault of Gripwright itself: please report it with the lesson"
_SILENT = ("Mn", "Me", "Cf", "Cc", "Cs", "Co", "Cn")


def typeset(template: str, data: dict[str, Any]) -> bytes:
    """Return the tagged PDF (PDF/UA-1) of a template filled with data.

    Letters that our fonts lack are set in a font of the system; signs that no font has, then
    letters, are named in brackets. Raises BuildError when the typesetter refuses.
    """
    strange = {sign for sign in set(json.dumps(data, ensure_ascii=False)) if not covers(sign)}
    if not strange:
        return _compile(template, data | {"fallback": False}, everywhere=False)
    signs = {sign for sign in strange if unicodedata.category(sign)[0] != "L"}
    for unprintable in (frozenset[str](), signs):
        with contextlib.suppress(BuildError):
            named = _named(data, unprintable)
            return _compile(template, named | {"fallback": True}, everywhere=True)
    return _compile(template, _named(data, strange) | {"fallback": False}, everywhere=False)


@lru_cache(maxsize=2)
def _compiler(*, everywhere: bool) -> typst.Compiler:
    """Return the compiler with our fonts, and with the system's too where a script needs them."""
    fonts = typst.Fonts(
        include_system_fonts=everywhere, include_embedded_fonts=False, font_paths=[str(FONT_FOLDER)]
    )
    return typst.Compiler(root=str(TEMPLATES), font_paths=fonts)


def _compile(template: str, data: dict[str, Any], *, everywhere: bool) -> bytes:
    try:
        pdf, warnings = _compiler(everywhere=everywhere).compile_with_warnings(
            input=(TEMPLATES / template).read_bytes(),
            format="pdf",
            sys_inputs={"data": json.dumps(data, ensure_ascii=False, sort_keys=True)},
            pdf_standards=["ua-1"],
            timestamp=0,
        )
    except typst.TypstError as error:
        raise BuildError(f"the page cannot be set: {error.message}", remedy=_REMEDY) from error
    if warnings:
        raise BuildError(f"the page cannot be set well: {warnings[0].message}", remedy=_REMEDY)
    if not isinstance(pdf, bytes):
        raise BuildError("the typesetter gave no page", remedy=_REMEDY)
    return pdf


def _named(value: Any, strange: Set[str]) -> Any:
    """Return the data with each strange character replaced by its name in brackets."""
    if isinstance(value, dict):
        return {key: _named(inner, strange) for key, inner in value.items()}
    if isinstance(value, list):
        return [_named(inner, strange) for inner in value]
    if not isinstance(value, str) or strange.isdisjoint(value):
        return value
    return "".join(_name(sign) if sign in strange else sign for sign in value)


def _name(sign: str) -> str:
    if unicodedata.category(sign) in _SILENT:
        return ""
    return f"[{unicodedata.name(sign, 'sign').lower()}]"
