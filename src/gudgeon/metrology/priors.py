"""How often people slip, before anything is known of the reading at hand: one table, with reasons.

All of it is common practice, no source. The figures need be right only within a factor of a few:
a slip of half a millimetre among readings that agree within a hundredth is plain under any of
them, and one as small as the wear itself is shown under none.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Prior(NamedTuple):
    """A chance per reading (place, feature, string, engine), and why."""

    chance: float
    per: str
    why: str


PRIORS: Final[dict[str, Prior]] = {
    "turn": Prior(
        0.004,
        "reading",
        "one turn of the thimble (0.50 mm, or 0.025 in on an inch micrometer): the line just"
        " uncovered on the sleeve is taken for the next one, once in some hundred readings",
    ),
    "two-turns": Prior(0.0005, "reading", "two turns: far rarer than one"),
    "digits": Prior(0.003, "reading", "two digits exchanged when writing or typing"),
    "inch": Prior(0.001, "reading", "an inch value in a millimetre box, or the other way round"),
    "place": Prior(
        0.001, "place", "the same turn taken wrong for every reading at one place, in one go"
    ),
    "feature": Prior(
        0.0005, "feature", "every reading of a feature a turn out, or its setting master was"
    ),
    "odd": Prior(0.001, "reading", "the part really is odd: damaged, sleeved, of another engine"),
    "oversize": Prior(0.10, "engine", "the engine was rebored or ground before and nobody said so"),
    "departure": Prior(
        0.05, "engine", "the oversize entered as fitted already is not on the engine, or another is"
    ),
    "string-end": Prior(0.10, "string", "the string of marks was read from its other end"),
    "mark": Prior(0.05, "shim", "a shim worn, or its mark wrong or misread"),
}
#: A question is shown from this posterior on.
SHOWN_FROM: Final = 0.5


def chance(name: str) -> float:
    """The prior chance of a slip by its name in the table."""
    return PRIORS[name].chance
