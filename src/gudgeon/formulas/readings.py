"""Compression and leak-down readings: what they say of a cylinder before it is opened."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

from gudgeon.formulas import Size

_ROUNDING: Final = 1e-9  # of a share: converted units must not tip a reading over its limit


def leak_down(supply: float, held: float) -> float:
    """Leakage of a cylinder at the top of its stroke [%]: 100 (1 − P₂ / P₁).

    Gauge pressures `supply` [kPa] before the tester's orifice and `held` [kPa] behind it. Two
    testers agree only if their orifices do. Negative: the two are exchanged.

    Raises ValueError for a supply of 0 or less.

    Source: FAA AC 43.13-1B, paragraphs 8-14 and 8-15, which states its limit as such a share.

    >>> round(leak_down(690.0, 497.0), 1)
    28.0
    """
    if not 0.0 < supply < math.inf:
        raise ValueError("the supply pressure must be above 0")
    return 100.0 * (1.0 - held / supply)


def leaks_more_than(supply: float, held: float, limit: float) -> bool:
    """Whether a cylinder leaks more than `limit` [%]; exactly as much is not more.

    `supply` [kPa] and `held` [kPa] as for `leak_down`.

    Raises ValueError as `leak_down` does.

    Source: FAA AC 43.13-1B, paragraph 8-14: loss in excess of 25 % is suspect (aircraft engines).

    >>> leaks_more_than(80.0, 60.0, 25.0), leaks_more_than(80.0, 59.0, 25.0)
    (False, True)
    """
    return leak_down(supply, held) > limit + 100.0 * _ROUNDING


def orifice_for(bore: float) -> float:
    """The orifice of a differential tester for a cylinder's `bore` [mm]: 1.016 or 1.524 mm.

    0.040 in below a bore of 5.00 in, 0.060 in from there. Aircraft practice: other trades use
    other orifices, and their percentages don't compare.

    Raises ValueError for a bore of 0 or less.

    Source: FAA AC 43.13-1B, paragraph 8-14.

    >>> orifice_for(58.0)
    1.016
    """
    if not bore > 0.0:
        raise ValueError("a bore is more than 0")
    return 0.040 * 25.4 if bore < 5.00 * 25.4 else 0.060 * 25.4


def lowest_over_highest(readings: Sequence[float]) -> float:
    """Spread of compression readings as a share [no unit]: lowest / highest.

    `readings` [kPa] of all cylinders, taken alike: warm, throttle open, same battery, same number
    of strokes. Pass lines of 0.70, 0.75 and 0.90 are all in use; the maker's comes first.

    Raises ValueError for no readings, or one of 0 or less.

    Source: common practice, no source.

    >>> round(lowest_over_highest([1150.0, 1120.0, 980.0, 1135.0]), 3)
    0.852
    """
    _check(readings)
    return min(readings) / max(readings)


class LowCylinders(NamedTuple):
    """Mean and limit [kPa] of compression readings, and the places (from 0) at or below it."""

    mean: float
    limit: float
    low: tuple[int, ...]


def below_mean(readings: Sequence[float], share: float = 0.20) -> LowCylinders:
    """Cylinders that read low by `share` [no unit] or more of the mean of all, low ones included.

    `readings` [kPa] as for `lowest_over_highest`. The engine's own least figure stands beside it.

    Raises ValueError as `lowest_over_highest` does, or for a share outside 0 to 1.

    Source: US Army TM 1-1500-204-23-1, cylinder compression: 20 % below the mean fails.

    >>> below_mean([120.0, 118.0, 116.0, 85.0])
    LowCylinders(mean=109.75, limit=87.8, low=(3,))
    """
    _check(readings)
    if not 0.0 < share < 1.0:
        raise ValueError(f"a share lies between 0 and 1; {share:g} does not")
    mean = math.fsum(readings) / len(readings)
    limit = mean - share * mean
    tipped = limit * (1.0 + _ROUNDING)
    return LowCylinders(mean, limit, tuple(i for i, p in enumerate(readings) if p <= tipped))


def wet_gain(dry: Size, wet: Size) -> Size:
    """What a spoon of oil adds to a compression reading [kPa]: wet − dry.

    `dry` [kPa], `wet` [kPa]. A clear gain points at rings and bore, none at valves or gasket.

    Source: common practice, no source.

    >>> wet_gain(980.0, 1130.0)
    150.0
    """
    return wet - dry


def _check(readings: Sequence[float]) -> None:
    if not readings or not all(0.0 < reading < math.inf for reading in readings):
        raise ValueError("every compression reading is above 0, and there is at least one")
