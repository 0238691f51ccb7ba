"""Form of round parts from readings: roundness, circle, bend. For faces see `flatness`.

References
----------
.. [1] W. Gander, G. H. Golub and R. Strebel, Least-squares fitting of circles and ellipses,
   BIT 34 (1994) 558.
.. [2] ISO 12181-1: least-squares reference circle (from memory).
.. [3] US Army TM 10-3930-653-14&P, pp. 4-37 and 4-38: bend is half the indicator reading.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple


class Roundness(NamedTuple):
    """Roundness from equispaced radii: centre offset, residuals and their range (one unit)."""

    x: float
    y: float
    residuals: tuple[float, ...]
    zone: float


class Circle(NamedTuple):
    """A circle fitted to points: centre, radius, signed distances, their root mean square."""

    x: float
    y: float
    radius: float
    residuals: tuple[float, ...]
    sigma: float


def roundness_least_squares(radii: Sequence[float]) -> Roundness:
    """Roundness about the least-squares centre, from radii read at equal angles from 0°.

    Centre a = 2/n Σ r cos θ, b = 2/n Σ r sin θ, first order in the offset; the zone is the range
    of what remains. Radii or their deviations, in any one unit.

    Raises ValueError for fewer than 4 readings or one that is not a number.

    >>> flat = roundness_least_squares([5.0, 0.0, -5.0, 0.0])
    >>> flat.x, round(flat.zone, 9)
    (5.0, 0.0)
    """
    check_numbers(radii, least=4)
    count = len(radii)
    angles = [2.0 * math.pi * i / count for i in range(count)]
    mean = math.fsum(radii) / count
    a = 2.0 / count * math.fsum(r * math.cos(t) for r, t in zip(radii, angles, strict=True))
    b = 2.0 / count * math.fsum(r * math.sin(t) for r, t in zip(radii, angles, strict=True))
    residuals = tuple(
        r - mean - a * math.cos(t) - b * math.sin(t) for r, t in zip(radii, angles, strict=True)
    )
    return Roundness(a, b, residuals, max(residuals) - min(residuals))


def diameters(radii: Sequence[float]) -> tuple[float, ...]:
    """The diameters a two-point gauge would read, from radii at equal angles (one unit).

    Raises ValueError for an odd number of readings, which face nothing.

    >>> diameters([1.0, 2.0, 3.0, 4.0])
    (4.0, 6.0)
    """
    check_numbers(radii, least=4)
    if len(radii) % 2:
        raise ValueError(f"diameters need an even number of radii; there are {len(radii)}")
    half = len(radii) // 2
    return tuple(radii[i] + radii[i + half] for i in range(half))


def out_of_round_two_point(radii: Sequence[float]) -> float:
    """Largest less smallest diameter, as a micrometer would find it (unit of the radii).

    Blind to shapes with an odd number of lobes: use three-point or full-circle readings there.

    >>> out_of_round_two_point([1.0, 2.0, 3.0, 4.0])
    2.0
    """
    across = diameters(radii)
    return max(across) - min(across)


def fit_circle(points: Sequence[tuple[float, float]]) -> Circle:
    """The circle with the least sum of squared distances to `points` (one unit throughout).

    Gauss and Newton's iteration from the algebraic fit, damped where a step would make it worse
    [1]_. `sigma` is the root of the mean square, over n.

    Raises ValueError for fewer than 3 points, points on one line, or no convergence.

    >>> circle = fit_circle([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)])
    >>> round(circle.x, 6), round(circle.y, 6), round(circle.radius, 6)
    (4.739782, 2.983533, 4.714226)
    """
    check_numbers([x for point in points for x in point], least=6)
    count = len(points)
    middle = (math.fsum(x for x, _ in points) / count, math.fsum(y for _, y in points) / count)
    extent = max(math.dist(point, middle) for point in points)
    if extent == 0.0:
        raise ValueError("all points are one point; no circle passes through it alone")
    # Centred and scaled, so that sizes near 80 mm lose no figures to their squares.
    unit = [((x - middle[0]) / extent, (y - middle[1]) / extent) for x, y in points]
    x, y, radius = _refine(unit, _algebraic_circle(unit))
    centre = (middle[0] + extent * x, middle[1] + extent * y)
    radius *= extent
    residuals = tuple(math.dist(point, centre) - radius for point in points)
    sigma = math.sqrt(math.fsum(d * d for d in residuals) / count)
    return Circle(*centre, radius, residuals, sigma)


def _algebraic_circle(points: Sequence[tuple[float, float]]) -> list[float]:
    """Start: least squares of x² + y² = 2ax + 2by + c, linear in a, b and c."""
    rows = [[2.0 * x, 2.0 * y, 1.0] for x, y in points]
    a, b, c = _least_squares(rows, [x * x + y * y for x, y in points])
    return [a, b, math.sqrt(max(c + a * a + b * b, 0.0))]


def _refine(points: Sequence[tuple[float, float]], start: list[float]) -> list[float]:
    damping, best = 0.0, start
    cost = _circle_cost(points, best)
    for _ in range(500):
        x, y, radius = best
        spans = [math.dist(point, (x, y)) or 1e-300 for point in points]
        rows = [
            [(px - x) / s, (py - y) / s, 1.0] for (px, py), s in zip(points, spans, strict=True)
        ]
        step = _least_squares(rows, [s - radius for s in spans], damping)
        trial = [value + change for value, change in zip(best, step, strict=True)]
        trial_cost = _circle_cost(points, trial)
        if trial_cost <= cost:
            best, cost, damping = trial, trial_cost, damping / 10.0
            if max(abs(change) for change in step) < 1e-14 * (1.0 + abs(best[2])):
                return best
        elif max(abs(change) for change in step) < 1e-9 * (1.0 + abs(best[2])):
            return best  # rounding alone makes so small a step worse
        else:
            damping = max(4.0 * damping, 1e-3)
    raise ValueError("the circle fit does not settle; the points lie on too short an arc")


def _circle_cost(points: Sequence[tuple[float, float]], circle: list[float]) -> float:
    return math.fsum((math.dist(point, circle[:2]) - circle[2]) ** 2 for point in points)


def _least_squares(
    rows: list[list[float]], right: list[float], damping: float = 0.0
) -> list[float]:
    """Normal equations of a small, well scaled problem; `damping` is added to the diagonal."""
    size = len(rows[0])
    normal = [
        [math.fsum(row[i] * row[j] for row in rows) + damping * (i == j) for j in range(size)]
        for i in range(size)
    ]
    target = [
        math.fsum(row[i] * r for row, r in zip(rows, right, strict=True)) for i in range(size)
    ]
    for pivot in range(size):
        best = max(range(pivot, size), key=lambda r: abs(normal[r][pivot]))
        if abs(normal[best][pivot]) < 1e-12 * len(rows):
            raise ValueError("the points lie on one line; no circle fits them")
        normal[pivot], normal[best] = normal[best], normal[pivot]
        target[pivot], target[best] = target[best], target[pivot]
        for row in range(pivot + 1, size):
            factor = normal[row][pivot] / normal[pivot][pivot]
            target[row] -= factor * target[pivot]
            for column in range(pivot, size):
                normal[row][column] -= factor * normal[pivot][column]
    answer = [0.0] * size
    for row in range(size - 1, -1, -1):
        rest = math.fsum(normal[row][j] * answer[j] for j in range(row + 1, size))
        answer[row] = (target[row] - rest) / normal[row][row]
    return answer


def bend_from_run_out(run_out: float) -> float:
    """Bend of a shaft turned in V-blocks: half the total indicator reading (same unit) [3]_.

    Raises ValueError for a reading below 0.

    >>> bend_from_run_out(0.08)
    0.04
    """
    if not 0.0 <= run_out < math.inf:
        raise ValueError(f"a run-out must be 0 or more; {run_out!r} is not")
    return run_out / 2.0


def check_numbers(numbers: Sequence[float], least: int) -> None:
    """Raise ValueError for fewer than `least` numbers, or one that is not finite."""
    if len(numbers) < least:
        raise ValueError(f"too few readings: {len(numbers)} numbers where {least} are needed")
    for number in numbers:
        if not math.isfinite(number):
            raise ValueError(f"a reading must be a finite number; {number!r} is not")
