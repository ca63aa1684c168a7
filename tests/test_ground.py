"""What lies under the overlay: colours, pictures, and inks that stand out on both.

Contrast is the WCAG 2.2 ratio; 4.5:1 for text (1.4.3), 3:1 for lines (1.4.11).
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.draw.look import DARK, LIGHT, Palette, contrast
from gripwright.dsp.film_facts import FilmFacts
from gripwright.errors import InputError
from gripwright.pack.board import board_of
from gripwright.pack.registry import stages_for
from gripwright.pack.run import plan
from gripwright.pack.stage import Job, Settings, TakeFacts
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.clock import clock, pulses
from gripwright.screen.cues import cues
from gripwright.screen.ground import (
    NAMES,
    backdrop,
    check_picture,
    colour_of,
    plate_of,
    read_picture,
)
from gripwright.screen.inks import LINES, TEXT, inked
from gripwright.screen.layout import TALL, WIDE, Layout
from gripwright.screen.overlay import write_overlay
from gripwright.screen.shots import Scene, Shot, frame_at, shots
from gripwright.screen.take import TakeEvent
from gripwright.screen.tiles import Board
from packing import lesson_of

CHANCE = np.random.default_rng(11)


def worst(colour: str, grounds: list[str]) -> float:
    """Return the least contrast of a colour on grounds."""
    return min(contrast(colour, ground) for ground in grounds)


def complain_if_faint(colours: Palette, grounds: list[str]) -> None:
    """Assert that text and lines stand out on every ground."""
    texts = [colours.ink, colours.quiet, colours.accent, *(c for _, c in colours.families)]
    assert min(worst(text, grounds) for text in texts) >= TEXT
    assert worst(colours.hairline, grounds) >= LINES


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_text_and_lines_stand_out_on_any_colour(rgb: tuple[int, int, int]) -> None:
    """Of all sixteen million."""
    ground = "#" + "".join(f"{part:02X}" for part in rgb)
    colours = inked([ground])
    assert colours.paper == ground
    complain_if_faint(colours, [ground])


def test_our_own_grounds_keep_their_inks() -> None:
    """On paper, light or dark, text has the colours of the look; only hairlines grow heavier."""
    for palette in (LIGHT, DARK):
        found = inked([palette.paper])
        assert (found.ink, found.quiet, found.accent) == (
            palette.ink, palette.quiet, palette.accent,
        )  # fmt: skip


def test_colours_are_those_of_css() -> None:
    """CSS Level 2 Revision 1, 4.3.6 names seventeen colours; gray may be written grey."""
    assert len(NAMES) == 18 and NAMES["gray"] == NAMES["grey"]
    assert [colour_of(text) for text in ("orange", " TEAL ", "#abc", "#1d2433")] == [
        "#FFA500", "#008080", "#AABBCC", "#1D2433",
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["#12345", "#ggg", "#", "#1234567"])
def test_a_colour_that_is_none_is_told(text: str) -> None:
    """With what would be right."""
    with pytest.raises(InputError, match="is no colour") as told:
        colour_of(text)
    assert told.value.field == "background" and "#rrggbb" in str(told.value.remedy)


def write_picture(path: Path, rgb: np.ndarray[Any, Any]) -> Path:
    """Write a picture in the kind of its name."""
    codec, pixels = ("png", "rgb24") if path.suffix == ".png" else ("mjpeg", "yuvj420p")
    frame = av.VideoFrame.from_ndarray(rgb, "rgb24")
    with av.open(str(path), "w", format="image2") as out:
        stream: Any = out.add_stream(codec, rate=1)
        stream.width, stream.height, stream.pix_fmt = frame.width, frame.height, pixels
        out.mux(stream.encode(frame.reformat(format=pixels, dst_color_range="JPEG")))
        out.mux(stream.encode(None))
    return path


def picture(kind: str) -> np.ndarray[Any, Any]:
    """Return a picture that is hard to write on: checks, noise, or half dark and half bright."""
    if kind == "noise":
        return CHANCE.integers(0, 256, (300, 500, 3)).astype(np.uint8)
    rows, columns = np.mgrid[0:300, 0:500]
    on = (rows // 50 + columns // 50) % 2 if kind == "checks" else columns > 250
    return np.where(on[..., None], 255, 0).astype(np.uint8).repeat(3, axis=2)


@pytest.mark.parametrize(("kind", "layout"), [("noise", WIDE), ("checks", TALL), ("halves", WIDE)])
def test_a_picture_is_quiet_where_grips_are_laid(kind: str, layout: Layout, tmp_path: Path) -> None:
    """On every pixel of the decoded video under the grips, text and lines stand out."""
    place = write_picture(tmp_path / "p.png", picture(kind))
    laid = backdrop(read_picture(place, (layout.width, layout.height)), layout)
    lesson = lesson_of()
    board = Board(layout, lesson.neck, laid.colours, {}, "")
    empty = [Shot(0, 2, Scene(None, None, None))]
    write_overlay(tmp_path / "o.mp4", board, empty, under=laid.picture)
    with av.open(str(tmp_path / "o.mp4")) as file:
        frame: Any = next(file.decode(video=0))
    seen = frame.reformat(format="rgb24", src_colorspace="ITU709").to_ndarray()
    box = plate_of(layout)
    inside = seen[box.y + 8 : box.y + box.height - 8, box.x + 8 : box.x + box.width - 8]
    pixels = np.unique(inside[::11, ::11].reshape(-1, 3), axis=0)
    chosen = pixels[CHANCE.integers(0, len(pixels), 400)]
    bright = pixels @ (0.2126, 0.7152, 0.0722)
    ends = pixels[[bright.argmin(), bright.argmax()]]
    grounds = ["#" + bytes(row.tolist()).hex() for row in (*chosen, *ends)]
    texts = [laid.colours.ink, laid.colours.quiet, laid.colours.accent]
    # the encoder may move a pixel by a few steps
    assert min(worst(text, grounds) for text in texts) >= TEXT - 0.2
    assert worst(laid.colours.hairline, grounds) >= LINES - 0.15
    assert worst(laid.colours.ink, grounds) >= 6.5
    assert np.ptp(bright) > 4  # there is still a picture


def test_around_the_grips_the_picture_is_itself() -> None:
    """Outside the plate not a pixel is changed."""
    given_ = CHANCE.integers(0, 256, (WIDE.height, WIDE.width, 3)).astype(np.uint8)
    laid = backdrop(given_, WIDE).picture
    box = plate_of(WIDE)
    same = (laid == given_).all(axis=2)
    assert same[: box.y].all() and same[:, : box.x].all()
    assert not same[box.y + 99 : box.y + 199, box.x + 99 : box.x + 199].all()


@pytest.mark.parametrize("name", ["p.png", "p.jpg"])
def test_a_picture_fills_the_frame_and_is_cropped_evenly(name: str, tmp_path: Path) -> None:
    """Of a wide picture with a mark in the middle the middle is kept, in an upright frame too."""
    wide = np.full((200, 800, 3), 40, np.uint8)
    wide[80:120, 380:420] = (220, 30, 30)
    place = write_picture(tmp_path / name, wide)
    for size in ((320, 180), (180, 320)):
        seen = read_picture(place, size).astype(int)
        assert seen.shape == (size[1], size[0], 3)
        red = np.argwhere(seen[..., 0] > 150)
        assert red.mean(axis=0) == pytest.approx((size[1] / 2, size[0] / 2), abs=2)
        assert abs(seen[5, 5] - 40).max() < 6


def test_grips_are_drawn_in_the_inks_of_their_ground(tmp_path: Path) -> None:
    """On navy the strings are light, on white dark."""
    lesson = lesson_of()
    times = clock(lesson)
    events = cues(lesson, times.tempo_map)
    shown = shots(events, pulses(lesson, times), times.end_s, frame_at(times.total_s))
    first = next(shot for shot in shown if shot.scene.chord)
    for name, low, high in (("navy", 150, 255), ("white", 0, 60)):
        colours = inked([NAMES[name]])
        board = Board(WIDE, lesson.neck, colours, fingers_by_grip(lesson), "")
        write_overlay(tmp_path / "o.mp4", board, [Shot(0, 1, first.scene)])
        with av.open(str(tmp_path / "o.mp4")) as file:
            bright = next(file.decode(video=0)).to_ndarray()
        box = WIDE.grip
        crop = bright[box.y : box.y + box.height, box.x : box.x + box.width].astype(int)
        ground = np.median(crop)
        ink = crop.ravel()[np.abs(crop - ground).argmax()]
        assert low <= ink <= high and abs(ink - ground) > 100


def png_of_size(width: int, height: int) -> bytes:
    """Return a PNG whose header promises a size (W3C, PNG, 11.2.2)."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)

    def chunk(kind: bytes, data: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + crc

    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.png", b"", "no png or jpeg"),
        ("a.txt", b"a diary", "no png or jpeg"),
        ("a.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no png or jpeg"),
        ("a.m3u8", b"#EXTM3U\nfile:///etc/passwd", "no png or jpeg"),
        ("a.png", b"\x89PNG\r\n\x1a\nnothing more", "damaged"),
        ("a.jpg", b"\xff\xd8\xff\xe0 cut off", "damaged"),
        ("bomb.png", png_of_size(60_000, 60_000), "pixels"),
    ],
)  # fmt: skip
def test_what_is_no_picture_is_told(name: str, data: bytes, said: str, tmp_path: Path) -> None:
    """By its first bytes and not by its name; a bomb is not unpacked."""
    (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError, match=said) as told:
        check_picture(tmp_path / name)
    assert told.value.field == "background" and told.value.remedy


