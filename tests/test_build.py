"""Building: only what changed, the same bytes anywhere, nothing lost when it breaks off."""

from __future__ import annotations

import signal
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from gripwright.errors import BuildError
from gripwright.lesson.text import parse
from gripwright.pack.build import Pack, build
from gripwright.pack.cache import Cache
from gripwright.pack.gate import findings_that_stop
from gripwright.pack.registry import STAGES
from gripwright.pack.resolve import with_grips
from gripwright.pack.run import Step, plan
from gripwright.pack.stage import Settings
from gripwright.pack.stages import chapters as chapters_stage
from packing import TEXT, hashes, lesson_of

LIGHT = tuple(s for s in STAGES if s.name in ("score", "timeline", "chapters", "description"))
MUSIC_STAGES = ("score", "timeline", "chapters")


def quick(tmp_path: Path, text: str = TEXT, out: str = "out") -> Pack:
    """Build the stages that take no time."""
    return build(lesson_of(text), tmp_path / out, Cache(tmp_path / "cache"), stages=LIGHT)


def test_a_build_without_changes_makes_nothing(tmp_path: Path) -> None:
    """The second build takes all from the cache, byte for byte."""
    first = quick(tmp_path)
    before = hashes(first.folder)
    second = quick(tmp_path)
    assert set(first.made) == {stage.name for stage in LIGHT}
    assert second.made == ()
    assert hashes(second.folder) == before


def test_a_prose_edit_makes_only_what_holds_prose(tmp_path: Path) -> None:
    """Sound, score and timeline do not see the prose."""
    quick(tmp_path)
    edited = quick(tmp_path, TEXT.replace("Prose that nobody hears", "Other words"))
    assert edited.made == ("description",)
    assert edited.kept == MUSIC_STAGES


def test_a_grip_edit_makes_what_sounds_anew(tmp_path: Path) -> None:
    """A fret more, and everything that shows or sounds it is made."""
    quick(tmp_path)
    assert set(MUSIC_STAGES) <= set(quick(tmp_path, TEXT.replace("5x555x", "5x557x")).made)


def test_every_key_is_its_own_and_only_prose_stages_see_prose() -> None:
    """No two stages share a key; the stages whose key prose changes are those that print it."""
    one = {t.stage.name: t.key for t in plan(STAGES, lesson_of(), Settings())}
    edited = lesson_of(TEXT.replace("nobody", "somebody"))
    other = {t.stage.name: t.key for t in plan(STAGES, edited, Settings())}
    assert len(set(one.values())) == len(STAGES)
    changed = {name for name, key in one.items() if other[name] != key}
    assert changed == {"handout-a4", "handout-letter", "description"}


def test_a_tempo_edit_redraws_no_diagram() -> None:
    """Diagrams depend on grips alone."""
    keys = [
        {t.stage.name: t.key for t in plan(STAGES, lesson_of(text), Settings())}
        for text in (TEXT, TEXT.replace("tempo: 120", "tempo: 90"))
    ]
    assert keys[0]["diagrams"] == keys[1]["diagrams"]
    assert keys[0]["play-full"] != keys[1]["play-full"]


def test_the_manifest_names_every_file_but_itself_and_the_zip(tmp_path: Path) -> None:
    """Paths, hashes and sizes in the manifest are those of the files."""
    pack = quick(tmp_path)
    left_out = ("manifest.json", pack.manifest.zip)
    found = {p: value for p, value in hashes(pack.folder).items() if p not in left_out}
    assert {row.path: row.sha256 for row in pack.manifest.files} == found
    assert all(row.bytes == (pack.folder / row.path).stat().st_size for row in pack.manifest.files)


def test_the_zip_holds_what_a_supporter_gets(tmp_path: Path) -> None:
    """The zip has the score, and not what is for the teacher's own use; its name is the title's."""
    pack = quick(tmp_path)
    assert pack.manifest.zip == "two-boats-a-bell.zip"
    with zipfile.ZipFile(pack.folder / pack.manifest.zip) as archive:
        assert archive.namelist() == ["two-boats-a-bell/score.musicxml"]
        assert archive.testzip() is None


