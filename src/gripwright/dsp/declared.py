"""How long a recording says it is: the way to see that a file was cut off.

A FLAC, MP4 or MKV announces its length, a WAV the bytes of its sound. An MP3 does so only in a
Xing, Info or VBRI tag of its first frame (without one, readers guess from the bit rate). An Ogg
stream ends with a page that is marked as the last (RFC 3533, section 6).
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any

_TAIL = 2 * 65_307  # two Ogg pages of the greatest size
_PAGE_HEADER = 27


def declared_end_s(path: Path, container: Any) -> float | None:
    """Return the second at which an open container should end, None where it does not say."""
    if container.format.name == "wav":
        return _wav_end_s(path)
    if container.duration is None or container.duration <= 0:
        return None
    if container.format.name == "mp3" and not _mp3_says_length(path):
        return None
    start = container.start_time or 0
    return float(start + container.duration) / 1_000_000


def _wav_end_s(path: Path) -> float | None:
    """Return what a RIFF WAVE announces: bytes of its data chunk over bytes a second.

    0 and 0xFFFFFFFF stand for "not known" (a pipe, or more than 4 GB).
    """
    bytes_a_second = 0
    with path.open("rb") as handle:
        if handle.read(12)[:4] != b"RIFF":
            return None
        while len(head := handle.read(8)) == 8:
            kind, size = struct.unpack("<4sI", head)
            if kind == b"data":
                known = size not in (0, 0xFFFFFFFF) and bytes_a_second
                return size / bytes_a_second if known else None
            start = handle.tell()
            if kind == b"fmt ":
                bytes_a_second = struct.unpack("<8xI", handle.read(12).ljust(12, b"\0"))[0]
            handle.seek(start + size + size % 2)
    return None


def _mp3_says_length(path: Path) -> bool:
    with path.open("rb") as handle:
        head = handle.read(10)
        start = 0
        if head[:3] == b"ID3" and len(head) == 10:
            start = 10 + (head[6] << 21 | head[7] << 14 | head[8] << 7 | head[9])
        handle.seek(start)
        frame = handle.read(4096)
    return any(tag in frame for tag in (b"Xing", b"Info", b"VBRI"))


def ogg_is_whole(path: Path) -> bool:
    """Return whether the last page of an Ogg file is complete and marked as the last."""
    size = path.stat().st_size
    with path.open("rb") as handle:
        handle.seek(max(0, size - _TAIL))
        tail = handle.read()
    at = tail.rfind(b"OggS")
    if at < 0 or at + _PAGE_HEADER > len(tail):
        return False
    segments = tail[at + 26]
    table = tail[at + _PAGE_HEADER : at + _PAGE_HEADER + segments]
    complete = at + _PAGE_HEADER + segments + sum(table) <= len(tail)
    return bool(tail[at + 5] & 4) and complete
