"""Hashes: of values, of files, and of the code that turns one into the other.

A key must not depend on the folder, the clock or the hash seed, so values are hashed in a
canonical JSON form (fields by name, fractions as text) and code by its text.
"""

from __future__ import annotations

import hashlib
import platform
import sys
from fractions import Fraction
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import msgspec

ROOMS = (
    "theory", "neck", "harmony", "dsp", "voicing", "lesson", "draw", "formats", "hearing", "page",
    "screen", "pack",
)  # fmt: skip
LIBRARIES = (
    "av", "lxml", "markdown-it-py", "mido", "numpy", "python-stretch", "resvg",
    "soundfile", "soxr", "typst", "verovio",
)  # fmt: skip


def _plain(value: object) -> object:
    if isinstance(value, Fraction):
        return str(value)
    raise NotImplementedError(f"{type(value).__name__} has no canonical form")


def digest(value: object) -> str:
    """Return the SHA-256 of a value made of records, tuples, numbers and text, as hex.

    >>> digest((1, Fraction(1, 2))) == digest((1, Fraction(2, 4)))
    True
    """
    canonical = msgspec.json.encode(value, enc_hook=_plain, order="sorted")
    return hashlib.sha256(canonical).hexdigest()


def file_digest(path: Path) -> str:
    """Return the SHA-256 of a file as hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@cache
def code_digest() -> str:
    """Return the hash of everything but the inputs that the bytes of a pack depend on.

    That is the text and the tables of every room a stage may import, the versions of the
    libraries that draw, sound and encode, the interpreter and the kind of machine.
    """
    root = Path(__file__).parent.parent
    sources = [path for room in ROOMS for path in (root / room).rglob("*")]
    sources += root.glob("*.py")
    kept = sorted(p for p in sources if p.is_file() and p.suffix != ".pyc")
    total = hashlib.sha256()
    for path in kept:
        total.update(f"{path.relative_to(root).as_posix()} {file_digest(path)}\n".encode())
    for name in LIBRARIES:
        total.update(f"{name} {_version(name)}\n".encode())
    total.update(f"{sys.version} {platform.machine()} {sys.platform}".encode())
    return total.hexdigest()


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"
