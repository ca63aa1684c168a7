"""Claims about the sounding notes of a grip, in words; `claims_grip` says what each means."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Sentence
from gripwright.theory.interval import Degree, degree_between
from gripwright.theory.pitch import Note
from gripwright.theory.spelling import degree_note

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


def _size(claim: Claim, place: int = 1) -> int:
    """Return the interval from the root up to another argument."""
    return int(claim.args[place].pc - claim.args[0].pc) % 12


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


def _third(claim: Claim) -> str:
    return "major" if _size(claim) == 4 else "minor"


def _say_triad_kind(claim: Claim) -> str:
    third = claim.args[1].pretty
    return f"The third, {third}, is {_third(claim)}, and no seventh or sixth sounds."


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


def _say_half_diminished(claim: Claim) -> str:
    note = claim.args[1].pretty
    return f"No natural fifth sounds: with the flat fifth {note} it is half-diminished."


def _say_fifth_or_tension(claim: Claim) -> str:
    word = "flat" if _size(claim) == 6 else "sharp"
    return (
        f"No natural fifth sounds, so {claim.args[1].pretty} may as well count as a {word} fifth."
    )


def _say_beside_fifth(claim: Claim) -> str:
    _, note, fifth, degree = claim.args
    return f"The natural fifth {fifth.pretty} sounds, so {note.pretty} is a {degree_word(degree)}."


def _say_seventh_alone(claim: Claim) -> str:
    return f"{claim.args[1].pretty} is its {_word(claim, 2)}."


def _say_added(claim: Claim) -> str:
    told = [(note, f"an added {degree_word(degree)}") for degree, note in claim.args[1]]
    return f"No seventh sounds, so {_each_is(told)}."


def _say_with_seventh(claim: Claim) -> str:
    _, seventh, tensions = claim.args
    words = [(note, degree_word(degree)) for degree, note in tensions]
    told = [(note, ("an " if word[0] == "e" else "a ") + word) for note, word in words]
    return f"The seventh {seventh.pretty} sounds, so {_each_is(told)}."


def _each_is(told: list[tuple[Note, str]]) -> str:
    """Return ``D is a ninth``, or ``D is a ninth and A a thirteenth``."""
    (first, word), *rest = told
    return _and([f"{first.pretty} is {word}", *(f"{note.pretty} {more}" for note, more in rest)])


def _and(parts: list[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _say_left_out(claim: Claim) -> str:
    *gone, last = (f"the {degree_word(degree)}, {note.pretty}," for degree, note in claim.args[1])
    told = " ".join([*gone, "and", last] if gone else [last])
    return f"T{told[1:]} {'are' if gone else 'is'} left out."


def _word(claim: Claim, place: int) -> str:
    return degree_word(claim.args[place])


def _say_rival(claim: Claim) -> str:
    return f"{_from_another(claim)}, but {claim.args[0].pretty} is not in the bass."


def _from_another(claim: Claim) -> str:
    root, content = claim.args
    words = " ".join(degree.pretty for degree, _ in content)
    return f"Heard from {root.pretty} the same notes are {words}"


def _say_bass_moves(claim: Claim) -> str:
    root, bass, _ = claim.args
    return f"The chord before has the root {root.pretty} too; the bass has moved to {bass.pretty}."


def _say_resolves(claim: Claim) -> str:
    _, note, degree, after = claim.args
    goal = (note.pc + degree.alter) % 12
    letter = next(
        degree_note(after.root, each) if each else after.bass_note
        for each in (*after.degrees, None)
        if each is None or (after.root.pc + each.pc) % 12 == goal
    )
    way = "rises" if degree.alter > 0 else "falls"
    step = f"{note.pretty}, the {_word(claim, 2)}, {way} a half step"
    return f"{step} to {letter.pretty} in the next chord."


def _say_fall(claim: Claim, step: str) -> str:
    root, goal = (note.pretty for note in claim.args)
    return f"The root falls a {step} to the next chord, from {root} to {goal}."


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
    "no-third": lambda c: (
        f"No third above {c.args[0].pretty} sounds, so it is neither major nor minor."
    ),
    "power": lambda _: "Only root and fifth sound, no third: it is neither major nor minor.",
    "seventh-alone": _say_seventh_alone,
    "third-kind": lambda c: f"The third, {c.args[1].pretty}, is {_third(c)}.",
    "triad-kind": _say_triad_kind,
    "seventh-kind": _say_seventh_kind,
    "sharp-nine": _say_sharp_nine,
    "altered-fifth": _say_altered_fifth,
    "half-diminished": _say_half_diminished,
    "fifth-or-tension": _say_fifth_or_tension,
    "beside-fifth": _say_beside_fifth,
    "added": _say_added,
    "with-seventh": _say_with_seventh,
    "left-out": _say_left_out,
    "even": lambda _: "Its notes divide the octave evenly, so each of them may be the root.",
    "rival": _say_rival,
    "rival-in-bass": lambda c: f"{_from_another(c)}, and {c.args[0].pretty} is in the bass.",
    "in-key": _say_in_key,
    "bass-stays": lambda c: f"The bass {c.args[0].pretty} stays from the chord before.",
    "bass-moves": _say_bass_moves,
    "falls-a-half-step": lambda c: _say_fall(c, "half step"),
    "resolves": _say_resolves,
    "falls-a-fifth": lambda c: _say_fall(c, "fifth"),
    "leads-up": lambda c: (
        f"{c.args[0].pretty} leads up a half step to the next root, {c.args[1].pretty}."
    ),
    "common-tone": lambda c: (
        f"The next root, {c.args[1].pretty}, sounds already: a common-tone diminished seventh."
    ),
    "cluster": _say_cluster,
}
