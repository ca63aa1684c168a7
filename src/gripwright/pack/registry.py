"""The stages of a pack, one row each, in an order in which each comes after what it needs."""

from __future__ import annotations

from fractions import Fraction

from gripwright.pack.stage import SLOW_PERCENTS, Settings, Stage
from gripwright.pack.views import grips, lessonless, music, whole

STAGES = (
    Stage("play-full", "play", music, (("name", "play-full"), ("speed", Fraction(1))),
          settings=("loudness_lufs",), weight=6),
    Stage("play-slow", "play", music, (("name", "play-slow"),),
          settings=("loudness_lufs", "slow"), weight=8),
    Stage("practice", "practice", music, settings=("left_handed", "take"), weight=2),
    Stage("overlay", "overlay", music, settings=("left_handed", "background"),
          after=("play-full",), weight=3),
    Stage("diagrams", "diagrams", grips, settings=("left_handed",), weight=1),
    Stage("score", "score", music),
    Stage("engraving", "engraving", music, after=("score",)),
    Stage("midi", "midi", music),
    Stage("handout-a4", "handout", whole, (("paper", "a4"),), settings=("left_handed",),
          after=("engraving",)),
    Stage("handout-letter", "handout", whole, (("paper", "letter"),), settings=("left_handed",),
          after=("engraving",)),
    Stage("timeline", "timeline", music, settings=("slow", "take", "film", "corner", "plate")),
    Stage("chapters", "chapters", music),
    Stage("description", "description", whole),
)  # fmt: skip

_SEEN = ("take", "left_handed", "background")
TAKE_STAGES = (
    Stage("take-sound", "take_sound", lessonless, settings=("take",), weight=1),
    Stage("take-overlay", "take_overlay", music, (("layout", "wide"),),
          settings=_SEEN, after=("take-sound",), weight=3),
    Stage("take-overlay-tall", "take_overlay", music, (("layout", "tall"),),
          settings=_SEEN, after=("take-sound",), weight=3),
    *(Stage(f"take-slow-{percent}", "take_slow", music, (("percent", percent),),
            settings=_SEEN, weight=5) for percent in SLOW_PERCENTS),
    Stage("take-chapters", "take_chapters", music, settings=("take",)),
)  # fmt: skip
FILM_STAGES = (
    Stage("take-film", "take_film", music, settings=(*_SEEN, "corner", "plate"),
          after=("take-sound",), weight=60),
)  # fmt: skip
ALPHA_STAGES = (
    Stage("take-alpha", "take_alpha", music, settings=("take", "left_handed"), weight=5),
)


def stages_for(settings: Settings) -> tuple[Stage, ...]:
    """Return the stages of a pack, those of a take only where there is one."""
    if settings.take is None:
        return STAGES
    filmed = FILM_STAGES if settings.film and settings.take.film else ()
    return STAGES + TAKE_STAGES + filmed + (ALPHA_STAGES if settings.alpha else ())
