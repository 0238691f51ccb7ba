"""A clearance as a sum people can follow, and the check of one route by the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from gudgeon.fit.shells.bearing import Bearing
from gudgeon.fit.shells.choose import Option
from gudgeon.metrology.measured import Measured

#: The two routes to the clearance differ beyond this many standard uncertainties: said.
_APART: Final = 3.0


class Sums(NamedTuple):
    """A clearance as a sum people can follow."""

    text: str
    value: float


def sum_of(bearing: Bearing, option: Option, measured_only: bool = False) -> Sums | None:
    """The clearance as housing less journal less two walls, in figures that add up as shown.

    By the bore with shells in where that is the route: bore less journal, plus the walls that are
    in there now, less those to be fitted.
    """
    journal = bearing.journal.read.measured if measured_only else bearing.journal.taken
    if bearing.route == "fitted":
        first, present = bearing.fitted, bearing.present
    else:
        first = bearing.housing.read.measured if measured_only else bearing.housing.taken
        present = None
    if first is None or journal is None:
        return None
    now = [] if present is None else [bearing.wall(grade) for grade in present]
    walls = list(option.walls)
    value = first.value - journal.value + sum(now) - sum(walls)
    for decimals in (3, 4):
        terms = [round(x, decimals) for x in (first.value, journal.value, *now, *walls)]
        shown = terms[0] - terms[1] + sum(terms[2 : 2 + len(now)]) - sum(terms[2 + len(now) :])
        if decimals == 4 or round(shown, 3) == round(value, 3):
            break
    text = f"{first.value:.{decimals}f} − {journal.value:.{decimals}f}"
    text += _walls_text("+", now) + _walls_text("−", walls)
    return Sums(f"{text} = {shown:.{decimals}f}", value)


def _walls_text(sign: str, walls: Sequence[float]) -> str:
    if not walls:
        return ""
    decimals = 3 if all(abs(wall - round(wall, 3)) < 1e-9 for wall in walls) else 4
    if walls[0] == walls[1]:
        return f" {sign} 2 × {walls[0]:.{decimals}f}"
    return "".join(f" {sign} {wall:.{decimals}f}" for wall in walls)


def cross_check(bearing: Bearing) -> str:
    """Bare housing less walls against the bore measured with shells in."""
    housing, present = bearing.housing.read.measured, bearing.present
    if housing is None or bearing.fitted is None or present is None:
        return ""
    walls = Measured.of(
        sum(bearing.wall(grade) for grade in present), 2.0 * bearing.wall_u, "shells now in"
    )
    apart = bearing.fitted - (housing - walls)
    text = (
        f"bore with shells in {bearing.fitted.value:.3f}; housing less the walls its marks call"
        f" for ({present}) {housing.value - walls.value:.3f}"
    )
    if abs(apart.value) > _APART * max(apart.u, 1e-6):
        return (
            f"{text}: {abs(apart.value):.3f} apart, more than measuring explains; the shells in"
            " there are of another grade or worn, or one of the two bores is misread"
        )
    return f"{text}: the two routes agree"
