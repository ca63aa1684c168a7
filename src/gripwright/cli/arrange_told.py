"""What ``gripwright arrange`` prints, for programs and for people."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gripwright.cli.telling import effort_word, pitch_of
from gripwright.draw.words import change_in_words, grip_in_words
from gripwright.lesson.reduced import ReducedPart
from gripwright.neck.effort import Player
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.arrange import Arrangement


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was arranged: the symbols, the arrangements best first, and what to write."""

    player: Player
    symbols: tuple[ChordSymbol | None, ...]
    given: tuple[Arrangement, ...]
    text: str | None = None
    part: ReducedPart | None = None


def answer(outcome: Outcome) -> dict[str, Any]:
    """Return what was arranged as the contract has it."""
    first, *others = [_chain(outcome, one) for one in outcome.given]
    told = {"tuning": outcome.player.neck.tuning.text, "capo": outcome.player.neck.capo}
    answer = {**told, **first, "chains": others}
    return {**answer, "kept": _kept(outcome.part)} if outcome.part else answer


def _chain(outcome: Outcome, one: Arrangement) -> dict[str, Any]:
    pairs = list(zip(outcome.symbols, one.fingerings, one.efforts, strict=True))
    hardest = max(one.efforts)
    return {
        "grips": [
            {
                "symbol": symbol.text if symbol else None,
                "grip": held.grip.text,
                "fingers": list(held.fingers),
                "effort": round(held.effort.total, 4),
                "moment": round(effort, 4),
                "words": grip_in_words(held.grip, outcome.player.neck, held.fingers),
            }
            for symbol, held, effort in pairs
        ],
        "effort": round(one.effort, 4),
        "worst": {"index": one.efforts.index(hardest), "effort": round(hardest, 4)},
        "moves": [
            {
                "shift_frets": move.shift_frets,
                "shift_mm": round(move.shift_mm, 1),
                "kept": list(move.kept),
                "slid": list(move.slid),
                "hinged": move.hinged,
                "voices": [
                    {"from": pitch_of(a).name, "to": pitch_of(b).name, "steps": b - a}
                    for a, b in move.voices
                ],
                "words": _change_words(one, index),
            }
            for index, move in enumerate(one.moves)
        ],
        "lost": [
            {"index": index, "degrees": [d.text for d in loss.degrees], "bass": loss.bass,
             "text": loss.text}
            for index, loss in enumerate(one.losses) if loss
        ],
        "cautions": list(one.cautions),
    }  # fmt: skip


def _change_words(one: Arrangement, index: int) -> str:
    before, after = one.fingerings[index], one.fingerings[index + 1]
    return change_in_words(before.grip, after.grip, before.fingers, after.fingers)


def _kept(part: ReducedPart) -> list[dict[str, Any]]:
    return [
        {
            "index": index,
            "start": str(stack.start),
            "dropped": [pitch_of(midi).name for midi in kept.dropped],
            "moved": [{"from": pitch_of(a).name, "to": pitch_of(b).name} for a, b in kept.moved],
        }
        for index, (stack, kept) in enumerate(zip(part.stacks, part.reduction.kept, strict=True))
    ]


def page(outcome: Outcome, in_words: bool) -> list[str]:
    """Return what people read, one chord a line."""
    lines: list[str] = []
    for number, one in enumerate(outcome.given, 1):
        head = "" if len(outcome.given) == 1 else f"Chain {number}: "
        lines += [f"{head}{effort_word(one.effort)}, effort {one.effort:.2f}", ""]
        lines += _chain_lines(outcome, one, in_words)
        lines += ["", *(f"  {caution}" for caution in one.cautions)] if one.cautions else [""]
    return lines


def _chain_lines(outcome: Outcome, one: Arrangement, in_words: bool) -> list[str]:
    lines = []
    wide = max(len(found.grip.text) for found in one.grips)
    pairs = zip(outcome.symbols, one.fingerings, one.efforts, strict=True)
    for index, (symbol, held, effort) in enumerate(pairs):
        fingers = "".join(finger or "." for finger in held.fingers)
        name = symbol.pretty if symbol else ""
        notes = [one.losses[index].text, *_stack_notes(outcome.part, index)]
        aside = "".join(f"; {note}" for note in notes if note)
        lines.append(
            f"  {name:<12} {held.grip.text:<{wide}}  {fingers}  {effort_word(effort):<9}{aside}"
        )
        if in_words:
            lines.append(f"      {grip_in_words(held.grip, outcome.player.neck, held.fingers)}")
            if index < len(one.moves):
                lines.append(f"      then {_change_words(one, index)}")
    return lines


def _stack_notes(part: ReducedPart | None, index: int) -> list[str]:
    if part is None:
        return []
    kept = part.reduction.kept[index]
    dropped = ", ".join(pitch_of(midi).pretty for midi in kept.dropped)
    moved = [f"{pitch_of(a).pretty} becomes {pitch_of(b).pretty}" for a, b in kept.moved]
    return [f"drops {dropped}" if dropped else "", ", ".join(moved)]
