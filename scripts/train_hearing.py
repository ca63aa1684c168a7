"""Train the small model that hears which pitches a stroke holds.

    python scripts/train_hearing.py bank.npz notes.npz --minutes 8

Needs PyTorch and a GPU (it is no dependency of the product, which runs the result in numpy).
Every batch is mixed afresh on the GPU: strokes from random grips of random frets, of recorded
notes (`hearing_bank.py`), and of additive synthetic strings, through random tuning errors,
frequency responses, rooms, drive, noise. The held-out pack of the bank is used for the printed
validation alone. The model card is docs/hearing.md.
"""

from __future__ import annotations

import argparse
import time
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

from gripwright.hearing.bands import RATE, SIZE, band_matrix
from gripwright.hearing.listener import CHANNELS, HARMONIC_BANDS, PITCHES

LOW = 33
BEFORE_S, AFTER_S = 0.6, 1.6
LENGTH = int((BEFORE_S + AFTER_S) * RATE)
ZERO = int(BEFORE_S * RATE)
OPEN = (40, 45, 50, 55, 59, 64)


class Net(nn.Module):
    """Convolutions over bands, a gathering of harmonics, convolutions over pitches."""

    def __init__(self, thin: int = 40, wide: int = 112) -> None:
        super().__init__()
        self.a = nn.Conv1d(CHANNELS, thin, 5, padding=2)
        self.an = nn.BatchNorm1d(thin)
        self.b = nn.Conv1d(thin, thin, 5, padding=2)
        self.bn = nn.BatchNorm1d(thin)
        self.register_buffer("index", torch.tensor(HARMONIC_BANDS))
        self.c = nn.Conv1d(thin * HARMONIC_BANDS.shape[1], wide, 1)
        self.cn = nn.BatchNorm1d(wide)
        kinds = ((9, 1), (3, 12), (9, 1), (3, 7), (9, 1))
        self.blocks = nn.ModuleList(
            nn.Conv1d(wide, wide, k, padding=d * (k // 2), dilation=d) for k, d in kinds
        )
        self.norms = nn.ModuleList(nn.BatchNorm1d(wide) for _ in kinds)
        self.pool = nn.Conv1d(2 * wide, wide, 1)
        self.out = nn.Conv1d(wide, 2, 1)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Map features [batch, CHANNELS, BANDS] to logits [batch, 2, PITCHES]."""
        x = F.relu(self.an(self.a(x)))
        x = F.relu(self.bn(self.b(x)))
        padded = F.pad(x, (1, 1))
        x = padded[:, :, self.index + 1].permute(0, 1, 3, 2).flatten(1, 2)
        x = F.relu(self.cn(self.c(x)))
        for block, norm in zip(self.blocks, self.norms, strict=True):
            x = x + F.relu(norm(block(x)))
        whole = torch.cat([x.mean(2, keepdim=True), x.amax(2, keepdim=True)], 1)
        return self.out(x + F.relu(self.pool(whole)))

    def exported(self) -> dict[str, np.ndarray]:
        """Return float16 weights with the normalisations folded in."""
        pairs = [("a", self.a, self.an), ("b", self.b, self.bn), ("c", self.c, self.cn)]
        both = zip(self.blocks, self.norms, strict=True)
        pairs += [(f"block{i}", c, n) for i, (c, n) in enumerate(both)]
        out: dict[str, np.ndarray] = {}
        for name, conv, norm in pairs:
            scale = norm.weight / torch.sqrt(norm.running_var + norm.eps)
            out[f"{name}_w"] = (conv.weight * scale[:, None, None]).detach().cpu().numpy()
            bias = (conv.bias - norm.running_mean) * scale + norm.bias
            out[f"{name}_b"] = bias.detach().cpu().numpy()
        for name, conv in (("pool", self.pool), ("out", self.out)):
            out[f"{name}_w"] = conv.weight.detach().cpu().numpy()
            out[f"{name}_b"] = conv.bias.detach().cpu().numpy()
        return {key: value.astype(np.float16) for key, value in out.items()}


class Bank:
    """Notes on the GPU, by instrument; the synthetic strings come after the recorded ones."""

    def __init__(self, path: str, synthetic: int, device: str) -> None:
        data = np.load(path)
        rows = torch.tensor(data["samples"], device=device).half() / 32768
        midi = torch.tensor(data["midi"], device=device).float()
        made, made_midi, made_instrument = synthetic_strings(synthetic, rows.shape[1], device)
        self.samples = torch.cat([rows, made])
        self.midi = torch.cat([midi, made_midi])
        first = int(data["instrument"].max()) + 1
        instrument = torch.tensor(data["instrument"], device=device)
        self.instrument = torch.cat([instrument, made_instrument + first])
        held = [i for i, h in enumerate(data["held_out"]) if h]
        self.test = held
        self.train = [i for i in range(first) if i not in held] * 4
        self.train += list(range(first, first + synthetic))
        count = first + synthetic
        pitch = torch.arange(128, device=device).float()
        far = (pitch[None, :, None] - self.midi[None, None, :]).abs()
        strange = self.instrument[None, :] != torch.arange(count, device=device)[:, None]
        far = far + 1000.0 * strange[:, None, :].float()
        self.nearest = far.topk(3, dim=2, largest=False).indices  # [instrument, 128, 3]


def synthetic_strings(count: int, length: int, device: str) -> tuple[torch.Tensor, ...]:
    """Return plucked strings by partials: every third semitone of ``count`` instruments."""
    generator = torch.Generator().manual_seed(5)

    def uniform(low: float, high: float) -> float:
        return low + (high - low) * float(torch.rand((), generator=generator))

    pitches = torch.arange(34, 92, 3).float()
    time_s = torch.arange(length, device=device) / RATE
    rows, midi, instrument = [], [], []
    for number in range(count):
        tilt, pluck, stiff = uniform(0.3, 2.2), uniform(0.04, 0.5), 10 ** uniform(-5.5, -3.7)
        ring, damp, click = uniform(0.6, 4.0), uniform(0.02, 0.35), uniform(0.0, 0.25)
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
            waves = torch.sin(2 * np.pi * partials[:, None] * time_s + phase[:, None])
            x = (level[:, None] * torch.exp(-time_s / decay[:, None]) * waves).sum(0)
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


def random_grips(batch: int, device: str) -> torch.Tensor:
    """Return MIDI numbers of random grips [batch, 6], 0 for a string that is not played."""
    position = torch.randint(0, 13, (batch, 1), device=device)
    position = position * (torch.rand(batch, 1, device=device) < 0.85)
    fret = position + torch.randint(0, 5, (batch, 6), device=device)
    barre = torch.rand(batch, 6, device=device) < 0.25
    fret = torch.where(barre, position.expand(-1, 6), fret)
    open_ = torch.rand(batch, 6, device=device) < torch.where(position < 6, 0.25, 0.06)
    fret = torch.where(open_, 0, fret)
    midi = torch.tensor(OPEN, device=device) + fret
    midi = midi + torch.randint(-4, 3, (batch, 1), device=device) * (
        torch.rand(batch, 1, device=device) < 0.3
    )
    keep = torch.rand(batch, 6, device=device) < torch.rand(batch, 1, device=device) * 0.6 + 0.45
    run = torch.arange(6, device=device)
    low = torch.randint(0, 4, (batch, 1), device=device)
    together = (run >= low) & (run < low + torch.randint(3, 7, (batch, 1), device=device))
    keep = torch.where(torch.rand(batch, 1, device=device) < 0.6, together, keep)
    keep[:, 3] |= ~keep.any(1)
    return torch.where(keep, midi, 0)


def uniform(shape: tuple[int, ...], low: float, high: float, device: str) -> torch.Tensor:
    """Return uniform numbers."""
    return low + (high - low) * torch.rand(shape, device=device)


def mixed(
    bank: Bank, midi: torch.Tensor, start_s: torch.Tensor, stop_s: torch.Tensor,
    level: torch.Tensor, instrument: torch.Tensor, cents: torch.Tensor,
) -> torch.Tensor:  # fmt: skip
    """Return each note's sound [batch, notes, LENGTH]; times count from the stroke."""
    device = midi.device
    pick = torch.randint(0, 3, midi.shape, device=device)
    pick = torch.where(torch.rand(midi.shape, device=device) < 0.6, 0, pick)
    row = bank.nearest[instrument[:, None], midi.clamp(0, 127), pick]
    far = (bank.midi[row] - midi).abs() > 4.5
    row = torch.where(far, bank.nearest[instrument[:, None], midi.clamp(0, 127), 0], row)
    ratio = 2 ** ((midi + cents / 100 - bank.midi[row]) / 12)
    time_s = torch.arange(LENGTH, device=device) / RATE - BEFORE_S
    since = (time_s - start_s[..., None]) * RATE * ratio[..., None] + 0.005 * RATE
    index = since.floor().clamp(0, bank.samples.shape[1] - 2)
    part = (since - index).clamp(0, 1)
    index = index.long() + row[..., None] * bank.samples.shape[1]
    flat = bank.samples.view(-1)
    x = flat[index].float() * (1 - part) + flat[index + 1].float() * part
    inside = (since > 0) & (since < bank.samples.shape[1] - 2)
    fade = ((stop_s[..., None] - time_s) / 0.03).clamp(0, 1)
    return x * inside * fade * (level * (midi > 0))[..., None]


def stroke(bank: Bank, batch: int, device: str, instruments: list[int], strums: bool) -> Any:
    """Return sounds [batch, LENGTH], ends in seconds, and struck and sounding pitches."""
    pool = torch.tensor(instruments, device=device)
    instrument = pool[torch.randint(0, len(pool), (batch,), device=device)]
    old, new, next_ = (random_grips(batch, device) for _ in range(3))
    same = torch.rand(batch, 1, device=device) < 0.5
    old = torch.where(same, new, old)
    kind = torch.rand(batch, 1, device=device) * (0.55 if strums else 1.0)
    run = torch.rand(batch, 6, device=device)
    few = run.argsort(1).argsort(1) < torch.randint(1, 3, (batch, 1), device=device)
    some = torch.rand(batch, 6, device=device) < 0.7
    hit = torch.where(kind < 0.55, True, torch.where(kind < 0.85, few, some)) & (new > 0)
    only = torch.zeros_like(hit)
    only[torch.arange(batch, device=device), new.argmax(1)] = True
    hit = torch.where(hit.any(1, keepdim=True), hit, only)
    nothing = torch.rand(batch, 1, device=device) < (0.0 if strums else 0.12)
    hit, same = hit & ~nothing, same | nothing  # an attack was suspected, the strings ring on
    old = torch.where(same, new, old)
    spread = uniform((batch, 1), 0.0, 0.075, device) * (kind < 0.85)
    rank = torch.arange(6, device=device).expand(batch, 6) / 5
    rank = torch.where(torch.rand(batch, 1, device=device) < 0.7, rank, 1 - rank)
    first = torch.where(hit, rank, 9.0).amin(1, keepdim=True).clamp(max=1.0)
    start = (rank - first) * spread
    end = 0.12 + torch.rand(batch, 1, device=device) ** 2 * 2.2
    old_start = -uniform((batch, 6), 0.0, 1.6, device) - 0.1
    ringing = (old > 0) & (torch.rand(batch, 6, device=device) < 0.8)
    ringing &= torch.rand(batch, 1, device=device) < 0.8
    stays = same & ~hit
    old_stop = torch.where(
        stays, 9.0, torch.where(hit, start, uniform((batch, 6), -0.1, 0.0, device))
    )
    stop = torch.where(torch.rand(batch, 6, device=device) < 0.04, 0.3, 9.0) * torch.ones_like(
        start
    )
    level = uniform((batch, 18), 0.3, 1.0, device) * torch.cat(
        [uniform((batch, 1), 0.4, 1.0, device).expand(-1, 6) for _ in range(3)], 1
    )
    untuned = torch.randn(batch, 6, device=device) * uniform((batch, 1), 1, 6, device)
    cents = uniform((batch, 1), -9, 9, device) + untuned
    sounds = mixed(
        bank, torch.cat([torch.where(ringing, old, 0), torch.where(hit, new, 0), next_], 1),
        torch.cat([old_start, start, (end + rank * spread)], 1),
        torch.cat([old_stop, torch.minimum(stop, end + 0.1), 9 * torch.ones_like(stop)], 1),
        level, instrument, cents.repeat(1, 3),
    )  # fmt: skip
    after = slice(ZERO, ZERO + int(0.35 * RATE))
    power = sounds[:, :12, after].pow(2).mean(2)
    heard = power > power.amax(1, keepdim=True) * 10 ** (-3.2)
    labels = torch.zeros(batch, 2, PITCHES, device=device)
    place = (new - LOW).clamp(0, PITCHES - 1)
    fits = (new >= LOW) & (new < LOW + PITCHES)
    labels[:, 0].scatter_reduce_(1, place, (hit & fits).float(), "amax")
    sounding = (hit | (stays & ringing & heard[:, :6])) & fits
    labels[:, 1].scatter_reduce_(1, place, sounding.float(), "amax")
    x = sounds.sum(1)
    if not strums:
        x, labels = with_voices(x, labels, device)
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
    voice = torch.where(torch.rand(2 * tenth, 1, device=device) < 0.35, hiss, voice)
    start = uniform((2 * tenth, 1), -0.6, 0.05, device)
    voice = voice * (time_s > start) * (time_s < start + uniform((2 * tenth, 1), 0.1, 2, device))
    voice = voice / (voice.abs().amax(1, keepdim=True) + 1e-6)
    top = x[: 2 * tenth].abs().amax(1, keepdim=True)
    x, labels = x.clone(), labels.clone()
    x[:tenth] = voice[:tenth]
    labels[:tenth] = 0
    x[tenth : 2 * tenth] += voice[tenth:] * top[tenth:] * uniform((tenth, 1), 0.02, 0.35, device)
    return x, labels


def spoiled(x: torch.Tensor, device: str) -> torch.Tensor:
    """Return sounds through frequency responses, drive, rooms and noise of random strength."""
    batch, size = len(x), 1 << 17
    x = x / (x.abs().amax(1, keepdim=True) + 1e-6)
    chosen = torch.rand(batch, 1, device=device)
    amount = uniform((batch, 1), 0.2, 5.0, device)
    x = torch.where(chosen < 0.25, torch.tanh(x * amount) / torch.tanh(amount), x)
    hz = torch.fft.rfftfreq(size, 1 / RATE).to(device)
    octave = torch.log2(hz.clamp(min=30) / 30)
    knots = torch.randn(batch, 11, device=device) * uniform((batch, 1), 0.0, 6.0, device)
    low = octave.floor().long().clamp(0, 9)
    gain_db = knots[:, low] * (1 - (octave - low)) + knots[:, low + 1] * (octave - low)
    high = torch.where(torch.rand(batch, 1, device=device) < 0.25, 2500.0, 50000.0)
    low_cut = torch.where(torch.rand(batch, 1, device=device) < 0.2, 150.0, 1.0)
    cuts = 1 / torch.sqrt((1 + (hz / high) ** 4) * (1 + (low_cut / hz.clamp(min=1)) ** 4))
    spectrum = torch.fft.rfft(x, size) * 10 ** (gain_db / 20) * cuts
    time_s = torch.arange(RATE, device=device) / RATE
    tail = torch.randn(batch, RATE, device=device)
    tail = tail * 10 ** (-3 * time_s / uniform((batch, 1), 0.1, 0.9, device))
    tail = tail * (time_s > 0.008) / (tail.pow(2).sum(1, keepdim=True).sqrt() + 1e-6)
    wet = torch.rand(batch, 1, device=device) ** 2 * 0.9
    swing = (torch.rand(batch, 1, device=device) < 0.12).float() * 0.8
    delay = uniform((batch, 1), 0.001, 0.006, device)
    comb = 1 + swing * torch.exp(-2j * np.pi * hz * delay)
    spectrum = spectrum * comb * (1 + wet * torch.fft.rfft(tail, size))
    x = torch.fft.irfft(spectrum, size)[:, :LENGTH]
    hiss = torch.fft.rfft(torch.randn(batch, LENGTH, device=device))
    bend = uniform((batch, 1), 0.0, 1.0, device)
    hiss = hiss / (torch.arange(hiss.shape[1], device=device).clamp(min=20)[None] ** (bend / 2))
    hiss = torch.fft.irfft(hiss, LENGTH)
    snr_db = uniform((batch, 1), 12, 60, device)
    hiss = hiss * (x.pow(2).mean(1, keepdim=True) / hiss.pow(2).mean(1, keepdim=True)).sqrt()
    return x + hiss * 10 ** (-snr_db / 20)


def features(x: torch.Tensor, end_s: torch.Tensor, matrix: torch.Tensor) -> torch.Tensor:
    """Return what `listener.features` returns, for sounds whose stroke is at ZERO."""
    batch, device = len(x), x.device
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
    spans = (
        (zero - 8192 - 200, full),
        (zero, length.clamp(max=2048)),
        (zero, length.clamp(max=4096)),
        (zero + 200, (short - 200).clamp(min=1024)),
        (torch.where(has, zero + int(0.2 * RATE), zero + 200),
         torch.where(has, rest, (short - 200).clamp(min=1024))),
    )  # fmt: skip
    run = torch.arange(SIZE, device=device)
    bands = []
    for start, count in spans:
        at = (start[:, None] + run).clamp(0, x.shape[1] - 1)
        n = count[:, None].float()
        shape = 0.5 - 0.5 * torch.cos(2 * np.pi * (run + 1) / (n + 1))
        shape = torch.where(run < count[:, None], shape, 0)
        frames = x.gather(1, at) * shape * 2 / shape.sum(1, keepdim=True)
        bands.append(torch.fft.rfft(frames, SIZE).abs().pow(2) @ matrix)
    power = torch.stack(bands, 1)
    top = power[:, 1:].amax((1, 2), keepdim=True).clamp(min=1e-12)
    decibels = 10 * torch.log10(power / top + 1e-9)
    return (1 + decibels / 70).clamp(0, 1.2)


def scores(net: Net, bank: Bank, matrix: torch.Tensor, device: str, strums: bool) -> str:
    """Return exact sets and F1 on the held-out pack."""
    net.eval()
    exact, right, said, true = 0.0, 0.0, 0.0, 0.0
    torch.manual_seed(99)
    with torch.no_grad():
        for _ in range(8):
            x, end, labels = stroke(bank, 256, device, bank.test, strums)
            guess = net(features(x, end, matrix))[:, 1] > 0
            want = labels[:, 1] > 0
            exact += float((guess == want).all(1).float().mean()) / 8
            right += float((guess & want).sum())
            said += float(guess.sum())
            true += float(want.sum())
    net.train()
    torch.manual_seed(int(time.time()))
    return f"exact {exact:.3f} F1 {2 * right / (said + true):.4f}"


def main() -> None:
    """Train and write the weights."""
    parser = argparse.ArgumentParser()
    parser.add_argument("bank")
    parser.add_argument("target")
    parser.add_argument("--minutes", type=float, default=8)
    parser.add_argument("--batch", type=int, default=192)
    parser.add_argument("--resume", default=None)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--state", default=None)
    args = parser.parse_args()
    device = "cuda"
    torch.manual_seed(7)
    began = time.time()
    bank = Bank(args.bank, 96, device)
    matrix = torch.tensor(band_matrix(0.0), device=device)
    net = Net().to(device)
    if args.resume:
        net.load_state_dict(torch.load(args.resume))
    print("parameters", sum(p.numel() for p in net.parameters()), "bank", bank.samples.shape,
          f"{time.time() - began:.1f} s", flush=True)  # fmt: skip
    optimiser = torch.optim.AdamW(net.parameters(), args.rate, weight_decay=1e-3)
    budget, step, told, running = 60 * args.minutes, 0, time.time(), 0.0
    while (spent := time.time() - began) < budget:
        progress = min(1.0, spent / budget)
        warm = min(1.0, (step + 1) / 200)
        for group in optimiser.param_groups:
            group["lr"] = args.rate * warm * 0.5 * (1 + np.cos(np.pi * progress)) + 1e-6
        with torch.no_grad():
            x, end, labels = stroke(bank, args.batch, device, bank.train, False)
            seen = features(x, end, matrix)
        loss = F.binary_cross_entropy_with_logits(net(seen), labels, reduction="sum") / args.batch
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        step += 1
        running = 0.98 * running + 0.02 * float(loss.detach()) if step > 1 else float(loss.detach())
        if step % 50 == 0 and time.time() - told > 30:
            told = time.time()
            print(f"{spent:.0f} s step {step} loss {running:.3f} strums "
                  f"{scores(net, bank, matrix, device, True)} all "
                  f"{scores(net, bank, matrix, device, False)}", flush=True)  # fmt: skip
            np.savez_compressed(args.target, **net.exported())
    print("end strums", scores(net, bank, matrix, device, True),
          "all", scores(net, bank, matrix, device, False))  # fmt: skip
    np.savez_compressed(args.target, **net.exported())
    if args.state:
        torch.save(net.state_dict(), args.state)


if __name__ == "__main__":
    main()
