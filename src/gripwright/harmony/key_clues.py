"""What is heard in songs that may tell the key: clues, and how much each counts.

A clue is a name and the chords it is about, as marks (root and sort); its *rows* are where the
table (`key_weights`) keeps what it says, seen from every tonic. Clues that count alike come
together. The same clues are fitted (`evaluation/fit_keys.py`) and read.

In songs what is heard again says less each time: the n-th hearing of a chord or a move counts
``n ** -0.5``. A *share* is a chord's part of all the length, times `WHOLE`, so that a long song
says no more than a short one. `key_parts` says what is heard in parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from statistics import median

from gripwright.harmony.facts import COLOUR_OF_KIND, SORTS, THIRD_OF_KIND
from gripwright.harmony.key_events import Event, Mark, form_of

Clue = tuple[str | Mark, ...]
Clues = tuple[tuple[Clue, ...], float]  # that count alike, and how much
Heard = list[list[Clues]]  # by event
WHOLE = 6.0  # what all the shares of a song come to
MOST_HEARD = 1024
RANKS = 3  # chords told apart by how much of the song they fill; the others share a rank
_FADES: tuple[float, ...] = tuple(count**-0.5 for count in range(1, MOST_HEARD + 1))
_KIND = {sort: sort if sort in THIRD_OF_KIND else "other" for sort in SORTS}
# The four grains a row may tell chords by.
SORT = {sort: sort for sort in SORTS}
COLOUR = {sort: COLOUR_OF_KIND[kind] for sort, kind in _KIND.items()}
THIRD = {sort: THIRD_OF_KIND[kind] for sort, kind in _KIND.items()}
TRIAD = {
    sort: "dim" if COLOUR[sort] == "dim" else {"major": "M", "minor": "m"}.get(THIRD[sort], sort)
    for sort in SORTS
}
# The plainest sort of the same triad.
_PLAIN = {sort: {"M": "maj", "m": "min"}.get(triad, triad) for sort, triad in TRIAD.items()}
BASS = {"root": "root", "other": "other"}
NOTE = {"note": "note"}  # a pitch class, whatever chord it is in
# The rows of a clue and their grain, where they are not one row by triads.
GRAINS: dict[str, dict[str, dict[str, str]]] = {
    "chord": {"chord": SORT}, "new": {"new": SORT}, "share": {"share": SORT},
    "move": {"move": COLOUR, "move in full": SORT}, "bass": {"bass": BASS},
    "floor": {"floor": BASS}, "long": {"long": THIRD}, "first": {"first": THIRD},
    "last": {"last": THIRD}, "lap": {"lap": THIRD}, "holds": {"holds": NOTE},
}  # fmt: skip


@lru_cache(maxsize=65536)
def rows_of(clue: Clue) -> tuple[tuple[str, int], ...]:
    """Return the rows of a clue, each with the pitch class that it is seen from.

    >>> rows_of(("step", (7, "7"), (0, "maj7")))
    (('step M>5M', 7),)
    """
    name = str(clue[0])
    marks = [mark for mark in clue[1:] if isinstance(mark, tuple)]
    pc = marks[0][0]
    return tuple(
        (f"{row} " + ">".join([grain[marks[0][1]], *(
            f"{(root - pc) % 12}{grain[sort]}" for root, sort in marks[1:]
        )]), pc)
        for row, grain in GRAINS.get(name, {name: TRIAD}).items()
    )  # fmt: skip


def longs_of(events: Sequence[Event]) -> list[float]:
    """Return by how many doublings a chord is longer than is usual here, 2 at most."""
    typical = median(event.length for event in events)
    return [max(-2.0, min(2.0, math.log2(event.length / typical))) for event in events]


def bass_clue(name: str, event: Event) -> Clue:
    """Return the clue of a bass, by whether it is the root."""
    return (name, (event.facts.bass, "root" if event.facts.bass == event.facts.root else "other"))


class _Counter:
    """What was heard how often, and what the next hearing counts."""

    def __init__(self) -> None:
        self.times: dict[Clue | tuple[Mark, ...], int] = {}

    def faded(self, heard: Clue | tuple[Mark, ...]) -> float:
        """Count a hearing and return its share."""
        times = self.times.get(heard, 0)
        self.times[heard] = times + 1
        return _FADES[times] if times < MOST_HEARD else _FADES[-1]


def clues_in_song(events: Sequence[Event]) -> Heard:
    """Return the clues of a song."""
    marks = [event.mark for event in events]
    whole, longs = sum(event.length for event in events), longs_of(events)
    filling = _filling(events)
    ranks = {triad: min(place, RANKS) for place, triad in enumerate(filling)}
    ends = (*_ends(marks, ranks, longs), *_made_of(filling))
    count = _Counter()
    known: dict[tuple[Mark, int], tuple[tuple[Clue, ...], ...]] = {}
    heard: Heard = []
    for at, (event, mark, long) in enumerate(zip(events, marks, longs, strict=True)):
        once = count.faded(("chord", mark))
        bass = event.facts.bass
        if (mark, bass) not in known:
            known[mark, bass] = (
                (("chord", mark), bass_clue("bass", event)),
                (("long", mark),),
                (("share", mark), bass_clue("floor", event), _rank("rank", mark, ranks), *ends),
            )
        chord, lasts, fills = known[mark, bass]
        found: list[tuple[tuple[Clue, ...], float]] = [
            (chord if once < 1.0 else (*chord, ("new", mark)), once),
            (lasts, once * long),
            (fills, WHOLE * event.length / whole),
        ]
        if at:
            found += _moved(count, marks, at)
        heard.append(found)
    _add_form(heard, marks, count)
    return heard


def _moved(count: _Counter, marks: Sequence[Mark], at: int) -> list[tuple[tuple[Clue, ...], float]]:
    """Return the clues of how a chord was come to."""
    pair = (marks[at - 1], marks[at])
    new, again, step = _of_move(pair)
    faded = count.faded(pair)
    found = [(again if faded < 1.0 else new, faded), (step, WHOLE / len(marks))]
    if at > 1:
        three = (marks[at - 2], *pair)
        found.append((_of_three(three), count.faded(three)))
    return found


@lru_cache(maxsize=16384)
def _of_move(pair: tuple[Mark, Mark]) -> tuple[tuple[Clue, ...], ...]:
    """Return the clues of a move heard first, heard again, and by its share of all moves."""
    move: Clue = ("move", *pair)
    return (move, ("new step", *pair)), (move,), (("step", *pair),)


@lru_cache(maxsize=16384)
def _of_three(three: tuple[Mark, ...]) -> tuple[Clue, ...]:
    return (("three", *three),)


def _filling(events: Sequence[Event]) -> list[Mark]:
    """Return the triads of a song by how much of it they fill, the most first."""
    lengths: dict[Mark, float] = {}
    for event in events:
        root, sort = event.mark
        triad = root, _PLAIN[sort]
        lengths[triad] = lengths.get(triad, 0.0) + event.length
    return sorted(lengths, key=lambda triad: -lengths[triad])


def _made_of(marks: Sequence[Mark]) -> tuple[Clue, ...]:
    """Return the clues of the chords that fill a song, together: by rank, and whatever their rank.

    The same few chords may stand on several tonics, but songs of them mostly share theirs.
    """
    ranked: list[Clue] = [("ranked", *marks[:size]) for size in (2, 3) if len(marks) >= size]
    mixed: list[Clue] = [
        ("made of", *_turned(marks[:size])) for size in (3, 4) if len(marks) >= size
    ]
    return (*ranked, *mixed)


def _turned(marks: Sequence[Mark]) -> list[Mark]:
    """Return marks upwards from the one from which they look least, so that like sets are alike."""

    def above(start: Mark) -> list[tuple[int, str]]:
        return sorted(((root - start[0]) % 12, sort) for root, sort in marks)

    first = min(marks, key=above)
    return [((first[0] + gap) % 12, sort) for gap, sort in above(first)]


def _ends(
    marks: Sequence[Mark], ranks: dict[Mark, int], longs: Sequence[float]
) -> tuple[Clue, ...]:
    """Return the clues of the chords that open and close the song, heard all along."""
    first, last = marks[0], marks[-1]
    return (
        ("opens", first), ("closes", last), ("ends", first, last),
        _rank("opens, rank", first, ranks), _rank("closes, rank", last, ranks),
        (f"opens {_size(longs[0])}", first), (f"closes {_size(longs[-1])}", last),
    )  # fmt: skip


def _rank(name: str, mark: Mark, ranks: dict[Mark, int]) -> Clue:
    return f"{name} {ranks[mark[0], _PLAIN[mark[1]]]}", mark


def _size(doublings: float) -> str:
    return "long" if doublings > 0.8 else "short" if doublings < -0.2 else "usual"


def _add_form(heard: Heard, marks: Sequence[Mark], count: _Counter) -> None:
    """Add what loops and sections say: where each lap and each section opens and closes."""
    form = form_of(tuple(marks))
    laps, opens, closes = form.laps, form.opens, form.closes
    size = len(marks)

    def add(name: str, at: int, *about: Mark) -> None:
        clue: Clue = (name, *about)
        heard[at].append(((clue,), count.faded(clue)))

    for at, mark in enumerate(marks):
        after = marks[at + 1 : at + 2]
        if laps[at]:
            add("lap", at, mark)
            heard[at].append(((("lap share", mark),), heard[at][2][1]))
            if at:
                add("lap turn", at, marks[at - 1], mark)
            if after:
                add("lap head", at, mark, *after)
        if at in opens:
            add("section", at, mark)
            heard[at].append(((("sections", mark),), WHOLE / 2 / len(opens)))
            if after:
                add("section head", at, mark, *after)
        if at in closes:
            add("section end", at, mark)
            heard[at].append(((("section ends", mark),), WHOLE / 2 / len(closes)))
            if at:
                add("section tail", at, marks[at - 1], mark)
            if at + 1 < size:
                add("section turn", at + 1, mark, *after)
