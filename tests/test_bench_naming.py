"""The browser names grips as the library does: one table, two readers."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from pathlib import Path

import pytest

from gripwright.errors import GripwrightError
from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import STANDARD, make_neck, parse_tuning

ROOT = Path(__file__).parents[1] / "src" / "gripwright"
NODE = shutil.which("node")
TUNINGS = (STANDARD, parse_tuning("D2 A2 D3 G3 B3 E4"), parse_tuning("G4 C4 E4 A4"))
SCRIPT = """
import { readFileSync } from "node:fs";
const [naming, table] = process.argv.slice(1);
const { readings } = await import(naming);
const data = JSON.parse(readFileSync(table, "utf8"));
const grips = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(grips.map(([sounds, low]) => readings(data, sounds, low))));
"""


def _grips(count: int) -> list[tuple[Grip, int]]:
    """Return seeded random grips and the index of their tuning."""
    pick = random.Random(20_24)
    found = []
    while len(found) < count:
        index = pick.randrange(len(TUNINGS))
        frets = tuple(
            None if pick.random() < 0.3 else pick.randrange(0, 15) for _ in TUNINGS[index].strings
        )
        if sum(fret is not None for fret in frets) >= 2:
            found.append((Grip(frets), index))
    return found


def _told(reading: Reading) -> tuple[object, ...]:
    symbol = reading.symbol.text if reading.symbol else ""
    tones = [(t.string, t.fret, t.midi, t.note.name, t.degree.text) for t in reading.tones]
    omits = [degree.text for degree in reading.omits]
    return (symbol, reading.root.name, reading.bass.name, tones, omits, round(reading.weight, 9))


def _told_in_browser(reading: dict[str, object]) -> tuple[object, ...]:
    tones = [tuple(t[k] for k in ("string", "fret", "midi", "note", "degree"))
             for t in reading["tones"]]  # type: ignore[attr-defined]  # fmt: skip
    names = (reading["symbol"], reading["root"], reading["bass"])
    return (*names, tones, reading["omits"], round(float(str(reading["weight"])), 9))


@pytest.mark.skipif(NODE is None, reason="no Node.js on this machine")
def test_browser_and_library_give_the_same_readings() -> None:
    """2,000 random grips in three tunings: symbols, spellings, degrees and weights agree."""
    grips = _grips(2_000)
    necks = [make_neck(tuning) for tuning in TUNINGS]
    heard = [soundings(grip, necks[index]) for grip, index in grips]
    asked = [
        ([{"string": s.string, "fret": s.fret, "midi": s.midi} for s in row],
         necks[index].re_entrant)
        for row, (_, index) in zip(heard, grips, strict=True)
    ]  # fmt: skip
    run = subprocess.run(
        [str(NODE), "--input-type=module", "-e", SCRIPT, str(ROOT / "bench/web/naming.js"),
         str(ROOT / "harmony/naming.json")],
        input=json.dumps(asked), capture_output=True, text=True, check=True,
    )  # fmt: skip
    answers = json.loads(run.stdout)
    assert len(answers) == len(grips) == 2_000
    for (grip, index), answer in zip(grips, answers, strict=True):
        try:
            library = readings(grip, necks[index])
        except GripwrightError as error:
            raise AssertionError(f"{grip.text}: {error}") from error
        assert [_told_in_browser(r) for r in answer] == [_told(r) for r in library], grip.text
