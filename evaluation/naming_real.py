"""How often the best reading of a real grip is one that the trade accepts.

    python evaluation/naming_real.py [--misses] [--critic | --teacher | --wide | --later]

Truth: real_grips.txt beside this script, or critic_, teacher_, wide_ or later_grips.txt (common
practice, no source). A name is right when its root, bass and claimed degrees are those of
an accepted name (a second counts as a ninth), or its letters where the table asks; "cluster"
accepts that no name fits. Names after + must all be among the first three; "told" counts them too
where one of the three tells them as the same sound (``also_heard_as``). The peer is music21, which
is told neither key nor neighbours.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from naming_peer import peer_symbol

from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip, parse_grip, soundings
from gripwright.neck.tuning import Neck, make_neck, parse_tuning
from gripwright.theory.scale import Key, parse_key
from gripwright.theory.symbol import ChordSymbol, parse_symbol

TABLE = Path(__file__).with_name("real_grips.txt")
CRITIC = Path(__file__).with_name("critic_grips.txt")
TEACHER = Path(__file__).with_name("teacher_grips.txt")
WIDE = Path(__file__).with_name("wide_grips.txt")
LATER = Path(__file__).with_name("later_grips.txt")
SIMPLE = {2: 9, 4: 11, 6: 13}  # one letter above the root, whichever octave it is written in
Sense = tuple[int, int, frozenset[tuple[int, int]]]


@dataclass(frozen=True)
class Row:
    """A grip on its neck, where it stands, the names accepted and forbidden, what its why says."""

    neck: Neck
    grip: Grip
    accepted: tuple[str, ...]
    forbidden: tuple[str, ...]
    together: tuple[tuple[str, ...], ...] = ()
    key: Key | None = None
    before: ChordSymbol | None = None
    after: ChordSymbol | None = None
    says: tuple[tuple[str, ...], ...] = ()
    never: tuple[str, ...] = ()

    @property
    def midi(self) -> tuple[int, ...]:
        """Return the sounding notes."""
        return tuple(sound.midi for sound in soundings(self.grip, self.neck))


def rows(path: Path = TABLE) -> Iterator[Row]:
    """Yield the rows of the table."""
    neck = make_neck()
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            tuning, _, capo = line.strip("[]").partition(" capo ")
            neck = make_neck(parse_tuning(tuning), int(capo or 0))
        elif line and not line.startswith("#"):
            grip, accepted, forbidden, *where = (part.strip() for part in line.split("|"))
            names = _names(accepted)
            yield Row(
                neck, parse_grip(grip, len(neck)),
                tuple(name for name in names if name[0] != "+"), _names(forbidden),
                tuple(tuple(name[1:].split(" or ")) for name in names if name[0] == "+"),
                **_where(_names(where[0]) if where else ()),
                **_spoken(_names(where[1]) if len(where) > 1 else ()),
            )  # fmt: skip


def _where(parts: tuple[str, ...]) -> dict[str, Any]:
    read: dict[str, Callable[[str], Any]] = {
        "key": parse_key, "before": parse_symbol, "after": parse_symbol
    }  # fmt: skip
    split = (part.split(" ", 1) for part in parts)
    return {name: read[name](text) for name, text in split}


def _spoken(parts: tuple[str, ...]) -> dict[str, Any]:
    split = [part.split(" ", 1) for part in parts]
    return {
        "says": tuple(tuple(words.split("/")) for kind, words in split if kind == "says"),
        "never": tuple(words for kind, words in split if kind == "never"),
    }


def _names(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(";") if name.strip())


def sense(symbol: ChordSymbol) -> Sense:
    """Return what two writings of one chord share: root, bass and claimed degrees."""
    claimed = frozenset((SIMPLE.get(d.number, d.number), d.alter) for d in symbol.degrees)
    return symbol.root.pc, symbol.bass_note.pc, claimed


def _among(symbol: ChordSymbol | None, names: tuple[str, ...]) -> bool:
    if symbol is None:
        return "cluster" in names
    return any(
        symbol.text == name[1:] if name[0] == "=" else sense(symbol) == sense(parse_symbol(name))
        for name in names
        if name != "cluster"
    )


def spoken_well(best: Reading, row: Row) -> bool:
    """Return whether the reasons of the best reading say what they must and no more."""
    told = " ".join(best.why).lower()
    said = all(any(word.lower() in told for word in words) for words in row.says)
    return said and not any(word.lower() in told for word in row.never)


def in_three(given: tuple[Reading, ...], row: Row, *, told: bool = False) -> bool:
    """Return whether the first three hold an accepted name, and all that must stand together.

    With ``told`` what they tell as the same sound counts too.
    """
    three = [reading.symbol for reading in given[:3]]
    three += [parse_symbol(name) for reading in given[:3] for name in reading.also if told]
    return all(
        any(_among(symbol, names) for symbol in three) for names in (row.accepted, *row.together)
    )


def main() -> None:
    """Print the table; with --misses every grip whose best reading is not accepted."""
    named = {"--critic": CRITIC, "--teacher": TEACHER, "--wide": WIDE, "--later": LATER}
    table = list(rows(next((named[word] for word in sys.argv if word in named), TABLE)))
    best = first = told = forbidden = peer = asked = spoken = 0
    for row in table:
        given = readings(
            row.grip, row.neck, key=row.key, before=row.before, after=row.after
        )  # fmt: skip
        hit = _among(given[0].symbol, row.accepted)
        three = in_three(given, row)
        bad = _among(given[0].symbol, row.forbidden)
        best, first, forbidden = best + hit, first + three, forbidden + bad
        told += in_three(given, row, told=True)
        peer += _among(peer_symbol(row.midi), row.accepted)
        well = spoken_well(given[0], row)
        asked += bool(row.says or row.never)
        spoken += bool(row.says or row.never) and well
        if "--misses" in sys.argv and not (hit and three and well and not bad):
            names = ", ".join(r.symbol.text if r.symbol else "cluster" for r in given[:4])
            want = "; ".join([*row.accepted, *("+" + " or ".join(t) for t in row.together)])
            print(f"{row.grip.text}: {names}; accepted {want}{'' if well else given[0].why}")
    count = len(table)
    print(f"{count} grips                     ours    peer")
    print(f"best reading accepted       {best / count:8.1%}{peer / count:8.1%}")
    print(f"accepted in the first three {first / count:8.1%}")
    print(f"the same, or told with them {told / count:8.1%}")
    print(f"best reading forbidden      {forbidden / count:8.1%}")
    if asked:
        print(f"{asked} whys, said as they must {spoken / asked:6.1%}")


if __name__ == "__main__":
    main()
