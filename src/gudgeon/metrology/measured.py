"""The value every size carries: a number, and where its error comes from.

Each error source has a name and a signed contribution. Contributions of one name are fully
correlated, those of different names independent; so one micrometer's zero error cancels in
"old shim minus new shim" of itself, while two feels of a feeler add up.

References
----------
.. [1] JCGM 100:2008 (GUM), clause 5 (propagation), Annex G.4 (effective degrees of freedom),
   Annex H.1 (degrees of freedom truncated to a whole number).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from gudgeon.metrology.student import t_quantile


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with its error sources.

    `value` is in any one unit [mm for lengths]; `parts` maps a source's name to sensitivity times
    standard uncertainty, signed, in the unit of the value; `dof` gives the degrees of freedom of
    those sources that are not known as well as one could wish (missing: infinite).

    Raises ValueError for a number that is not finite, or degrees of freedom below 1.

    >>> old = Measured.of(1.850, 0.002, "micrometer zero")
    >>> new = Measured.of(1.750, 0.002, "micrometer zero")
    >>> (old - new).u
    0.0
    >>> round((old - Measured.of(1.750, 0.002, "other micrometer")).u, 6)
    0.002828
    """

    value: float
    parts: Mapping[str, float] = field(default_factory=dict)
    dof: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"a measured value must be a finite number; {self.value!r} is not")
        for source, part in self.parts.items():
            if not math.isfinite(part):
                raise ValueError(f"the contribution of {source!r} must be finite; {part!r} is not")
        for source, degrees in self.dof.items():
            if not degrees >= 1.0:
                raise ValueError(
                    f"degrees of freedom of {source!r} must be 1 or more; {degrees!r} is not"
                )

    @classmethod
    def of(cls, value: float, u: float, source: str, dof: float = math.inf) -> Measured:
        """A value whose standard uncertainty `u` (unit of the value) has one source.

        Raises ValueError for u < 0, and as the class itself does.
        """
        if not u >= 0.0:
            raise ValueError(f"a standard uncertainty must be 0 or more; {u!r} is not")
        return cls(value, {source: u}, {} if math.isinf(dof) else {source: dof})

    @property
    def u(self) -> float:
        """Standard uncertainty, in the unit of the value: root of the sum of squares."""
        return math.hypot(*self.parts.values())

    def __add__(self, other: Measured | float) -> Measured:
        return linear([(1.0, self), (1.0, other)])

    def __sub__(self, other: Measured | float) -> Measured:
        return linear([(1.0, self), (-1.0, other)])

    def __radd__(self, other: float) -> Measured:
        return self.shift(other)

    def __rsub__(self, other: float) -> Measured:
        return linear([(1.0, other), (-1.0, self)])

    def __neg__(self) -> Measured:
        return self.scale(-1.0)

    def __mul__(self, factor: float) -> Measured:
        return self.scale(factor)

    def __rmul__(self, factor: float) -> Measured:
        return self.scale(factor)

    def __truediv__(self, divisor: float) -> Measured:
        return linear([(1.0 / divisor, self)], value=self.value / divisor)

    def scale(self, factor: float) -> Measured:
        """The value and each contribution times an exact `factor`."""
        return linear([(factor, self)])

    def shift(self, amount: float) -> Measured:
        """The value plus an exact `amount`; the error sources stay."""
        return Measured(self.value + amount, self.parts, self.dof)

    def covariance(self, other: Measured) -> float:
        """Covariance with `other`: sum over the sources they share (unit squared)."""
        shared = self.parts.keys() & other.parts.keys()
        return math.fsum(self.parts[source] * other.parts[source] for source in shared)

    def correlation(self, other: Measured) -> float:
        """Correlation coefficient with `other`, −1 to 1; 0 where either is exact."""
        product = self.u * other.u
        if product == 0.0:
            return 0.0
        return max(-1.0, min(1.0, self.covariance(other) / product))

    def drop(self, sources: Iterable[str]) -> Measured:
        """The same value without these error sources, as if they were perfectly known."""
        return self.only(self.parts.keys() - set(sources))

    def only(self, sources: Iterable[str]) -> Measured:
        """The same value with these error sources alone."""
        kept = set(sources)
        return Measured(
            self.value,
            {source: part for source, part in self.parts.items() if source in kept},
            {source: degrees for source, degrees in self.dof.items() if source in kept},
        )

    def effective_dof(self) -> float:
        """Effective degrees of freedom by Welch and Satterthwaite, GUM G.4.1 (G.2b).

        Infinite where no source with a contribution has finite degrees.
        """
        total = self.u
        if total == 0.0:
            return math.inf
        shares = (
            (part / total) ** 4 / self.dof[source]
            for source, part in self.parts.items()
            if source in self.dof
        )
        inverse = math.fsum(shares)
        return 1.0 / inverse if inverse > 0.0 else math.inf

    def expanded(self, p: float = 0.95) -> float:
        """Half-width of the interval that holds the true value with chance `p` (unit of value).

        Student's t for the effective degrees of freedom, truncated to a whole number as in GUM
        H.1.6. Raises ValueError unless 0 < p < 1.

        >>> round(Measured.of(10.0, 1.0, "repeat", dof=4).expanded(0.95), 2)
        2.78
        """
        if not 0.0 < p < 1.0:
            raise ValueError(f"a chance must lie between 0 and 1, both excluded; {p!r} does not")
        degrees = self.effective_dof()
        if math.isfinite(degrees):
            degrees = math.floor(degrees * (1.0 + 1e-12))
        return self.u * t_quantile(0.5 * (1.0 + p), degrees)


