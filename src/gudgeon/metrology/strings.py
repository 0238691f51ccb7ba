"""Was a string of marks read from the wrong end? The measurements are asked.

The string as typed and its reversal are two explanations of the same measurements; the odds
between them are the ratio of their likelihoods. A palindrome can't be told apart from itself,
and a gauge that is coarse against the step between classes can't settle the matter: both are said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from gudgeon.metrology.class_likelihood import Band, Wear, honest_u, log_density
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.priors import chance

Verdict = Literal[
    "fits as read", "fits better from the other end", "too weak to tell", "can't be told"
]
#: Odds below this, either way, settle nothing. Common practice, no source. At these odds the chance
#: of the other end passes one half, so what is asked is what is likelier than not.
ENOUGH: Final = 10.0
_REACH: Final = 5.0
_STEPS: Final = 40


@dataclass(frozen=True, slots=True)
class StringTest:
    """What the measurements say about the end a string was read from.

    Attributes:
        verdict: one of the four verdicts.
        log_odds: natural logarithm of the odds for the string as read against its reversal.
        used: how many measured places tell the two apart.
    """

    verdict: Verdict
    log_odds: float
    used: int

    @property
    def odds(self) -> float:
        """Odds for the string as read, to 1; capped where they are beyond all sense."""
        return math.exp(max(-50.0, min(50.0, self.log_odds)))

    @property
    def posterior(self) -> float:
        """Chance that the string was read from its other end; the prior where nothing tells."""
        prior = chance("string-end")
        return prior / (prior + (1.0 - prior) * self.odds)

    @property
    def turned(self) -> bool:
        """Whether the measurements speak for the other end, strongly enough to ask."""
        return self.verdict == "fits better from the other end"

    @property
    def figure(self) -> str:
        """The odds for the end they favour, in words."""
        ratio = math.exp(min(50.0, abs(self.log_odds)))
        return f"{ratio:.0f} to 1" if ratio < 10_000 else "more than 10000 to 1"

    @property
    def text(self) -> str:
        """The verdict with its figures, in one line."""
        if self.verdict == "can't be told":
            return (
                "can't be told: the marks read the same from both ends; take a photo that shows "
                "the string beside something fixed"
            )
        if self.used == 0:
            return "too weak to tell: no measured place tells the two ends apart"
        if self.verdict == "too weak to tell":
            favoured = "as read" if self.log_odds >= 0.0 else "from the other end"
            return f"too weak to tell: odds {self.figure} for {favoured}"
        return f"{self.verdict}: odds {self.figure}"


def reversed_string(
    marks: Sequence[str],
    bands: Mapping[str, Band | None],
    sizes: Sequence[Measured | None],
    wear: Wear,
    span: float | None = None,
) -> StringTest:
    """Compare a string of marks with its reversal, by the measurements of every place.

    Args:
        marks: the mark of each place, as read. bands: mark -> range of the diameter [mm].
        sizes: what each place measured [mm]; None where it was not. wear: what is thought of wear.
        span: width of all classes together [mm].

    An error common to the places (a gauge's zero) moves them together: both likelihoods are
    averaged over it, so a place with the same mark both ways still helps. Approximation: several
    common errors count as one of the same total size.

    >>> bands = {"1": Band(32.994, 33.000), "2": Band(32.988, 32.994), "3": Band(32.982, 32.988)}
    >>> sizes = [Measured.of(size, 0.002, f"reading {number}")
    ...          for number, size in enumerate((32.991, 32.996, 32.981, 32.992, 32.997))]
    >>> reversed_string("21321", bands, sizes, Wear(0.002, "smaller")).verdict
    'fits as read'
    """
    if list(marks) == list(reversed(marks)):
        return StringTest("can't be told", 0.0, 0)
    pairs = [
        (bands.get(one), bands.get(other)) for one, other in zip(marks, marks[::-1], strict=True)
    ]
    rows = [
        (size, one, other)
        for size, (one, other) in zip(sizes, pairs, strict=True)
        if size is not None and one is not None and other is not None
    ]
    used = sum(one != other for _, one, other in rows)
    if not used:
        return StringTest("too weak to tell", 0.0, 0)
    measured = [row[0] for row in rows]
    log_odds = _averaged(measured, [row[1] for row in rows], wear, span) - _averaged(
        measured, [row[2] for row in rows], wear, span
    )
    verdict: Verdict = "too weak to tell"
    if abs(log_odds) >= math.log(ENOUGH):
        verdict = "fits as read" if log_odds > 0.0 else "fits better from the other end"
    return StringTest(verdict, log_odds, used)


def chi_square_odds(
    marks: Sequence[str], bands: Mapping[str, Band], sizes: Sequence[float], u: float
) -> float:
    """Odds for the string as read, by how far each size lies outside its class.

    ``exp((χ²_reversed − χ²_read) / 2)`` with ``χ² = Σ (distance outside the class / u)²``: the sum
    that fits the back of an envelope; `reversed_string` uses the whole of what is known.

    >>> bands = {"1": Band(32.994, 33.000), "2": Band(32.988, 32.994)}
    >>> round(chi_square_odds("12", bands, [32.995, 32.990], 0.002), 1)
    8.4
    """

    def chi_square(string: Sequence[str]) -> float:
        return math.fsum(
            (bands[mark].outside(size) / u) ** 2 for mark, size in zip(string, sizes, strict=True)
        )

    exponent = 0.5 * (chi_square(list(reversed(marks))) - chi_square(list(marks)))
    return math.exp(max(-700.0, min(700.0, exponent)))


def _averaged(
    sizes: Sequence[Measured], bands: Sequence[Band], wear: Wear, span: float | None
) -> float:
    """Log-likelihood of one reading of the string, averaged over the error in common."""
    common = _common(sizes)
    if not any(common):
        return math.fsum(
            log_density(size.value, honest_u(size), band, wear, span)
            for size, band in zip(sizes, bands, strict=True)
        )
    own = [
        math.sqrt(max(honest_u(size) ** 2 - part * part, 1e-14))
        for size, part in zip(sizes, common, strict=True)
    ]
    terms = []
    for step in range(-_STEPS, _STEPS + 1):
        z = step * _REACH / _STEPS
        terms.append(
            -0.5 * z * z
            + math.fsum(
                log_density(size.value - z * part, u, band, wear, span)
                for size, part, u, band in zip(sizes, common, own, bands, strict=True)
            )
        )
    most = max(terms)
    width = _REACH / _STEPS / math.sqrt(2.0 * math.pi)
    return most + math.log(width * math.fsum(math.exp(term - most) for term in terms))


def _common(sizes: Sequence[Measured]) -> list[float]:
    """The signed part of each size's error that it has in common with others [mm]."""
    users: dict[str, int] = {}
    for size in sizes:
        for name, part in size.parts.items():
            users[name] = users.get(name, 0) + (part != 0.0)
    found = []
    for size in sizes:
        shared = [part for name, part in size.parts.items() if users[name] > 1]
        total = math.hypot(*shared)
        found.append(math.copysign(total, math.fsum(shared)) if shared else 0.0)
    return found
