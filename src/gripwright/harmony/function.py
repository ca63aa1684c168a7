"""What a chord does in its key: rest, leave, or lean.

Four words: ``tonic`` rests, ``subdominant`` leaves, ``dominant`` leans on the tonic, and an
``applied dominant`` leans on another degree. A chord that none of them fits has no function
here; that is said by None rather than guessed. Common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.applied import applied_to, collection
from gripwright.harmony.facts import LEADING_KINDS, Facts
from gripwright.theory.scale import Key

# By semitones above the tonic and third of the chord.
_BY_DEGREE = {
    (0, "major"): "tonic", (0, "minor"): "tonic", (0, "other"): "tonic",
    (1, "major"): "subdominant",
    (2, "minor"): "subdominant", (2, "major"): "subdominant",
    (3, "major"): "tonic",
    (4, "minor"): "tonic",
    (5, "major"): "subdominant", (5, "minor"): "subdominant", (5, "other"): "subdominant",
    (7, "major"): "dominant", (7, "minor"): "dominant", (7, "other"): "dominant",
    (8, "major"): "subdominant",
    (9, "minor"): "tonic",
    (10, "major"): "subdominant", (10, "other"): "subdominant",
    (11, "minor"): "dominant",
}  # fmt: skip


@lru_cache(maxsize=16384)
def function_of(chord: Facts, key: Key, after: Facts | None = None) -> str | None:
    """Return the function of a chord in a key, seen with the chord it goes to.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> chords = [facts_of(parse_symbol(text)) for text in ("C/G", "G7", "C")]
    >>> function_of(chords[0], parse_key("C major"), chords[1])
    'dominant'
    """
    if applied_to(chord, key, after) or _leads_abroad(chord, key, after):
        return "applied dominant"
    place = (chord.root - key.tonic.pc) % 12
    if (
        is_cadential(chord, key, after)
        or is_four_over_five(chord, key, after)
        or _leads_home(chord, key, after)
    ):
        return "dominant"
    if chord.kind in LEADING_KINDS:
        return _diminished(chord, key, after, place)
    if chord.kind == "7" and place == 3 and not chord.pcs <= collection(key):
        return None  # a strange seventh takes its rest from the third degree
    if chord.kind == "aug" and place == 3 and key.mode == "minor":
        return "dominant"
    return _BY_DEGREE.get((place, chord.third))


def _diminished(chord: Facts, key: Key, after: Facts | None, place: int) -> str | None:
    """Return the function of a diminished chord; a seventh of them leads home by any name."""
    if chord.kind == "dim7" and after is not None and after.root == key.tonic.pc:
        leading = (key.tonic.pc - 1) % 12 in chord.pcs
        if leading:
            return "dominant"
    if chord.kind == "hdim" and place == 9 and key.mode in ("minor", "dorian"):
        return "tonic"  # the tonic's minor sixth chord over its sixth
    return {11: "dominant", 2: "subdominant", 6: "subdominant"}.get(place)


def _leads_abroad(chord: Facts, key: Key, after: Facts | None) -> bool:
    """Return whether a dominant seventh falls by a fifth or a half step to another than the tonic.

    A fifth counts from a chord outside the key, a half step to any place but the fifth: to that,
    the flat six leads like an augmented sixth.
    """
    if after is None or not chord.dominant or after.kind in (*LEADING_KINDS, "other"):
        return False
    fall, goal = (chord.root - after.root) % 12, (after.root - key.tonic.pc) % 12
    outside = not chord.pcs <= collection(key)
    return outside and goal != 0 and (fall == 7 or (fall == 1 and goal != 7))


def is_cadential(chord: Facts, key: Key, after: Facts | None) -> bool:
    """Return whether a tonic triad over its fifth only delays the dominant that follows."""
    return (
        after is not None
        and chord.kind in ("maj", "min")
        and chord.root == key.tonic.pc
        and chord.bass == (chord.root + 7) % 12
        and after.root == after.bass == chord.bass
        and after.third in ("major", "other")
    )


def is_four_over_five(chord: Facts, key: Key, after: Facts | None) -> bool:
    """Return whether a subdominant over the fifth stands for a suspended dominant going home."""
    fifth = (key.tonic.pc + 7) % 12
    place = (chord.root - key.tonic.pc) % 12
    four = (place == 5 and chord.third in ("major", "minor")) or (
        place == 2 and chord.kind == "min7"
    )
    to_five = after is not None and after.root == fifth and after.third != "minor"
    home = to_five or (after is not None and after.root == key.tonic.pc)
    return four and home and chord.bass == fifth and (fifth - chord.root) % 12 not in chord.above


def _leads_home(chord: Facts, key: Key, after: Facts | None) -> bool:
    """Return whether a dominant seventh a half step above or a tone below goes to the tonic."""
    home = after is not None and after.root == key.tonic.pc and after.kind not in LEADING_KINDS
    return home and chord.dominant and (chord.root - key.tonic.pc) % 12 in (1, 10)
