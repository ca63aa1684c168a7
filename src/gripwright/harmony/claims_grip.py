"""Claims about the sounding notes of a grip, each with its own verifier.

The subject is the tuple of sounding MIDI numbers, in any order. The first argument is the root
(for ``cluster`` the bass); notes are spelled, degrees are counted from the root.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.claims import Claim, Kind, Verifier
from gripwright.harmony.claims_grip_words import SENTENCES
from gripwright.theory.interval import Degree

_SEVENTH_KINDS = {(4, 10), (4, 11), (3, 10), (3, 11), (4, 9), (3, 9)}


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


def _power(claim: Claim) -> bool:
    return _above(claim) == {0, 7}


def _seventh_alone(claim: Claim) -> bool:
    return _size(claim) in {9, 10, 11} and _no_third(claim) and _sounds_as(claim)


def _third_kind(claim: Claim) -> bool:
    return _size(claim) in {3, 4} & _above(claim)


def _triad_kind(claim: Claim) -> bool:
    return _third_kind(claim) and not {9, 10, 11} & _above(claim)


def _seventh_kind(claim: Claim) -> bool:
    pair = (_size(claim), _size(claim, 2))
    diminished = pair == (3, 9) and _even(claim)
    return pair in _SEVENTH_KINDS and set(pair) <= _above(claim) and not diminished


def _sharp_nine(claim: Claim) -> bool:
    return {3, 4} <= _above(claim) and (_size(claim), _size(claim, 2)) == (4, 3)


def _altered_fifth(claim: Claim) -> bool:
    return 7 not in _above(claim) and _size(claim) in {6, 8} & _above(claim)


def _half_diminished(claim: Claim) -> bool:
    return {3, 6, 10} <= _above(claim) and 7 not in _above(claim) and _size(claim) == 6


def _fifth_or_tension(claim: Claim) -> bool:
    return 7 not in _above(claim) and _size(claim) in {6, 8} & _above(claim)


def _beside_fifth(claim: Claim) -> bool:
    there = {7, _size(claim)} <= _above(claim) and _size(claim, 2) == 7
    return there and _is(claim, 1, claim.args[3])


def _added(claim: Claim) -> bool:
    return not {10, 11} & _above(claim) and _all_are(claim, 1) and _tells(claim, 1) <= _above(claim)


def _with_seventh(claim: Claim) -> bool:
    seventh = _size(claim) in {9, 10, 11} & _above(claim)
    return seventh and _all_are(claim, 2) and _tells(claim, 2) <= _above(claim)


def _all_are(claim: Claim, place: int) -> bool:
    """Return whether each note of an argument is the degree above the root that it is called."""
    root = claim.args[0].pc
    return all((note.pc - root) % 12 == degree.pc for degree, note in claim.args[place])


def _tells(claim: Claim, place: int) -> set[int]:
    """Return the degrees that an argument speaks of, in semitones above the root."""
    return {degree.pc for degree, _ in claim.args[place]}


def _sounds_as(claim: Claim) -> bool:
    return _size(claim) in _above(claim) and _is(claim, 1, claim.args[2])


def _left_out(claim: Claim) -> bool:
    return not _tells(claim, 1) & _above(claim) and _all_are(claim, 1)


def _even(claim: Claim) -> bool:
    return len(_pcs(claim)) in (3, 4) and _evenly(_pcs(claim))


@lru_cache(maxsize=4096)
def _evenly(heard: frozenset[int]) -> bool:
    pcs = sorted(heard)
    steps = {(high - low) % 12 for low, high in zip(pcs, pcs[1:] + pcs[:1], strict=True)}
    return len(steps) == 1


def _rival(claim: Claim) -> bool:
    return _same_notes(claim) and _bass(claim) != claim.args[0].pc


def _rival_in_bass(claim: Claim) -> bool:
    return _same_notes(claim) and _bass(claim) == claim.args[0].pc


def _same_notes(claim: Claim) -> bool:
    root, content = claim.args
    right = all((root.pc + degree.pc) % 12 == note.pc for degree, note in content)
    return right and {note.pc for _, note in content} == _pcs(claim)


def _in_key(claim: Claim) -> bool:
    root, key = claim.args
    return root in key.notes


def _bass_stays(claim: Claim) -> bool:
    root, before = claim.args
    return before.bass is None and before.root.pc == root.pc == _bass(claim)


def _bass_moves(claim: Claim) -> bool:
    root, bass, before = claim.args
    lower = _bass(claim) == bass.pc not in (root.pc, before.bass_note.pc)
    return lower and before.root.pc == root.pc and 0 in _above(claim)


def _falls_a_half_step(claim: Claim) -> bool:
    return _size(claim) == 11 and _bass(claim) == claim.args[0].pc


def _resolves(claim: Claim) -> bool:
    _, note, degree, after = claim.args
    there = degree.alter and _size(claim) in _above(claim) and _is(claim, 1, degree)
    return bool(there) and (note.pc + degree.alter) % 12 in after.pcs


def _falls_a_fifth(claim: Claim) -> bool:
    return _size(claim) == 5


def _leads_up(claim: Claim) -> bool:
    return _size(claim) == 1 and _even(claim)


def _common_tone(claim: Claim) -> bool:
    return _even(claim) and len(_pcs(claim)) == 4 and _size(claim) in _above(claim)


def _cluster(claim: Claim) -> bool:
    return _bass(claim) == claim.args[0].pc and _above(claim) == {d.pc for d in claim.args[1]}


__all__ = ["KINDS", "SENTENCES", "VERIFIERS"]

VERIFIERS: dict[str, Verifier] = {
    "root-in-bass": _root_in_bass,
    "root-missing": _root_missing,
    "inverted": _inverted,
    "slash": _slash,
    "suspended": _suspended,
    "no-third": _no_third,
    "power": _power,
    "seventh-alone": _seventh_alone,
    "third-kind": _third_kind,
    "triad-kind": _triad_kind,
    "seventh-kind": _seventh_kind,
    "sharp-nine": _sharp_nine,
    "altered-fifth": _altered_fifth,
    "half-diminished": _half_diminished,
    "fifth-or-tension": _fifth_or_tension,
    "beside-fifth": _beside_fifth,
    "added": _added,
    "with-seventh": _with_seventh,
    "left-out": _left_out,
    "even": _even,
    "rival": _rival,
    "rival-in-bass": _rival_in_bass,
    "in-key": _in_key,
    "bass-stays": _bass_stays,
    "bass-moves": _bass_moves,
    "falls-a-fifth": _falls_a_fifth,
    "falls-a-half-step": _falls_a_half_step,
    "resolves": _resolves,
    "leads-up": _leads_up,
    "common-tone": _common_tone,
    "cluster": _cluster,
}
KINDS = {name: Kind(verify, SENTENCES[name]) for name, verify in VERIFIERS.items()}
