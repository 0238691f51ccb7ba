"""A stamped class as a prior, a measurement as evidence.

A part lay somewhere in the range of its mark when it was new (uniform over the range); wear takes
it one way only (exponential with a small scale); the measurement adds a normal error. The
predictive density of a measurement, its distribution and the mean and variance of the true size
then have closed forms.

With ``u`` the standard uncertainty, ``s`` the scale of wear and ``Y = error − wear``::

    g(t) = exp(t/s + u²/2s²) Φ(−t/u − u/s) / s      density of Y
    G(t) = Φ(t/u) + s g(t)                          distribution of Y
    H(t) = u φ(t/u) + t Φ(t/u) + s G(t)             integral of G
    p(m) = [G(m − a) − G(m − b)] / (b − a)          density of a measurement, class a to b
    F(m) = [H(m − a) − H(m − b)] / (b − a)          its distribution

and, for any prior, ``E[x|m] = m + u² p′/p`` and ``Var[x|m] = u² + u⁴ (p″/p − (p′/p)²)``
(reference 1). A part that wears larger is treated by its mirror image.

References:
    1. H. Robbins, "An empirical Bayes approach to statistics", Proceedings of the Third Berkeley
       Symposium 1 (1956) 157-163 (the formula ascribed there to M. C. K. Tweedie; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from gudgeon.metrology.measured import Measured
from gudgeon.metrology.student import normal_cdf
from gudgeon.sheet.base import Limits

Status = Literal["agrees", "worn", "contradicts"]

#: A measurement less likely than this, code and wear being right, contradicts its code. Below
#: 2 %, so that careful measurements of sound parts are hardly ever called wrong.
CALL_BELOW: Final = 0.015
_LEAST_U: Final = 1e-7
_ROOT_2PI: Final = math.sqrt(2.0 * math.pi)


class Band(NamedTuple):
    """The range of diameter a mark stands for [mm]."""

    lower: float
    upper: float

    @property
    def middle(self) -> float:
        """Middle of the range [mm]."""
        return 0.5 * (self.lower + self.upper)

    def outside(self, size: float) -> float:
        """How far `size` lies above (positive) or below (negative) the range [mm].

        >>> round(Band(32.982, 32.988).outside(32.981), 4)
        -0.001
        """
        return size - min(max(size, self.lower), self.upper)


def band_of(limits: Limits) -> Band | None:
    """The range of a mark, where both its ends are given [mm]."""
    if limits.min is None or limits.max is None:
        return None
    return Band(float(limits.min), float(limits.max))


def span_of(bands: Mapping[str, Band | None]) -> float:
    """Width of all the classes of one side together [mm]; 0 where none is given."""
    given = [band for band in bands.values() if band is not None]
    if not given:
        return 0.0
    return max(band.upper for band in given) - min(band.lower for band in given)


@dataclass(frozen=True, slots=True)
class Wear:
    """What is thought of wear, and of marks, before anything is measured.

    Attributes:
        scale: mean wear [mm], 0 for none. Common practice, no source: an oil film keeps journal
            and shell apart, so a sound journal has lost a few micrometres at most; a housing
            hardly changes at all.
        way: the way wear takes the part.
        misstamped: chance that the mark is not this part's at all.
    """

    scale: float
    way: Literal["smaller", "larger"]
    misstamped: float = 0.01

    def __post_init__(self) -> None:
        if not (math.isfinite(self.scale) and self.scale >= 0.0):
            raise ValueError(f"the scale of wear must be 0 or more; {self.scale!r} is not")
        if not 0.0 <= self.misstamped < 1.0:
            raise ValueError(f"a chance must lie from 0 to 1; {self.misstamped!r} does not")


JOURNAL: Final = Wear(0.002, "smaller")
HOUSING: Final = Wear(0.0005, "larger")


class Weighed(NamedTuple):
    """Code and measurement of one part brought together.

    Attributes:
        size: the size to count on, with its error sources [mm].
        status: `agrees`; `worn` where only wear explains the measurement; `contradicts` where
            not even wear does.
        chance: how often a sound measurement of a part with this mark would stray as far.
        outside: how far the measurement lies outside the range of its mark, signed [mm].
    """

    size: Measured
    status: Status
    chance: float
    outside: float


def weigh(
    measured: Measured, band: Band, wear: Wear, source: str, span: float | None = None
) -> Weighed:
    """Bring a measured diameter and its stamped class together.

    Args:
        measured: the diameter with its error sources [mm].
        band: the range its mark stands for [mm].
        wear: what is thought of wear.
        source: name for the error source that stands for the class, private to this part.
        span: width of all the classes together [mm]: where a part with a wrong mark may lie.

    Where the two agree, the size is the mean of the true diameter given both. The share ``k`` by
    which measuring alone decides (variance with the code over variance without) scales every
    error source of the measurement, and the rest goes to `source`; so a gauge's zero error stays
    shared between places. Approximation: each part is weighed on its own; that the classes of
    the other parts also say something about the shared zero error is not used. Where they do not
    agree, the measurement stands alone, as the rule to re-class a journal by measurement asks.

    >>> journal = Measured(32.9935, {"micrometer zero": 0.0015, "readings": 0.001})
    >>> held = weigh(journal, Band(32.988, 32.994), JOURNAL, "class of main/1")
    >>> held.status, round(held.size.value, 4), round(held.size.u, 4)
    ('agrees', 32.9918, 0.0012)
    """
    u = honest_u(measured)
    status, chance = judge(measured.value, u, band, wear)
    outside = band.outside(measured.value)
    if status != "agrees":
        return Weighed(measured, status, chance, outside)
    mean, variance = posterior(measured.value, u, band, wear, span)
    share = min(1.0, variance / u**2)
    parts = {name: share * part for name, part in measured.parts.items()}
    rest = variance - math.fsum(part * part for part in parts.values())
    parts[source] = math.sqrt(max(0.0, rest))
    dof = {name: degrees for name, degrees in measured.dof.items() if name in parts}
    return Weighed(Measured(mean, parts, dof), status, chance, outside)


def from_class(band: Band, wear: Wear, source: str) -> Measured:
    """The diameter as its class alone has it: middle less mean wear [mm].

    >>> by_code = from_class(Band(36.000, 36.006), HOUSING, "class of main/1")
    >>> round(by_code.value, 4), round(by_code.u, 4)
    (36.0035, 0.0018)
    """
    shift = -wear.scale if wear.way == "smaller" else wear.scale
    width = band.upper - band.lower
    return Measured.of(band.middle + shift, math.sqrt(width**2 / 12.0 + wear.scale**2), source)


def honest_u(measured: Measured) -> float:
    """Standard uncertainty [mm], widened where it rests on few readings.

    Such that 1.96 times it covers 95 %, by Student's t for the effective degrees of freedom.
    """
    if not measured.dof or math.isinf(measured.effective_dof()):
        return max(measured.u, _LEAST_U)
    return max(measured.expanded(0.95) / 1.959963984540054, measured.u, _LEAST_U)


def judge(value: float, u: float, band: Band, wear: Wear) -> tuple[Status, float]:
    """Whether a measurement contradicts its class, and how often a sound one strays as far.

    On the side wear can't take a part to, it is judged as if unworn; on the other side as worn.
    That holds the rate of false calls below `CALL_BELOW` for new and for worn parts alike.

    >>> judge(32.981, 0.002, Band(32.982, 32.988), JOURNAL)[0]
    'agrees'
    >>> judge(32.9745, 0.002, Band(32.982, 32.988), JOURNAL)[0]
    'worn'
    >>> judge(32.993, 0.002, Band(32.982, 32.988), JOURNAL)[0]
    'contradicts'
    """
    m, a, b = _mirrored(value, band, wear)
    beyond = 2.0 * _above(m, u, a, b)
    worn = 2.0 * _below(m, u, a, b, wear.scale)
    unworn = 2.0 * _below(m, u, a, b, 0.0)
    chance = min(1.0, beyond, worn)
    if chance < CALL_BELOW:
        return "contradicts", chance
    return ("worn" if unworn < CALL_BELOW else "agrees"), chance


def posterior(
    value: float, u: float, band: Band, wear: Wear, span: float | None = None
) -> tuple[float, float]:
    """Mean [mm] and variance [mm²] of the true diameter, given class and measurement.

    The chance of a wrong mark is spread flat over `span`, and a measurement far outside every
    class stands by itself.
    """
    m, a, b = _mirrored(value, band, wear)
    density, slope, curve = _density(m, u, a, b, wear.scale)
    sound = 1.0 - wear.misstamped
    total = sound * density + wear.misstamped / _span(band, span)
    if total <= 0.0:
        return value, u**2
    pull = sound * slope / total
    mean = m + u**2 * pull
    variance = u**2 + u**4 * (sound * curve / total - pull**2)
    return (mean if wear.way == "smaller" else -mean), max(variance, 1e-4 * u**2)


def log_density(value: float, u: float, band: Band, wear: Wear, span: float | None = None) -> float:
    """Natural logarithm of the density of a measurement [per mm], the mark being read right."""
    m, a, b = _mirrored(value, band, wear)
    density = _density(m, u, a, b, wear.scale)[0]
    total = (1.0 - wear.misstamped) * density + wear.misstamped / _span(band, span)
    return math.log(total) if total > 0.0 else -1e4


def _span(band: Band, span: float | None) -> float:
    return max(span or 0.0, 3.0 * (band.upper - band.lower), 1e-6)


def _mirrored(value: float, band: Band, wear: Wear) -> tuple[float, float, float]:
    """Measurement and class such that wear takes the part smaller; never of no width."""
    half = max(0.5 * (band.upper - band.lower), 1e-6)
    if wear.way == "smaller":
        return value, band.middle - half, band.middle + half
    return -value, -band.middle - half, -band.middle + half


def _phi(z: float) -> float:
    return math.exp(-0.5 * z * z) / _ROOT_2PI


def _worn_tail(t: float, u: float, s: float) -> float:
    """s g(t) = exp(t/s + u²/2s²) Φ(−t/u − u/s), without overflow."""
    y = t / u + u / s
    if y < 0.0:
        return math.exp(t / s + 0.5 * (u / s) ** 2) * normal_cdf(-y)
    if y < 30.0:
        return math.exp(-0.5 * (t / u) ** 2) * math.exp(0.5 * y * y) * normal_cdf(-y)
    series = 1.0 - 1.0 / y**2 + 3.0 / y**4 - 15.0 / y**6
    return _phi(t / u) * series / y


def _g(t: float, u: float, s: float) -> tuple[float, float, float]:
    """G, g and g′ of the error less the wear."""
    normal = _phi(t / u) / u
    if s < 1e-3 * u:
        return normal_cdf(t / u), normal, -t / u**2 * normal
    tail = _worn_tail(t, u, s)
    return normal_cdf(t / u) + tail, tail / s, (tail / s - normal) / s


def _density(m: float, u: float, a: float, b: float, s: float) -> tuple[float, float, float]:
    """p, p′ and p″ of a measurement of a part of class a to b."""
    at_a, at_b = _g(m - a, u, s), _g(m - b, u, s)
    width = b - a
    return (
        max(0.0, at_a[0] - at_b[0]) / width,
        (at_a[1] - at_b[1]) / width,
        (at_a[2] - at_b[2]) / width,
    )


def _below(m: float, u: float, a: float, b: float, s: float) -> float:
    """Chance of a measurement at or below m."""

    def integral(t: float) -> float:
        worn = s * _g(t, u, s)[0] if s >= 1e-3 * u else 0.0
        return u * _phi(t / u) + t * normal_cdf(t / u) + worn

    return min(1.0, max(0.0, (integral(m - a) - integral(m - b)) / (b - a)))


def _above(m: float, u: float, a: float, b: float) -> float:
    """Chance of a measurement at or above m, of an unworn part."""

    def integral(t: float) -> float:
        return u * _phi(t / u) - t * normal_cdf(-t / u)

    return min(1.0, max(0.0, (integral(m - b) - integral(m - a)) / (b - a)))
