"""What a grip must sound to deserve a symbol, and what it may leave out.

The one table: `MAY_LEAVE_OUT`, by the base of the quality. Whatever a symbol claims and the
table does not name is required, altered and added degrees always. Common practice, no source:
the perfect fifth colours nothing above a seventh; the ninth under an eleventh or thirteenth
is filler; the third of an eleventh chord rubs against its eleventh; of the altered chord's
two fifths and two ninths one each is enough. A sixth chord keeps its fifth, since without it
it is the triad on the sixth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from gripwright.errors import SearchError
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.interval import Degree, degrees
from gripwright.theory.pitch import Note
from gripwright.theory.quality import Quality
from gripwright.theory.symbol import ChordSymbol

_FIFTH = degrees("5")
MAY_LEAVE_OUT: dict[str, tuple[Degree, ...]] = {
    **dict.fromkeys(("7", "maj7", "m7", "m(maj7)"), _FIFTH),
    **dict.fromkeys(("7sus4", "7sus2", "maj7sus4", "maj7sus2"), _FIFTH),
    **dict.fromkeys(("6/9", "m6/9", "9", "maj9", "m9", "m(maj9)", "9sus4"), _FIFTH),
    **dict.fromkeys(("11", "maj11"), degrees("3 5 9")),
    **dict.fromkeys(("m11", "13", "maj13", "m13", "13sus4"), degrees("5 9")),
    "7alt": degrees("b5 #5 b9 #9"),
}  # fmt: skip
ONE_OF: dict[str, tuple[tuple[Degree, ...], ...]] = {"7alt": (degrees("b5 #5"), degrees("b9 #9"))}
# A triad with an added note has four notes, and may leave out its perfect fifth as well.
_TRIADS_WITH_ADDS = ("", "m")


@dataclass(frozen=True, slots=True)
class Wish:
    """What a grip must sound, as pitch classes (C = 0).

    Every class of ``required`` and one of each set of ``one_of`` sounds; nothing sounds that
    is neither there nor in ``optional``, but ``bass_only`` as the lowest note. ``basses`` are
    the classes that the lowest note may have, None for any. ``midi`` is the exact set of
    pitches where one was asked for. ``text`` is what was asked for, for messages.
    """

    text: str
    required: frozenset[int]
    optional: frozenset[int] = frozenset()
    one_of: tuple[frozenset[int], ...] = ()
    basses: frozenset[int] | None = None
    bass_only: int | None = None
    midi: frozenset[int] | None = None

    @property
    def allowed(self) -> frozenset[int]:
        """Return the classes that may sound anywhere."""
        return self.required | self.optional

    @property
    def notes_needed(self) -> int:
        """Return the fewest different notes that meet the wish."""
        if self.midi is not None:
            return len(self.midi)
        foreign = self.bass_only is not None and self.basses == frozenset({self.bass_only})
        return len(self.required) + len(self.one_of) + foreign


def may_leave_out(quality: Quality) -> tuple[Degree, ...]:
    """Return the degrees of a quality that a grip may leave out, by the table.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> [d.text for d in may_leave_out(parse_symbol("C13").quality)]
    ['5', '9']
    """
    table = MAY_LEAVE_OUT.get(quality.base, ())
    if quality.base in _TRIADS_WITH_ADDS and quality.adds:
        table = _FIFTH
    told = {*quality.alterations, *quality.adds}
    return tuple(d for d in quality.degrees if d in table and d not in told)


def bass_is_free(symbol: ChordSymbol, neck: Neck) -> bool:
    """Tell whether any note of a symbol may be lowest: without a slash, on a re-entrant neck.

    There the lowest string lies inside, and nobody writes which note it has (common practice,
    no source): 0212 is G7 on G4 C4 E4 A4, though its lowest note is the fifth.
    """
    return symbol.bass is None and neck.re_entrant


def wish_for(
    symbol: ChordSymbol,
    neck: Neck = STANDARD_NECK,
    *,
    rootless: bool = False,
    any_bass: bool = False,
    require: Iterable[Degree] = (),
    forbid: Iterable[Degree] = (),
) -> Wish:
    """Return what a grip of a symbol must sound on a neck, the symbol's bass note lowest.

    ``rootless`` lets the root be left out and any note be lowest (for a symbol of four
    degrees or more); ``any_bass`` lets any of its notes be lowest, as a re-entrant neck does
    where no bass is written; ``require`` and ``forbid`` name degrees that must sound, or must not.

    Raises SearchError where a degree is both required and forbidden.
    """
    optional = {d.pc for d in may_leave_out(symbol.quality)}
    if rootless and len(symbol.degrees) >= 4:
        optional.add(0)
    must = {d.pc for d in require}
    never = {d.pc for d in forbid}
    claimed = {d.pc for d in symbol.degrees}
    required = (claimed - optional) | must
    if required & never:
        names = [d.text for d in forbid if d.pc in required]
        raise SearchError(
            f"{symbol.text} needs its {', '.join(names)}, which must not sound", field="forbid",
            remedy=f"forbid only what may be left out: {_texts(symbol) or 'nothing here'}",
        )  # fmt: skip
    optional = (optional | claimed) - required - never
    one_of = tuple(
        frozenset(d.pc for d in group) - never for group in ONE_OF.get(symbol.quality.base, ())
    )
    above = (symbol.bass_note.pc - symbol.root.pc) % 12
    free = bass_is_free(symbol, neck) or (rootless and symbol.bass is None)
    return _above(
        symbol.root,
        Wish(
            symbol.text, frozenset(required), frozenset(optional),
            tuple(group for group in one_of if not group & required),
            None if any_bass or free else frozenset({above}),
            above if above not in required | optional else None,
        ),
    )  # fmt: skip


def _texts(symbol: ChordSymbol) -> str:
    return ", ".join(d.text for d in may_leave_out(symbol.quality))


def _above(root: Note, wish: Wish) -> Wish:
    """Return the wish counted from C instead of from its root."""

    def turned(classes: frozenset[int]) -> frozenset[int]:
        return frozenset((pc + root.pc) % 12 for pc in classes)

    return replace(
        wish,
        required=turned(wish.required),
        optional=turned(wish.optional),
        one_of=tuple(turned(group) for group in wish.one_of),
        basses=None if wish.basses is None else turned(wish.basses),
        bass_only=None if wish.bass_only is None else (wish.bass_only + root.pc) % 12,
    )


def wish_for_pitches(midi: Iterable[int], text: str) -> Wish:
    """Return the wish for exactly these pitches, each on one string."""
    exact = frozenset(midi)
    return Wish(text, frozenset(number % 12 for number in exact), midi=exact)


def wish_for_notes(notes: Iterable[Note], text: str) -> Wish:
    """Return the wish for these notes in any octave, the first of them lowest."""
    listed = [note.pc for note in notes]
    return Wish(text, frozenset(listed), basses=frozenset(listed[:1]))
