"""Opening media files: containers and codecs by whitelist, and nothing that they point to.

A media file is code to its reader: playlists, concatenation scripts and session descriptions
make a reader open other files or addresses. So the file is handed over as an open handle, and
any further opening is refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal, NoReturn

import av
import av.error

from gripwright.errors import MediaError
from gripwright.files import shown, why_unreadable

Kind = Literal["audio", "video"]

_CONTAINERS = "wav,flac,mp3,ogg,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm"
_CODECS: dict[Kind, str] = {
    "audio": "aac,aac_fixed,alac,flac,mp3,mp3float,opus,libopus,vorbis,libvorbis,ac3,eac3,pcm_u8,"
    "pcm_s16le,pcm_s16be,pcm_s24le,pcm_s24be,pcm_s32le,pcm_s32be,pcm_f32le,pcm_f32be,pcm_f64le,"
    "pcm_f64be",
    "video": "h264,hevc,vp8,vp9,libdav1d,av1,mpeg4,mpeg2video,prores,dnxhd,mjpeg",
}
OTHERWISE: dict[Kind, str] = {
    "audio": "export it as wav or flac, 16 or 24 bits",
    "video": "export it as H.264 in mp4, or leave the film out with --no-film",
}
_NAMES: dict[Kind, str] = {"audio": "sound", "video": "picture"}
_KINDS = "wav, flac, mp3, m4a, ogg, mp4, mov or mkv"
_MAGIC = (b"RIFF", b"RF64", b"fLaC", b"OggS", b"\x1a\x45\xdf\xa3")
_MP4_BOXES = (b"ftyp", b"moov", b"mdat", b"wide", b"free")


@contextmanager
def opened_media(path: Path, kind: Kind) -> Iterator[tuple[Any, Any]]:
    """Open a file for its sound or its picture; yield container and stream, None if it has none.

    Raises MediaError for a file that is missing, empty, no recording, or in a coding that is
    not read.
    """
    try:
        other = why_unreadable(path)
        if other is not None:
            raise bad(path, *other)
        with path.open("rb") as handle:
            if not handle.read(1):
                raise bad(path, "is empty (0 bytes)", "copy or export it again")
            handle.seek(0)
            options = {"format_whitelist": _CONTAINERS, "codec_whitelist": _CODECS[kind]}
            with av.open(
                handle, options=options, metadata_errors="replace", io_open=_refuse
            ) as container:
                stream: Any = container.streams.best(kind)
                if stream is not None and stream.codec_context is None:
                    said = f"holds {_NAMES[kind]} in a coding that is not read"
                    raise bad(path, said, OTHERWISE[kind])
                yield container, stream
    except av.error.FFmpegError as error:
        raise _unreadable(path) from error
    except OSError as error:
        raise bad(
            path, f"cannot be opened: {error.strerror}", f"give the path of a {_KINDS} file"
        ) from error


def bad(path: Path, reason: str, remedy: str | None = None) -> MediaError:
    """Return the error of a take that cannot be used."""
    return MediaError(f"{shown(path)} {reason}", field="take", at=str(path), remedy=remedy)


def _unreadable(path: Path) -> MediaError:
    """Return the error of a file that no allowed container could open."""
    with path.open("rb") as handle:
        head = handle.read(12)
    if head[4:8] in _MP4_BOXES or head[:4] in _MAGIC or head[:3] == b"ID3":
        return bad(path, "is damaged or cut off before its sound", "copy or export it again")
    return bad(path, "is not a recording that can be read", f"give a {_KINDS} file")


def _refuse(url: str, flags: int, options: dict[str, str]) -> NoReturn:
    """Refuse to open anything that a media file asks for."""
    raise PermissionError(1, "a recording must not open another file", url)
