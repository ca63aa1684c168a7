"""Claims about the sounding notes of a grip, each with its own verifier.

The subject is the tuple of sounding MIDI numbers; args are spelled notes, the root first.
"""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Sentence, Verifier
from gripwright.theory.pitch import Note

_TIMES = {1: "once", 2: "twice", 3: "three times", 4: "four times"}


def _pcs(claim: Claim) -> set[int]:
    return {midi % 12 for midi in claim.subject}


def _above(claim: Claim) -> set[int]:
    """Return the pitch classes above the claim's root."""
    root: Note = claim.args[0]
    return {(midi - root.pc) % 12 for midi in claim.subject}


def _bass_pc(claim: Claim) -> int:
    return int(min(claim.subject)) % 12


def _count(claim: Claim) -> int:
    return sum(midi % 12 == claim.args[0].pc for midi in claim.subject)


def _size(claim: Claim) -> int:
    """Return the interval from the claim's root to its second note."""
    return int((claim.args[1].pc - claim.args[0].pc) % 12)


def _names(claim: Claim) -> list[str]:
    return [note.pretty for note in claim.args]


def _root_often(claim: Claim) -> bool:
    return (_bass_pc(claim), _count(claim)) == (claim.args[0].pc, claim.args[1])


def _root_bass(claim: Claim) -> bool:
    return (_bass_pc(claim), _count(claim)) == (claim.args[0].pc, 1)


def _root_missing(claim: Claim) -> bool:
    return claim.args[0].pc not in _pcs(claim)


def _inverted(claim: Claim) -> bool:
    return bool(_bass_pc(claim) == claim.args[1].pc and claim.args[0].pc in _pcs(claim))


def _slash(claim: Claim) -> bool:
    root, bass, *upper = claim.args
    return (
        _bass_pc(claim) == bass.pc
        and bass.pc not in {note.pc for note in upper}
        and _pcs(claim) == {root.pc, bass.pc, *(note.pc for note in upper)}
    )


def _suspended(claim: Claim) -> bool:
    return not {3, 4} & _above(claim) and _size(claim) in _above(claim) and _size(claim) in (2, 5)


def _no_third(claim: Claim) -> bool:
    return not {3, 4} & _above(claim)


def _no_fifth(claim: Claim) -> bool:
    return 7 not in _above(claim)


def _sharp_nine(claim: Claim) -> bool:
    return {3, 4} <= _above(claim)


def _altered_fifth(claim: Claim) -> bool:
    return 7 not in _above(claim) and _size(claim) in (6, 8) and _size(claim) in _above(claim)


def _beside_fifth(claim: Claim) -> bool:
    return {7, _size(claim)} <= _above(claim)


def _no_seventh(claim: Claim) -> bool:
    return not {10, 11} & _above(claim) and _size(claim) in _above(claim)


def _with_seventh(claim: Claim) -> bool:
    return bool({10, 11} & _above(claim)) and _size(claim) in _above(claim)


def _even(claim: Claim) -> bool:
    pcs = sorted(_pcs(claim))
    steps = {(high - low) % 12 for low, high in zip(pcs, pcs[1:] + pcs[:1], strict=True)}
    return len(pcs) > 1 and len(steps) == 1


def _cluster(claim: Claim) -> bool:
    bass, content = claim.args
    return _bass_pc(claim) == bass.pc and _above(claim) == {degree.pc for degree in content}


VERIFIERS: dict[str, Verifier] = {
    "root-often": _root_often,
    "root-bass": _root_bass,
    "root-missing": _root_missing,
    "inverted": _inverted,
    "slash": _slash,
    "suspended": _suspended,
    "no-third": _no_third,
    "no-fifth": _no_fifth,
    "sharp-nine": _sharp_nine,
    "altered-fifth": _altered_fifth,
    "beside-fifth": _beside_fifth,
    "no-seventh": _no_seventh,
    "with-seventh": _with_seventh,
    "even": _even,
    "cluster": _cluster,
}


def _say_root_often(claim: Claim) -> str:
    note, count = claim.args
    return f"The root {note.pretty} sounds {_TIMES.get(count, f'{count} times')} and in the bass."


def _say_inverted(claim: Claim) -> str:
    root, bass = _names(claim)
    return f"The bass is {bass}, a note of the chord on {root}."


def _say_slash(claim: Claim) -> str:
    root, bass, *upper = _names(claim)
    return (
        f"Over the bass {bass} the other notes, {', '.join((root, *upper))}, stand by themselves."
    )


def _say_suspended(claim: Claim) -> str:
    word = "second" if _size(claim) == 2 else "fourth"
    return f"No third sounds; the {word}, {claim.args[1].pretty}, takes its place: suspended."


def _say_altered(claim: Claim) -> str:
    word = "flat five" if _size(claim) == 6 else "sharp five"
    return f"No natural fifth sounds, so {claim.args[1].pretty} is a {word}."


def _say_cluster(claim: Claim) -> str:
    bass, content = claim.args
    names = ", ".join(degree.pretty for degree in content)
    return f"No chord name fits; counted from the bass {bass.pretty} the notes are {names}."


SENTENCES: dict[str, Sentence] = {
    "root-often": _say_root_often,
    "root-bass": lambda c: f"The root {c.args[0].pretty} is the bass.",
    "root-missing": lambda c: f"No {c.args[0].pretty} sounds: the root is implied.",
    "inverted": _say_inverted,
    "slash": _say_slash,
    "suspended": _say_suspended,
    "no-third": lambda c: f"No third above {c.args[0].pretty} sounds.",
    "no-fifth": lambda c: f"The fifth above {c.args[0].pretty} is left out.",
    "sharp-nine": lambda c: (
        f"The major third sounds, so {c.args[1].pretty} is a sharp nine and no minor third."
    ),
    "altered-fifth": _say_altered,
    "beside-fifth": lambda c: (
        f"The natural fifth sounds too, so {c.args[1].pretty} is a tension and no altered fifth."
    ),
    "no-seventh": lambda c: f"No seventh sounds, so {c.args[1].pretty} is an added note.",
    "with-seventh": lambda c: f"A seventh sounds, so {c.args[1].pretty} is a tension.",
    "even": lambda c: "The notes divide the octave evenly, so each of them may be the root.",
    "cluster": _say_cluster,
}