def test_a_stage_that_fails_leaves_the_older_pack(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error of the system in a stage is told, and the pack from before stays."""
    before = hashes(quick(tmp_path).folder)

    def full(job: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(chapters_stage, "make", full)
    with pytest.raises(BuildError, match="making chapters failed: the disk is full"):
        quick(tmp_path, TEXT.replace("tempo: 120", "tempo: 100"))
    assert hashes(tmp_path / "out") == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["cache", "out"]


def test_who_listens_may_stop_a_build(tmp_path: Path) -> None:
    """An exception from the listener ends the build before anything is swapped in."""

    def stop(step: Step) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        build(lesson_of(), tmp_path / "out", Cache(tmp_path / "cache"), stages=LIGHT, told=stop)
    assert not (tmp_path / "out").exists()


def test_progress_rises_to_the_end(tmp_path: Path) -> None:
    """Steps come in order and the last one is at the end."""
    steps: list[Step] = []
    build(lesson_of(), tmp_path / "o", Cache(tmp_path / "c"), stages=LIGHT, told=steps.append)
    done = [step.done for step in steps]
    assert done == sorted(done)
    assert done[-1] == pytest.approx(1.0)
    assert {step.stage for step in steps} == {stage.name for stage in LIGHT}


SCRIPT = """
import sys, time
from pathlib import Path
sys.path.insert(0, {tests!r})
from packing import TEXT, lesson_of
from gripwright.pack.build import build
from gripwright.pack.cache import Cache
from gripwright.pack.registry import STAGES
from gripwright.pack.stages import {slow} as slow
from gripwright.pack import build as build_module
names = ("score", "timeline", "chapters", "description")
stages = [s for s in STAGES if s.name in names]
hang = lambda *a: (print("hanging", flush=True), time.sleep(60))
{hang}
build(lesson_of(TEXT.replace("tempo: 120", "tempo: 77")), Path({out!r}), Cache(Path({cache!r})),
      stages=stages)
"""


@pytest.mark.parametrize("hang", ["slow.make = hang", "build_module.write_archive = hang"])
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_a_kill_leaves_the_older_pack_whole(tmp_path: Path, hang: str, how: signal.Signals) -> None:
    """Killed in a stage or while the pack is laid out, a build has changed nothing; the next
    one cleans up and succeeds."""
    before = hashes(quick(tmp_path).folder)
    script = SCRIPT.format(
        tests=str(Path(__file__).parent), slow="chapters", hang=hang,
        out=str(tmp_path / "out"), cache=str(tmp_path / "cache"),
    )  # fmt: skip
    with subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as run:
        assert run.stdout and b"hanging" in run.stdout.readline()
        run.send_signal(how)
        assert run.wait(timeout=20) != 0
    assert hashes(tmp_path / "out") == before
    quick(tmp_path, TEXT.replace("tempo: 120", "tempo: 77"))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["cache", "out"]
    assert not list((tmp_path / "cache").glob("half-*"))


def test_grips_are_found_for_chords_that_are_only_named(tmp_path: Path) -> None:
    """Every stage sees a lesson with grips; the choice is kept in the cache."""
    text = TEXT.replace("3x0003=G", "G")
    cache = Cache(tmp_path)
    filled = with_grips(lesson_of(text), cache)
    chords = [e.chord for part in filled.parts for bar in part.bars for e in bar.chords]
    assert all(chord is None or chord.grip for chord in chords)
    assert with_grips(lesson_of(text), cache) == filled == with_grips(lesson_of(text))


def test_a_label_that_its_notes_contradict_stops_a_build() -> None:
    """The gate holds back a minor seventh that sounds a major third."""
    text = TEXT.replace("E7(#9)  x7678x", "Em7     x7675x").replace("E7(#9) /", "Em7 /")
    parsed = parse(text)
    assert parsed.lesson is not None
    assert [finding.rule for finding in findings_that_stop(parsed, text)]
    assert not findings_that_stop(parse(TEXT), TEXT)


def test_what_was_edited_by_hand_is_kept_beside(tmp_path: Path) -> None:
    """Two edits in a row are both kept, under names that say so."""
    place = quick(tmp_path).folder / "description.txt"
    made = place.read_bytes()
    for text, kept_as in (("mine", "description.edited.txt"), ("more", "description.edited-2.txt")):
        place.write_text(text)
        pack = quick(tmp_path)
        assert [(one.path, one.kept_as) for one in pack.edited] == [("description.txt", kept_as)]
        assert (pack.folder / kept_as).read_text() == text
        assert place.read_bytes() == made
    assert quick(tmp_path).edited == ()
    assert (tmp_path / "out" / "description.edited.txt").read_text() == "mine"
