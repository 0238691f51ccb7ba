"""Was a string of marks read from its wrong end? The measured sizes say, where they can.

For each position the distance of the measured size from the range of its mark, squared in units
of its uncertainty, is summed for the string as entered and for the string reversed; the odds are
exp of half the difference. Wear takes a part one way only, so a distance on that side counts in
units of uncertainty and wear together; the gauge's zero error is one for all, so it is fitted.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Final, Literal, NamedTuple

from gudgeon.metrology.priors import chance

#: What wear does to a bearing's journal or housing, beside its class [mm].
#: Common practice, no source.
BEARING_WEAR: Final = 0.003
#: Odds from which the test settles the question, and below which it is too weak to say.
SETTLED: Final = 10.0
TOO_WEAK: Final = 3.0
Range = tuple[float, float]


class Spot(NamedTuple):
    """A measured size [mm] and the standard uncertainty that is its own [mm]."""

    size: float
    u: float


class StringTest(NamedTuple):
    """What the test says.

    Attributes:
        forward, backward: chi-square of the string as entered and reversed.
        odds: for the string as entered, against reversed; 1 for a palindrome.
        testable: whether the two differ at all.
    """

    forward: float
    backward: float
    odds: float
    testable: bool

    @property
    def posterior(self) -> float:
        """Chance that the string was read from its other end."""
        if not self.testable:
            return 0.0
        prior = chance("string-end")
        return prior / (prior + (1.0 - prior) * self.odds)

    @property
    def says(self) -> str:
        """The outcome in words."""
        if not self.testable:
            return "reads alike from both ends: no measurement can tell"
        against = self.odds < 1.0
        ratio = 1.0 / max(self.odds, 1e-300) if against else self.odds
        way = "the other end" if against else "the end as entered"
        told = f"{ratio:.0f}" if ratio < 1000 else "more than 1000"
        if ratio < TOO_WEAK:
            return f"too weak to tell: {ratio:.1f} to 1 for {way}"
        return f"{'' if ratio >= SETTLED else 'leans: '}{told} to 1 for {way}"


def reversed_string(
    ranges: Sequence[Range | None],
    measured: Sequence[Spot | None],
    wears: Literal["larger", "smaller"] | None = None,
    u_shared: float = 0.0,
    wear: float = BEARING_WEAR,
) -> StringTest:
    """Hold a string of marks as entered, and reversed, against measured sizes.

    Args:
        ranges: position by position, the range its mark stands for [mm]; None where unknown.
        measured: the size there [mm]; None where not measured.
        wears: the way wear takes it; None leaves wear out.
        u_shared: standard uncertainty all positions share [mm].
        wear: what wear may do [mm].

    Only positions measured count. Raises ValueError where the two differ in length.

    The worked example of five journals whose marks are 21321 (invented numbers):

    >>> class_ = {"1": (32.994, 33.0), "2": (32.988, 32.994), "3": (32.982, 32.988)}
    >>> sizes = [Spot(x, 0.002) for x in (32.991, 32.996, 32.981, 32.992, 32.997)]
    >>> test = reversed_string([class_[mark] for mark in "21321"], sizes)
    >>> round(test.forward, 2), round(test.backward, 2), round(test.odds)
    (0.25, 6.75, 26)
    """
    if len(ranges) != len(measured):
        raise ValueError(f"{len(ranges)} marks stand against {len(measured)} sizes")
    backward = list(reversed(ranges))
    if list(ranges) == backward:
        return StringTest(0.0, 0.0, 1.0, False)
    pairs = [
        (one, other, spot)
        for one, other, spot in zip(ranges, backward, measured, strict=True)
        if one is not None and other is not None and spot is not None
    ]
    if not any(one != other for one, other, _ in pairs):
        return StringTest(0.0, 0.0, 1.0, False)
    forward = _best([(one, spot) for one, _, spot in pairs], wears, u_shared, wear)
    against = _best([(other, spot) for _, other, spot in pairs], wears, u_shared, wear)
    half = max(-600.0, min(600.0, (against - forward) / 2.0))
    return StringTest(forward, against, math.exp(half), True)


def _best(
    pairs: Sequence[tuple[Range, Spot]], wears: str | None, u_shared: float, wear: float
) -> float:
    """Least chi-square over the error that all positions share."""

    def total(offset: float) -> float:
        cost = (offset / u_shared) ** 2 if u_shared else 0.0
        return cost + math.fsum(_squared(r, s, offset, wears, wear) for r, s in pairs)

    if not u_shared:
        return total(0.0)
    return total(_least(total, -6.0 * u_shared, 6.0 * u_shared))


def _squared(limits: Range, spot: Spot, offset: float, wears: str | None, wear: float) -> float:
    size = spot.size - offset
    below, above = max(0.0, limits[0] - size), max(0.0, size - limits[1])
    worn = math.hypot(spot.u, wear)
    u_below = worn if wears == "smaller" else spot.u
    u_above = worn if wears == "larger" else spot.u
    return (below / u_below) ** 2 + (above / u_above) ** 2


def _least(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a convex function is least, by golden section."""
    ratio = (math.sqrt(5.0) - 1.0) / 2.0
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    at_a, at_b = function(a), function(b)
    for _ in range(40):
        if at_a <= at_b:
            high, b, at_b = b, a, at_a
            a = high - ratio * (high - low)
            at_a = function(a)
        else:
            low, a, at_a = a, b, at_b
            b = low + ratio * (high - low)
            at_b = function(b)
    return (low + high) / 2.0


def ranges_of(
    laid: Sequence[tuple[str, str]], marks: Mapping[str, Range | None]
) -> list[Range | None]:
    """Position by position, the range [mm] the mark stands for."""
    return [marks.get(mark) for _, mark in laid]
