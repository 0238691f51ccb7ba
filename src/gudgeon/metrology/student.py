"""The normal and Student's t distributions, without scipy.

References
----------
.. [1] JCGM 100:2008 (GUM), Annex G, Table G.2.
.. [2] M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.5.8 and 26.7.1:
   the continued fraction of the incomplete beta function, and t by means of it.
.. [3] M. M. Shepherd and J. G. Laframboise, Mathematics of Computation 36 (1981) 249: the
   mapping under which (1 + 2x) exp(x²) erfc(x) is a short Chebyshev series for all x >= 0.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_ROOT2 = math.sqrt(2.0)
_FAR = 1e150
"""A standardised distance that stands for infinity: its square is still a float."""


def normal_cdf(z: float) -> float:
    """Chance that a standard normal variable is at most `z` (no unit).

    Accurate in both tails, down to z = −37.

    >>> round(normal_cdf(-2.0), 5)
    0.02275
    """
    return 0.5 * math.erfc(-z / _ROOT2)


def normal_quantile(p: float) -> float:
    """The z below which a standard normal variable lies with chance `p` (no unit).

    Raises ValueError unless 0 < p < 1.

    >>> round(normal_quantile(0.95), 3)
    1.645
    """
    if not 0.0 < p < 1.0:
        raise ValueError(f"a chance must lie between 0 and 1, both excluded; {p!r} does not")
    from statistics import NormalDist  # 15 ms to import, and rarely needed

    return NormalDist().inv_cdf(p)


def interval_chance(mean: float, u: float, lower: float, upper: float) -> float:
    """Chance that a normal variable of `mean` and standard deviation `u` lies in [lower, upper].

    All four in one unit; a limit may be infinite; u = 0 gives 0 or 1, limits included.
    Raises ValueError for u < 0, lower > upper or anything that is not a number.

    >>> round(interval_chance(13.6, 1.8, 12.5, 16.3), 4)
    0.6626
    """
    if math.isnan(mean + u) or not u >= 0.0 or not lower <= upper:
        raise ValueError(f"no chance can be given for {mean!r} ± {u!r} in [{lower!r}, {upper!r}]")
    if u == 0.0:
        return 1.0 if lower <= mean <= upper else 0.0
    a, b = (lower - mean) / u, (upper - mean) / u
    if a + b < 0.0:  # work in the upper tail, where nothing cancels
        a, b = -b, -a
    return max(0.0, 0.5 * (math.erfc(a / _ROOT2) - math.erfc(b / _ROOT2)))


def t_cdf(t: float, dof: float) -> float:
    """Chance that Student's t with `dof` degrees of freedom is at most `t` (no unit).

    Raises ValueError unless dof > 0; infinite dof is the normal distribution.

    >>> round(t_cdf(2.92078, 16), 4)
    0.995
    """
    _check_dof(dof)
    if math.isinf(dof):
        return normal_cdf(t)
    tail = 0.5 * _beta_inc_half(0.5 * dof, dof / (dof + t * t), t * t / (dof + t * t))
    return 1.0 - tail if t > 0.0 else tail


def t_quantile(p: float, dof: float) -> float:
    """The t below which Student's t with `dof` degrees of freedom lies with chance `p` (no unit).

    Raises ValueError unless 0 < p < 1 and dof > 0.

    >>> round(t_quantile(0.975, 9), 2)
    2.26
    """
    _check_dof(dof)
    if math.isinf(dof):
        return normal_quantile(p)
    if not 0.0 < p < 1.0:
        raise ValueError(f"a chance must lie between 0 and 1, both excluded; {p!r} does not")
    if p == 0.5:
        return 0.0
    if p < 0.5:
        return -_upper_quantile(p, dof)
    return _upper_quantile(1.0 - p, dof)


def _upper_quantile(q: float, dof: float) -> float:
    """The t > 0 above which Student's t lies with chance q < 0.5: bracket, then bisect."""
    low, high = 0.0, 1.0
    while t_cdf(-high, dof) > q:
        low, high = high, 2.0 * high
        if high > _FAR:
            raise ValueError(f"the quantile for a tail of {q!r} at {dof!r} degrees is too far out")
    while high - low > 1e-15 * high:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if t_cdf(-middle, dof) > q:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _check_dof(dof: float) -> None:
    if not dof > 0.0:
        raise ValueError(f"degrees of freedom must be above 0; {dof!r} is not")


def _beta_inc_half(a: float, x: float, complement: float) -> float:
    """Regularised incomplete beta I_x(a, 1/2); `complement` is 1 − x, given to keep its digits."""
    if complement <= 0.0:
        return 1.0
    if x <= 0.0:
        return 0.0
    log_x = math.log(x) if x < 0.5 else math.log1p(-complement)
    front = math.exp(_log_inverse_beta_half(a) + a * log_x + 0.5 * math.log(complement))
    if x < (a + 1.0) / (a + 2.5):
        return front * _beta_fraction(a, 0.5, x) / a
    return 1.0 - front * _beta_fraction(0.5, a, complement) / 0.5


