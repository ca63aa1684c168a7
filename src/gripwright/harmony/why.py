"""Why a reading is what it is: claims about the sounding notes, only those that hold."""

from __future__ import annotations

from gripwright.harmony.claims import Claim
from gripwright.theory.interval import Degree
from gripwright.theory.pitch import Note

_ADDED = {"6", "9", "11", "#11"}
_TENSION = {"9", "b9", "11", "13"}


def reasons(
    midi: tuple[int, ...],
    root: Note,
    bass: Note,
    spelled: dict[Degree, Note],
    *,
    slash: bool,
) -> tuple[Claim, ...]:
    """Return the claims to be made for a reading; ``spelled`` holds the degrees that sound."""
    have = {degree.text: note for degree, note in spelled.items()}
    claims = [_about_bass(midi, root, bass, have, slash)]
    claims += _about_third(midi, root, have, slash)
    claims += _about_fifth(midi, root, have, slash)
    claims += _about_tensions(midi, root, have)
    return tuple(claims)


def _about_bass(
    midi: tuple[int, ...], root: Note, bass: Note, have: dict[str, Note], slash: bool
) -> Claim:
    if slash:
        upper = tuple(note for note in have.values() if note != root and note != bass)
        return Claim("grip.slash", midi, (root, bass, *upper))
    if "1" not in have:
        return Claim("grip.root-missing", midi, (root,))
    if bass != root:
        return Claim("grip.inverted", midi, (root, bass))
    count = sum(number % 12 == root.pc for number in midi)
    if count > 1:
        return Claim("grip.root-often", midi, (root, count))
    return Claim("grip.root-bass", midi, (root,))


def _about_third(
    midi: tuple[int, ...], root: Note, have: dict[str, Note], slash: bool
) -> list[Claim]:
    if "#9" in have and "3" in have:
        return [Claim("grip.sharp-nine", midi, (root, have["#9"]))]
    if "3" in have or "b3" in have or slash:
        return []
    for name in ("4", "2"):
        if name in have:
            return [Claim("grip.suspended", midi, (root, have[name]))]
    return [Claim("grip.no-third", midi, (root,))]


def _about_fifth(
    midi: tuple[int, ...], root: Note, have: dict[str, Note], slash: bool
) -> list[Claim]:
    if "b5" in have or "#5" in have:
        note = have.get("b5") or have["#5"]
        return [Claim("grip.altered-fifth", midi, (root, note))]
    if "5" not in have:
        return [] if slash else [Claim("grip.no-fifth", midi, (root,))]
    return [
        Claim("grip.beside-fifth", midi, (root, have[name]))
        for name in ("#11", "b13")
        if name in have
    ]


def _about_tensions(midi: tuple[int, ...], root: Note, have: dict[str, Note]) -> list[Claim]:
    seventh = bool({"b7", "7"} & have.keys())
    kind, names = ("with-seventh", _TENSION) if seventh else ("no-seventh", _ADDED)
    told = [have[name] for name in have if name in names]
    return [Claim(f"grip.{kind}", midi, (root, note)) for note in told]
