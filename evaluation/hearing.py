"""Hear on takes of known truth: tuning, beats, chords, exact pitches and grips.

    python evaluation/hearing.py PACKS [TAKES] [--fit] [--compound]

Peers in the same run: librosa's beat tracker and a chroma template classifier on librosa's
constant-Q chroma; the plain non-negative fit of our own for the sets of pitches. Beats and chord
labels are scored by mir_eval. Pitches are scored against what was struck; a plucked pattern may
not come round to every string, and then no ear can tell the whole grip: grips are scored over
all chords and over those struck whole. ``--fit`` fits the confidence on development grips and
seeds, ``--compound`` scores the beats of takes in 6/8 alone.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Sequence

import librosa
import mir_eval
import numpy as np
from takes.make import Take
from takes.measure import logistic_fit, packs_given, reliability, takes
from takes.packs import Pack

from gripwright.harmony.reading import readings
from gripwright.hearing.bands import RATE
from gripwright.hearing.hear import HeardTake, hear
from gripwright.hearing.sound import Heard
from gripwright.neck.grip import parse_grip

warnings.filterwarnings("ignore")
TEMPLATES = {"maj": (0, 4, 7), "min": (0, 3, 7), "7": (0, 4, 7, 10), "maj7": (0, 4, 7, 11),
             "min7": (0, 3, 7, 10)}  # fmt: skip
ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def beat_f(true: tuple[float, ...], found: Sequence[float] | np.ndarray) -> float:
    """Return the F measure at 70 ms over the whole take, its first five seconds included."""
    return float(mir_eval.beat.f_measure(np.array(true), np.asarray(found, float)))


def sevenths(take: Take, labels: list[str], intervals: np.ndarray) -> float:
    """Return WCSR on sevenths of estimated labels against the named truth."""
    hits = take.played.hits
    true = [readings(parse_grip(h.grip))[0].harte for h in hits]
    want = np.array([[h.start_s, h.end_s] for h in hits])
    intervals, labels = mir_eval.util.adjust_intervals(
        intervals, labels, want[0, 0], want[-1, 1], "N", "N"
    )
    spans, ours, theirs = mir_eval.util.merge_labeled_intervals(want, true, intervals, labels)
    same = mir_eval.chord.sevenths(ours, theirs)
    return float(
        mir_eval.chord.weighted_accuracy(same, mir_eval.util.intervals_to_durations(spans))
    )


def chroma_labels(heard: Heard) -> tuple[list[str], np.ndarray]:
    """Return the peer's labels: the best template for every half second of chroma."""
    chroma = librosa.feature.chroma_cqt(y=heard.samples, sr=RATE, hop_length=512)
    step = int(0.5 * RATE / 512)
    labels, spans = [], []
    for at in range(0, chroma.shape[1] - step + 1, step):
        mean = chroma[:, at : at + step].mean(axis=1)
        best = max(
            ((mean[[(root + n) % 12 for n in notes]].sum() / np.sqrt(len(notes)), root, name)
             for root in range(12) for name, notes in TEMPLATES.items())
        )  # fmt: skip
        labels.append(f"{ROOTS[best[1]]}:{best[2]}")
        spans.append([at * 512 / RATE, (at + step) * 512 / RATE])
    return labels, np.array(spans)


def our_labels(result: HeardTake) -> tuple[list[str], np.ndarray]:
    """Return our labels; a chord that goes on under strange strokes keeps its own."""
    labels = [c.reading.harte if c.reading else "N" for c in result.chords]
    starts = [c.start_s for c in result.chords]
    ends = [*starts[1:], result.chords[-1].end_s]
    return labels, np.array(list(zip(starts, ends, strict=True)))


def chord_scores(take: Take, result: HeardTake) -> dict[str, float]:
    """Return shares by length: degrees and bass right, exact pitches, exact grips, note F1."""
    names = ("degrees", "pitches", "grip", "first 3", "grip, whole", "first 3, whole")
    total, whole, sums, counts = 0.0, 0.0, dict.fromkeys(names, 0.0), [0] * 3
    for hit in take.played.hits:
        length = hit.end_s - hit.start_s
        middle = hit.start_s + 0.6 * length
        total += length
        whole += length * hit.whole
        found = [c for c in result.chords if c.start_s <= middle]
        if not found:
            counts[2] += len(hit.midi)
            continue
        chord = found[-1]
        have, want = set(chord.midi), set(hit.midi)
        counts = [counts[0] + len(have & want), counts[1] + len(have), counts[2] + len(want)]
        same_bass = min(have) % 12 == min(want) % 12
        classes = {m % 12 for m in have} == {m % 12 for m in want}
        grips = [g.text for g in (chord.grip, *chord.grips_also) if g]
        sums["degrees"] += length * (classes and same_bass)
        sums["pitches"] += length * (have == want)
        sums["grip"] += length * (grips[:1] == [hit.grip])
        sums["first 3"] += length * (hit.grip in grips[:3])
        sums["grip, whole"] += length * hit.whole * (grips[:1] == [hit.grip])
        sums["first 3, whole"] += length * hit.whole * (hit.grip in grips[:3])
    spans = {n: whole if n.endswith("whole") else total for n in names}
    out = {n: sums[n] / spans[n] if spans[n] else float("nan") for n in names}
    out["note F1"] = 2 * counts[0] / max(counts[1] + counts[2], 1)
    return out