def _log_inverse_beta_half(a: float) -> float:
    """log(Γ(a + 1/2) / (Γ(a) √π)); by its asymptotic series where lgamma would cancel."""
    if a < 100.0:
        ratio = math.lgamma(a + 0.5) - math.lgamma(a)
    else:
        ratio = 0.5 * math.log(a) - 1.0 / (8.0 * a) + 1.0 / (192.0 * a**3)
    return ratio - 0.5 * math.log(math.pi)


def _beta_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta [2]_, evaluated forwards."""
    tiny = 1e-300
    c = 1.0
    d = 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    result = d
    for m in range(1, 20_000):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 + numerator * d
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = 1.0 + numerator / c
            c = c if abs(c) > tiny else tiny
            result *= c * d
        if abs(c * d - 1.0) < 1e-16:
            break
    return result


def log_interval_chance(
    mean: ArrayLike, u: ArrayLike, lower: ArrayLike, upper: ArrayLike
) -> Floats:
    """Natural logarithm of the chance that each normal variable lies in its [lower, upper].

    Arrays of one unit, broadcast together. Keeps its accuracy far out, where the chance itself
    is too small for a float: thirty standard deviations off is worse than twenty, and a search
    must see that. u = 0 gives 0 or −inf. Limits may be infinite. NaN in, NaN out. Good to 1e-9
    absolute for windows wider than u/10 000.

    >>> [round(float(x), 4) for x in log_interval_chance([0.03, 9.0], 0.014, 0.0, 0.06)]
    [-0.0327, -203894.1129]
    """
    import numpy as np

    mean, u, lower, upper = np.broadcast_arrays(
        *(np.asarray(x, dtype=np.float64) for x in (mean, u, lower, upper))
    )
    spread = np.where(u > 0.0, u, 1.0)
    a = np.clip((lower - mean) / spread, -_FAR, _FAR)
    b = np.maximum(a, np.clip((upper - mean) / spread, -_FAR, _FAR))
    flip = a + b < 0.0
    chance = _log_between(np.where(flip, -b, a), np.where(flip, -a, b))
    exact = np.where((lower <= mean) & (mean <= upper), 0.0, -np.inf)
    chance = np.where(u > 0.0, chance, np.where(u == 0.0, exact, np.nan))
    return np.where(lower <= upper, chance, np.where(lower > upper, -np.inf, np.nan))


def _log_between(near: Floats, far: Floats) -> Floats:
    """log(Φ(far) − Φ(near)) where far >= |near|: the interval leans to the upper tail."""
    import numpy as np

    scaled_near = _scaled_erfc(np.abs(near) / _ROOT2)
    scaled_far = _scaled_erfc(far / _ROOT2)
    tail_near = 0.5 * np.exp(-0.5 * near * near) * scaled_near
    tail_far = 0.5 * np.exp(-0.5 * far * far) * scaled_far
    with np.errstate(divide="ignore"):
        inside = np.log1p(-np.minimum(tail_near + tail_far, 1.0))
        # The ratio of the two tails as a logarithm, so that neither has to be a float by itself.
        fall = -0.5 * (far - near) * (far + near) + np.log(scaled_far / scaled_near)
        outside = np.log(0.5 * scaled_near) - 0.5 * near * near + np.log(-np.expm1(fall))
    return np.where(near > 0.0, outside, inside)


def _scaled_erfc(x: Floats) -> Floats:
    """exp(x²) erfc(x) for x >= 0, by the Chebyshev series of [3]_."""
    import numpy as np
    from numpy.polynomial import chebyshev

    series = chebyshev.chebval((x - _K) / (x + _K), _scaled_erfc_series())
    return np.asarray(series / (1.0 + 2.0 * x), dtype=np.float64)


_K = 3.75


@lru_cache(maxsize=1)
def _scaled_erfc_series() -> Floats:
    import numpy as np
    from numpy.polynomial import chebyshev

    count = 40
    nodes = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    values = []
    for t in nodes:
        x = _K * (1.0 + t) / (1.0 - t)
        values.append((1.0 + 2.0 * x) * _scaled_erfc_at(x))
    angles = np.outer(np.arange(count), np.pi * (np.arange(count) + 0.5) / count)
    weights: Floats = np.cos(angles) @ np.array(values) * (2.0 / count)
    weights[0] *= 0.5
    return np.asarray(chebyshev.chebtrim(weights, 3e-16), dtype=np.float64)


def _scaled_erfc_at(x: float) -> float:
    """exp(x²) erfc(x) at one x >= 0: directly, or by Laplace's continued fraction far out."""
    if x < 2.0:
        return math.exp(x * x) * math.erfc(x)
    fraction = x
    for k in range(200, 0, -1):
        fraction = x + 0.5 * k / fraction
    return 1.0 / (fraction * math.sqrt(math.pi))
