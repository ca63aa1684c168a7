"""Captions: WebVTT as the W3C's recommendation writes it (section 1, examples after its forms)."""

from pathlib import Path

import pytest

from gripwright.errors import InputError
from gripwright.formats.captions import MAX_BYTES, Caption, parse_captions, read_captions

TEXT = """WEBVTT - with a title

NOTE a remark
in two lines

STYLE
::cue { color: blue }

first
00:11.000 --> 00:13.000 align:start position:10%
<v Someone>We are <b>here</b> &amp; there

01:00:16.000 --> 01:00:18.500
two
lines
"""


def test_cues_are_read_and_the_rest_is_left_aside() -> None:
    """Notes, styles, settings and markup are no text."""
    assert parse_captions(TEXT) == (
        Caption(11.0, 13.0, "We are here & there", 10),
        Caption(3616.0, 3618.5, "two lines", 13),
    )


def test_line_ends_of_every_kind(tmp_path: Path) -> None:
    """CRLF and a byte order mark read alike."""
    path = tmp_path / "c.vtt"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert read_captions(path) == parse_captions(TEXT)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "does not begin with WEBVTT"),
        ("1\n00:00,000 --> 00:01,000\n", "begin with WEBVTT"),
        ("WEBVTT\n\n00:01 --> 00:02\nx", "line 3: '00:01 --> 00:02' is not the time"),
        ("WEBVTT\n\n00:02.000 --> 00:01.000\nx", "line 3: the cue ends before it begins"),
        ("WEBVTT\n\n00:99.000 --> 01:01.000\nx", "not the time"),
    ],
)
def test_what_is_no_webvtt_says_where(text: str, told: str) -> None:
    """With the line and a remedy."""
    with pytest.raises(InputError, match=told):
        parse_captions(text)


def test_files_that_are_none(tmp_path: Path) -> None:
    """A folder, no file, other bytes, far too many."""
    for data, told in ((b"WEBVTT\n\xff", "UTF-8"), (b"WEBVTT" + b"x" * MAX_BYTES, "larger")):
        path = tmp_path / "c.vtt"
        path.write_bytes(data)
        with pytest.raises(InputError, match=told):
            read_captions(path)
    with pytest.raises(InputError, match="is a folder"):
        read_captions(tmp_path)
    with pytest.raises(InputError, match="No such file"):
        read_captions(tmp_path / "none.vtt")
