"""Recordings in and sound files out.

Sound is synthesised; lengths, levels and pitches of a sine are known in closed form.
"""

from __future__ import annotations

import os
import struct
import threading
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.dsp.media import audio_facts, read_audio, stream_audio
from gripwright.dsp.sound_file import with_serial, write_flac, write_mp3, write_ogg, write_wav
from gripwright.errors import BuildError, MediaError
from signals import peak_hz

WRITERS = {"wav": write_wav, "flac": write_flac, "mp3": write_mp3, "ogg": write_ogg}


def sine(rate: int, seconds: float = 1.5, hz: float = 440.0, level: float = 0.5) -> Any:
    """Return a mono sine, shape (samples,)."""
    return level * np.sin(2 * np.pi * hz * np.arange(round(rate * seconds)) / rate)


def encode(path: Path, x: Any, rate: int, codec: str = "aac", video_s: float = 0.0) -> None:
    """Write stereo sound (and grey pictures of 25 a second) into the container of a name."""
    with av.open(str(path), "w") as out:
        audio = out.add_stream(codec, rate=rate) if len(x) else None
        if video_s:
            video: Any = out.add_stream("mpeg4", rate=25)
            video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
            grey = np.full((48, 64, 3), 128, np.uint8)
            for _ in range(round(25 * video_s)):
                out.mux(video.encode(av.VideoFrame.from_ndarray(grey, "rgb24")))
            out.mux(video.encode(None))
        if audio is not None:
            both = np.ascontiguousarray(np.stack([x, x]), np.float32)
            for start in range(0, len(x), 1024):
                block = np.ascontiguousarray(both[:, start : start + 1024])
                frame = av.AudioFrame.from_ndarray(block, "fltp", "stereo")
                frame.sample_rate, frame.pts = rate, start
                out.mux(audio.encode(frame))
            out.mux(audio.encode(None))


@pytest.mark.parametrize("kind", sorted(WRITERS))
@pytest.mark.parametrize("rate", [22_050, 44_100, 48_000])
def test_what_is_written_is_read_back(tmp_path: Path, kind: str, rate: int) -> None:
    """Every kind that is written comes back with its length, level and pitch."""
    x = sine(rate)
    WRITERS[kind](tmp_path / f"a.{kind}", np.stack([x, x], 1), rate)
    y, got = read_audio(tmp_path / f"a.{kind}")
    assert got == rate and y.shape == (len(x), 2) and y.dtype == np.float32
    assert np.abs(y).max() == pytest.approx(0.5, abs=0.03)
    assert peak_hz(y[:, 0], rate) == pytest.approx(440, abs=0.5)


@pytest.mark.parametrize("kind", ["wav", "flac"])
def test_lossless_kinds_keep_every_sample(tmp_path: Path, kind: str) -> None:
    """A WAV or FLAC of 24 bits is within half a step of what was written."""
    x = sine(44_100)
    WRITERS[kind](tmp_path / f"a.{kind}", x, 44_100, bits=24)
    y, _ = read_audio(tmp_path / f"a.{kind}")
    assert np.abs(y[:, 0] - x).max() < 2.0**-23


@pytest.mark.parametrize("kind", sorted(WRITERS))
def test_written_bytes_repeat(tmp_path: Path, kind: str) -> None:
    """The same sound gives the same bytes, Ogg's random serial number included."""
    x = sine(44_100)
    for name in ("a", "b"):
        WRITERS[kind](tmp_path / name, x, 44_100)
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_ogg_pages_keep_a_right_checksum(tmp_path: Path) -> None:
    """Setting an Ogg's serial number to what it was gives the encoder's own bytes."""
    soundfile.write(tmp_path / "a.ogg", sine(44_100), 44_100, format="OGG", subtype="VORBIS")
    data = (tmp_path / "a.ogg").read_bytes()
    assert with_serial(data, int.from_bytes(data[14:18], "little")) == data


@pytest.mark.parametrize("name", ["a.m4a", "a.mp4", "a.mov", "a.mkv"])
def test_sound_of_other_containers_is_read(tmp_path: Path, name: str) -> None:
    """AAC in the MP4 family and Matroska comes back, beside a picture too."""
    encode(tmp_path / name, sine(48_000), 48_000, video_s=0 if name == "a.m4a" else 1.5)
    y, rate = read_audio(tmp_path / name, mono=True)
    assert rate == 48_000 and abs(len(y) - 72_000) <= 2_048 and y.shape[1] == 1
    assert peak_hz(y[4_800:62_400, 0], rate) == pytest.approx(440, abs=0.5)


@pytest.mark.parametrize("rate", [22_050, 96_000, 192_000])
def test_resampling_keeps_pitch_level_and_length(tmp_path: Path, rate: int) -> None:
    """A stream resampled to 44.1 kHz keeps a sine's frequency, level and length."""
    write_wav(tmp_path / "a.wav", sine(rate, 3.0), rate)
    y, _ = read_audio(tmp_path / "a.wav", rate=44_100)
    assert len(y) == pytest.approx(132_300, abs=1)
    middle = y[4_410:-4_410, 0]
    assert peak_hz(middle, 44_100) == pytest.approx(440, abs=0.2)
    assert np.abs(middle).max() == pytest.approx(0.5, abs=0.002)


