"""Sound out: FLAC, MP3, WAV and Ogg Vorbis, the same bytes for the same samples.

Samples are float, shape (samples,) or (samples, channels), full scale 1.0; what goes beyond is
clipped. Everything is written beside the target and then moved over it, in blocks of 65,536
frames (one long Ogg write in a single call is known to crash the encoder). What is too long to
be held at once goes block by block through `open_flac` or `open_mp3`.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import soundfile  # type: ignore[import-untyped]

from gripwright.errors import BuildError

Write = Callable[[np.ndarray[Any, Any]], None]

_LOSSY_RATES = (8_000, 11_025, 12_000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000)
_BLOCK = 65_536
_MP3 = {
    "format": "MP3",
    "subtype": "MPEG_LAYER_III",
    "bitrate_mode": "CONSTANT",
    "compression_level": 0.3,
}  # of the encoder's 0 to 1: 224 kbit/s at 44.1 kHz
_OGG_LEVEL = 0.4  # Vorbis quality 6
_SERIAL = 1


def write_wav(path: str | Path, x: np.ndarray[Any, Any], rate: int, *, bits: int = 16) -> None:
    """Write a WAV file of 16 or 24 bits; raises BuildError."""
    _write(Path(path), x, rate, format="WAV", subtype=f"PCM_{bits}")


def write_flac(path: str | Path, x: np.ndarray[Any, Any], rate: int, *, bits: int = 16) -> None:
    """Write a FLAC file of 16 or 24 bits; raises BuildError."""
    _write(Path(path), x, rate, format="FLAC", subtype=f"PCM_{bits}")


def write_mp3(path: str | Path, x: np.ndarray[Any, Any], rate: int) -> None:
    """Write an MP3 file of 224 kbit/s; its length comes back exact. Raises BuildError."""
    _write(Path(path), x, rate, **_MP3)


def write_ogg(path: str | Path, x: np.ndarray[Any, Any], rate: int) -> None:
    """Write an Ogg Vorbis file; raises BuildError.

    The encoder gives each file a random serial number; it is set to 1 here, so that the bytes
    repeat.
    """
    _write(Path(path), x, rate, format="OGG", subtype="VORBIS", compression_level=_OGG_LEVEL)


def lossy_rate(rate: int) -> int:
    """Return the rate at which sound of a rate is coded as MP3 or AAC: its own, or 48 kHz.

    The rates are those of MPEG-1, -2 and -2.5 layer III; AAC (ISO 14496-3) has them too.

    >>> lossy_rate(44_100), lossy_rate(192_000)
    (44100, 48000)
    """
    return rate if rate in _LOSSY_RATES else 48_000


@contextmanager
def open_flac(path: str | Path, rate: int, channels: int) -> Iterator[Write]:
    """Give what writes blocks, shape (samples, channels), to a FLAC file of 16 bits."""
    with _opened(Path(path), rate, channels, format="FLAC", subtype="PCM_16") as write:
        yield write


@contextmanager
def open_mp3(path: str | Path, rate: int, channels: int) -> Iterator[Write]:
    """Give what writes blocks, shape (samples, channels), to an MP3 file as `write_mp3` does."""
    with _opened(Path(path), rate, channels, **_MP3) as write:
        yield write


def _write(path: Path, x: np.ndarray[Any, Any], rate: int, **how: Any) -> None:
    with _opened(path, rate, 1 if x.ndim == 1 else x.shape[1], **how) as write:
        write(x)


@contextmanager
def _opened(path: Path, rate: int, channels: int, **how: Any) -> Iterator[Write]:
    """Give what writes beside the target; move over it, or leave nothing behind on failure."""
    beside = path.with_name(f".{path.name}.part")
    try:
        with soundfile.SoundFile(beside, "w", rate, channels, **how) as out:

            def write(x: np.ndarray[Any, Any]) -> None:
                _complain_if_no_numbers(path, x)
                for start in range(0, len(x), _BLOCK):
                    out.write(x[start : start + _BLOCK])

            yield write
        if how["format"] == "OGG":
            beside.write_bytes(with_serial(beside.read_bytes(), _SERIAL))
        os.replace(beside, path)
    except (OSError, soundfile.SoundFileError) as error:
        raise BuildError(
            f"{path.name} could not be written: {error}", at=str(path),
            remedy="check that the folder exists and has room",
        ) from error  # fmt: skip
    finally:
        beside.unlink(missing_ok=True)


def _complain_if_no_numbers(path: Path, x: np.ndarray[Any, Any]) -> None:
    if not np.isfinite(x).all():
        raise BuildError(
            f"{path.name}: the sound holds samples that are no numbers", at=str(path),
            remedy="this is a fault of Gripwright itself: please report it with the lesson",
        )  # fmt: skip


def with_serial(data: bytes, serial: int) -> bytes:
    """Return an Ogg file with every page's serial number replaced.

    Pages and their checksum (CRC-32, polynomial 0x04C11DB7, no reflection, start 0) as in
    RFC 3533, section 6.
    """
    out = bytearray(data)
    at = 0
    while at < len(out):
        segments = out[at + 26]
        end = at + 27 + segments + sum(out[at + 27 : at + 27 + segments])
        out[at + 14 : at + 18] = serial.to_bytes(4, "little")
        out[at + 22 : at + 26] = bytes(4)
        out[at + 22 : at + 26] = _crc(out[at:end]).to_bytes(4, "little")
        at = end
    return bytes(out)


def _crc_table() -> tuple[int, ...]:
    table = []
    for byte in range(256):
        value = byte << 24
        for _ in range(8):
            value = (value << 1) ^ (0x04C11DB7 if value & 0x80000000 else 0)
        table.append(value & 0xFFFFFFFF)
    return tuple(table)


_TABLE = _crc_table()


def _crc(page: bytes | bytearray) -> int:
    crc = 0
    for byte in page:
        crc = ((crc << 8) & 0xFFFFFFFF) ^ _TABLE[(crc >> 24) ^ byte]
    return crc
