"""Flatness of a face from heights read over it.

References
----------
.. [1] ISO 12781-1: minimum-zone and least-squares reference planes (from memory).
.. [2] E. Ya. Remez's exchange, here as the simplex method on the dual of "least half-width that
   holds every point"; R. G. Bland, Math. Oper. Res. 2 (1977) 103, for the rule that ends it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from gudgeon.metrology.form import check_numbers


def flatness_least_squares(points: Sequence[tuple[float, float, float]]) -> float:
    """Range of the heights about their least-squares plane (unit of the heights).

    `points` are (x, y, height); x and y in any unit. Never smaller than the minimum zone. Exact
    in rational arithmetic, so points on one line, which fix no plane but a line, do as well.

    Raises ValueError for fewer than 3 points or a number that is not finite.

    >>> round(flatness_least_squares([(0, 0, 0), (1, 0, 0.01), (0, 1, 0.01), (1, 1, 0)]), 6)
    0.01
    """
    shape, heights = _plane_problem(points)
    size = len(shape[0])
    columns = list(zip(*shape, strict=True))
    normal = [[_dot(columns[i], columns[j]) for j in range(size)] for i in range(size)]
    plane = _solve(normal, [_dot(column, heights) for column in columns])
    above = [z - _dot(row, plane) for row, z in zip(shape, heights, strict=True)]
    return float(max(above) - min(above))


def flatness_minimum_zone(points: Sequence[tuple[float, float, float]]) -> float:
    """Least distance of two parallel planes that hold all points (unit of the heights).

    Measured along the height, as slopes of a machined face are of the order 1e-3 and their
    cosine differs from 1 by 1e-6. Found by exchange: keep just enough points touching either
    plane, swap the worst outsider in until there is none. Rational arithmetic makes it exact,
    and Bland's rule on steps of no length makes it end.

    Raises ValueError for fewer than 3 points or a number that is not finite.

    >>> round(flatness_minimum_zone([(0, 0, 0), (1, 0, 0.01), (0, 1, 0.01), (1, 1, 0)]), 6)
    0.01
    """
    shape, heights = _plane_problem(points)
    candidates = [(sign, index) for index in range(len(shape)) for sign in (1, -1)]
    active = _first_basis(shape)
    stalled = False
    while True:
        matrix = [[s * x for x in shape[i]] + [Fraction(1)] for s, i in active]
        *plane, half = _solve(matrix, [s * heights[i] for s, i in active])
        outside = [
            (sign * (heights[index] - _dot(shape[index], plane)), (sign, index))
            for sign, index in candidates
        ]
        worst = max(outside)[0]
        if worst <= half:
            return float(2 * half)
        # The farthest outsider is quickest; the first one is certain not to go round in circles.
        entering = next(c for d, c in outside if (d > half if stalled else d == worst))
        stalled = _exchange(shape, active, entering)


def _first_basis(shape: list[list[Fraction]]) -> list[tuple[int, int]]:
    """One point on both planes, and more below, enough to fix a plane."""
    chosen = [0]
    for index in range(1, len(shape)):
        if _rank([shape[i] for i in [*chosen, index]]) > len(chosen):
            chosen.append(index)
    return [(1, 0), (-1, 0), *((1, index) for index in chosen[1:])]


def _exchange(
    shape: list[list[Fraction]], active: list[tuple[int, int]], entering: tuple[int, int]
) -> bool:
    """Put `entering` in for the contact whose share runs out first; True for a step of 0."""

    def column(contact: tuple[int, int]) -> list[Fraction]:
        return [contact[0] * x for x in shape[contact[1]]] + [Fraction(1)]

    rows = [list(row) for row in zip(*(column(contact) for contact in active), strict=True)]
    shares = _solve(rows, [Fraction(0)] * (len(active) - 1) + [Fraction(1)])
    loss = _solve(rows, column(entering))
    step, *_, place = min(
        (share / lost, active[k][1], -active[k][0], k)
        for k, (share, lost) in enumerate(zip(shares, loss, strict=True))
        if lost > 0
    )
    active[place] = entering
    return step == 0


def _plane_problem(
    points: Sequence[tuple[float, float, float]],
) -> tuple[list[list[Fraction]], list[Fraction]]:
    """Rows (1, x, y), without what is dependent where points share a line, and the heights."""
    check_numbers([x for point in points for x in point], least=9)
    rows = [[Fraction(1), *(Fraction(repr(float(c))) for c in point[:2])] for point in points]
    kept = [0]
    for column in (1, 2):
        trial = [*kept, column]
        if _rank([[row[c] for c in trial] for row in rows]) == len(trial):
            kept = trial
    shape = [[row[c] for c in kept] for row in rows]
    return shape, [Fraction(repr(float(point[2]))) for point in points]


def _dot(left: Sequence[Fraction], right: Sequence[Fraction]) -> Fraction:
    return sum((a * b for a, b in zip(left, right, strict=True)), Fraction(0))


def _rank(rows: list[list[Fraction]]) -> int:
    rest, rank = [list(row) for row in rows], 0
    for column in range(len(rows[0])):
        lead = next((r for r in range(rank, len(rest)) if rest[r][column]), None)
        if lead is None:
            continue
        rest[rank], rest[lead] = rest[lead], rest[rank]
        for row in rest[rank + 1 :]:
            factor = row[column] / rest[rank][column]
            row[:] = [a - factor * b for a, b in zip(row, rest[rank], strict=True)]
        rank += 1
    return rank


def _solve(matrix: list[list[Fraction]], right: list[Fraction]) -> list[Fraction]:
    """The exact solution of a square system that is known to have one."""
    size = len(matrix)
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for pivot in range(size):
        lead = next(r for r in range(pivot, size) if rows[r][pivot])
        rows[pivot], rows[lead] = rows[lead], rows[pivot]
        for r in range(size):
            if r != pivot and rows[r][pivot]:
                factor = rows[r][pivot] / rows[pivot][pivot]
                rows[r] = [a - factor * b for a, b in zip(rows[r], rows[pivot], strict=True)]
    return [rows[r][size] / rows[r][r] for r in range(size)]