def main() -> None:
    """Print the tables."""
    packs, count = packs_given()
    fitting = "--fit" in sys.argv
    names = ("nylon", "electric") if fitting else ("acoustic",)
    half, first = ("dev", 2000) if fitting else ("test", 6000)
    if "--compound" in sys.argv:
        compound(packs, names, count, first + 600, half)
        return
    doubts: list[tuple[float, bool]] = []
    for kind in ("clean", "hard"):
        rows: list[dict[str, float]] = []
        styles: list[str] = []
        for take, heard in takes(packs, names, kind, count, first, half, parts=2):
            result = hear(heard)
            row = chord_scores(take, result)
            found = np.array(result.beats.beats_s)
            row["beat F"] = beat_f(take.played.beats_s, found)
            halves = [found[::2], found[1::2]]
            if len(found) > 1:
                halves.append(np.sort(np.concatenate([found, (found[1:] + found[:-1]) / 2])))
            row["beat F, any level"] = max(beat_f(take.played.beats_s, b) for b in [found, *halves])
            _, peer = librosa.beat.beat_track(y=heard.samples, sr=RATE, units="time")
            row["librosa beat F"] = beat_f(take.played.beats_s, peer)
            row["cents off"] = abs(result.tuning_cents - take.tuning_cents)
            row["in 5 cents"] = float(row["cents off"] <= 5)
            row["strings off"] = strings_off(take, result)
            row["sevenths"] = sevenths(take, *our_labels(result))
            row["chroma sevenths"] = sevenths(take, *chroma_labels(heard))
            row["plain pitches"] = chord_scores(take, hear(heard, plain=True))["pitches"]
            rows.append(row)
            styles.append(take.song.style)
            doubts += sure_rows(take, result)
        print(f"{kind}, {count} takes")
        for name in rows[0]:
            own = np.array([row[name] for row in rows])
            parts = {s: np.nanmean(own[[t == s for t in styles]]) for s in sorted(set(styles))}
            cells = "  ".join(f"{s} {v:.3f}" for s, v in parts.items())
            print(f"  {name:18} {np.nanmean(own):.3f}   {cells}")
    values, truth = np.array(doubts, float).T
    if fitting:
        logit = np.log(values / (1 - values))
        print("confidence weights on its own log-odds", logistic_fit(logit[:, None], truth))
    print("confidence of pitch sets:", reliability(values, truth))


def strings_off(take: Take, result: HeardTake) -> float:
    """Return the mean error of the strings' own tuning in cents, over the strings told."""
    both = zip(take.strings_cents, result.strings_cents, strict=True)
    return float(np.mean([abs(true - own) for true, own in both if own is not None] or [np.nan]))


def compound(packs: dict[str, Pack], names: tuple[str, ...], count: int, first: int,
             half: str) -> None:  # fmt: skip
    """Print how well the beats of takes in 6/8 are heard, by style, librosa's beside them."""
    for kind in ("clean", "hard"):
        rows: dict[str, list[tuple[float, float, bool]]] = {}
        for take, heard in takes(packs, names, kind, count, first, half, parts=2, metre="6/8"):
            beats = hear(heard).beats
            _, peer = librosa.beat.beat_track(y=heard.samples, sr=RATE, units="time")
            true = take.played.beats_s
            rows.setdefault(take.song.style, []).append(
                (beat_f(true, beats.beats_s), beat_f(true, peer), beats.division == 3)
            )
        for style, own in sorted(rows.items()):
            f, other, thirds = np.mean(np.array(own, float), axis=0)
            print(f"{kind} {style:8} {len(own):3} takes: beat F {f:.3f}, librosa {other:.3f}, "
                  f"in thirds {thirds:.2f}")  # fmt: skip


def sure_rows(take: Take, result: HeardTake) -> list[tuple[float, bool]]:
    """Return (confidence, was it exactly right) of the chords that lie in one true chord."""
    rows = []
    for chord in result.chords:
        middle = 0.5 * (chord.start_s + chord.end_s)
        for hit in take.played.hits:
            if hit.start_s <= middle < hit.end_s:
                rows.append(
                    (min(max(chord.confidence, 1e-4), 1 - 1e-4), set(chord.midi) == set(hit.midi))
                )
    return rows


if __name__ == "__main__":
    main()