def test_a_misspelt_colour_is_guessed(tmp_path: Path) -> None:
    """A word that is no file is taken for a colour with a slip."""
    with pytest.raises(InputError, match="neither a colour nor a file") as told:
        check_picture(Path("nawy"))
    assert "navy" in str(told.value.remedy)
    with pytest.raises(InputError, match="is a folder"):
        check_picture(tmp_path)


def test_the_settings_choose_ground_and_inks(tmp_path: Path) -> None:
    """None is paper, a colour is itself, a hash is the picture that is given."""
    place = write_picture(tmp_path / "p.png", picture("halves"))
    for chosen, paper, laid in ((None, LIGHT.paper, False), ("#000080", "#000080", False),
                                ("ab" * 32, None, True)):  # fmt: skip
        job = Job(
            lesson_of(), {"background": chosen, "left_handed": False}, {"background": place},
            tmp_path,
        )  # fmt: skip
        board, under = board_of(job, WIDE)
        assert (under is not None) is laid
        assert paper in (None, board.colours.paper)
        if under is not None:
            assert under.shape == (WIDE.height, WIDE.width, 3)


def test_a_setting_makes_anew_what_shows_it_and_no_more() -> None:
    """The background is in the keys of overlays and films, a corner in the film's alone."""
    take = TakeFacts("0" * 64, 9.0, (TakeEvent(0, 1.0, 2.0),), FilmFacts(640, 360, 9.0))

    def keys(**more: Any) -> dict[str, str]:
        settings = Settings(take=take, **more)
        return {t.stage.name: t.key for t in plan(stages_for(settings), lesson_of(), settings)}

    plain = keys()
    other = {n for n, key in keys(background="#000080").items() if key != plain[n]}
    assert other == {
        "overlay", "take-overlay", "take-overlay-tall", "take-film",
        "take-slow-50", "take-slow-70", "take-slow-85",
    }  # fmt: skip
    moved = {n for n, key in keys(corner="bottom-left").items() if key != plain[n]}
    assert moved == {"take-film", "timeline"}
    assert plain.keys() - keys(film=False).keys() == {"take-film"}
