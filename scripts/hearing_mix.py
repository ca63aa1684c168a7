"""Mix strokes of known pitches on a GPU, for `train_hearing.py` to learn from.

Every batch is made afresh: random grips of random frets, of recorded notes (`hearing_bank.py`)
and of additive synthetic strings, through random tuning errors, frequency responses, rooms,
drive, flanging, clicks, voices and noise. Needs PyTorch and Triton. It is over 300 lines because
it is one chain from strings to features, each link a short function.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import torch
import triton
import triton.language as tl

from gripwright.hearing.bands import RATE, SIZE
from gripwright.hearing.listener import PITCHES

LOW = 33
BEFORE_S, AFTER_S = 0.6, 1.6
LENGTH = int((BEFORE_S + AFTER_S) * RATE)
ZERO = int(BEFORE_S * RATE)
OPEN = (40, 45, 50, 55, 59, 64)
NOTES = 18  # six strings before the stroke, six struck by it, six of the next
_BLOCK = 2048


class Bank:
    """Notes on the GPU, by instrument; the synthetic strings come after the recorded ones."""

    def __init__(self, path: str, synthetic: int, device: str) -> None:
        data = np.load(path)
        rows = torch.tensor(data["samples"], device=device).half() / 32768
        midi = torch.tensor(data["midi"], device=device).float()
        made, made_midi, made_instrument = synthetic_strings(synthetic, rows.shape[1], device)
        self.samples = torch.cat([rows, made]).contiguous()
        self.midi = torch.cat([midi, made_midi])
        first = int(data["instrument"].max()) + 1
        instrument = torch.tensor(data["instrument"], device=device)
        self.instrument = torch.cat([instrument, made_instrument + first])
        held = [i for i, h in enumerate(data["held_out"]) if h]
        recorded = [i for i in range(first) if i not in held]
        share = max(1, round(0.8 * synthetic / len(recorded)))
        train = recorded * share + list(range(first, first + synthetic))
        self.train = torch.tensor(train, device=device)
        self.test = torch.tensor(held, device=device)
        self.known = torch.tensor(recorded, device=device)
        count = first + synthetic
        pitch = torch.arange(128, device=device).float()
        far = (pitch[None, :, None] - self.midi[None, None, :]).abs()
        strange = self.instrument[None, :] != torch.arange(count, device=device)[:, None]
        far = far + 1000.0 * strange[:, None, :].float()
        self.nearest = far.topk(3, dim=2, largest=False).indices  # [instrument, 128, 3]


def synthetic_strings(count: int, length: int, device: str) -> tuple[torch.Tensor, ...]:
    """Return plucked strings by partials: every third semitone of ``count`` instruments.

    Each partial sounds in two planes a little apart in pitch and decay, so that it beats.
    """
    generator = torch.Generator().manual_seed(5)

    def uniform(low: float, high: float) -> float:
        return low + (high - low) * float(torch.rand((), generator=generator))

    pitches = torch.arange(34, 92, 3).float()
    time_s = torch.arange(length, device=device) / RATE
    rows, midi, instrument = [], [], []
    for number in range(count):
        tilt, pluck, stiff = uniform(0.3, 2.2), uniform(0.04, 0.5), 10 ** uniform(-5.5, -3.7)
        ring, damp, click = uniform(0.6, 4.0), uniform(0.02, 0.35), uniform(0.0, 0.25)
        plane, apart = uniform(0.0, 0.6), uniform(0.0002, 0.0015)
        body = torch.randn(12, generator=generator) * 4.0
        for pitch in pitches:
            hz = 440 * 2 ** ((float(pitch) - 69) / 12)
            k = torch.arange(1, 41, device=device).float()
            partials = hz * k * torch.sqrt(1 + stiff * (hz / 110) * k * k)
            k, partials = k[partials < 10500], partials[partials < 10500]
            gain_db = np.interp(np.log2(partials.cpu().numpy() / 60), np.arange(12), body.numpy())
            level = torch.sin(np.pi * k * pluck).abs() / k**tilt
            level = level * 10 ** (torch.tensor(gain_db, device=device).float() / 20)
            level = level * torch.exp(torch.randn(len(k), generator=generator).to(device) * 0.35)
            decay = ring * (110 / hz) ** 0.4 / (1 + damp * k)
            phase = torch.rand(len(k), generator=generator).to(device) * 6.283
            angle = 2 * np.pi * partials[:, None] * time_s + phase[:, None]
            waves = torch.exp(-time_s / decay[:, None]) * torch.sin(angle)
            slower = torch.exp(-time_s / (2.5 * decay[:, None]))
            waves = waves + plane * slower * torch.sin(angle * (1 + apart))
            x = (level[:, None] * waves).sum(0)
            noise = torch.randn(length, generator=generator).to(device)
            x = x / x[: RATE // 4].abs().max() + click * noise * torch.exp(-time_s * 120)
            rise = torch.clamp(time_s / uniform(0.0005, 0.004), max=1.0)
            x = torch.roll(x * rise, int(0.005 * RATE))
            x[: int(0.005 * RATE)] = 0
            rows.append((x / x.abs().max()).half())
            midi.append(float(pitch))
            instrument.append(number)
    return (torch.stack(rows), torch.tensor(midi, device=device),
            torch.tensor(instrument, device=device))  # fmt: skip


def uniform(shape: tuple[int, ...], low: float, high: float, device: str) -> torch.Tensor:
    """Return uniform numbers."""
    return low + (high - low) * torch.rand(shape, device=device)


def chance(batch: int, share: float, device: str, width: int = 1) -> torch.Tensor:
    """Return booleans [batch, width], a share of them true."""
    return torch.rand(batch, width, device=device) < share


def random_grips(batch: int, device: str) -> torch.Tensor:
    """Return MIDI numbers of random grips [batch, 6], 0 for a string that is not played.

    In some of them strings move to octaves and twelfths of another string, within reach of the
    same hand: what a lower note masks is the hardest to hear.
    """
    position = torch.randint(0, 13, (batch, 1), device=device)
    position = position * chance(batch, 0.85, device)
    fret = position + torch.randint(0, 5, (batch, 6), device=device)
    fret = torch.where(chance(batch, 0.25, device, 6), position.expand(-1, 6), fret)
    fret = _octaves(fret, position)
    open_ = torch.rand(batch, 6, device=device) < torch.where(position < 6, 0.25, 0.06)
    fret = torch.where(open_, 0, fret)
    midi = torch.tensor(OPEN, device=device) + fret
    lowered = torch.randint(-4, 3, (batch, 1), device=device)
    midi = midi + lowered * chance(batch, 0.3, device)
    keep = torch.rand(batch, 6, device=device) < torch.rand(batch, 1, device=device) * 0.6 + 0.45
    run = torch.arange(6, device=device)
    low = torch.randint(0, 4, (batch, 1), device=device)
    together = (run >= low) & (run < low + torch.randint(3, 7, (batch, 1), device=device))
    keep = torch.where(chance(batch, 0.6, device), together, keep)
    keep[:, 3] |= ~keep.any(1)
    return torch.where(keep, midi, 0)


def _octaves(fret: torch.Tensor, position: torch.Tensor) -> torch.Tensor:
    """Return frets, some moved so that a string sounds an octave or a twelfth over another."""
    batch, device = len(fret), str(fret.device)
    open_ = torch.tensor(OPEN, device=fret.device)
    source = torch.randint(0, 6, (batch, 1), device=device)
    low = (open_ + fret).gather(1, source)
    pick = torch.randint(-3, 3, (batch, 6), device=device).clamp(min=0)
    steps = torch.tensor((12, 19, 24), device=device)[pick]
    wanted = low + steps - open_
    reach = (wanted >= position) & (wanted <= position + 4)
    moved = reach & chance(batch, 0.5, device) & chance(batch, 0.7, device, 6)
    return torch.where(moved, wanted, fret)


@triton.jit
def _mix_kernel(flat, row_p, start_p, stop_p, ratio_p, level_p, out, energy,
                WIDTH: tl.constexpr, LENGTH: tl.constexpr, ZERO: tl.constexpr,
                NOTES: tl.constexpr, RATE: tl.constexpr, WINDOW: tl.constexpr,
                BLOCK: tl.constexpr):  # fmt: skip
    item = tl.program_id(0)
    place = tl.program_id(1) * BLOCK + tl.arange(0, BLOCK)
    time_s = (place - ZERO).to(tl.float32) / RATE
    total = tl.zeros((BLOCK,), tl.float32)
    near = (place >= ZERO) & (place < ZERO + WINDOW)
    for note in range(NOTES):
        at = item * NOTES + note
        level = tl.load(level_p + at)
        if level > 0:
            row = tl.load(row_p + at)
            start = tl.load(start_p + at)
            stop = tl.load(stop_p + at)
            since = (time_s - start) * RATE * tl.load(ratio_p + at) + 0.005 * RATE
            index = tl.floor(since)
            inside = (since > 0) & (since < WIDTH - 2) & (place < LENGTH)
            spot = row * WIDTH + tl.minimum(tl.maximum(index, 0.0), WIDTH - 2.0).to(tl.int64)
            a = tl.load(flat + spot, mask=inside, other=0.0).to(tl.float32)
            b = tl.load(flat + spot + 1, mask=inside, other=0.0).to(tl.float32)
            x = a + (b - a) * (since - index)
            fade = tl.minimum(tl.maximum((stop - time_s) / 0.03, 0.0), 1.0)
            tail = tl.minimum(tl.maximum((WIDTH - 2 - since) / 2000.0, 0.0), 1.0)
            x = x * fade * tail * level
            total += x
            tl.atomic_add(energy + at, tl.sum(tl.where(near, x * x, 0.0)))
    tl.store(out + item * LENGTH + place, total, mask=place < LENGTH)


def mixed(
    bank: Bank, midi: torch.Tensor, start_s: torch.Tensor, stop_s: torch.Tensor,
    level: torch.Tensor, instrument: torch.Tensor, cents: torch.Tensor,
) -> tuple[torch.Tensor, torch.Tensor]:  # fmt: skip
    """Return sounds [batch, LENGTH], and each note's energy soon after the stroke [batch, notes].

    Times count from the stroke.
    """
    device = midi.device
    pick = torch.randint(0, 3, midi.shape, device=device)
    pick = torch.where(torch.rand(midi.shape, device=device) < 0.6, 0, pick)
    pitch = midi.clamp(0, 127)
    row = bank.nearest[instrument[:, None], pitch, pick]
    far = (bank.midi[row] - midi).abs() > 4.5
    row = torch.where(far, bank.nearest[instrument[:, None], pitch, 0], row)
    ratio = 2 ** ((midi + cents / 100 - bank.midi[row]) / 12)
    level = level * (midi > 0)
    batch = len(midi)
    out = torch.empty(batch, LENGTH, device=device)
    energy = torch.zeros(batch, NOTES, device=device)
    grid = (batch, triton.cdiv(LENGTH, _BLOCK))
    _mix_kernel[grid](
        bank.samples, row.contiguous(), start_s.float().contiguous(), stop_s.float().contiguous(),
        ratio.float().contiguous(), level.float().contiguous(), out, energy,
        bank.samples.shape[1], LENGTH, ZERO, NOTES, RATE, int(0.35 * RATE), _BLOCK,
    )  # fmt: skip
    return out, energy


def stroke(bank: Bank, batch: int, instruments: torch.Tensor, strums: bool) -> Any:
    """Return sounds [batch, LENGTH], ends in seconds, and struck and sounding pitches."""
    device = str(instruments.device)
    instrument = instruments[torch.randint(0, len(instruments), (batch,), device=device)]
    old, new, next_ = (random_grips(batch, device) for _ in range(3))
    same = chance(batch, 0.5, device)
    old = torch.where(same, new, old)
    kind = torch.rand(batch, 1, device=device) * (0.55 if strums else 1.0)
    run = torch.rand(batch, 6, device=device)
    few = run.argsort(1).argsort(1) < torch.randint(1, 3, (batch, 1), device=device)
    some = chance(batch, 0.7, device, 6)
    hit = torch.where(kind < 0.55, True, torch.where(kind < 0.85, few, some)) & (new > 0)
    only = torch.zeros_like(hit)
    only[torch.arange(batch, device=device), new.argmax(1)] = True
    hit = torch.where(hit.any(1, keepdim=True), hit, only)
    nothing = chance(batch, 0.0 if strums else 0.12, device)
    hit, same = hit & ~nothing, same | nothing  # an attack was suspected, the strings ring on
    old = torch.where(same, new, old)
    spread = uniform((batch, 1), 0.0, 0.075, device) * (kind < 0.85)
    rank = torch.arange(6, device=device).expand(batch, 6) / 5
    rank = torch.where(chance(batch, 0.7, device), rank, 1 - rank)
    first = torch.where(hit, rank, 9.0).amin(1, keepdim=True).clamp(max=1.0)
    start = (rank - first) * spread
    end = 0.12 + torch.rand(batch, 1, device=device) ** 2 * 2.2
    old_start = -uniform((batch, 6), 0.0, 1.6, device) - 0.1
    ringing = (old > 0) & chance(batch, 0.8, device, 6) & chance(batch, 0.8, device)
    stays = same & ~hit
    left = torch.where(hit, start, uniform((batch, 6), -0.1, 0.0, device))
    old_stop = torch.where(stays, 9.0, left)
    stop = torch.where(chance(batch, 0.04, device, 6), 0.3, 9.0)
    groups = [uniform((batch, 1), 0.4, 1.0, device).expand(-1, 6) for _ in range(3)]
    level = uniform((batch, NOTES), 0.3, 1.0, device) * torch.cat(groups, 1)
    untuned = torch.randn(batch, 6, device=device) * uniform((batch, 1), 1, 6, device)
    cents = uniform((batch, 1), -9, 9, device) + untuned
    x, energy = mixed(
        bank, torch.cat([torch.where(ringing, old, 0), torch.where(hit, new, 0), next_], 1),
        torch.cat([old_start, start, end + rank * spread], 1),
        torch.cat([old_stop, torch.minimum(stop, end + 0.1), 9 * torch.ones_like(stop)], 1),
        level, instrument, cents.repeat(1, 3),
    )  # fmt: skip
    heard = energy[:, :6] > energy[:, :12].amax(1, keepdim=True) * 10 ** (-3.2)
    labels = torch.zeros(batch, 2, PITCHES, device=device)
    place = (new - LOW).clamp(0, PITCHES - 1)
    fits = (new >= LOW) & (new < LOW + PITCHES)
    labels[:, 0].scatter_reduce_(1, place, (hit & fits).float(), "amax")
    sounding = (hit | (stays & ringing & heard)) & fits
    labels[:, 1].scatter_reduce_(1, place, sounding.float(), "amax")
    if not strums:
        x, labels = with_voices(x, labels, device)
        x = with_clicks(x, device)
    return spoiled(x, device), end[:, 0], labels


def with_voices(x: torch.Tensor, labels: torch.Tensor, device: str) -> tuple[torch.Tensor, ...]:
    """Return a tenth of the sounds replaced by a voice or hiss alone, a tenth with one beneath."""
    tenth = max(1, len(x) // 10)
    time_s = torch.arange(LENGTH, device=device) / RATE - BEFORE_S
    glide = uniform((2 * tenth, 1), -0.6, 0.6, device) * time_s
    glide = glide + 0.05 * torch.sin(uniform((2 * tenth, 1), 10, 40, device) * time_s)
    hz = uniform((2 * tenth, 1), 85, 260, device) * 2**glide
    phase = torch.cumsum(2 * np.pi * hz / RATE, 1)
    voice = torch.zeros(2 * tenth, LENGTH, device=device)
    centres = [uniform((2 * tenth, 1), *span, device) for span in ((300, 900), (900, 2400))]
    for k in range(1, 21):
        gain = sum(1 / (1 + ((k * hz - centre) / 150) ** 2) for centre in centres)
        voice += torch.sin(k * phase) * gain / k**0.5
    hiss = torch.randn(2 * tenth, LENGTH, device=device)
    voice = torch.where(chance(2 * tenth, 0.35, device), hiss, voice)
    start = uniform((2 * tenth, 1), -0.6, 0.05, device)
    voice = voice * (time_s > start) * (time_s < start + uniform((2 * tenth, 1), 0.1, 2, device))
    voice = voice / (voice.abs().amax(1, keepdim=True) + 1e-6)
    top = x[: 2 * tenth].abs().amax(1, keepdim=True)
    x, labels = x.clone(), labels.clone()
    x[:tenth] = voice[:tenth]
    labels[:tenth] = 0
    x[tenth : 2 * tenth] += voice[tenth:] * top[tenth:] * uniform((tenth, 1), 0.02, 0.35, device)
    return x, labels


def with_clicks(x: torch.Tensor, device: str) -> torch.Tensor:
    """Return sounds, the last fifth of them with the click of a metronome bleeding in."""
    fifth = max(1, len(x) // 5)
    time_s = torch.arange(LENGTH, device=device) / RATE - BEFORE_S
    top = x[-fifth:].abs().amax(1, keepdim=True)
    since = time_s - uniform((fifth, 1), -0.4, 0.5, device)
    wave = torch.sin(2 * np.pi * uniform((fifth, 1), 700, 3500, device) * since)
    wave = wave * torch.exp(-since.clamp(min=0) * uniform((fifth, 1), 60, 400, device))
    x = x.clone()
    x[-fifth:] += wave * (since > 0) * top * uniform((fifth, 1), 0.01, 0.3, device)
    return x


def flanged(x: torch.Tensor, device: str) -> torch.Tensor:
    """Return sounds, some of them with a copy whose delay swings by some milliseconds."""
    batch = len(x)
    run = torch.arange(LENGTH, device=device)
    turn = 2 * np.pi * uniform((batch, 1), 0.1, 1.5, device) / RATE
    swing = torch.sin(turn * run + uniform((batch, 1), 0, 6.3, device))
    middle = uniform((batch, 1), 0.001, 0.006, device)
    delay = middle * (1 + uniform((batch, 1), 0.1, 0.9, device) * swing) * RATE
    at = (run - delay).clamp(min=0)
    low = at.floor().long()
    part = at - low
    copy = x.gather(1, low) * (1 - part) + x.gather(1, (low + 1).clamp(max=LENGTH - 1)) * part
    strong = uniform((batch, 1), 0.2, 0.9, device) * chance(batch, 0.25, device)
    return x + strong * copy


def spoiled(x: torch.Tensor, device: str) -> torch.Tensor:
    """Return sounds through pedals, frequency responses, rooms and noise of random strength."""
    batch, size = len(x), 1 << 17
    x = flanged(x, device)
    x = x / (x.abs().amax(1, keepdim=True) + 1e-6)
    amount = uniform((batch, 1), 0.2, 5.0, device)
    x = torch.where(chance(batch, 0.3, device), torch.tanh(x * amount) / torch.tanh(amount), x)
    hz = torch.fft.rfftfreq(size, 1 / RATE).to(device)
    octave = torch.log2(hz.clamp(min=30) / 30)
    knots = torch.randn(batch, 11, device=device) * uniform((batch, 1), 0.0, 6.0, device)
    low = octave.floor().long().clamp(0, 9)
    gain_db = knots[:, low] * (1 - (octave - low)) + knots[:, low + 1] * (octave - low)
    high = torch.where(chance(batch, 0.25, device), 2500.0, 50000.0)
    low_cut = torch.where(chance(batch, 0.2, device), 150.0, 1.0)
    cuts = 1 / torch.sqrt((1 + (hz / high) ** 4) * (1 + (low_cut / hz.clamp(min=1)) ** 4))
    spectrum = torch.fft.rfft(x, size) * (10 ** (gain_db / 20) * cuts)
    wet = torch.rand(batch, 1, device=device) ** 1.5 * 0.9
    spectrum = spectrum * (1 + wet * torch.fft.rfft(_echoes(batch, device), size))
    x = torch.fft.irfft(spectrum, size)[:, :LENGTH]
    hiss = torch.fft.rfft(torch.randn(batch, LENGTH, device=device))
    bend = uniform((batch, 1), 0.0, 1.0, device)
    hiss = hiss / (torch.arange(hiss.shape[1], device=device).clamp(min=20)[None] ** (bend / 2))
    hiss = torch.fft.irfft(hiss, LENGTH)
    snr_db = uniform((batch, 1), 10, 60, device)
    hiss = hiss * (x.pow(2).mean(1, keepdim=True) / hiss.pow(2).mean(1, keepdim=True)).sqrt()
    return x + hiss * 10 ** (-snr_db / 20)


def _echoes(batch: int, device: str) -> torch.Tensor:
    """Return impulse responses of rooms: a few early echoes and a decaying tail, of energy 1."""
    time_s = torch.arange(RATE, device=device) / RATE
    tail = torch.randn(batch, RATE, device=device)
    tail = tail * 10 ** (-3 * time_s / uniform((batch, 1), 0.1, 0.9, device)) * (time_s > 0.008)
    early = (uniform((batch, 5), 0.003, 0.03, device) * RATE).long()
    gain = uniform((batch, 5), 1, 3, device) * torch.sign(torch.randn(batch, 5, device=device))
    gain = gain * uniform((batch, 1), 0, 3, device)
    tail = tail.scatter_add(1, early, gain)
    return tail / (tail.pow(2).sum(1, keepdim=True).sqrt() + 1e-6)


def features(x: torch.Tensor, end_s: torch.Tensor, matrix: torch.Tensor) -> torch.Tensor:
    """Return what `listener.features` returns, for sounds whose stroke is at ZERO."""
    batch, device = len(x), str(x.device)
    jitter_s = torch.randn(batch, device=device) * 0.006
    late = torch.rand(batch, device=device) < 0.12
    jitter_s = torch.where(late, uniform((batch,), -0.01, 0.045, device), jitter_s)
    jitter = (jitter_s * RATE).round().long().clamp(-400, 1000)
    zero = ZERO + jitter
    length = ((end_s * RATE).round().long() - jitter).clamp(min=1024)
    full = torch.full_like(zero, 8192)
    short = length.clamp(max=8192)
    rest = (length - int(0.2 * RATE)).clamp(max=16384)
    has = rest >= 6144
    body = (short - 200).clamp(min=1024)
    begins = torch.stack([
        zero - 8192 - 200, zero, zero, zero + 200,
        torch.where(has, zero + int(0.2 * RATE), zero + 200),
    ], 1)  # fmt: skip
    counts = torch.stack([
        full, length.clamp(max=2048), length.clamp(max=4096), body, torch.where(has, rest, body),
    ], 1)  # fmt: skip
    run = torch.arange(SIZE, device=device)
    powers = []
    for begin, count in zip(begins.T, counts.T, strict=True):
        at = (begin[:, None] + run).clamp(0, x.shape[1] - 1)
        inside = run < count[:, None]
        shape = 0.5 - 0.5 * torch.cos(2 * np.pi * (run + 1) / (count[:, None].float() + 1))
        shape = shape * inside
        frames = x.gather(1, at) * shape * (2 / shape.sum(1, keepdim=True))
        spectrum = torch.view_as_real(torch.fft.rfft(frames, SIZE))
        powers.append(spectrum.pow(2).sum(-1) @ matrix)
    power = torch.stack(powers, 1)
    top = power[:, 1:].amax((1, 2), keepdim=True).clamp(min=1e-12)
    decibels = 10 * torch.log10(power / top + 1e-9)
    return (1 + decibels / 70).clamp(0, 1.2)
