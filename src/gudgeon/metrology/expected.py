"""What a reading is expected to be, before it is believed: a density from what else is known.

References are the other readings of the same place, the other places of the same feature, other
attempts at the same spot, and the range of a new part widened by wear that goes one way. Each is a
density; the expectation is their sharpness-weighted sum, so a reading that any one of them explains
is never called a slip, and each has a wide shoulder for wear. Sharp references count for more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import median
from typing import Final, Literal, NamedTuple

from gudgeon.metrology.student import normal_cdf

#: Density of a part that really is odd [per mm]: anywhere within some millimetres.
ODD_DENSITY: Final = 0.25
#: Share of a reference that lies in its wide shoulder, of parts that wear and of heights.
SHOULDER: Final = 0.15
HEIGHT_SHOULDER: Final = 0.03
#: Least spread between sound readings of one part beside the instrument's own [mm].
LEAST_SPREAD: Final = 0.004
_ROOT_2PI: Final = math.sqrt(2.0 * math.pi)
Density = Callable[[float], float]


class Reference(NamedTuple):
    """A density [per mm] and how sharp it is [mm]."""

    density: Density
    scale: float


def normal(x: float, centre: float, sigma: float) -> float:
    """Normal density [per mm] at x; all in mm."""
    z = (x - centre) / sigma
    return math.exp(-0.5 * z * z) / (sigma * _ROOT_2PI) if abs(z) < 38.0 else 0.0


def robust_spread(values: Sequence[float]) -> float:
    """1.4826 times the median distance from the median [unit of values]; 0 for fewer than three.

    >>> round(robust_spread([58.01, 58.02, 58.02, 58.03, 58.50]), 4)
    0.0148
    """
    if len(values) < 3:
        return 0.0
    centre = median(values)
    return 1.4826 * median(abs(value - centre) for value in values)


def like_these(
    values: Sequence[float],
    u: float,
    wear: float,
    spread: float = 0.0,
    shoulder: float = SHOULDER,
) -> Reference:
    """Like other readings: about their median, as wide as they scatter, with a wear shoulder.

    Args:
        values: the other readings [mm]. u: standard uncertainty of one [mm].
        wear: what wear may plausibly do between them [mm].
        spread: spread to count on where these are too few to tell [mm].
        shoulder: share that lies in the shoulder.
    """
    centre = median(values)
    scatter = max(robust_spread(values), spread, LEAST_SPREAD) * (1.0 + 1.0 / len(values))
    narrow = math.hypot(u, scatter)
    # Where sound parts lie further apart than wear could take them, the shoulder is no wider.
    wide = max(2.5 * narrow if narrow < wear else 1.5 * narrow, wear)

    def density(x: float) -> float:
        near, far = normal(x, centre, narrow), normal(x, centre, wide)
        return (1.0 - shoulder) * near + shoulder * far

    return Reference(density, narrow)


def at_another_epoch(value: float, spread: float) -> Reference:
    """Like the same place at another epoch [mm]: a valve sinks, a seat is cut, within `spread`."""

    def density(x: float) -> float:
        near, far = normal(x, value, spread), normal(x, value, 2.0 * spread)
        return (1.0 - HEIGHT_SHOULDER) * near + HEIGHT_SHOULDER * far

    return Reference(density, spread)


def of_a_new_part(
    low: float,
    high: float,
    u: float,
    wears: Literal["larger", "smaller"] | None,
    wear: float,
) -> Reference:
    """Within the range of a new part, or worn: an exponential tail on the side wear takes it to.

    Args:
        low, high: range of a new part [mm]. u: standard uncertainty of a reading [mm].
        wears: the way wear goes; None for either. wear: its mean [mm].
    """
    edge = max(u, 1e-4)
    half = max((high - low) / 2.0, edge)
    middle = (low + high) / 2.0
    low, high = middle - half, middle + half
    back = max(2.0 * edge, 0.005)
    up = wear if wears in ("larger", None) else back
    down = wear if wears in ("smaller", None) else back
    heavy = 0.4
    share_up = heavy if wears == "larger" else heavy / 2.0 if wears is None else 0.05
    share_down = heavy if wears == "smaller" else heavy / 2.0 if wears is None else 0.05
    inside = 1.0 - share_up - share_down

    def density(x: float) -> float:
        flat = normal_cdf((x - low) / edge) - normal_cdf((x - high) / edge)
        total = inside * max(0.0, flat) / (high - low)
        if x > high:
            total += share_up * math.exp(-(x - high) / up) / up
        if x < low:
            total += share_down * math.exp(-(low - x) / down) / down
        return total

    return Reference(density, half + edge)


class Expectation:
    """What a reading is expected to be, from all its references together."""

    def __init__(self, references: Sequence[Reference], odd: float) -> None:
        sharpness = [1.0 / reference.scale for reference in references]
        total = math.fsum(sharpness)
        self._terms = [
            (sharp / total, reference.density)
            for sharp, reference in zip(sharpness, references, strict=True)
        ]
        self._odd = odd

    def density(self, x: float) -> float:
        """Density [per mm] of reading x [mm]."""
        known = math.fsum(weight * density(x) for weight, density in self._terms)
        return (1.0 - self._odd) * known + self._odd * ODD_DENSITY
