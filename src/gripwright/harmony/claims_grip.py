"""Claims about the sounding notes of a grip, each with its own verifier.

The subject is the tuple of sounding MIDI numbers, in any order. The first argument is the root
(for ``cluster`` the bass); notes are spelled, degrees are counted from the root.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.claims import Claim, Sentence, Verifier
from gripwright.theory.interval import Degree, degree_between

_TIMES = {1: "once", 2: "twice", 3: "three times", 4: "four times"}
_ORDINALS = {
    2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh", 9: "ninth",
    11: "eleventh", 13: "thirteenth",
}  # fmt: skip
_KINDS = {
    (4, 10): "a dominant seventh chord", (4, 11): "a major seventh chord",
    (3, 10): "a minor seventh chord", (3, 11): "a minor chord with a major seventh",
    (4, 9): "a major sixth chord", (3, 9): "a minor sixth chord",
}  # fmt: skip


def _bass(claim: Claim) -> int:
    return int(min(claim.subject)) % 12


def _pcs(claim: Claim) -> frozenset[int]:
    return _classes(claim.subject, 0)


def _above(claim: Claim) -> frozenset[int]:
    """Return the pitch classes that sound, counted from the first argument."""
    return _classes(claim.subject, claim.args[0].pc)


@lru_cache(maxsize=4096)
def _classes(midi: tuple[int, ...], root: int) -> frozenset[int]:
    return frozenset((number - root) % 12 for number in midi)


def _size(claim: Claim, place: int = 1) -> int:
    """Return the interval from the root up to another argument."""
    return int(claim.args[place].pc - claim.args[0].pc) % 12


def _is(claim: Claim, place: int, degree: Degree) -> bool:
    return _size(claim, place) == degree.pc


def _root_in_bass(claim: Claim) -> bool:
    root, count = claim.args
    sounds = sum(midi % 12 == root.pc for midi in claim.subject)
    return bool(_bass(claim) == root.pc and sounds == count)


def _root_missing(claim: Claim) -> bool:
    return 0 not in _above(claim)


def _inverted(claim: Claim) -> bool:
    there = {0, _size(claim)} <= _above(claim) and _is(claim, 1, claim.args[2])
    return there and _bass(claim) == claim.args[1].pc % 12


def _slash(claim: Claim) -> bool:
    root, bass, upper = claim.args
    above = {root.pc, *(note.pc for note in upper)}
    return _bass(claim) == bass.pc and bass.pc not in above and _pcs(claim) == above | {bass.pc}


def _suspended(claim: Claim) -> bool:
    return not {3, 4} & _above(claim) and _size(claim) in {2, 5} & _above(claim)


def _no_third(claim: Claim) -> bool:
    return not {3, 4} & _above(claim)


def _triad_kind(claim: Claim) -> bool:
    return _size(claim) in {3, 4} & _above(claim) and not {9, 10, 11} & _above(claim)


def _seventh_kind(claim: Claim) -> bool:
    pair = (_size(claim), _size(claim, 2))
    return pair in _KINDS and set(pair) <= _above(claim) and not _even(claim)


def _sharp_nine(claim: Claim) -> bool:
    return {3, 4} <= _above(claim) and (_size(claim), _size(claim, 2)) == (4, 3)


def _altered_fifth(claim: Claim) -> bool:
    return 7 not in _above(claim) and _size(claim) in {6, 8} & _above(claim)


def _beside_fifth(claim: Claim) -> bool:
    there = {7, _size(claim)} <= _above(claim) and _size(claim, 2) == 7
    return there and _is(claim, 1, claim.args[3])


def _added(claim: Claim) -> bool:
    return not {10, 11} & _above(claim) and _sounds_as(claim)


def _with_seventh(claim: Claim) -> bool:
    return _size(claim, 3) in {9, 10, 11} & _above(claim) and _sounds_as(claim)


def _sounds_as(claim: Claim) -> bool:
    return _size(claim) in _above(claim) and _is(claim, 1, claim.args[2])


def _left_out(claim: Claim) -> bool:
    return _size(claim) not in _above(claim) and _is(claim, 1, claim.args[2])


def _even(claim: Claim) -> bool:
    return len(_pcs(claim)) in (3, 4) and _evenly(_pcs(claim))


@lru_cache(maxsize=4096)
def _evenly(heard: frozenset[int]) -> bool:
    pcs = sorted(heard)
    steps = {(high - low) % 12 for low, high in zip(pcs, pcs[1:] + pcs[:1], strict=True)}
    return len(steps) == 1


def _rival(claim: Claim) -> bool:
    root, content = claim.args
    right = all((root.pc + degree.pc) % 12 == note.pc for degree, note in content)
    return right and {note.pc for _, note in content} == _pcs(claim) and _bass(claim) != root.pc


def _in_key(claim: Claim) -> bool:
    root, key = claim.args
    return root in key.notes


def _falls_a_fifth(claim: Claim) -> bool:
    return _size(claim) == 5


def _leads_up(claim: Claim) -> bool:
    return _size(claim) == 1 and _even(claim)


def _cluster(claim: Claim) -> bool:
    return _bass(claim) == claim.args[0].pc and _above(claim) == {d.pc for d in claim.args[1]}


VERIFIERS: dict[str, Verifier] = {
    "root-in-bass": _root_in_bass,
    "root-missing": _root_missing,
    "inverted": _inverted,
    "slash": _slash,
    "suspended": _suspended,
    "no-third": _no_third,
    "triad-kind": _triad_kind,
    "seventh-kind": _seventh_kind,
    "sharp-nine": _sharp_nine,
    "altered-fifth": _altered_fifth,
    "beside-fifth": _beside_fifth,
    "added": _added,
    "with-seventh": _with_seventh,
    "left-out": _left_out,
    "even": _even,
    "rival": _rival,
    "in-key": _in_key,
    "falls-a-fifth": _falls_a_fifth,
    "leads-up": _leads_up,
    "cluster": _cluster,
}


def degree_word(degree: Degree) -> str:
    """Return a degree in words, ``flat ninth``, ``third``, ``minor third``.

    >>> degree_word(Degree(11, 1)), degree_word(Degree(3, -1)), degree_word(Degree(7))
    ('sharp eleventh', 'minor third', 'major seventh')
    """
    words = {0: "", -1: "flat ", -2: "doubly flat ", 1: "sharp ", 2: "doubly sharp "}
    if degree.number in (3, 7):
        words = {**words, 0: "major ", -1: "minor ", -2: "diminished "}
    return words[degree.alter] + ("root" if degree.number == 1 else _ORDINALS[degree.number])


def _say_root_in_bass(claim: Claim) -> str:
    root, count = claim.args
    if count == 1:
        return f"The root {root.pretty} is in the bass."
    return f"The root {root.pretty} sounds {_TIMES.get(count, f'{count} times')} and in the bass."


def _say_inverted(claim: Claim) -> str:
    root, bass, degree = claim.args
    return f"{bass.pretty}, the {degree_word(degree)} of {root.pretty}, is in the bass."


def _say_slash(claim: Claim) -> str:
    root, bass, upper = claim.args
    names = " ".join(note.pretty for note in (root, *upper))
    return f"Over {bass.pretty} in the bass the other notes, {names}, make a chord of their own."


def _say_suspended(claim: Claim) -> str:
    word = "second" if _size(claim) == 2 else "fourth"
    note = claim.args[1].pretty
    return f"No third sounds; the {word}, {note}, takes its place, so it is suspended."


def _say_triad_kind(claim: Claim) -> str:
    word = "major" if _size(claim) == 4 else "minor"
    return f"The third, {claim.args[1].pretty}, is {word}, and no seventh or sixth sounds."


def _say_seventh_kind(claim: Claim) -> str:
    kind = _KINDS[_size(claim), _size(claim, 2)]
    third, other = claim.args[1].pretty, claim.args[2].pretty
    word = "sixth" if _size(claim, 2) == 9 else "seventh"
    return f"Its third {third} and its {word} {other} make it {kind}."


def _say_sharp_nine(claim: Claim) -> str:
    _, third, nine = claim.args
    return f"The major third {third.pretty} sounds, so {nine.pretty} is a sharp ninth above it."


def _say_altered_fifth(claim: Claim) -> str:
    word = "flat fifth" if _size(claim) == 6 else "sharp fifth"
    return f"No natural fifth sounds, so {claim.args[1].pretty} counts as a {word}."


def _say_beside_fifth(claim: Claim) -> str:
    _, note, fifth, degree = claim.args
    return f"The natural fifth {fifth.pretty} sounds, so {note.pretty} is a {degree_word(degree)}."


def _say_added(claim: Claim) -> str:
    return f"No seventh sounds, so {claim.args[1].pretty} is an added {_word(claim, 2)}."


def _say_with_seventh(claim: Claim) -> str:
    _, note, _, seventh = claim.args
    word = _word(claim, 2)
    article = "an" if word.startswith("e") else "a"
    return f"The seventh {seventh.pretty} sounds, so {note.pretty} is {article} {word}."


def _word(claim: Claim, place: int) -> str:
    return degree_word(claim.args[place])


def _say_rival(claim: Claim) -> str:
    root, content = claim.args
    words = " ".join(degree.pretty for degree, _ in content)
    return (
        f"Heard from {root.pretty} the same notes are {words}, but {root.pretty} is not the bass."
    )


def _say_in_key(claim: Claim) -> str:
    root, key = claim.args
    number = degree_between(key.tonic, root).number
    place = "tonic" if number == 1 else f"{_ORDINALS[number]} note"
    return f"{root.pretty} is the {place} of {key.pretty}."


def _say_cluster(claim: Claim) -> str:
    bass, content = claim.args
    names = " ".join(degree.pretty for degree in content)
    return f"No chord name fits; counted from the bass {bass.pretty} the notes are {names}."


SENTENCES: dict[str, Sentence] = {
    "root-in-bass": _say_root_in_bass,
    "root-missing": lambda c: f"No {c.args[0].pretty} sounds: the root is implied.",
    "inverted": _say_inverted,
    "slash": _say_slash,
    "suspended": _say_suspended,
    "no-third": lambda c: f"No third above {c.args[0].pretty} sounds.",
    "triad-kind": _say_triad_kind,
    "seventh-kind": _say_seventh_kind,
    "sharp-nine": _say_sharp_nine,
    "altered-fifth": _say_altered_fifth,
    "beside-fifth": _say_beside_fifth,
    "added": _say_added,
    "with-seventh": _say_with_seventh,
    "left-out": lambda c: f"The {_word(c, 2)}, {c.args[1].pretty}, is left out.",
    "even": lambda _: "Its notes divide the octave evenly, so each of them may be the root.",
    "rival": _say_rival,
    "in-key": _say_in_key,
    "falls-a-fifth": lambda c: f"From {c.args[0].pretty} the root falls a fifth to the next chord.",
    "leads-up": lambda c: f"{c.args[0].pretty} leads up a half step to the next root.",
    "cluster": _say_cluster,
}
