"""Chords named in prose and captions that the chart contradicts.

A chord that the text names and the chart does not have may be talk of what could be played.
What is told: a name whose root the chart has, but never with that third and seventh; and a link
to a chord whose text names another. Where the sentence before the name denies it (*not*,
*instead of*), nothing is said.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from gripwright.lesson.model import Prose
from gripwright.proof.evidence import Evidence, Finding
from gripwright.proof.take import clock
from gripwright.theory.spoken import Said, names_in
from gripwright.theory.symbol import ChordSymbol

RULE = "said-otherwise"
_DENIES = re.compile(
    r"\b(?:not|no|never|nor|isn't|instead|rather|without|could|would|might|try|like|as if|"
    r"mistake|mistaken|sounds? like|stands? for|place of|call(?:ed|s)?)\b",
    re.IGNORECASE,
)
_CODE = re.compile(r"(?ms)^ {0,3}(`{3,}|~{3,}).*?^ {0,3}\1|`[^`\n]*`|^(?: {4}|\t)[^\n]*")


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield what the prose and the captions call otherwise than the chart does."""
    chart = _chart(evidence)
    for index, prose in enumerate(evidence.lesson.prose):
        yield from _prose(evidence, index, prose, chart)
    for caption in evidence.captions:
        where = f"the caption at {clock(caption.start_s)} (line {caption.line})"
        for said in names_in(caption.text):
            other = _contradicted(caption.text, said, chart)
            if other:
                yield evidence.find_at(
                    "doubtful", RULE, 0,
                    f"{where} says {_words(caption.text, said)}, the chart has {other}",
                    "mend the caption or the chart",
                )  # fmt: skip


def _prose(
    evidence: Evidence, index: int, prose: Prose, chart: Sequence[ChordSymbol]
) -> Iterator[Finding]:
    span = evidence.parsed.spans.get(("prose", index))
    start = span.start if span else 0
    text = _CODE.sub(lambda match: " " * len(match[0]), prose.markdown)
    linked = dict(_linked(evidence, prose, text))
    for said in names_in(text):
        target = linked.get(said.start)
        if target is not None:
            if not _agree(said.symbol, target):
                yield evidence.find_at(
                    "doubtful", RULE, start + said.start,
                    f"the text says {_words(text, said)} and points at {target.text}",
                    "point at the chord that is meant, or name this one",
                )  # fmt: skip
            continue
        other = _contradicted(text, said, chart)
        if other:
            yield evidence.find_at(
                "doubtful", RULE, start + said.start,
                f"the text says {_words(text, said)}, the chart has {other}",
                "mend the text or the chart",
            )  # fmt: skip


def _chart(evidence: Evidence) -> tuple[ChordSymbol, ...]:
    found = (chord.symbol for _, chord in evidence.written_chords())
    return tuple(dict.fromkeys(symbol for symbol in found if symbol is not None))


def _linked(evidence: Evidence, prose: Prose, text: str) -> Iterator[tuple[int, ChordSymbol]]:
    """Yield where the only name in a link's text starts, and the chord that it points at."""
    labelled = {
        event.label: event.chord.symbol
        for part in evidence.lesson.parts for bar in part.bars for event in bar.chords
        if event.label and event.chord and event.chord.symbol
    }  # fmt: skip
    for pointer in prose.pointers:
        inside = names_in(text[pointer.start : text.find("](", pointer.start, pointer.end)])
        if len(inside) == 1 and pointer.label in labelled:
            yield pointer.start + inside[0].start, labelled[pointer.label]


def _contradicted(text: str, said: Said, chart: Sequence[ChordSymbol]) -> str:
    """Return the chart's chords on that root where none agrees with what is said, else ""."""
    same_root = [chord for chord in chart if chord.root.pc == said.symbol.root.pc]
    agrees = any(_agree(said.symbol, chord) or chord.pcs == said.symbol.pcs for chord in chart)
    sentence = re.split(r"[.!?;:\n]\s", text[: said.start])[-1]
    if agrees or not same_root or _DENIES.search(sentence):
        return ""
    return " and ".join(chord.text for chord in same_root[:3])


def _agree(said: ChordSymbol, chord: ChordSymbol) -> bool:
    """Tell whether two symbols have one root, and no third, fifth or seventh against the other."""
    if said.root.pc != chord.root.pc:
        return False
    return all(
        not (one := _kinds(said, number)) or not (two := _kinds(chord, number)) or one & two
        for number in (3, 5, 7)
    )


def _kinds(symbol: ChordSymbol, number: int) -> set[str]:
    return {degree.text for degree in symbol.degrees if degree.number == number}


def _words(text: str, said: Said) -> str:
    return re.sub(r"\s+", " ", text[said.start : said.end])
