"""The common stock of the trade: what a course of lessons comes by sooner or later.

A row is what there is, and the level (1 easy to 5) from which it is taught. The order and the
levels are common practice, no source; a teacher's own course may well differ.
"""

from __future__ import annotations

QUALITIES: tuple[tuple[str, int], ...] = (
    ("", 1), ("m", 1), ("7", 1), ("5", 1), ("sus4", 1), ("m7", 2), ("maj7", 2), ("sus2", 2),
    ("add9", 2), ("6", 2), ("7sus4", 2), ("m6", 3), ("dim7", 3), ("m7(b5)", 3), ("9", 3),
    ("m9", 3), ("aug", 3), ("maj9", 3), ("6/9", 3), ("7(#9)", 3), ("7(b9)", 3), ("9sus4", 3),
    ("13", 4), ("m11", 4), ("m(maj7)", 4), ("7(#5)", 4), ("maj7(#11)", 4), ("7(#11)", 4),
    ("13(b9)", 5), ("7alt", 5), ("m6/9", 5),
)  # fmt: skip
DEVICES: tuple[tuple[str, int], ...] = (
    ("pedal", 2), ("bass-line", 2), ("plagal", 2), ("secondary-dominant", 2), ("borrowed", 2),
    ("two-five-one", 3), ("turnaround", 3), ("line", 3), ("minor-plagal", 3), ("deceptive", 3),
    ("blues-dominant", 3), ("backdoor", 3), ("passing-diminished", 3), ("shape-moved", 3),
    ("suspension-resolves", 3), ("picardy", 3), ("andalusian", 3), ("dominant-chain", 3),
    ("tritone-substitute", 4), ("chromatic-mediant", 4), ("common-tone-diminished", 4),
    ("neapolitan", 4), ("altered-dominant", 4), ("pivot", 4), ("parallel", 4),
    ("augmented-sixth", 5), ("thirds-cycle", 5),
)  # fmt: skip
