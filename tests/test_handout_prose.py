"""Prose as a tree of plain values."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.page.prose import headed, pretty_text, prose_tree


def flat(nodes: object) -> str:
    """Return all the text of a tree."""
    if isinstance(nodes, dict):
        return "".join(flat(value) for key, value in nodes.items()
                       if key in ("text", "body", "bodies", "items", "rows"))  # fmt: skip
    if isinstance(nodes, list):
        return "".join(map(flat, nodes))
    return nodes if isinstance(nodes, str) else ""


@pytest.mark.parametrize(
    ("written", "printed"),
    [("Bb", "B♭"), ("F#m7b5", "F♯m7♭5"), ("D/F#", "D/F♯"), ("the b9 and #11", "the ♭9 and ♯11"),
     ("Abmaj7,", "A♭maj7,"), ("(Eb)", "(E♭)"), ("C7(b9,#11)", "C7(♭9,♯11)"),
     ("Ebb tide, Abbey, Gb of a disk", "Ebb tide, Abbey, G♭ of a disk"),
     ("B2B, b, a #1 fan", "B2B, b, a #1 fan"),
     ("Am9’ again", "Am9′ again"), ("‘A7’ he said", "‘A7’ he said"), ("Ed’s", "Ed’s")],
)  # fmt: skip
def test_notes_symbols_and_degrees_get_real_signs(written: str, printed: str) -> None:
    """What reads as a note, a symbol or a degree is printed as one; words are left alone."""
    assert pretty_text(written) == printed


def test_code_is_left_as_it_is() -> None:
    """In code spans and fences nothing is prettified."""
    tree = prose_tree("Type `Bb` here.\n\n```\nF#\n```\n", {})
    assert "Bb" in flat(tree) and "F#" in flat(tree)


def test_quotes_are_printed_as_quotes() -> None:
    """Straight quotes and apostrophes become typographic ones."""
    assert flat(prose_tree('"It\'s his," she said.', {})) == "“It’s his,” she said."


def test_numbers_stay_with_what_they_count() -> None:
    """A no-break space ties *string 2* and *bar 7* together."""
    assert flat(prose_tree("On string 2 of bar 7, two 8ths", {})) == (
        "On string\u00a02 of bar\u00a07, two 8ths"
    )


def test_every_kind_of_block_has_a_node() -> None:
    """Headings, lists, quotes, code, rules and tables come through in order."""
    text = "# A\n\nB\n\n- c\n- d\n\n3. e\n\n> f\n\n    g\n\n---\n\n| h | i |\n| --- | --- |\n"
    kinds = [node["kind"] for node in prose_tree(text, {})]
    assert kinds == ["heading", "paragraphs", "list", "list", "quote", "code", "rule", "table"]
    assert prose_tree(text, {})[3]["start"] == 3


def test_raw_html_is_text() -> None:
    """Markup of a browser is printed, not obeyed."""
    assert flat(prose_tree("<b>x</b> <script>y</script>", {})) == "<b>x</b> <script>y</script>"


def test_a_link_to_no_label_is_plain_text() -> None:
    """A pointer whose label is not in the chart keeps its words and points nowhere."""
    assert prose_tree("[it](#gone)", {})[0]["bodies"][0] == [
        {"kind": "span", "body": [{"kind": "text", "text": "it"}]}]  # fmt: skip


def test_a_script_link_is_not_a_link() -> None:
    """Only web and mail addresses are links."""
    kinds = [node["kind"] for node in prose_tree("[a](javascript:x) [b](https://b.example)", {})[0]
             ["bodies"][0]]  # fmt: skip
    assert "link" in kinds and kinds.count("link") == 1


def test_empty_headings_fall_away_and_levels_step() -> None:
    """A heading with nothing beneath it is left out; no level is skipped (PDF/UA)."""
    tree = headed(prose_tree("## A\n\n## B\n\n##### C\n\nText\n\n## D\n", {}), above=2)
    heads = [(flat(node["body"]), node["level"]) for node in tree if node["kind"] == "heading"]
    assert heads == [("B", 3), ("C", 4)]


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet="ab*_`[](#)!<>\\\n-1.|~ &\"'Bb#", max_size=60))
def test_any_markdown_makes_a_tree(text: str) -> None:
    """Nothing that a teacher types stops the page."""
    for node in prose_tree(text, {}):
        assert "kind" in node
