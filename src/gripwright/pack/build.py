"""Build the pack of a lesson: plan, make what changed, lay it out, swap it in."""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from gripwright.lesson.model import Lesson
from gripwright.pack.archive import archive_name, write_archive
from gripwright.pack.cache import Cache, Kept
from gripwright.pack.edited import Edited, keep_edited
from gripwright.pack.folder import check_target, staging
from gripwright.pack.manifest import CONTRACT, MAKER, Manifest, Product, write_manifest
from gripwright.pack.registry import stages_for
from gripwright.pack.resolve import with_grips
from gripwright.pack.run import Step, Told, plan, run
from gripwright.pack.stage import BACKGROUND, TAKE, Settings, Stage


@dataclass(frozen=True, slots=True)
class Pack:
    """A finished pack: where it is, what is in it, which stages ran and which were kept.

    ``edited`` are files that were edited by hand in the older pack, kept beside.
    """

    folder: Path
    manifest: Manifest
    made: tuple[str, ...]
    kept: tuple[str, ...]
    edited: tuple[Edited, ...] = ()


def build(
    lesson: Lesson,
    out: Path,
    cache: Cache,
    *,
    settings: Settings = Settings(),
    stages: Sequence[Stage] | None = None,
    take: Path | None = None,
    background: Path | None = None,
    processes: int | None = None,
    told: Told = lambda step: None,
) -> Pack:
    """Build a lesson into the folder ``out``; chords without a grip get one.

    ``take`` is the recording that ``settings.take`` tells of, ``background`` the picture of
    ``settings.background``. ``told`` hears of each step,
    several times a second while workers run; an exception from it ends the build. Raises
    BuildError when ``out`` is not ours, when a stage fails or when something cannot be written,
    SearchError when a symbol has no grip; an older pack is then as it was.
    """
    check_target(out)
    rows = stages if stages is not None else stages_for(settings)
    states: dict[str, str] = {}

    def hear(step: Step) -> None:
        states[step.stage] = step.state
        told(step)

    try:
        with staging(out) as folder:
            tasks = plan(rows, with_grips(lesson, cache), settings)
            products = run(
                tasks, cache, hear, processes=processes or min(2, os.cpu_count() or 1),
                given={n: p for n, p in ((TAKE, take), (BACKGROUND, background)) if p},
            )  # fmt: skip
            manifest = _lay_out(lesson.title, products, folder)
            edited = keep_edited(out.resolve(), folder)
    finally:
        cache.prune()
    named = tuple(stage.name for stage in rows)
    return Pack(
        out,
        manifest,
        tuple(name for name in named if states[name] == "made"),
        tuple(name for name in named if states[name] == "kept"),
        edited,
    )


def _lay_out(title: str, products: dict[str, tuple[Kept, ...]], folder: Path) -> Manifest:
    """Copy the products into a folder and write the zip and the manifest beside them."""
    ours = (kept for row in products.values() for kept in row if not kept.made.inside)
    every = sorted(ours, key=lambda kept: kept.made.path)
    for kept in every:
        place = folder / kept.made.path
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(kept.place, place)
    name = archive_name(title)
    write_archive(folder / name, folder, (k.made.path for k in every if k.made.supporter))
    files = tuple(
        Product(k.made.path, k.made.kind, k.sha256, k.bytes, k.made.seconds) for k in every
    )
    manifest = Manifest(CONTRACT, MAKER, version("gripwright"), title, name, files)
    write_manifest(manifest, folder)
    return manifest