def test_streaming_yields_short_blocks_that_join_without_seam(tmp_path: Path) -> None:
    """Blocks are about a second long and together equal the whole."""
    x = sine(44_100, 5.0)
    write_flac(tmp_path / "a.flac", np.stack([x, -x], 1), 44_100)
    blocks = list(stream_audio(tmp_path / "a.flac"))
    assert len(blocks) >= 4 and max(map(len, blocks)) < 60_000
    assert np.abs(np.concatenate(blocks)[:, 1] + x).max() < 2.0**-14


def test_mono_is_the_mean_of_both_channels(tmp_path: Path) -> None:
    """Opposite channels cancel."""
    x = sine(44_100)
    write_wav(tmp_path / "a.wav", np.stack([x, -x], 1), 44_100)
    y, _ = read_audio(tmp_path / "a.wav", mono=True)
    assert np.abs(y).max() < 2.0**-14


def test_silence_is_no_error(tmp_path: Path) -> None:
    """A silent recording is read as zeros."""
    write_wav(tmp_path / "a.wav", np.zeros(4_410), 44_100)
    y, _ = read_audio(tmp_path / "a.wav")
    assert len(y) == 4_410 and not y.any()


def test_late_sound_of_a_video_is_placed_in_time(tmp_path: Path) -> None:
    """Sound that starts half a second after the picture comes out after silence."""
    with av.open(str(tmp_path / "a.mkv"), "w") as out:
        video: Any = out.add_stream("mpeg4", rate=25)
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        audio = out.add_stream("pcm_s16le", rate=48_000, layout="mono")
        for _ in range(50):
            grey = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 128, np.uint8), "rgb24")
            out.mux(video.encode(grey))
        out.mux(video.encode(None))
        frame = av.AudioFrame.from_ndarray(np.full((1, 48_000), 9_000, np.int16), "s16", "mono")
        frame.sample_rate, frame.pts = 48_000, 24_000
        out.mux(audio.encode(frame))
    y, _ = read_audio(tmp_path / "a.mkv")
    assert np.argmax(y[:, 0] > 0.1) == pytest.approx(24_000, abs=48)


SCRIPTS = {
    "concatenation": "ffconcat version 1.0\nfile '{target}'\n",
    "playlist": "#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\n{target}\n#EXT-X-ENDLIST\n",
    "session": "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\n"
    "m=audio 5004 RTP/AVP 0\n",
    "manifest": '<?xml version="1.0"?>\n<MPD xmlns="urn:mpeg:dash:schema:mpd:2011" '
    'type="static"><Period><AdaptationSet><Representation id="1" mimeType="audio/mp4">'
    "<BaseURL>{target}</BaseURL></Representation></AdaptationSet></Period></MPD>\n",
}


@pytest.mark.parametrize("script", sorted(SCRIPTS))
@pytest.mark.parametrize("name", ["x.wav", "x.m3u8", "x.mp3"])
def test_a_media_file_cannot_open_another(tmp_path: Path, script: str, name: str) -> None:
    """A script under a recording's name is refused and its target stays unopened.

    The target is a named pipe: whoever opened it would let the watching writer through.
    """
    target = tmp_path / "target.wav"
    os.mkfifo(target)
    opened = threading.Event()

    def watch() -> None:
        handle = os.open(target, os.O_WRONLY)
        opened.set()
        os.close(handle)

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    (tmp_path / name).write_text(SCRIPTS[script].format(target=target))
    with pytest.raises(MediaError, match="not a recording"):
        read_audio(tmp_path / name)
    assert not opened.wait(0.05)
    os.close(os.open(target, os.O_RDONLY | os.O_NONBLOCK))
    watcher.join(2)


@pytest.mark.parametrize("kind", sorted(WRITERS))
def test_a_cut_off_file_is_told(tmp_path: Path, kind: str) -> None:
    """Two thirds of a file raise, and give what is there where that is wanted."""
    path = tmp_path / f"a.{kind}"
    WRITERS[kind](path, np.random.default_rng(1).normal(0, 0.1, 44_100 * 3), 44_100)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    with pytest.raises(MediaError, match="cut off"):
        read_audio(path)
    part, _ = read_audio(path, cut_off_ok=True)
    assert 30_000 < len(part) < 132_300


def test_a_cut_off_mp4_is_told(tmp_path: Path) -> None:
    """An MP4 whose index is missing is called damaged, not unknown."""
    encode(tmp_path / "a.m4a", sine(44_100), 44_100)
    data = (tmp_path / "a.m4a").read_bytes()
    (tmp_path / "a.m4a").write_bytes(data[: len(data) // 2])
    with pytest.raises(MediaError, match="damaged or cut off"):
        read_audio(tmp_path / "a.m4a")


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "empty"), (b"just words\n" * 99, "not a recording"), (b"RIFF\0\0", "damaged")],
)
def test_what_is_no_recording_is_told(tmp_path: Path, content: bytes, words: str) -> None:
    """Nothing, text and a bare header each get their words."""
    (tmp_path / "a.wav").write_bytes(content)
    with pytest.raises(MediaError, match=words):
        read_audio(tmp_path / "a.wav")


