"""Changes as they are given: symbols, Harte labels, grips and silences, with lengths.

A line of changes parts bars with ``|``; the chords of a bar share it evenly, ``/`` strikes the
chord before it once more, ``N`` and ``rest`` are silence, ``x35453=Cmaj7`` is a grip with its
name. A grip without a name is read in the key of what surrounds it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from gripwright.errors import ChangesError, GripError, InputError, SymbolError
from gripwright.harmony.facts import facts_of
from gripwright.harmony.key import Keys, Stated, find_keys
from gripwright.harmony.letter_signs import Sounds, sounds_of
from gripwright.harmony.letters import Letters, letters
from gripwright.harmony.reading import readings
from gripwright.harmony.tones import tones_under
from gripwright.neck.grip import Grip, parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.harte_read import parse_harte
from gripwright.theory.pitch import Pitch
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol, parse_symbol

_GRIP = re.compile(r"(?=.*[\dxX])[xX\d-]{4,}")
_WITH_CHANGES = re.compile(r"([^()]+:[a-z0-9]+)\((?:[*b#]*\d+,?)+\)(/.*)?")
_SILENCE = ("N", "X", "N.C.", "NC", "rest")
MOST_PROBLEMS = 1000  # after as many wrong chords the rest is not looked at


@dataclass(frozen=True, slots=True)
class Change:
    """One chord of changes: its symbol (None for silence or a cluster), grip and length.

    ``notes`` are what the grip sounds, bass side first, spelled where it has been `named`.
    """

    symbol: ChordSymbol | None
    grip: Grip | None = None
    length: float = 1.0
    notes: tuple[Pitch, ...] = ()


def read_changes(text: str, neck: Neck = STANDARD_NECK) -> tuple[Change, ...]:
    """Read a line of changes; raises InputError for what it starts with, and like `read_chords`.

    >>> [change.length for change in read_changes("Dm7 G7 | Cmaj7")]
    [0.5, 0.5, 1.0]
    """
    words: list[str] = []
    lengths: list[float] = []
    for bar in filter(None, (bar.split() for bar in text.split("|"))):
        length = 1.0 / len(bar)
        for word in bar:
            if word == "/":
                _check_started(words)
                lengths[-1] += length
            else:
                words.append(word)
                lengths.append(length)
    return read_chords(words, neck, lengths)


def read_chords(
    words: Sequence[str], neck: Neck = STANDARD_NECK, lengths: Sequence[float] | None = None
) -> tuple[Change, ...]:
    """Read chords, each as `read_chord` does; all that cannot be read are told at once.

    Raises its error for one wrong chord, ChangesError for several.
    """
    sizes = lengths or [1.0] * len(words)
    return _gathered(len(words), lambda index: read_chord(words[index], index, neck, sizes[index]))


def _gathered(count: int, read: Callable[[int], Change]) -> tuple[Change, ...]:
    """Return the changes that are read index by index; raises the errors of all that are not."""
    found: list[Change] = []
    problems: list[InputError] = []
    for index in range(count):
        try:
            found.append(read(index))
        except (SymbolError, GripError) as error:
            problems.append(error)
            if len(problems) == MOST_PROBLEMS:
                break
    if len(problems) > 1:
        raise ChangesError(tuple(problems))
    if problems:
        raise problems[0]
    return tuple(found)


def read_chord(
    word: str, index: int = 0, neck: Neck = STANDARD_NECK, length: float = 1.0
) -> Change:
    """Read one chord: a symbol, a Harte label, a grip, or ``grip=symbol``.

    Raises SymbolError or GripError with ``index`` as the place, also for a grip by itself that
    makes no chord.
    """
    if word.strip() in _SILENCE:
        return Change(None, None, length)
    held, joined, name = word.rpartition("=")
    try:
        if not joined and _GRIP.fullmatch(name):
            bare = parse_grip(name, len(neck))
            _best(bare, neck, None, None, None, None)
            return Change(None, bare, length)
        grip = _held(held, len(neck)) if joined else None
        symbol = read_label(name) if ":" in name else parse_symbol(name)
        return Change(symbol, grip, length)
    except (SymbolError, GripError) as error:
        raise type(error)(
            f"chord {index + 1}: {error.message}", field="chords", at=index, remedy=error.remedy
        ) from error


def _held(text: str, strings: int) -> Grip:
    """Read the grip of a named chord, of which something has to sound; raises GripError."""
    grip = parse_grip(text, strings)
    if all(fret is None for fret in grip.frets):
        raise GripError(
            f"grip {text!r} sounds nothing", field="chords", at=0,
            remedy="give at least one string a fret, or write N for silence",
        )  # fmt: skip
    return grip


def _check_started(words: Sequence[str]) -> None:
    """Raise InputError where a stroke has no chord before it."""
    if not words:
        raise InputError(
            "the changes start with /, which strikes the chord before it again", field="chords",
            at=0, remedy='start with a chord, such as "Dm7 / G7 /"',
        )  # fmt: skip


def read_label(label: str) -> ChordSymbol:
    """Read a Harte label; one whose degrees no symbol can write, without those it adds.

    Raises SymbolError.

    >>> read_label("B:maj7(b7)/3").text
    'Bmaj7/D#'
    """
    try:
        return parse_harte(label)
    except SymbolError:
        match = _WITH_CHANGES.fullmatch(label)
        if not match:
            raise
        return parse_harte(match[1] + (match[2] or ""))


def named(
    changes: Sequence[Change], *, key: Stated = None, neck: Neck = STANDARD_NECK
) -> tuple[Change, ...]:
    """Return changes with a symbol for every grip that has a name: first by itself, then in key.

    The letters of all grips are found together (`letters`), and a bare grip is named with
    them. Raises GripError for a grip that does not fit the neck or makes no chord, ChangesError
    for several.

    >>> [" ".join(map(str, one.notes)) for one in named(read_changes("x32010 x2313x x02210"))]
    ['C3 E3 G3 C4 E4', 'B2 F3 G#3 D4', 'A2 E3 A3 C4 E4']
    """
    if all(change.grip is None for change in changes):
        return tuple(changes)
    loose = _by_themselves(changes, neck)
    asked = any(change.symbol is None and change.grip is not None for change in changes)
    if not asked or not any(change.symbol for change in loose):
        return loose
    keys = keys_of(loose, key)
    spelled = _letters(changes, keys, neck)
    return tuple(
        _named(change, neck, index, keys.at(index), *_neighbours(loose, index), spelled[index])
        for index, change in enumerate(changes)
    )


def _by_themselves(changes: Sequence[Change], neck: Neck) -> tuple[Change, ...]:
    """Return changes whose grips are each named by themselves; what comes again is named once."""
    known: dict[tuple[int, Grip], Change] = {}

    def name(index: int) -> Change:
        change = changes[index]
        if change.grip is None:
            return change
        same = (id(change.symbol), change.grip)
        if same not in known:
            known[same] = _named(change, neck, index)
        return Change(known[same].symbol, change.grip, change.length, known[same].notes)

    return _gathered(len(changes), name)


def _letters(changes: Sequence[Change], keys: Keys, neck: Neck) -> list[Letters | None]:
    """Return the letters of the chords, found together; None for silences."""
    heard = [(index, _sounds(change, neck)) for index, change in enumerate(changes)]
    sounding = [(index, sounds) for index, sounds in heard if sounds is not None]
    found = letters([sounds for _, sounds in sounding], [keys.at(index) for index, _ in sounding])
    by_index = dict(zip((index for index, _ in sounding), found, strict=True))
    return [by_index.get(index) for index in range(len(changes))]


def _sounds(change: Change, neck: Neck) -> Sounds | None:
    """Return what a chord sounds, with the letters that its written symbol gives."""
    if change.symbol is None and change.grip is None:
        return None
    if change.grip is None:
        return sounds_of(change.symbol) if change.symbol else None
    if change.symbol is None:
        return Sounds(tuple(sorted({sound.midi for sound in soundings(change.grip, neck)})))
    tones = {tone.midi: tone.note for tone in tones_under(change.symbol, change.grip, neck)}
    return Sounds(tuple(tones), tuple(tones.values()))


def keys_of(changes: Sequence[Change], key: Stated = None) -> Keys:
    """Return the keys of changes; raises InputError where nothing has a name."""
    facts = [facts_of(change.symbol) if change.symbol else None for change in changes]
    return find_keys(facts, [change.length for change in changes], key=key)


def _neighbours(
    changes: Sequence[Change], index: int
) -> tuple[ChordSymbol | None, ChordSymbol | None]:
    before = changes[index - 1].symbol if index else None
    return before, changes[index + 1].symbol if index + 1 < len(changes) else None


def _named(
    change: Change,
    neck: Neck,
    index: int,
    key: Key | None = None,
    before: ChordSymbol | None = None,
    after: ChordSymbol | None = None,
    spelled: Letters | None = None,
) -> Change:
    if change.grip is None:
        return change
    if change.symbol is not None:
        return replace(change, notes=_notes(change.symbol, change.grip, neck))
    try:
        symbol, notes = _best(change.grip, neck, key, before, after, spelled)
    except GripError as error:
        raise GripError(
            f"chord {index + 1}: {error.message}", field="chords", at=index, remedy=error.remedy
        ) from error
    return replace(change, symbol=symbol, notes=notes)


@lru_cache(maxsize=4096)
def _notes(symbol: ChordSymbol, grip: Grip, neck: Neck) -> tuple[Pitch, ...]:
    """Return what a named grip sounds, spelled by its name; songs come back to the same."""
    return tuple(tone.pitch for tone in tones_under(symbol, grip, neck))


@lru_cache(maxsize=4096)
def _best(
    grip: Grip,
    neck: Neck,
    key: Key | None,
    before: ChordSymbol | None,
    after: ChordSymbol | None,
    spelled: Letters | None,
) -> tuple[ChordSymbol | None, tuple[Pitch, ...]]:
    """Return symbol and notes of the best reading; songs come back to the same grips."""
    best = readings(grip, neck, key=key, before=before, after=after, letters=spelled)[0]
    return best.symbol, tuple(tone.pitch for tone in best.tones)


def check_any(changes: Sequence[Change]) -> None:
    """Raise InputError for no changes at all."""
    if not changes:
        raise InputError(
            "there are no chords in these changes", field="chords",
            remedy='give symbols, such as "Dm7 G7 | Cmaj7"',
        )  # fmt: skip
