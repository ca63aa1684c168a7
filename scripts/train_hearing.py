"""Train the small model that hears which pitches a stroke holds.

    python scripts/train_hearing.py bank.npz notes.npz --minutes 9

Needs PyTorch and a GPU (it is no dependency of the product, which runs the result in numpy).
Every batch is mixed afresh by `hearing_mix`. What is kept is a running mean of the weights. The
held-out pack of the bank is used for a printed figure alone; beside it stands the same figure on
the recorded instruments that are learned from. The model card is docs/hearing.md.
"""

from __future__ import annotations

import argparse
import copy
import time

import numpy as np
import torch
from hearing_mix import Bank, features, stroke
from torch import nn
from torch.nn import functional as F

from gripwright.hearing.bands import band_matrix
from gripwright.hearing.listener import CHANNELS, DILATIONS, HARMONIC_BANDS, PITCHES

MASKED_BY = (12, 19, 24)
MASKED_WEIGHT = 2.0
TAPS = {1: 9}  # a block of neighbours; blocks that reach across look at three pitches


class Net(nn.Module):
    """Convolutions over bands, a gathering of harmonics, convolutions over pitches."""

    def __init__(self, thin: int = 56, wide: int = 176) -> None:
        super().__init__()
        self.a = nn.Conv1d(CHANNELS, thin, 5, padding=2)
        self.an = nn.BatchNorm1d(thin)
        self.b = nn.Conv1d(thin, thin, 5, padding=2)
        self.bn = nn.BatchNorm1d(thin)
        self.register_buffer("index", torch.tensor(HARMONIC_BANDS))
        self.c = nn.Conv1d(thin * HARMONIC_BANDS.shape[1], wide, 1)
        self.cn = nn.BatchNorm1d(wide)
        self.blocks = nn.ModuleList(
            nn.Conv1d(wide, wide, TAPS.get(d, 3), padding=d * (TAPS.get(d, 3) // 2), dilation=d)
            for d in DILATIONS
        )
        self.norms = nn.ModuleList(nn.BatchNorm1d(wide) for _ in DILATIONS)
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


class Mean:
    """A running mean of a network's weights and statistics."""

    def __init__(self, net: Net) -> None:
        self.net = copy.deepcopy(net).eval()
        self._own = [t for t in self.net.state_dict().values() if t.is_floating_point()]
        self._from = [t for t in net.state_dict().values() if t.is_floating_point()]

    @torch.no_grad()
    def update(self, share: float) -> None:
        """Move by a share towards the network as it is."""
        torch._foreach_lerp_(self._own, self._from, share)


def masked(labels: torch.Tensor) -> torch.Tensor:
    """Return which pitches a lower sounding one masks, [batch, 1, PITCHES] booleans."""
    lower = [F.pad(labels[:, 1:], (up, 0))[..., :PITCHES] for up in MASKED_BY]
    return torch.stack(lower).amax(0) > 0


def loss_of(logits: torch.Tensor, labels: torch.Tensor) -> torch.Tensor:
    """Return the cross entropy a stroke; masked pitches count more, struck or not."""
    weight = 1 + (MASKED_WEIGHT - 1) * masked(labels).float()
    each = F.binary_cross_entropy_with_logits(logits.float(), labels, reduction="none")
    return (each * weight).sum() / len(labels)


@torch.no_grad()
def scores(net: Net, bank: Bank, matrix: torch.Tensor, instruments: torch.Tensor,
           strums: bool) -> str:  # fmt: skip
    """Return exact sets and F1, in all and of masked pitches, always on the same strokes."""
    state = torch.cuda.get_rng_state()
    torch.cuda.manual_seed(99)
    exact, right, said, true = 0.0, np.zeros(2), np.zeros(2), np.zeros(2)
    for _ in range(6):
        x, end, labels = stroke(bank, 384, instruments, strums)
        guess = net(features(x, end, matrix))[:, 1:] > 0
        want = labels[:, 1:] > 0
        exact += float((guess == want).all(2).float().mean()) / 6
        for place, among in enumerate((torch.ones_like(want), masked(labels))):
            right[place] += float((guess & want & among).sum())
            said[place] += float((guess & among).sum())
            true[place] += float((want & among).sum())
    torch.cuda.set_rng_state(state)
    whole, hidden = 2 * right / (said + true)
    return f"exact {exact:.3f} F1 {whole:.4f} masked {hidden:.4f}"


def report(net: Net, bank: Bank, matrix: torch.Tensor) -> str:
    """Return scores on the held-out pack, strums and all, and on the instruments learned."""
    return (
        f"unseen strums {scores(net, bank, matrix, bank.test, True)} "
        f"all {scores(net, bank, matrix, bank.test, False)}; "
        f"known strums {scores(net, bank, matrix, bank.known, True)}"
    )


def main() -> None:
    """Train and write the weights."""
    parser = argparse.ArgumentParser()
    parser.add_argument("bank")
    parser.add_argument("target")
    parser.add_argument("--minutes", type=float, default=9)
    parser.add_argument("--batch", type=int, default=384)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--synthetic", type=int, default=160)
    parser.add_argument("--state", default=None)
    args = parser.parse_args()
    device = "cuda"
    torch.manual_seed(7)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    began = time.time()
    bank = Bank(args.bank, args.synthetic, device)
    matrix = torch.tensor(band_matrix(0.0), device=device)
    net = Net().to(device)
    mean = Mean(net)
    print("parameters", sum(p.numel() for p in net.parameters()), "bank", bank.samples.shape,
          f"{time.time() - began:.1f} s", flush=True)  # fmt: skip
    optimiser = torch.optim.AdamW(net.parameters(), args.rate, weight_decay=1e-3, fused=True)
    budget, step, told = 60 * args.minutes, 0, time.time()
    while (spent := time.time() - began) < budget:
        progress, warm = min(1.0, spent / budget), min(1.0, (step + 1) / 500)
        for group in optimiser.param_groups:
            group["lr"] = args.rate * warm * 0.5 * (1 + np.cos(np.pi * progress)) + 1e-6
        with torch.no_grad():
            x, end, labels = stroke(bank, args.batch, bank.train, False)
            seen = features(x, end, matrix)
        with torch.autocast(device, torch.bfloat16):
            logits = net(seen)
        loss = loss_of(logits, labels)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        mean.update(max(0.001, 1 / (step + 2)))
        step += 1
        if step % 25 == 0:
            torch.cuda.synchronize()  # the clock rules the schedule: do not run ahead of it
            if time.time() - told > 40:
                told = time.time()
                print(f"{spent:.0f} s step {step} loss {float(loss.detach()):.3f} "
                      f"{report(mean.net, bank, matrix)}", flush=True)  # fmt: skip
                np.savez_compressed(args.target, **mean.net.exported())
    print("end step", step, report(mean.net, bank, matrix))
    np.savez_compressed(args.target, **mean.net.exported())
    if args.state:
        torch.save(mean.net.state_dict(), args.state)


if __name__ == "__main__":
    main()