def test_a_video_without_sound_is_told(tmp_path: Path) -> None:
    """A picture alone has no sound track."""
    encode(tmp_path / "a.mp4", sine(48_000, 0.0), 48_000, video_s=1.0)
    with pytest.raises(MediaError, match="no sound"):
        audio_facts(tmp_path / "a.mp4")


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_samples_that_are_no_numbers_are_told_with_their_place(tmp_path: Path, bad: float) -> None:
    """The second of the first bad sample stands in the message."""
    x = sine(44_100)
    x[22_050] = bad
    soundfile.write(tmp_path / "a.wav", x, 44_100, subtype="FLOAT")
    with pytest.raises(MediaError, match=r"no numbers, the first at 0\.500 s"):
        read_audio(tmp_path / "a.wav")


def test_an_odd_rate_is_told(tmp_path: Path) -> None:
    """A rate outside 8 to 192 kHz is refused by its number."""
    write_wav(tmp_path / "a.wav", np.zeros(400), 4_000)
    with pytest.raises(MediaError, match="4000 Hz"):
        read_audio(tmp_path / "a.wav")


def test_a_piped_wav_without_length_is_whole(tmp_path: Path) -> None:
    """A data chunk of unknown size is read to the end of the file."""
    write_wav(tmp_path / "a.wav", sine(44_100), 44_100)
    data = bytearray((tmp_path / "a.wav").read_bytes())
    at = data.index(b"data") + 4
    data[at : at + 4] = struct.pack("<I", 0xFFFFFFFF)
    (tmp_path / "a.wav").write_bytes(bytes(data))
    assert len(read_audio(tmp_path / "a.wav")[0]) == pytest.approx(66_150, abs=2)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_damage_never_breaks_the_reader(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Bytes changed, cut out or put in: sound of finite samples, or a clear error."""
    kind = data.draw(st.sampled_from(sorted(WRITERS)))
    path = tmp_path_factory.getbasetemp() / f"damaged.{kind}"
    WRITERS[kind](path, sine(22_050, 0.4), 22_050)
    content = bytearray(path.read_bytes())
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, min(len(content) - 1, 400)))
        size = data.draw(st.integers(0, 8))
        content[at : at + size] = data.draw(st.binary(max_size=8))
    path.write_bytes(bytes(content))
    try:
        x, rate = read_audio(path)
    except MediaError as error:
        assert error.message.startswith(path.name)
    else:
        assert np.isfinite(x).all() and x.shape[1] in (1, 2) and rate > 0


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path) -> None:
    """Both are named, with what is the matter."""
    for path, said in ((tmp_path / "nothing.wav", "cannot be opened"), (tmp_path, "is a folder")):
        with pytest.raises(MediaError, match=said):
            read_audio(path)


def test_a_failed_write_leaves_the_old_file(tmp_path: Path) -> None:
    """Bad samples raise before anything is touched, and no part file stays behind."""
    write_wav(tmp_path / "a.wav", sine(44_100), 44_100)
    before = (tmp_path / "a.wav").read_bytes()
    with pytest.raises(BuildError, match="no numbers"):
        write_wav(tmp_path / "a.wav", np.array([0.0, np.nan]), 44_100)
    with pytest.raises(BuildError, match="could not be written"):
        write_wav(tmp_path / "no" / "a.wav", sine(44_100), 44_100)
    assert (tmp_path / "a.wav").read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["a.wav"]


def test_sound_beyond_full_scale_is_clipped(tmp_path: Path) -> None:
    """A level of 1.5 comes out as full scale, not folded over."""
    write_wav(tmp_path / "a.wav", np.array([1.5, -1.5, 0.0]), 44_100)
    y, _ = read_audio(tmp_path / "a.wav")
    assert y[0, 0] > 0.999 and y[1, 0] == -1.0


def test_a_hole_in_a_recording_is_silence_in_small_blocks(tmp_path: Path) -> None:
    """What cannot be decoded in the middle keeps its length, and is never held as a whole."""
    chance = np.random.default_rng(1)
    write_flac(tmp_path / "a.flac", chance.uniform(-0.5, 0.5, 60 * 8_000), 8_000)
    data = bytearray((tmp_path / "a.flac").read_bytes())
    low, high = len(data) // 6, 5 * len(data) // 6
    data[low:high] = bytes(high - low)
    (tmp_path / "a.flac").write_bytes(data)
    blocks = list(stream_audio(tmp_path / "a.flac"))
    assert sum(len(block) for block in blocks) == 60 * 8_000
    assert max(len(block) for block in blocks) <= 2 * 8_000
    silent = [not block.any() for block in blocks]
    assert 30 <= sum(silent) <= 42
