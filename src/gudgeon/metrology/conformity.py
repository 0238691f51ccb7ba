"""Does a measured value lie within its limits: the decision and its probability.

References
----------
.. [1] ISO 14253-1: conformance is proved inside the limits by the uncertainty, non-conformance
   outside them by it. The 1998 and 2013 editions use the expanded uncertainty as guard band;
   the 2017 edition also a stated conformance probability, 95 % by default. (Edition remark from
   memory; the rule is a setting.)
.. [2] JCGM 106:2012, clause 7: conformance probability of a normal measurand.
.. [3] ILAC-G8:09/2019, clause 4.2: guard bands and the risk they leave.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from gudgeon.metrology.student import interval_chance, normal_quantile

Verdict = Literal["conforms", "does not conform", "not decided"]
Kind = Literal["expanded", "probability", "simple"]
KINDS: tuple[Kind, ...] = ("expanded", "probability", "simple")


@dataclass(frozen=True, slots=True)
class Rule:
    """How a verdict is reached.

    ``expanded``: limits moved by U = k u, inwards to prove conformance, outwards to prove the
    opposite. ``probability``: conforms at or above the stated probability, does not conform at or
    below its complement. ``simple``: the value itself against the limits, no guard band.

    Raises ValueError for an unknown kind, k <= 0, or a probability outside 0.5 to 1.
    """

    kind: Kind = "expanded"
    k: float = 2.0
    probability: float = 0.95

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"a rule is one of {', '.join(KINDS)}; {self.kind!r} is none of them")
        if not (math.isfinite(self.k) and self.k > 0.0):
            raise ValueError(f"the coverage factor k must be above 0; {self.k!r} is not")
        if not 0.5 < self.probability < 1.0:
            raise ValueError(
                f"a conformance probability must lie between 0.5 and 1; {self.probability!r} "
                "does not"
            )

    def guard_band(self, u: float) -> float:
        """Width by which one limit is moved for a standard uncertainty `u` (unit of `u`).

        For ``probability`` this is the width that holds where only one limit is near.

        >>> Rule("expanded").guard_band(0.01)
        0.02
        >>> round(Rule("probability").guard_band(0.01), 5)
        0.01645
        """
        if self.kind == "expanded":
            return self.k * u
        if self.kind == "probability":
            return normal_quantile(self.probability) * u
        return 0.0


class Limit(NamedTuple):
    """The interval a value may lie in, both ends included; None where that side is open."""

    lower: float | None
    upper: float | None


class Decision(NamedTuple):
    """A verdict, the conformance probability, and the guard band it was reached with."""

    verdict: Verdict
    probability: float
    guard_band: float


def decide(
    value: float,
    u: float,
    lower: float | None = None,
    upper: float | None = None,
    rule: Rule | None = None,
) -> Decision:
    """Decide `value` with standard uncertainty `u` against its limits (all in one unit).

    Limits are included, and so are the limits moved by the guard band; equality is judged with
    a slack of about 1e-12 of the numbers, so that 10.00 + 0.02 reaches 10.02. The default rule
    is ``expanded`` with k = 2. The probability is that of a normal distribution about the value,
    JCGM 106:2012 clause 7.

    Raises ValueError for a number that is not finite, u < 0, no limit at all, or limits the
    wrong way round.

    >>> decide(10.020, 0.01, 10.00, 10.10).verdict
    'conforms'
    >>> decide(10.010, 0.01, 10.00, 10.10).verdict
    'not decided'
    >>> decide(10.130, 0.01, 10.00, 10.10).verdict
    'does not conform'
    """
    _check(value, u, lower, upper)
    rule = rule or Rule()
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    chance = interval_chance(value, u, low, high)
    guard = rule.guard_band(u)
    slack = 1e-12 * (abs(value) + guard + sum(abs(x) for x in (lower, upper) if x is not None))
    verdict: Verdict = "not decided"
    if rule.kind == "probability" and u > 0.0:
        if chance >= rule.probability - 1e-12:
            verdict = "conforms"
        elif chance <= 1.0 - rule.probability + 1e-12:
            verdict = "does not conform"
    elif low + guard - slack <= value <= high - guard + slack:
        verdict = "conforms"
    elif value < low - guard - slack or value > high + guard + slack:
        verdict = "does not conform"
    return Decision(verdict, chance, guard)


def conformance_probability(
    value: float, u: float, lower: float | None = None, upper: float | None = None
) -> float:
    """Chance that the true size lies within its limits (all in one unit), JCGM 106:2012 clause 7.

    Raises ValueError as `decide` does.

    >>> round(conformance_probability(13.6, 1.8, 12.5, 16.3), 2)
    0.66
    """
    return decide(value, u, lower, upper).probability


def _check(value: float, u: float, lower: float | None, upper: float | None) -> None:
    for name, number in (("value", value), ("u", u), ("lower", lower), ("upper", upper)):
        if number is not None and not math.isfinite(number):
            raise ValueError(f"{name} must be a finite number; {number!r} is not")
    if u < 0.0:
        raise ValueError(f"a standard uncertainty must be 0 or more; {u!r} is not")
    if lower is None and upper is None:
        raise ValueError("there is no limit to decide against: give a lower or an upper limit")
    if lower is not None and upper is not None and lower > upper:
        raise ValueError(f"the lower limit {lower:g} lies above the upper limit {upper:g}")
