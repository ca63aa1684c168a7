"""Set a page by typst: one warm compiler, our fonts only, tagged PDF, the same bytes again."""

from __future__ import annotations

import json
import unicodedata
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import typst

from gripwright.draw.type import FONT_FOLDER, covers
from gripwright.errors import BuildError

TEMPLATES = Path(str(files("gripwright.page") / "templates"))


@lru_cache(maxsize=2)
def _compiler(*, everywhere: bool) -> typst.Compiler:
    """Return the compiler with our fonts, and with the system's too where a script needs them."""
    fonts = typst.Fonts(
        include_system_fonts=everywhere, include_embedded_fonts=False, font_paths=[str(FONT_FOLDER)]
    )
    return typst.Compiler(root=str(TEMPLATES), font_paths=fonts)


def typeset(template: str, data: dict[str, Any]) -> bytes:
    """Return the tagged PDF (PDF/UA-1) of a template filled with data.

    Letters that our fonts lack are set in a font of the system; what no font has is named in
    brackets. Raises BuildError when the typesetter refuses.
    """
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    strange = {character for character in set(text) if not covers(character)}
    if not strange:
        return _compile(template, data | {"fallback": False}, everywhere=False)
    try:
        return _compile(template, data | {"fallback": True}, everywhere=True)
    except BuildError:
        return _compile(template, _named(data, strange) | {"fallback": False}, everywhere=False)


def _compile(template: str, data: dict[str, Any], *, everywhere: bool) -> bytes:
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    try:
        pdf, warnings = _compiler(everywhere=everywhere).compile_with_warnings(
            input=(TEMPLATES / template).read_bytes(),
            format="pdf",
            sys_inputs={"data": text},
            pdf_standards=["ua-1"],
            timestamp=0,
        )
    except typst.TypstError as error:
        raise BuildError(f"the page cannot be set: {error.message}") from error
    if warnings:
        raise BuildError(f"the page cannot be set well: {warnings[0].message}")
    if not isinstance(pdf, bytes):
        raise BuildError("the typesetter gave no page")
    return pdf


def _named(value: Any, strange: set[str]) -> Any:
    """Return the data with each strange character replaced by its name in brackets."""
    if isinstance(value, dict):
        return {key: _named(inner, strange) for key, inner in value.items()}
    if isinstance(value, list):
        return [_named(inner, strange) for inner in value]
    if not isinstance(value, str) or not strange & set(value):
        return value
    return "".join(_name(c) if c in strange else c for c in value)


def _name(character: str) -> str:
    if unicodedata.category(character) in ("Mn", "Cf", "Cc", "Cs", "Co", "Cn"):
        return ""
    return f"[{unicodedata.name(character, 'sign').lower()}]"
