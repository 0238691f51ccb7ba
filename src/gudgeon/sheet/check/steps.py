"""Even steps: which single value of a ladder of classes or walls was probably mistyped."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

from gudgeon.sheet.check.found import SAME

#: A value further from its rung than this share of a step breaks the ladder.
_SHARE: Final = 0.2
#: Longer rows are no ladder of grades, and trying all pairs would take long.
_LONGEST: Final = 40


def ladder(values: Sequence[float]) -> list[float] | None:
    """The even ladder on which all values stand, or all but one of four or more; or nothing.

    >>> [round(v, 4) for v in ladder([1.487, 1.490, 1.439, 1.496, 1.499]) or []]
    [1.487, 1.49, 1.493, 1.496, 1.499]
    >>> ladder([1.0, 1.1, 1.3, 1.9]) is None
    True
    """
    best: tuple[float, list[float]] | None = None
    if not 3 <= len(values) <= _LONGEST:
        return None
    for first, second in combinations(range(len(values)), 2):
        step = (values[second] - values[first]) / (second - first)
        rungs = [values[first] + step * (place - first) for place in range(len(values))]
        off = odd_ones(values, rungs)
        if abs(step) <= SAME or len(off) > 1 or len(values) - len(off) < 3:
            continue
        spread = sum(
            abs(value - rung)
            for place, (value, rung) in enumerate(zip(values, rungs, strict=True))
            if place not in off
        )
        score = len(off) + spread / (abs(step) * len(values))
        if best is None or score < best[0]:
            best = (score, rungs)
    return best[1] if best else None


def odd_ones(values: Sequence[float], rungs: Sequence[float]) -> list[int]:
    """Which values do not stand on their rung."""
    step = abs(rungs[1] - rungs[0])
    return [
        place
        for place, (value, rung) in enumerate(zip(values, rungs, strict=True))
        if abs(value - rung) > max(_SHARE * step, SAME)
    ]
