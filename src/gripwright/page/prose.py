"""Prose as a tree that the page template sets: CommonMark in, plain values out.

Nothing of a teacher's text is ever read as markup of the typesetter: the tree holds strings.
Pointers into the chart become references; ``Bb`` and ``#11`` get real accidentals.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from gripwright.errors import SymbolError
from gripwright.theory.symbol import parse_symbol

Node = dict[str, Any]

_DEGREE = r"b(?:2|3|5|6|7|9|13)|#(?:4|5|9|11)"
_TOKEN = re.compile(
    r"(?<![\w#])([A-G][b#][\w#()/+°øΔ♭♯,-]*|[A-G]\w*[b#]\d[\w#()]*|" + _DEGREE + r")(?![\w#])"
)

_SECOND = re.compile(r"(?<![\w‘'])([A-G][^\s’']*)[’'](?!\w)")
_LONG = re.compile(r"[^\s\u00ad]{31,}")
_COUNTED = re.compile(r"\b((?:string|fret|bar|beat|finger|capo|position)s?) (?=\d)", re.IGNORECASE)


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    options = {"html": False, "typographer": True}
    return MarkdownIt("commonmark", options).enable(["table", "smartquotes"])


def prose_tree(markdown: str, places: Mapping[str, str]) -> list[Node]:
    """Return the blocks of a stretch of prose; ``places`` says where each label is.

    >>> prose_tree("Hear [it](#lift).", {"lift": "Verse, bar 2"})[0]["bodies"][0][1]
    {'kind': 'pointer', 'label': 'lift', 'place': 'Verse, bar 2', 'body': [{'kind': 'text', 'text': 'it'}]}
    """  # noqa: E501
    root = SyntaxTreeNode(_reader().parse(markdown))
    return joined(node for child in root.children for node in _block(child, places))


def joined(nodes: Iterable[Node]) -> list[Node]:
    """Return the blocks with neighbouring paragraphs in one."""
    out: list[Node] = []
    for node in nodes:
        if out and node["kind"] == out[-1]["kind"] == "paragraphs":
            out[-1] = {"kind": "paragraphs", "bodies": out[-1]["bodies"] + node["bodies"]}
        else:
            out.append(node)
    return out


def headed(nodes: Sequence[Node], above: int) -> list[Node]:
    """Leave out headings with nothing beneath them, and let levels follow ``above`` in steps.

    >>> [node.get("level") for node in headed(prose_tree("## A\\n\\n#### B\\n\\nText", {}), 2)]
    [3, 4, None]
    """
    kept: list[Node] = []
    for node in reversed(nodes):
        level = node.get("level", 0)
        empty = not kept or kept[-1].get("level", 9) <= level
        if node["kind"] != "heading" or not empty:
            kept.append(node)
    deep = above
    levelled = []
    for node in reversed(kept):
        if node["kind"] == "heading":
            deep = min(max(node["level"] + 1, above + 1), deep + 1, 6)
            node = node | {"level": deep}
        levelled.append(node)
    return levelled


def _block(node: SyntaxTreeNode, places: Mapping[str, str]) -> list[Node]:
    kids = [inner for child in node.children for inner in _block(child, places)]
    match node.type:
        case "paragraph":
            return [{"kind": "paragraphs", "bodies": [_inline(node, places)]}]
        case "heading":
            return [{"kind": "heading", "level": int(node.tag[1]), "body": _inline(node, places)}]
        case "bullet_list":
            items = [_items(child, places) for child in node.children]
            return [{"kind": "list", "start": 0, "items": items}]
        case "ordered_list":
            items = [_items(child, places) for child in node.children]
            return [{"kind": "list", "start": int(node.attrs.get("start", 1)), "items": items}]
        case "blockquote":
            return [{"kind": "quote", "body": kids}]
        case "fence" | "code_block":
            return [{"kind": "code", "text": node.content.rstrip("\n")}]
        case "hr":
            return [{"kind": "rule"}]
        case "table":
            return [_table(node, places)]
    return kids


def _items(node: SyntaxTreeNode, places: Mapping[str, str]) -> list[Node]:
    return joined(inner for child in node.children for inner in _block(child, places))


def _table(node: SyntaxTreeNode, places: Mapping[str, str]) -> Node:
    rows = [
        [_inline(cell, places) for cell in row.children]
        for part in node.children
        for row in part.children
    ]
    return {"kind": "table", "rows": rows}


def _inline(node: SyntaxTreeNode, places: Mapping[str, str]) -> list[Node]:
    """Return the inline nodes of a block, neighbouring text joined."""
    nodes: list[Node] = []
    for holder in node.children:
        for child in holder.children:
            for inner in _span(child, places):
                if nodes and inner["kind"] == nodes[-1]["kind"] == "text":
                    nodes[-1] = {"kind": "text", "text": nodes[-1]["text"] + inner["text"]}
                else:
                    nodes.append(inner)
    return nodes


def _span(node: SyntaxTreeNode, places: Mapping[str, str]) -> list[Node]:
    body = [inner for child in node.children for inner in _span(child, places)]
    match node.type:
        case "text":
            return [{"kind": "text", "text": _held_together(pretty_text(node.content))}]
        case "softbreak":
            return [{"kind": "text", "text": " "}]
        case "hardbreak":
            return [{"kind": "break"}]
        case "code_inline":
            return [{"kind": "code-span", "text": node.content}]
        case "em" | "strong":
            return [{"kind": node.type, "body": body}]
        case "link":
            return [_link(str(node.attrs.get("href", "")), body, places)]
        case "image":
            return [{"kind": "text", "text": f"[{node.content}]"}]
    return body


def _link(href: str, body: list[Node], places: Mapping[str, str]) -> Node:
    label = href.removeprefix("#")
    if href.startswith("#") and label in places:
        return {"kind": "pointer", "label": label, "place": places[label], "body": body}
    if href.startswith(("https://", "http://", "mailto:")):
        return {"kind": "link", "href": href, "shown": loosened(href), "body": body}
    return {"kind": "span", "body": body}


def pretty_text(text: str) -> str:
    """Return text with real accidentals in what is a note, a symbol or a degree.

    >>> pretty_text("Bbm7b5 to F#, the b9 of it, by A. Abbott at the Ebb")
    'B♭m7♭5 to F♯, the ♭9 of it, by A. Abbott at the Ebb'
    """
    return _SECOND.sub(_prime, _TOKEN.sub(_accidentals, text))


def _prime(match: re.Match[str]) -> str:
    """Give the second voicing of a symbol its prime, not an apostrophe."""
    return f"{match[1]}′" if _is_symbol(match[1]) else match[0]


def _held_together(text: str) -> str:
    """Keep a number on the line of the word that it counts: *string 2*, *bar 7*."""
    return loosened(_COUNTED.sub("\\1\u00a0", text))


def loosened(text: str) -> str:
    """Let a word longer than a line break, by soft hyphens in it.

    >>> len(loosened("a" * 60)), loosened("an ordinary word")
    (64, 'an ordinary word')
    """
    return _LONG.sub(lambda match: "\u00ad".join(re.findall(".{1,12}", match[0])), text)


def _accidentals(match: re.Match[str]) -> str:
    token = match[0]
    tail = ""
    while (token and token[-1] in ",-/(") or token.count(")") > token.count("("):
        token, tail = token[:-1], token[-1] + tail
    if not re.fullmatch(_DEGREE, token) and not _is_symbol(token):
        return match[0]
    signs = re.sub(r"(?<=^[A-G])b|(?<=/[A-G])b|b(?=\d)", "♭", token).replace("#", "♯")
    return signs + tail


def _is_symbol(token: str) -> bool:
    if re.match(r"[A-G]bb", token):
        return False
    try:
        parse_symbol(token)
    except SymbolError:
        return False
    return True
