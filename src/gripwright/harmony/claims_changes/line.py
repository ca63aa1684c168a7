"""Claims about lines and shapes: pedals, creeping lines, walking basses, parallel chords."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    bass_step,
    basses,
    briefly,
    has,
    names,
    note_in,
    once,
    sounds,
    strange,
)
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.symbol import ChordSymbol

# A run of equal steps by its size in semitones: how it moves.
_CYCLES = {
    1: "up by half steps", 11: "down by half steps", 2: "up by whole steps",
    10: "down by whole steps", 3: "up by minor thirds", 9: "down by minor thirds",
}  # fmt: skip


def _pedal(claim: Claim) -> bool:
    under = {chord.bass_note.pc for chord in claim.subject}
    roots = {chord.root.pc for chord in claim.subject}
    return len(under) == 1 and len(roots) > 1 and len(claim.subject) > 2


def _say_pedal(claim: Claim) -> str:
    bass = claim.subject[0].bass_note.pretty
    return f"{bass} stays in the bass under {once(claim)}: a pedal point"


def _top_pedal(claim: Claim) -> bool:
    """Check that each grip's highest note is the same, over chords of three roots or more."""
    grips, neck = claim.args
    roots = {chord.root.pc for chord in claim.subject}
    tops = {_top(grip, neck) for grip in grips}
    return len(tops) == 1 and len(roots) > 2 and len(grips) == len(claim.subject)


def _top(grip: Grip, neck: Neck) -> int:
    return max(neck.midi(at, fret) for at, fret in enumerate(grip.frets) if fret is not None)


def _say_top_pedal(claim: Claim) -> str:
    grips, neck = claim.args
    note = note_in(_top(grips[0], neck) % 12, *claim.subject)
    return f"{note.pretty} stays on top of {once(claim)}: a pedal point above"


def _line(claim: Claim) -> bool:
    """Check that a voice creeps, and for three chords at least over one root, or over its bass."""
    return _creeps(claim, 3) and bool(_staying(claim.subject))


def _staying(chords: Sequence[ChordSymbol]) -> Sequence[ChordSymbol]:
    """Return the longest stretch of three chords or more over one root, or one bass under it."""
    stretches = (
        chords[start:end]
        for start in range(len(chords) - 2)
        for end in range(start + 3, len(chords) + 1)
        if _stays(chords[start:end])
    )
    return max(stretches, key=len, default=())


def _stays(chords: Sequence[ChordSymbol]) -> bool:
    roots = [chord.root.pc for chord in chords]
    under = {chord.bass_note.pc for chord in chords}
    over_bass = len(under) == 1 and 2 * sum(roots.count(pc) for pc in under) > len(roots)
    return len(set(roots)) == 1 or over_bass


def _through(claim: Claim) -> bool:
    return (
        _creeps(claim, 4 if claim.args[0] < 0 else 5)
        and len({chord.root.pc for chord in claim.subject}) > 1
    )


def _creeps(claim: Claim, least: int) -> bool:
    sign, *line = claim.args
    steps = [(there - here) % 12 for here, there in itertools.pairwise(line)]
    chords = zip(line, claim.subject, strict=True)
    held = all(note in sounds(chord) for note, chord in chords)
    return len(line) >= least and set(steps) == {sign % 12} and held


def _say_line(claim: Claim) -> str:
    held = _staying(claim.subject)
    stays = "chord" if len({chord.root.pc for chord in held}) == 1 else "bass"
    first, *_, last = names(claim)
    if len(held) == len(claim.subject):
        where = f"while the {stays} stays"
    elif claim.subject[: len(held)] == held:
        where = f"while the {stays} stays, and on to {last}"
    else:
        where = f"from {first} to {last}, in part over one {stays}"
    return f"a line cliché: a voice creeps {_way(claim)} by half steps {where}: {_row(claim)}"


def _say_through(claim: Claim) -> str:
    said = names(claim)
    return f"a voice creeps {_way(claim)} by half steps from {said[0]} to {said[-1]}: {_row(claim)}"


def _way(claim: Claim) -> str:
    return "up" if claim.args[0] > 0 else "down"


def _row(claim: Claim) -> str:
    _, *line = claim.args
    pairs = zip(line, claim.subject, strict=True)
    return ", ".join(note_in(pc, chord).pretty for pc, chord in pairs)


