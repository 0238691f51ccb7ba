"""Spots of a reading plan: all of them in order, and as people write them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import product

from gudgeon.log.codec import Problem
from gudgeon.numbers import shown
from gudgeon.sheet.features import Feature


def spots(feature: Feature) -> Iterator[dict[str, str]]:
    """Every spot of a feature's plan, in order; one spot without a name where it has none."""
    for levels in product(*feature.plan.values()):
        yield dict(zip(feature.plan, levels, strict=True))


def spot_words(spot: Mapping[str, str]) -> str:
    """A spot as people write it.

    >>> spot_words({"height": "top", "axis": "thrust"})
    'top thrust'
    """
    return " ".join(spot.values())


def read_spot(text: str, feature: Feature | None) -> tuple[dict[str, str], list[Problem]]:
    """A spot as typed: `top thrust`, or `height=top axis=thrust`.

    A bare word stands for the first axis of the plan that has it and is not given yet. Without a
    feature only the long form can be read.
    """
    plan = feature.plan if feature else {}
    spot: dict[str, str] = {}
    problems: list[Problem] = []
    for word in re.split(r"[\s,;]+", text.strip()):
        axis, equals, level = word.partition("=")
        if not word:
            continue
        if not equals:
            axis, level = next(
                ((a, own) for a in plan if a not in spot and (own := _level(plan[a], word))),
                ("", word),
            )
        elif axis in plan:
            level = _level(plan[axis], level) or level
        if axis and axis not in spot:
            spot[axis] = level
        elif feature is not None:
            known = "; ".join(f"{a} {', '.join(levels)}" for a, levels in plan.items())
            right = f"the plan has {known}" if known else "it is read at one spot, so leave it out"
            problems.append(Problem("spot", f"{shown(word)} is not in the sheet's plan", right))
    return spot, problems


def _level(levels: list[str], word: str) -> str | None:
    """The level of an axis that a word means, in capitals or not."""
    return next((own for own in levels if own.lower() == word.lower()), None)
