"""A made-up player: when each string sounds, with drift, early and late hits, and strums."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gripwright.lesson.unroll import Played, played_events
from gripwright.neck.grip import soundings
from gripwright.neck.tuning import STANDARD_NECK
from takes.songs import Song


@dataclass(frozen=True)
class Note:
    """One string that sounds from ``start_s`` until it is stopped."""

    start_s: float
    stop_s: float
    midi: int
    string: int
    velocity: float


@dataclass(frozen=True)
class Hit:
    """A chord event as it was played; ``index`` is the event of the lesson as written to play.

    ``full_s`` is when the last string of the event's first stroke sounds. ``midi`` is what was
    struck by its end: a plucked pattern may not come round to every string of the grip, and then
    ``whole`` is False.
    """

    index: int
    start_s: float
    full_s: float
    end_s: float
    grip: str
    midi: tuple[int, ...]
    whole: bool


@dataclass(frozen=True)
class Feel:
    """How a player plays: ``drift`` is the share by which the tempo wanders."""

    drift: float = 0.03
    jitter_s: float = 0.006
    spread_s: tuple[float, float] = (0.012, 0.05)


@dataclass(frozen=True)
class Performance:
    """All notes, the events as played, beats and downbeats, in seconds."""

    notes: tuple[Note, ...]
    hits: tuple[Hit, ...]
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]


def perform_song(
    song: Song, rng: np.random.Generator, feel: Feel, order: tuple[str, ...], speed: float = 1.0
) -> Performance:
    """Play a song in an order of its parts that may differ from the lesson's."""
    lesson = song.lesson
    events = _in_order(song, order)
    total = float(sum(played.event.length for played in events))
    quarter_s = 60 / float(lesson.tempo_bpm) / speed / float(lesson.metre.beats[0])
    grid = np.arange(0, total + 8, 0.25)
    wander = np.cumsum(rng.normal(0, 1, len(grid)))
    wander = np.convolve(np.pad(wander, 20, "edge"), np.ones(41) / 41, "valid")
    wander -= wander.mean()
    step = quarter_s * 0.25 * (1 + feel.drift * wander / (np.abs(wander).max() + 1e-9))
    seconds = np.concatenate([[0.0], np.cumsum(step)[:-1]])

    def when(quarter: float) -> float:
        return float(np.interp(quarter, grid, seconds))

    notes: list[Note] = []
    hits: list[Hit] = []
    at = 0.0
    for played in events:
        length = float(played.event.length)
        beat = float(lesson.metre.beats[0])
        hits.append(_play_event(played, song.style, at, (length, beat), when, rng, feel, notes))
        at += length
    ends = [hit.start_s for hit in hits[1:]] + [when(total) + 0.6]
    hits = [replace(h, end_s=end) for h, end in zip(hits, ends, strict=True)]
    bar, beat = len(lesson.metre.beats), float(lesson.metre.beats[0])
    beats = tuple(when(beat * count) for count in range(int(total / beat)))
    return Performance(_stopped(notes, hits), tuple(hits), beats, beats[::bar])


def _in_order(song: Song, order: tuple[str, ...]) -> list[Played]:
    """Return the events of the parts as played; each keeps the index that fits it best."""
    lesson = song.lesson
    groups: dict[tuple[str, int], list[Played]] = {}
    for played in played_events(lesson):
        groups.setdefault((played.where.part, played.where.visit), []).append(played)
    visits = [(part, lesson.order[: i + 1].count(part)) for i, part in enumerate(lesson.order)]
    at, out = 0, []
    for name in order:
        later = [i for i, (part, _) in enumerate(visits) if part == name and i >= at]
        chosen = later[0] if later else max(i for i, (p, _) in enumerate(visits) if p == name)
        out += groups[visits[chosen]]
        at = chosen + 1
    return out


def _play_event(
    played: Played, style: str, at: float, span: tuple[float, float], when, rng, feel: Feel,
    notes: list[Note],
) -> Hit:  # fmt: skip
    chord = played.event.chord
    assert chord is not None and chord.grip is not None
    strings = soundings(chord.grip, STANDARD_NECK)
    first = last = 0.0
    struck: set[int] = set()
    length, beat = span
    made = _compound if beat > 1 else _strokes
    for number, (offset, kind) in enumerate(made(style, length, len(strings), rng)):
        start = when(at + offset) + float(np.clip(rng.normal(0, feel.jitter_s), -0.025, 0.025))
        chosen = strings if kind in "du" else (strings[int(kind) % len(strings)],)
        chosen = chosen[::-1] if kind == "u" else chosen
        spread = rng.uniform(*feel.spread_s) if len(chosen) > 1 else 0.0
        loud = rng.uniform(0.6, 1.0) * (1.0 if number == 0 else 0.8)
        loud *= 0.8 if beat > 1 and offset % beat else 1.0
        struck |= {sounding.midi for sounding in chosen}
        for place, sounding in enumerate(chosen):
            start_s = start + spread * place / max(1, len(chosen) - 1)
            level = loud * rng.uniform(0.75, 1.0)
            notes.append(Note(start_s, 1e9, sounding.midi, sounding.string, level))
        if number == 0:
            first, last = start, start + spread
    whole = struck == {s.midi for s in strings}
    midi = tuple(sorted(struck))
    return Hit(played.index, first, last, 0.0, chord.grip.text, midi, whole)


def _strokes(style: str, length: float, strings: int, rng) -> list[tuple[float, str]]:
    if style == "block":
        return [(0.0, "d")]
    if style == "strum":
        return [(float(beat), "d") for beat in range(int(length))]
    halves = [k / 2 for k in range(int(2 * length))]
    if style == "eighths":
        return [(at, "d" if at % 1 == 0 else "u") for at in halves
                if at % 1 == 0 or rng.random() < 0.75]  # fmt: skip
    walk = [0, *[1 + k % max(1, strings - 1) for k in range(len(halves) - 1)]]
    return [(at, str(string)) for at, string in zip(halves, walk, strict=True)]


def _compound(style: str, length: float, strings: int, rng) -> list[tuple[float, str]]:
    """Return strokes in a metre whose beats fall into three; the hand's way changes by event."""
    if style in ("block", "pluck"):
        return _strokes(style, length, strings, rng)
    thirds = [(k / 2, k % 3) for k in range(int(2 * length))]
    way = ("ddd", "dud", "ddu")[int(rng.integers(3))]
    share = 0.25 if style == "strum" else 0.8
    return [(at, way[third]) for at, third in thirds if third == 0 or rng.random() < share]


def _stopped(notes: list[Note], hits: list[Hit]) -> tuple[Note, ...]:
    """Stop each note where its string is struck again or the hand leaves for the next grip."""
    changes = np.array([hit.start_s for hit in hits] + [hits[-1].end_s])
    notes = sorted(notes, key=lambda note: note.start_s)
    done = []
    for index, note in enumerate(notes):
        again = next((n.start_s for n in notes[index + 1 :] if n.string == note.string), 1e9)
        # a stroke may come a little before its own event's time by jitter
        change = (
            changes[np.searchsorted(changes, note.start_s + 0.06)]
            if (note.start_s + 0.06 < changes[-1])
            else changes[-1]
        )
        stop = min(again, float(change) - 0.01)
        done.append(Note(note.start_s, max(stop, note.start_s + 0.05), note.midi, note.string,
                         note.velocity))  # fmt: skip
    return tuple(done)
