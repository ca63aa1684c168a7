"""The zip for supporters: the same bytes for the same files."""

from __future__ import annotations

import re
import unicodedata
import zipfile
from collections.abc import Iterable
from pathlib import Path

_EARLIEST = (1980, 1, 1, 0, 0, 0)
_PACKED_ALREADY = {".flac", ".mp3", ".mp4", ".png", ".pdf"}
_BLOCK = 1 << 20


def archive_name(title: str) -> str:
    """Return the name of the zip, the title in plain letters.

    >>> archive_name("Früher Nebel (for Ten)")
    'fruher-nebel-for-ten.zip'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return (re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "lesson") + ".zip"


def write_archive(place: Path, folder: Path, paths: Iterable[str]) -> None:
    """Write a zip of files of a folder, in order of their paths, without times or owners.

    Raises OSError.
    """
    root = place.stem
    with zipfile.ZipFile(place, "w") as archive:
        for path in sorted(paths):
            row = zipfile.ZipInfo(f"{root}/{path}", _EARLIEST)
            row.external_attr = 0o644 << 16
            packed = Path(path).suffix in _PACKED_ALREADY
            row.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            row.file_size = (folder / path).stat().st_size
            with (folder / path).open("rb") as source, archive.open(row, "w") as sink:
                while block := source.read(_BLOCK):
                    sink.write(block)
