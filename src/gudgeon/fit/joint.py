"""The chance that every place lands in its window when errors have common sources.

One micrometer's zero error shifts all the shims it measured, one hand's feel all the gaps it read:
the places then miss together, and the product of their chances is not the chance of them all.
Given the shared sources z (standard normal), places are independent, so

    P = E over z of product of [Phi((hi - m - B.z) / s) - Phi((lo - m - B.z) / s)]

with m the forecast, B its loadings on the shared sources, s what is its own. Sources that always
move together count once: the loadings are reduced by singular values to their rank. Up to rank 3
the mean is taken by Gauss's rules, each checked against half its order; beyond that by a lattice
rule with eight shifts, whose spread gives the error. Whatever the dependence (reference 2),

    max(0, 1 - sum of (1 - p)) <= P <= least p.

References:
    1. M. Abramowitz and I. A. Stegun (eds), *Handbook of Mathematical Functions*, NBS 1964,
       25.4 (Gauss's rules), 26.2.2 (Phi).
    2. M. Frechet, "Generalisation du theoreme des probabilites totales", Fundamenta Mathematicae
       25 (1935) 379-387.
    3. I. H. Sloan and S. Joe, *Lattice Methods for Multiple Integration*, Oxford 1994, ch. 4
       (shifted rules and their error estimate).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import erf, exp, fsum, hypot, inf, isfinite, isnan, pi, prod, sqrt
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Array = NDArray[float64]

TOLERANCE = 1e-5
"""Rules are refined until their error estimate is below this, unless told otherwise, or they are
at their finest."""

_FLOOR = 1e-13  # rounding: no error estimate is smaller
_CELLS = 256  # cells per unit in the table of Phi
_REACH = 9  # beyond 9 standard deviations Phi is 0 or 1 in double precision
# Korobov lattices (points, multiplier): of all multipliers (of 600, the last), the least
# worst-case error P2 over 10 axes with weights falling as the 1.5th power; found by search.
_LATTICES = ((509, 46), (2039, 177), (8191, 1527))
_AXES = 16  # lattices are made for a multiple of this many axes, and kept
_CHUNK = 1024  # points at a time, so that the work stays in the processor's cache


@dataclass(frozen=True, slots=True)
class Forecast:
    """A size or clearance as predicted, and the window it should land in.

    Attributes:
        mean: predicted value [mm].
        lo, hi: window [mm]; infinite where it is open.
        parts: for each source of error, its signed standard-uncertainty contribution [mm]:
            what one standard deviation of the source adds to the value.
    """

    mean: float
    lo: float
    hi: float
    parts: Mapping[str, float]


class JointChance(NamedTuple):
    """Chance that all land in their windows.

    Attributes:
        all: for all places at once.
        per_place: for each place alone.
        error: estimate of the numerical error of `all`.
    """

    all: float
    per_place: tuple[float, ...]
    error: float


def chance_alone(forecast: Forecast) -> float:
    """Chance that one forecast lands in its window.

    Raises:
        ValueError: a number is missing, the window is upside down or a part infinite.

    Examples:
        >>> round(chance_alone(Forecast(0.14, 0.11, 0.17, {"feel": 0.009, "rise": 0.012})), 4)
        0.9545
    """
    _check(forecast)
    return _inside(forecast, hypot(*forecast.parts.values()))


def joint_chance(forecasts: Sequence[Forecast], *, tolerance: float = TOLERANCE) -> JointChance:
    """Chance that all forecasts land in their windows at once.

    A source named by two or more places is one error common to them; all sources are normal and
    independent of one another. Rules are refined until the error estimate is below `tolerance`.

    Raises:
        ValueError: a number is missing, a window is upside down or a part infinite.

    Examples:
        >>> feel = [Forecast(0.14, 0.11, 0.17, {"feel": 0.015})] * 4
        >>> round(joint_chance(feel).all, 4)  # they miss together: as one
        0.9545
        >>> own = [Forecast(0.14, 0.11, 0.17, {str(k): 0.015}) for k in range(4)]
        >>> round(joint_chance(own).all, 4)  # 0.9545 to the fourth power
        0.83
    """
    alone = tuple(chance_alone(forecast) for forecast in forecasts)
    loadings, private = shared_loadings([f.parts for f in forecasts], range(len(forecasts)))
    rank = len(loadings[0]) if len(forecasts) else 0
    common = [i for i in range(len(forecasts)) if any(value != 0.0 for value in loadings[i])]
    apart = prod(p for i, p in enumerate(alone) if i not in set(common))
    together, error = 1.0, _FLOOR
    if common:
        part = _Conditional(
            [forecasts[i] for i in common], loadings[common], [private[i] for i in common]
        )
        together, error = part.mean(rank, tolerance)
    highest = min(alone, default=1.0)
    lowest = max(0.0, 1.0 - fsum(1.0 - p for p in alone))
    return JointChance(min(max(apart * together, lowest), highest), alone, error)


def shared_loadings(
    parts: Sequence[Mapping[str, float]], groups: Sequence[int]
) -> tuple[Array, list[float]]:
    """Split errors into what is common to several groups and what is each one's own.

    Args:
        parts: for each forecast, its sources and contributions [mm].
        groups: for each forecast, the place it belongs to; a source is shared when forecasts of
            two or more places have it.

    Returns:
        The loadings [mm], a row per forecast, on as few independent standard normal variables as
        will do; and the standard deviation [mm] of the rest of each.
    """
    import numpy as np

    seen: dict[str, set[int]] = {}
    for sources, group in zip(parts, groups, strict=True):
        for name, part in sources.items():
            if part != 0.0:
                seen.setdefault(name, set()).add(group)
    shared = [name for name, users in seen.items() if len(users) > 1]
    private = [
        hypot(*(part for name, part in sources.items() if len(seen.get(name, ())) == 1))
        for sources in parts
    ]
    if not shared:
        return np.zeros((len(parts), 0)), private
    matrix = np.array([[sources.get(name, 0.0) for name in shared] for sources in parts])
    left, values, _ = np.linalg.svd(matrix, full_matrices=False)
    rank = int((values > values[0] * max(matrix.shape) * np.finfo(float).eps).sum())
    loadings = left[:, :rank] * values[:rank]
    loadings[~matrix.any(axis=1)] = 0.0
    return loadings, private


def _check(forecast: Forecast) -> None:
    if not isfinite(forecast.mean):
        raise ValueError(f"forecast {forecast.mean} mm: want a finite number")
    if isnan(forecast.lo) or isnan(forecast.hi) or forecast.lo > forecast.hi:
        raise ValueError(f"window {forecast.lo} to {forecast.hi} mm: want low end first")
    for name, part in forecast.parts.items():
        if not isfinite(part):
            raise ValueError(f"part of {name} {part} mm: want a finite number")


def _inside(forecast: Forecast, spread: float) -> float:
    """Chance of a normal value inside the window, without loss in the tails."""
    if spread == 0.0:
        return float(forecast.lo <= forecast.mean <= forecast.hi)
    low = (forecast.lo - forecast.mean) / (spread * sqrt(2.0))
    high = (forecast.hi - forecast.mean) / (spread * sqrt(2.0))
    return 0.5 * (erf(high) - erf(low))


class _Conditional:
    """The chance of all given the shared variables, ready to be averaged over them."""

    def __init__(
        self, forecasts: Sequence[Forecast], loadings: Array, private: Sequence[float]
    ) -> None:
        import numpy as np

        self.loadings = loadings
        self.low = np.array([f.lo - f.mean for f in forecasts])
        self.high = np.array([f.hi - f.mean for f in forecasts])
        total = np.hypot(np.linalg.norm(loadings, axis=1), private)
        self.sharp = np.array(private) <= 1e-9 * total
        self.spread = np.where(self.sharp, 1.0, private)

    def at(self, points: Array) -> Array:
        """Chance of all at each point of the shared variables."""
        import numpy as np

        result = np.empty(len(points))
        for start in range(0, len(points), _CHUNK):
            shift = points[start : start + _CHUNK] @ self.loadings.T
            low, high = self.low - shift, self.high - shift
            inside = normal_cdf(high / self.spread) - normal_cdf(low / self.spread)
            if self.sharp.any():
                inside = np.where(self.sharp, (low <= 0.0) & (high >= 0.0), inside)
            result[start : start + _CHUNK] = inside.prod(axis=1)
        return result

    def mean(self, rank: int, tolerance: float = TOLERANCE) -> tuple[float, float]:
        """Average over the shared variables, and an estimate of its error."""
        import numpy as np

        with np.errstate(over="ignore"):  # a spread of next to nothing: Phi is 0 or 1
            if rank == 1:
                return self._by_panels()
            if rank <= 3 and not self.sharp.any():
                orders = (16, 32, 64, 128) if rank == 2 else (12, 24, 36)
                return self._by_orders(rank, orders, tolerance)
            return self._by_lattice(rank, tolerance)

    def _by_panels(self) -> tuple[float, float]:
        """One shared variable: Legendre's rule on panels, halved until it settles."""
        import numpy as np

        slope = self.loadings[:, 0]
        start, end = -float(_REACH), float(_REACH)
        for i in np.flatnonzero(self.sharp):
            ends = sorted((self.low[i] / slope[i], self.high[i] / slope[i]))
            start, end = max(start, ends[0]), min(end, ends[1])
        if start >= end:
            return 0.0, _FLOOR
        nodes, weights = np.polynomial.legendre.leggauss(16)
        value, error = 0.0, inf
        for count in (4, 8, 16, 32, 64, 128, 256, 512):
            half = (end - start) / (2 * count)
            middles = start + half * (2 * np.arange(count) + 1)
            z = (middles[:, None] + half * nodes).ravel()
            density = np.exp(-0.5 * z * z) / sqrt(2 * pi)
            terms = self.at(z[:, None]) * density * np.tile(half * weights, count)
            value, before = float(terms.sum()), value
            error = abs(value - before)
            if error < _FLOOR:
                break
        return value, max(error, _FLOOR)

    def _by_orders(self, rank: int, orders: Sequence[int], tolerance: float) -> tuple[float, float]:
        value = self._by_order(rank, orders[0])
        error = inf
        for order in orders[1:]:
            value, before = self._by_order(rank, order), value
            error = abs(value - before)
            if error < 0.1 * tolerance:
                break
        return value, max(error, _FLOOR)

    def _by_order(self, rank: int, order: int) -> float:
        points, weights = hermite_rule(rank, order)
        return float(self.at(points) @ weights)

    def _by_lattice(self, rank: int, tolerance: float) -> tuple[float, float]:
        value, error = 0.0, inf
        for count, multiplier in _LATTICES:
            # A lattice of fewer axes is the same one with the last axes left out.
            copies = lattice(_AXES * -(-rank // _AXES), count, multiplier)
            means = [float(self.at(z[:, :rank]).mean()) for z in copies]
            value = fsum(means) / len(means)
            spread = fsum((mean - value) ** 2 for mean in means)
            error = 3.0 * sqrt(spread / (len(means) * (len(means) - 1)))
            if error < tolerance:
                break
        return value, max(error, _FLOOR)


@lru_cache(maxsize=16)
def hermite_rule(rank: int, order: int) -> tuple[Array, Array]:
    """Points and weights of the Gauss-Hermite product rule for `rank` standard normals.

    Points whose weight could not be seen in double precision are left out.
    """
    import numpy as np

    nodes, weights = np.polynomial.hermite_e.hermegauss(order)
    weights = weights / weights.sum()
    grids = np.meshgrid(*[nodes] * rank, indexing="ij")
    points = np.stack([grid.ravel() for grid in grids], axis=1)
    product = np.ones(1)
    for _ in range(rank):
        product = np.outer(product, weights).ravel()
    seen = product > 1e-15 / len(product)
    return points[seen], product[seen]


@lru_cache(maxsize=8)
def lattice(rank: int, count: int, multiplier: int) -> tuple[Array, ...]:
    """Eight shifted copies of a Korobov lattice, as standard normals in `rank` axes.

    Each axis is folded in two, so that the integrand meets itself at the ends. Nothing is
    random: the shifts follow the golden ratio.
    """
    import numpy as np

    steps = np.array([pow(multiplier, axis, count) for axis in range(rank)], dtype=float)
    base = np.arange(count)[:, None] * steps / count
    axes = np.arange(1, rank + 1)
    copies = []
    for shift in range(1, 9):
        moved = (base + shift * (axes + 1) * (sqrt(5.0) - 1) / 2) % 1.0
        copies.append(_normal_quantile(np.abs(2.0 * moved - 1.0)))
    return tuple(copies)


@lru_cache(maxsize=1)
def _table() -> tuple[Array, Array, Array]:
    """Phi and its density on a grid."""
    import numpy as np

    grid = np.arange(-_REACH * _CELLS, _REACH * _CELLS + 1) / _CELLS
    phi = np.array([0.5 * (1.0 + erf(x / sqrt(2.0))) for x in grid])
    density = np.array([exp(-0.5 * x * x) / sqrt(2.0 * pi) for x in grid])
    return grid, phi, density


def normal_cdf(values: Array) -> Array:
    """Phi, elementwise, to 1e-15 (absolute): Taylor's series about the nearest grid point.

    The derivatives of Phi are Hermite polynomials times the density; with steps of at most
    1/512 the first term left out is below 1e-15.
    """
    import numpy as np

    grid, phi, density = _table()
    scaled = np.clip(values, -_REACH, _REACH) * _CELLS
    nearest = np.rint(scaled)
    h = (scaled - nearest) / _CELLS
    cell = nearest.astype(np.intp) + _REACH * _CELLS
    x = grid[cell]
    xx = x * x
    series = 1.0 - h / 2.0 * (x - h / 3.0 * ((xx - 1.0) - h / 4.0 * x * (xx - 3.0)))
    result: Array = phi[cell] + density[cell] * h * series
    return result


def _normal_quantile(chances: Array) -> Array:
    """The inverse of Phi: interpolated in the table, then two of Newton's steps."""
    import numpy as np

    grid, phi, _ = _table()
    lower = np.clip(np.minimum(chances, 1.0 - chances), 1e-15, 0.5)
    half = len(grid) // 2 + 1
    z = np.interp(lower, phi[:half], grid[:half])
    for _ in range(2):
        z = z - (normal_cdf(z) - lower) / (np.exp(-0.5 * z * z) / sqrt(2.0 * pi))
    result: Array = np.where(chances > 0.5, -z, z)
    return result
