"""What ``gripwright grips`` prints, for programs and for people."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gripwright.cli.telling import effort_word
from gripwright.draw.words import grip_in_words
from gripwright.harmony.reading import readings
from gripwright.harmony.tones import Tone, tones_under
from gripwright.neck.effort import Player
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import Wish
from gripwright.voicing.search import Found, pick_different, teaching_order


@dataclass(frozen=True, slots=True)
class Answer:
    """What was asked and what was found."""

    symbol: ChordSymbol | None
    wish: Wish
    player: Player
    limits: Limits
    found: tuple[Found, ...]


def rules(asked: Answer) -> dict[str, Any]:
    """Return what the search was held to, as docs/hand.md describes it."""
    limits = asked.limits
    return {
        "required": sorted(asked.wish.required),
        "optional": sorted(asked.wish.optional),
        "bass": None if asked.wish.basses is None else sorted(asked.wish.basses),
        "frets": list(limits.frets), "span": limits.span, "level": limits.level,
    }  # fmt: skip


def chosen(found: tuple[Found, ...], first: int | None, *, differ: bool) -> list[tuple[int, Found]]:
    """Return grips easiest first, each with its rank by effort and sound, 1 the best.

    ``first`` keeps so many: the best ranked, or with ``differ`` the best that differ.
    """
    ranked = sorted(found, key=teaching_order)
    ranks = {one.grip: rank for rank, one in enumerate(ranked, 1)}
    kept = found if first is None else ranked[:first]
    if first is not None and differ:
        kept = pick_different(found, first)
    keep = {one.grip for one in kept}
    return [(ranks[one.grip], one) for one in found if one.grip in keep]


def grip_answer(rank: int, one: Found, symbol: ChordSymbol | None) -> dict[str, Any]:
    """Return one grip as the contract has it, with its rank by effort and sound."""
    held, neck = one.fingering, one.player.neck
    tones = _tones(one, symbol)
    heard = {tone.degree.pc for tone in tones if tone.claimed}
    return {
        "grip": one.grip.text,
        "rank": rank,
        "fingers": list(held.fingers),
        "barres": [
            {"finger": b.finger, "fret": b.fret, "from_string": b.from_string,
             "to_string": b.to_string, "kind": b.kind}
            for b in held.barres
        ],
        "stretch_mm": round(held.stretch_mm, 1),
        "effort": round(held.effort.total, 4),
        "press": round(held.effort.press, 4),
        "stretch": round(held.effort.stretch, 4),
        "coordination": round(held.effort.coordination, 4),
        "muting": round(held.effort.muting, 4),
        "sound": round(one.sound, 4),
        "cautions": list(held.cautions),
        "tones": [
            {"string": t.string, "fret": t.fret, "note": t.pitch.name, "degree": t.degree.text}
            for t in tones
        ],
        "omits": [d.text for d in symbol.degrees if d.pc not in heard] if symbol else [],
        "words": grip_in_words(one.grip, neck, held.fingers),
    }  # fmt: skip


def _tones(one: Found, symbol: ChordSymbol | None) -> tuple[Tone, ...]:
    neck = one.player.neck
    return tones_under(symbol, one.grip, neck) if symbol else readings(one.grip, neck)[0].tones


def page(asked: Answer, count: int, in_words: bool) -> list[str]:
    """Return what people read: the grips that differ, best first."""
    best = pick_different(asked.found, count)
    name = asked.symbol.pretty if asked.symbol else asked.wish.text
    total = f"{len(asked.found)} grip{'s' * (len(asked.found) != 1)}"
    shown = "" if len(best) == len(asked.found) else f", {len(best)} that differ"
    lines = [f"{name} in {asked.player.neck.tuning.text}: {total}{shown}", ""]
    wide = max(len(one.grip.text) for one in best)
    for one in best:
        held = one.fingering
        fingers = "".join(finger or "." for finger in held.fingers)
        tones = " ".join(tone.degree.pretty for tone in _tones(one, asked.symbol))
        barre = "".join(f", {b.kind} barre at {b.fret}" for b in held.barres)
        lines.append(
            f"  {one.grip.text:<{wide}}  {fingers}  {effort_word(held.effort.total):<9}"
            f" {held.effort.total:.2f}  {tones}{barre}"
        )
        if in_words:
            lines.append(f"      {grip_in_words(one.grip, one.player.neck, held.fingers)}")
        lines += [f"      {caution}" for caution in held.cautions]
    return [*lines, "", "  Frets and fingers from the bass side; effort from 0 to 1."]
