"""What a recording's moving picture is, apart from what opens it: most packs have none."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FilmFacts:
    """A picture as it is to be seen, turned upright, pixels square; ``seconds`` is its end."""

    width: int
    height: int
    seconds: float
