"""Sync on takes of known truth: places, orders, confidence, the check of what was played.

    python evaluation/hearing_sync.py PACKS [TAKES] [--fit] [--check]

Beside it in the same run: a constant-tempo guess from the true first stroke at the median true
tempo. ``--fit`` prints logistic weights fitted on development grips and seeds (the constants
in hearing/laid.py and hearing/check.py); without it, test grips, seeds and the pack that
training never saw.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
from takes.make import Take
from takes.measure import logistic_fit, packs_given, reliability, skill, takes

from gripwright.errors import InputError
from gripwright.hearing.align import Floats
from gripwright.hearing.chart import Chart, chart_of
from gripwright.hearing.check import evidence, extra_chance, masked, missing_chance
from gripwright.hearing.laid import SyncedEvent
from gripwright.hearing.strokes import Stroked, pitch_places
from gripwright.hearing.sync import sync
from gripwright.lesson.model import Bar, ChordEvent, Lesson
from gripwright.neck.grip import Grip

CURVES = {
    "missing": missing_chance,
    "missing, masked": lambda value: missing_chance(value, True),
    "extra": extra_chance,
}


def falsified(lesson: Lesson, rng: np.random.Generator, share: float = 0.2) -> Lesson:
    """Return the lesson with a string of some grips changed: left out, added, or a fret off."""

    def event(old: ChordEvent) -> ChordEvent:
        if old.chord is None or old.chord.grip is None or rng.random() > share:
            return old
        frets = list(old.chord.grip.frets)
        index = int(rng.integers(len(frets)))
        fret = frets[index]
        if fret is None:
            frets[index] = int(rng.integers(0, 5))
        else:
            frets[index] = [None, fret + 1, max(0, fret - 1), fret + 2][int(rng.integers(4))]
        return replace(old, chord=replace(old.chord, grip=Grip(tuple(frets))))

    def bar(old: Bar) -> Bar:
        return replace(old, chords=tuple(event(e) for e in old.chords))

    parts = tuple(replace(p, bars=tuple(bar(b) for b in p.bars)) for p in lesson.parts)
    return replace(lesson, parts=parts)


def offsets(take: Take, events: tuple[SyncedEvent, ...]) -> Floats:
    """Return by how much each true event is missed, by its nearest where the counts differ."""
    hits = take.played.hits
    if len(events) == len(hits):
        return np.array([abs(e.start_s - h.start_s) for e, h in zip(events, hits, strict=True)])
    at = np.array([e.start_s for e in events])
    return np.array([np.abs(at - h.start_s).min() for h in hits])


def guess(take: Take) -> Floats:
    """Return the same of a constant tempo from the true first stroke."""
    hits = np.array([h.start_s for h in take.played.hits])
    beats = np.array(take.played.beats_s)
    place = np.interp(hits, beats, np.arange(len(beats)))
    return np.abs(hits[0] + (place - place[0]) * np.median(np.diff(beats)) - hits)


def checked(
    take: Take, chart: Chart, stroked: Stroked, events: tuple[SyncedEvent, ...]
) -> dict[str, list[tuple[float, bool]]]:
    """Return (evidence, is it so) of every note that may be missing, open or masked, or extra."""
    out: dict[str, list[tuple[float, bool]]] = {name: [] for name in CURVES}
    expected = {e.index: e for e in chart.expected}
    for event, hit in zip(events, take.played.hits, strict=True):
        if not event.found or abs(event.start_s - hit.start_s) > 0.08:
            continue
        sounds, struck = evidence(stroked, event)
        own = set(pitch_places(expected[event.index].midi).tolist())
        also = set(pitch_places(expected[event.index].also).tolist())
        true = set(pitch_places(hit.midi).tolist())
        for pitch in range(len(sounds)):
            if pitch in also:
                continue
            if pitch in own:
                name = "missing, masked" if masked(pitch, own) else "missing"
                out[name].append((float(sounds[pitch]), pitch not in true))
            else:
                out["extra"].append((float(struck[pitch]), pitch in true))
    return out


def main() -> None:
    """Print the tables."""
    packs, count = packs_given()
    fitting = "--fit" in sys.argv
    names = ("nylon", "electric") if fitting else ("acoustic",)
    half, first = ("dev", 1000) if fitting else ("test", 5000)
    if "--check" in sys.argv:
        check_table(packs, names, count, first, half, fitting)
        return
    rows = []
    for kind in ("clean", "hard"):
        for reorder in (False, True):
            own, plain, orders, failed = [], [], [], 0
            for take, heard in takes(packs, names, kind, count, first, half, reorder=reorder):
                try:
                    synced, _ = sync(take.song.lesson, heard)
                except InputError as error:
                    print(f"  not matched: {error.message}", file=sys.stderr)
                    failed += 1
                    own.append(np.full(len(take.played.hits), 9.0))
                    orders.append(False)
                    continue
                own.append(offsets(take, synced.events))
                plain.append(guess(take))
                orders.append(tuple(p for p, _ in synced.order) == take.order)
                rows += [
                    (e.confidence, abs(e.start_s - h.start_s) < 0.05)
                    for e, h in zip(synced.events, take.played.hits, strict=False)
                    if len(synced.events) == len(take.played.hits)
                ]
            off, base = np.concatenate(own), np.concatenate(plain)
            print(
                f"{kind:5} {'other order' if reorder else 'in order':11} "
                f"median {1e3 * np.median(off):5.1f} ms, 95 % {1e3 * np.percentile(off, 95):6.1f}"
                f", within 40 ms {np.mean(off < 0.04):.3f}, within 80 {np.mean(off < 0.08):.3f}, "
                f"orders {np.mean(orders):.2f}, unmatched {failed}; constant tempo: median "
                f"{1e3 * np.median(base):.0f} ms"
            )
    sure = np.array(rows, float)
    print("confidence of places:", reliability(sure[:, 0], sure[:, 1]))
    check_table(packs, names, count, first, half, fitting)


def check_table(packs, names, count, first, half, fitting) -> None:
    """Print the skill of the check on takes whose charts were falsified."""
    pairs: dict[str, list[tuple[float, bool]]] = {name: [] for name in CURVES}
    rng = np.random.default_rng(first)
    for kind in ("clean", "hard"):
        for take, heard in takes(packs, names, kind, count, first + 500, half):
            wrong = falsified(take.song.lesson, rng)
            try:
                synced, stroked = sync(wrong, heard)
            except InputError:
                continue
            if len(synced.events) != len(take.played.hits):
                continue
            for name, some in checked(take, chart_of(wrong), stroked, synced.events).items():
                pairs[name] += some
    for name, curve in CURVES.items():
        values, truth = np.array(pairs[name], float).T
        if fitting:
            print(name, "weights", logistic_fit(np.clip(values, -12, 12)[:, None], truth))
        chance = np.array([curve(v) for v in values])
        said = chance >= 0.9
        right = truth[said].mean() if said.any() else float("nan")
        print(
            f"{name}: base rate {truth.mean():.4f} of {len(truth)}, Brier skill "
            f"{skill(chance, truth):.2f}, said at 0.9: {said.sum()}, of them right {right:.2f}; "
            + reliability(chance, truth)
        )


if __name__ == "__main__":
    main()
