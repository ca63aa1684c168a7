"""Claims: statements about music that can be checked.

A claim's ``kind`` is a family and a name, ``grip.no-third``. Each family is one module beside
this one, ``claims_grip``, with a table ``KINDS``: under each name a `Kind`, whose verifier looks
at the subject afresh and says whether the claim is true, and whose other function says it in
words. A verifier knows nothing of the code that made the claim; whoever speaks (naming reasons,
remarks, teaching sentences, prose, captions) keeps only claims that hold.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

FAMILIES = ("grip", "changes")


@dataclass(frozen=True, slots=True)
class Claim:
    """A kind, what it speaks of, and the rest of what it says; all of it hashable.

    >>> Claim("grip.twice", "any subject", (0,)).family
    'grip'
    """

    kind: str
    subject: Any
    args: tuple[Any, ...] = ()

    @property
    def family(self) -> str:
        """Return the family, which names the module of the verifier."""
        return self.kind.partition(".")[0]

    @property
    def name(self) -> str:
        """Return the name within the family."""
        return self.kind.partition(".")[2]


Verifier = Callable[[Claim], bool]
Sentence = Callable[[Claim], str]


class Kind(NamedTuple):
    """One kind of claim: how it is checked, and how it is said."""

    verify: Verifier
    say: Sentence


def holds(claim: Claim) -> bool:
    """Return whether a claim is true, by its family's own verifier.

    Raises KeyError for a kind that no family knows: a claim nobody can check is a bug.
    """
    return _kind(claim.kind).verify(claim)


def sentence(claim: Claim) -> str:
    """Return a claim in words; raises KeyError like `holds`."""
    return _kind(claim.kind).say(claim)


def true_sentences(claims: Iterable[Claim]) -> tuple[str, ...]:
    """Return the claims that hold, in words and in order."""
    return tuple(sentence(claim) for claim in claims if holds(claim))


@lru_cache(maxsize=256)
def _kind(kind: str) -> Kind:
    family, _, name = kind.partition(".")
    if family not in FAMILIES:
        raise KeyError(kind)
    table: Mapping[str, Kind] = importlib.import_module(f"gripwright.harmony.claims_{family}").KINDS
    return table[name]
