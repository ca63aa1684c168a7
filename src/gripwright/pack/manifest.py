"""The manifest: every file of a pack with its hash, and the sign that a folder is ours."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import msgspec

MANIFEST = "manifest.json"
MAKER = "gripwright"
CONTRACT = 1


@dataclass(frozen=True, slots=True)
class Product:
    """A file of a pack; ``seconds`` is None for what has no length in time."""

    path: str
    kind: str
    sha256: str
    bytes: int
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Manifest:
    """The files of a pack in the order of their paths; the manifest and the zip left out."""

    contract: int
    maker: str
    version: str
    title: str
    zip: str
    files: tuple[Product, ...]


def write_manifest(manifest: Manifest, folder: Path) -> None:
    """Write the manifest into a pack; raises OSError."""
    data = msgspec.json.format(msgspec.json.encode(manifest), indent=2)
    (folder / MANIFEST).write_bytes(data + b"\n")


def read_manifest(folder: Path) -> Manifest | None:
    """Return the manifest of a pack, None when there is none of ours."""
    try:
        manifest = msgspec.json.decode((folder / MANIFEST).read_bytes(), type=Manifest)
    except (OSError, msgspec.DecodeError):
        return None
    return manifest if manifest.maker == MAKER else None