def linear(
    terms: Iterable[tuple[float, Measured | float]], *, value: float | None = None
) -> Measured:
    """The sum of factor times term; contributions of one source add up with their signs.

    A bare number among the terms is exact. `value` replaces the computed sum where the caller
    has it with fewer roundings.

    Raises ValueError where one source is given two different degrees of freedom.

    >>> gap = Measured.of(0.14, 0.006, "feel")
    >>> linear([(1.0, 1.850), (1.0, gap), (-1.0, 0.13)]).value
    1.86
    """
    summands: list[float] = []
    parts: dict[str, float] = {}
    dof: dict[str, float] = {}
    for factor, term in terms:
        if not isinstance(term, Measured):
            summands.append(factor * term)
            continue
        summands.append(factor * term.value)
        for source, part in term.parts.items():
            parts[source] = parts.get(source, 0.0) + factor * part
        for source, degrees in term.dof.items():
            if dof.setdefault(source, degrees) != degrees:
                raise ValueError(
                    f"source {source!r} has {dof[source]:g} degrees of freedom in one place "
                    f"and {degrees:g} in another"
                )
    return Measured(math.fsum(summands) if value is None else value, parts, dof)


def mean_of(values: Sequence[Measured]) -> Measured:
    """The plain mean; sources the values share stay whole, the others average out.

    Raises ValueError for an empty list.

    >>> first = Measured(10.0, {"zero": 0.003, "feel 1": 0.004})
    >>> second = Measured(10.2, {"zero": 0.003, "feel 2": 0.004})
    >>> mean_of([first, second]).parts
    {'zero': 0.003, 'feel 1': 0.002, 'feel 2': 0.002}
    """
    if not values:
        raise ValueError("the mean of no values is not defined")
    share = 1.0 / len(values)
    centre = math.fsum(value.value for value in values) / len(values)
    return linear([(share, value) for value in values], value=centre)


def propagate(function: Callable[..., float], inputs: Sequence[Measured | float]) -> Measured:
    """The value of any smooth `function` of `inputs`, its uncertainty to first order (GUM 5.1.2).

    Sensitivities are fourth-order central differences, so the function needs no more than
    floats. Inputs that are bare numbers are exact. Raises whatever the function raises.

    >>> area = propagate(lambda d: 0.785398 * d * d, [Measured.of(58.0, 0.01, "bore gauge")])
    >>> round(area.value, 2), round(area.u, 3)
    (2642.08, 0.911)
    """
    at = [item.value if isinstance(item, Measured) else item for item in inputs]
    terms: list[tuple[float, Measured | float]] = [
        (_slope(function, at, index, item.u), item)
        for index, item in enumerate(inputs)
        if isinstance(item, Measured) and item.u > 0.0
    ]
    return linear(terms, value=function(*at))


def _slope(function: Callable[..., float], at: list[float], index: int, u: float) -> float:
    """Derivative by the fourth-order central difference.

    The step is a fair share of `u`, as the model must be smooth over that range for the first
    order to mean anything; for a very small `u` it is large enough not to drown in rounding.
    """
    step = max(u / 8.0, 1e-4 * abs(at[index]))
    beside = []
    for count in (-2, -1, 1, 2):
        moved = list(at)
        moved[index] = at[index] + count * step
        beside.append(function(*moved))
    return (beside[0] - 8.0 * beside[1] + 8.0 * beside[2] - beside[3]) / (12.0 * step)
