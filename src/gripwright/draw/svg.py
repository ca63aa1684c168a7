"""Write SVG as text: elements, numbers, attributes, escaping; the same bytes every time."""

from __future__ import annotations

import re
from html import escape

Attribute = str | float | int | None

# Characters that XML 1.0 (section 2.2) does not allow.
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def num(value: float) -> str:
    """Return a number with at most three decimals and no spare zeros.

    >>> num(2.50), num(-0.0001), num(3)
    ('2.5', '0', '3')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Return text without the characters that XML forbids, escaped for content."""
    return escape(_FORBIDDEN.sub("", text), quote=False)


def element(tag: str, *children: str, **attributes: Attribute) -> str:
    """Return an element; ``_`` in a name becomes ``-``, a last ``_`` falls away, None is left out.

    Children are markup: pass text through `clean`.

    >>> element("text", clean("a<b"), x=1.5, font_size=3, class_="name")
    '<text x="1.5" font-size="3" class="name">a&lt;b</text>'
    """
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for name, value in attributes.items()
        if value is not None
    )
    body = "".join(children)
    return f"<{tag}{written}>{body}</{tag}>" if body else f"<{tag}{written}/>"


def _value(value: Attribute) -> str:
    if isinstance(value, str):
        return escape(_FORBIDDEN.sub("", value))
    return num(float(value or 0))


def document(
    body: str, *, width: float, height: float, unit: str, title: str, description: str
) -> str:
    """Return a whole SVG document in user units of ``unit`` (``mm`` or ``px``)."""
    return element(
        "svg",
        element("title", clean(title)),
        element("desc", clean(description)),
        body,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{num(width)}{unit}",
        height=f"{num(height)}{unit}",
        viewBox=f"0 0 {num(width)} {num(height)}",
        role="img",
        aria_label=f"{title}: {description}",
    ) + "\n"  # fmt: skip
