"""Why a reading is what it is: the claims that speak for it and against it.

Each claim is about the sounding notes and has its own verifier in `claims_grip`; whoever prints
them keeps those that hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from gripwright.harmony.claims import Claim
from gripwright.theory.interval import Degree
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

_ALTERED = {"b9", "#9", "#11", "b13", "b5", "#5"}


class Spelling(NamedTuple):
    """The letters of a form on a root: of the degrees that sound and of those left out."""

    spelled: Mapping[Degree, Note]
    omits: Mapping[Degree, Note]
    by_text: Mapping[str, tuple[Degree, Note]]


class Heard(NamedTuple):
    """What a reading says of the sounding notes.

    ``midi`` are all sounding notes, ``spelling`` what the reading's letters are; ``slash``
    tells that the bass is no chord tone.
    """

    midi: tuple[int, ...]
    root: Note
    bass: Note
    spelling: Spelling
    slash: bool

    @property
    def spelled(self) -> Mapping[Degree, Note]:
        """Return the degrees that sound with their notes."""
        return self.spelling.spelled

    @property
    def omits(self) -> Mapping[Degree, Note]:
        """Return the degrees left out with their notes."""
        return self.spelling.omits

    def get(self, *names: str) -> tuple[Degree, Note] | None:
        """Return the first of these degrees that sounds, with its note."""
        by_text = self.spelling.by_text
        for name in names:
            if name in by_text:
                return by_text[name]
        return None


def reasons(
    heard: Heard,
    *,
    key: Key | None = None,
    before: ChordSymbol | None = None,
    after: ChordSymbol | None = None,
) -> tuple[Claim, ...]:
    """Return the claims to be made of a reading's notes, its key and the chords beside it."""
    claims = [*_about_notes(heard)]
    if key is not None:
        claims.append(Claim("grip.in-key", heard.midi, (heard.root, key)))
    if before is not None:
        claims += _about_before(heard, before)
    if after is not None:
        claims += _about_after(heard, after)
    return tuple(claims)


def _about_notes(heard: Heard) -> Iterator[Claim]:
    yield from _about_third(heard)
    yield from _about_fifth(heard)
    yield from _about_tensions(heard)
    gone = tuple(pair for pair in heard.omits.items() if pair[0].number not in _told_else(heard))
    if gone:
        yield Claim("grip.left-out", heard.midi, (heard.root, gone))
    if heard.get("1"):
        yield Claim("grip.even", heard.midi, (heard.root,))


def _told_else(heard: Heard) -> tuple[int, ...]:
    """Return the degrees of whose absence another claim speaks: the root, a doubtful fifth."""
    return (1, 5) if heard.get("#11", "b13") else (1,)


def about_bass(heard: Heard) -> Claim:
    """Return what is to be said first: what the bass is, and whether a root sounds.

    Only a root in the bass is counted; else any notes with the same pitch classes will do.
    """
    midi, root, bass = heard.midi, heard.root, heard.bass
    if heard.slash:
        upper = tuple(note for note in heard.spelled.values() if note != root)
        return Claim("grip.slash", midi, (root, bass, upper))
    if not heard.get("1"):
        return Claim("grip.root-missing", midi, (root,))
    for degree, note in heard.spelled.items():
        if note == bass and bass != root:
            return Claim("grip.inverted", midi, (root, bass, degree))
    return Claim("grip.root-in-bass", midi, (root, sum(m % 12 == root.pc for m in midi)))


def _about_third(heard: Heard) -> Iterator[Claim]:
    third, seventh = heard.get("3", "b3"), heard.get("b7", "7", "bb7", "6")
    if not third:
        yield from _without_third(heard, seventh)
    elif seventh:
        yield Claim("grip.seventh-kind", heard.midi, (heard.root, third[1], seventh[1]))
    elif not heard.slash:
        kind = "grip.third-kind" if _tensions(heard) else "grip.triad-kind"
        yield Claim(kind, heard.midi, (heard.root, third[1]))
    nine = heard.get("#9")
    if nine and third:
        yield Claim("grip.sharp-nine", heard.midi, (heard.root, third[1], nine[1]))


def _without_third(heard: Heard, seventh: tuple[Degree, Note] | None) -> Iterator[Claim]:
    stands = heard.get("4", "2")
    if stands:
        yield Claim("grip.suspended", heard.midi, (heard.root, stands[1]))
    else:
        alone = {degree.text for degree in heard.spelled} == {"1", "5"}
        yield Claim("grip.power" if alone else "grip.no-third", heard.midi, (heard.root,))
    if seventh and (seventh[0].number == 6 or not _tensions(heard)):
        yield Claim("grip.seventh-alone", heard.midi, (heard.root, seventh[1], seventh[0]))


def _about_fifth(heard: Heard) -> Iterator[Claim]:
    fifth, altered = heard.get("5"), heard.get("b5", "#5")
    half = altered and altered[0].alter < 0 and heard.get("b3") and heard.get("b7")
    if altered and not heard.get("bb7"):
        kind = "grip.half-diminished" if half else "grip.altered-fifth"
        yield Claim(kind, heard.midi, (heard.root, altered[1]))
    doubtful = heard.get("#11", "b13")
    if doubtful and not fifth and not altered:
        yield Claim("grip.fifth-or-tension", heard.midi, (heard.root, doubtful[1]))
    for degree, note in heard.spelled.items():
        if fifth and degree.text in ("#11", "b13", "b6"):
            args = (heard.root, note, fifth[1], degree)
            yield Claim("grip.beside-fifth", heard.midi, args)


def _about_tensions(heard: Heard) -> Iterator[Claim]:
    seventh = heard.get("b7", "7", "bb7")
    tensions = _tensions(heard)
    if seventh and tensions:
        yield Claim("grip.with-seventh", heard.midi, (heard.root, seventh[1], tensions))
    elif tensions:
        yield Claim("grip.added", heard.midi, (heard.root, tensions))


def _tensions(heard: Heard) -> tuple[tuple[Degree, Note], ...]:
    """Return the tensions and added notes of which no other claim speaks."""
    return tuple(
        (degree, note)
        for degree, note in heard.spelled.items()
        if degree.number in (9, 11, 13) and degree.text not in ("#9", "#11", "b13")
    )


def against(midi: tuple[int, ...], rival: Heard) -> tuple[Claim, ...]:
    """Return what another reading, whose root sounds, says against one with another root."""
    kind = "grip.rival" if rival.bass.pc != rival.root.pc else "grip.rival-in-bass"
    return (Claim(kind, midi, (rival.root, tuple(rival.spelled.items()))),)


def _about_before(heard: Heard, before: ChordSymbol) -> Iterator[Claim]:
    yield Claim("grip.bass-stays", heard.midi, (heard.root, before))
    if heard.slash:
        yield Claim("grip.bass-moves", heard.midi, (heard.root, heard.bass, before))


def _about_after(heard: Heard, after: ChordSymbol) -> Iterator[Claim]:
    yield Claim("grip.falls-a-fifth", heard.midi, (heard.root, after.root))
    yield Claim("grip.falls-a-half-step", heard.midi, (heard.root, after.root))
    if heard.get("bb7"):
        yield Claim("grip.leads-up", heard.midi, (heard.root, after.root))
        yield Claim("grip.common-tone", heard.midi, (heard.root, after.root))
    for degree, note in heard.spelled.items():
        if degree.text in _ALTERED:
            yield Claim("grip.resolves", heard.midi, (heard.root, note, degree, after))
