"""Make a take: a song, a player, a pack, a room, from one seed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from takes import rooms
from takes.packs import LEAD_S, Pack, read_pack
from takes.players import Feel, Performance, perform_song
from takes.songs import Song, make_song


@dataclass(frozen=True, eq=False)
class Take:
    """A sound and all that is true of it; times are in the file's seconds.

    ``strings_cents`` is bass side first, each string against A4 = 440 Hz.
    """

    samples: np.ndarray
    rate: int
    song: Song
    order: tuple[str, ...]
    played: Performance
    tuning_cents: float
    kind: str
    strings_cents: tuple[float, ...] = ()


def render(played: Performance, pack: Pack, cents: np.ndarray, seconds: float) -> np.ndarray:
    """Return the notes of a performance mixed; ``cents`` one offset a string, string 1 first."""
    rate = pack.rate
    out = np.zeros(int(seconds * rate))
    fade = int(0.03 * rate)
    for note in played.notes:
        x = pack.note(note.midi + cents[note.string - 1] / 100, note.stop_s - note.start_s + 0.03)
        x = x * note.velocity
        if len(x) > fade:
            x[-fade:] *= np.linspace(1, 0, fade)
        start = int((note.start_s - LEAD_S) * rate)
        if start < 0:
            x, start = x[-start:], 0
        out[start : start + len(x)] += x[: max(0, len(out) - start)]
    return out


def make_take(
    seed: int, pack: Pack, kind: str = "clean", half: str = "dev", *, reorder: bool = False,
    parts: int = 3, bars: int = 4, metre: str | None = None,
) -> Take:  # fmt: skip
    """Return a take, ``clean`` (a room, 3 % drift) or ``hard`` (all that goes wrong)."""
    rng = np.random.default_rng(seed)
    song = make_song(rng, half, parts, bars, metre)
    hard = kind == "hard"
    feel = Feel(0.15, 0.010, (0.012, 0.07)) if hard else Feel()
    order = _other_order(song.lesson.order, rng) if reorder else song.lesson.order
    played = perform_song(song, rng, feel, order, float(rng.uniform(0.9, 1.1)))
    lead = float(rng.uniform(3, 6) if hard else rng.uniform(0.4, 1.5))
    played = shifted(played, lead)
    tuning = float(rng.uniform(-35, 35)) if hard else float(rng.uniform(-20, 20))
    cents = tuning + rng.normal(0, 2.0, 6)
    seconds = played.hits[-1].end_s + (3.0 if hard else 0.5)
    x = render(played, pack, cents, seconds)
    rate = pack.rate
    x = rooms.equalised(x, rate, rng, 3.0)
    if hard:
        x = rooms.flanger(x, rate, rng) if rng.random() < 0.4 else x
        x = rooms.drive(x, rng.uniform(0.05, 0.4)) if rng.random() < 0.4 else x
        x = rooms.room(x, rate, rng, rng.uniform(0.3, 0.8), rng.uniform(0.2, 0.6))
        x = _with_talk(x, rate, rng, played, lead)
        x = rooms.noise(x, rng, 20.0)
    else:
        x = rooms.room(x, rate, rng, rng.uniform(0.15, 0.35), rng.uniform(0.05, 0.2))
        x = rooms.noise(x, rng, 45.0)
    x = (0.5 * x / np.abs(x).max()).astype(np.float32)
    return Take(x, rate, song, order, played, tuning, kind, tuple(cents[::-1]))


def _with_talk(
    x: np.ndarray, rate: int, rng: np.random.Generator, played: Performance, lead: float
) -> np.ndarray:
    """Return the sound with a count-in, talk before and after, and sometimes a bleeding click."""
    level = np.abs(x).max()
    beat = played.beats_s[1] - played.beats_s[0]
    before = rooms.talk(max(0.3, lead - 4 * beat - 0.2), rate, rng)
    after = rooms.talk(2.0, rate, rng)
    x[: len(before)] += level * rng.uniform(0.2, 0.6) * before
    x[-len(after) :] += level * rng.uniform(0.2, 0.6) * after
    count_in = played.beats_s[0] - beat * np.arange(4, 0, -1)
    x += level * 0.3 * rooms.clicks(count_in, len(x), rate, rng)
    if rng.random() < 0.4:
        x += level * 0.05 * rooms.clicks(np.array(played.beats_s), len(x), rate, rng)
    return x


def shifted(played: Performance, by_s: float) -> Performance:
    """Return a performance moved later."""
    return Performance(
        tuple(replace(n, start_s=n.start_s + by_s, stop_s=n.stop_s + by_s) for n in played.notes),
        tuple(
            replace(h, start_s=h.start_s + by_s, full_s=h.full_s + by_s, end_s=h.end_s + by_s)
            for h in played.hits
        ),
        tuple(at + by_s for at in played.beats_s),
        tuple(at + by_s for at in played.downbeats_s),
    )


def _other_order(order: tuple[str, ...], rng: np.random.Generator) -> tuple[str, ...]:
    """Return the order with one part left out or one played twice."""
    at = int(rng.integers(len(order)))
    if rng.random() < 0.5 and len(order) > 2:
        return order[:at] + order[at + 1 :]
    return order[: at + 1] + order[at:]


def packs_in(folder: Path, rate: int = 44100) -> dict[str, Pack]:
    """Return the npm packs unpacked under a folder, by their short names."""
    return {
        path.name.split("guitar-")[1].removesuffix("-mp3"): read_pack(path / "package", rate)
        for path in sorted(folder.glob("tonejs-instrument-guitar-*-mp3"))
        if path.is_dir()
    }