def _bass_line(claim: Claim) -> bool:
    """Check a bass that goes one way by steps: five half steps, or four with a slash chord."""
    steps = _bass_steps(claim.subject)
    way = {step * claim.args[0] for step in steps}
    slashed = any(chord.bass_note.pc != chord.root.pc for chord in claim.subject)
    enough = len(steps) >= 3 if slashed else len(steps) >= 4 and way == {1}
    return way <= {1, 2} and enough


def _bass_steps(chords: Sequence[ChordSymbol]) -> list[int]:
    return [bass_step(one, two) for one, two in itertools.pairwise(chords)]


def _say_bass_line(claim: Claim) -> str:
    half = {abs(step) for step in _bass_steps(claim.subject)} == {1}
    walks = "creeps" if half else "walks"
    steps = "by half steps" if half else "by step"
    return f"the bass {walks} {_way(claim)} {steps}: {basses(claim)}"


def _lament(claim: Claim) -> bool:
    """Check a bass that sinks by step from a minor root to its fifth, by a half step last."""
    first, *_, near, last = claim.subject
    root = first.root.pc
    rooted = first.bass_note.pc == root and has(first, 3, 7)
    down = all(step in (-1, -2) for step in _bass_steps(claim.subject))
    arrives = (near.bass_note.pc - root) % 12 == 8 and (last.bass_note.pc - root) % 12 == 7
    return len(claim.subject) > 3 and rooted and down and arrives


def _say_lament(claim: Claim) -> str:
    return f"the bass sinks from the tonic to the fifth, the lament bass: {basses(claim)}"


def _parallel(claim: Claim) -> bool:
    chords, (step, key) = claim.subject, claim.args
    steps = {(two.root.pc - one.root.pc) % 12 for one, two in itertools.pairwise(chords)}
    leaves = any(strange(chord, key) for chord in chords)
    return _alike(chords) and steps == {step} and len(chords) > 2 and step in _CYCLES and leaves


def _alike(chords: Sequence[ChordSymbol]) -> bool:
    return len({frozenset(degree.pc for degree in chord.degrees) for chord in chords}) == 1


def _say_parallel(claim: Claim) -> str:
    chords, step = claim.subject, claim.args[0]
    whole = (len(chords) * step) % 12 == 0 or chords[0].root.pc == chords[-1].root.pc
    parts = {
        3: ": a cycle that divides the octave into four equal parts",
        2: ": round the whole-tone scale",
    }
    round_all = parts.get(min(step, 12 - step), "") if whole else ""
    return f"{briefly(names(claim))} move in parallel, {_CYCLES[step]}{round_all}"


def _constant_structure(claim: Claim) -> bool:
    """Check four chords or more of one quality on three roots, at least two out of the key."""
    chords, key = claim.subject, claim.args[0]
    roots = {chord.root.pc for chord in chords}
    out = [chord for chord in chords if strange(chord, key)]
    rich = len(chords[0].degrees) > 3
    return _alike(chords) and len(chords) > 3 and len(roots) > 2 and len(out) > 1 and rich


def _say_constant_structure(claim: Claim) -> str:
    return f"{briefly(names(claim))} keep one chord quality on changing roots: constant structure"


def _shape_moved(claim: Claim) -> bool:
    one, two = claim.subject
    moved = [None if fret is None else fret + claim.args[0] for fret in one.frets]
    sounding = [fret for fret in (*one.frets, *two.frets) if fret is not None]
    return moved == list(two.frets) and bool(sounding) and 0 not in sounding


def _say_shape_moved(claim: Claim) -> str:
    shift = claim.args[0]
    frets = "fret" if abs(shift) == 1 else "frets"
    return f"the same shape moves {'up' if shift > 0 else 'down'} {abs(shift)} {frets}"


KINDS = {
    "pedal": Kind(_pedal, _say_pedal),
    "top-pedal": Kind(_top_pedal, _say_top_pedal),
    "line": Kind(_line, _say_line),
    "line-through": Kind(_through, _say_through),
    "bass-line": Kind(_bass_line, _say_bass_line),
    "lament": Kind(_lament, _say_lament),
    "parallel": Kind(_parallel, _say_parallel),
    "constant-structure": Kind(_constant_structure, _say_constant_structure),
    "shape-moved": Kind(_shape_moved, _say_shape_moved),
}
