"""Values derived from the readings of one place, by the sheet's closed list of rules.

The first axis of a plan that is named axis, angle or direction says which way a diameter was
read; the other names are its levels. Names come in the order that matters: the first level is the
top and the last the foot, the first axis is the thrust axis and the second the pin's.

The greatest of several readings leans high, the smallest low: with six equal sizes and a scatter s
by 1.27 s (order statistics of the normal distribution). The rules are the makers' own, who derive
their limits the same way, so the lean is not taken out; it is one reason to repeat a reading that
decides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import product
from typing import Final, NamedTuple

from gudgeon.metrology.measured import Measured, mean_of
from gudgeon.sheet.features import Rule

Spot = tuple[str, ...]
Plan = Mapping[str, Sequence[str]]
_ACROSS: Final = ("axis", "angle", "direction")

#: The other convention of the same family, for a sheet's author who took the wrong one.
OTHER: Final[dict[str, Rule]] = {
    "taper-of-pairs": "taper-down-an-axis",
    "taper-down-an-axis": "taper-of-pairs",
    "oval-over-all": "oval-at-a-height",
    "oval-at-a-height": "oval-over-all",
    "oval-half": "oval-at-a-height",
}
WORDS: Final[dict[str, str]] = {
    "max": "greatest of all readings",
    "min": "smallest of all readings",
    "mean": "mean of all readings",
    "range": "greatest less smallest",
    "taper-of-pairs": "greatest at the first level less greatest at the last",
    "taper-down-an-axis": "greatest difference down one axis",
    "oval-over-all": "greatest on the first axis less smallest on the others, over all levels",
    "oval-at-a-height": "greatest difference between the axes at one level",
    "oval-half": "half the greatest difference between the axes at one level",
    "change": "later less earlier",
}
#: Rules of which a value below zero means the same amount the other way round.
EITHER_WAY: Final = frozenset({"taper-of-pairs", "oval-over-all"})


class Value(NamedTuple):
    """A derived value.

    Attributes:
        value: with its error sources; none where the readings don't suffice.
        formula: how it came about, with its numbers.
        spots: the spots that decide it. judged: what limits are to be held against, where that
            is not the value itself. notes: what should be known.
    """

    value: Measured | None
    formula: str
    spots: tuple[Spot, ...] = ()
    judged: Measured | None = None
    notes: tuple[str, ...] = ()


class _Grid(NamedTuple):
    """The readings of a place by level and axis."""

    cells: Mapping[tuple[Spot, str], tuple[Spot, Measured]]
    levels: tuple[Spot, ...]
    axes: tuple[str, ...]
    shown: Callable[[float], str]

    def at_level(self, level: Spot) -> list[tuple[Spot, Measured]]:
        return [self.cells[level, a] for a in self.axes if (level, a) in self.cells]

    def on_axis(self, axis: str) -> list[tuple[Spot, Measured]]:
        return [self.cells[level, axis] for level in self.levels if (level, axis) in self.cells]


def shown_to(decimals: int) -> Callable[[float], str]:
    """Writes a number with so many decimals."""
    return lambda value: f"{value:.{decimals}f}"


def derive(rule: Rule, plan: Plan, values: Mapping[Spot, Measured], decimals: int = 3) -> Value:
    """The value of a rule over the readings of one place [unit of the readings].

    Args:
        rule: one of the list, but for `change`, which spans two epochs (see `change`).
        plan: the feature's plan. values: spot -> value; spots not read are missing.
        decimals: how the formula shows its numbers.

    Raises ValueError for `change`.

    >>> from gudgeon.metrology.measured import Measured
    >>> plan = {"height": ["top", "foot"], "axis": ["thrust", "pin"]}
    >>> six = {("top", "thrust"): 58.062, ("top", "pin"): 58.031,
    ...        ("foot", "thrust"): 58.010, ("foot", "pin"): 58.008}
    >>> values = {spot: Measured(value) for spot, value in six.items()}
    >>> derive("oval-over-all", plan, values).formula
    'max thrust 58.062 − min pin 58.008'
    >>> round(derive("taper-of-pairs", plan, values).value.value, 3)
    0.052
    """
    if rule == "change":
        raise ValueError("change spans two epochs; use change()")
    if not values:
        return Value(None, "nothing read")
    show = shown_to(decimals)
    items = list(values.items())
    if rule in ("max", "min"):
        return _extreme(rule, items, show)
    if rule == "mean":
        mean = mean_of([value for _, value in items])
        return Value(mean, f"mean of {len(items)}" if len(items) > 1 else "read", tuple(values))
    if rule == "range":
        return _spread(items, show, "")
    grid = _grid(plan, values, show)
    return _SHAPES[rule](grid)


def change(earlier: Measured, later: Measured, names: tuple[str, str], decimals: int = 3) -> Value:
    """Later less earlier [unit of the readings]; what both share cancels.

    >>> from gudgeon.metrology.measured import Measured
    >>> change(Measured(38.21), Measured(38.32), ("found", "seated"), 2).formula
    'seated 38.32 − found 38.21'
    """
    show = shown_to(decimals)
    formula = f"{names[1]} {show(later.value)} − {names[0]} {show(earlier.value)}"
    return Value(later - earlier, formula)


def _extreme(rule: Rule, items: list[tuple[Spot, Measured]], show: Callable[[float], str]) -> Value:
    pick = max if rule == "max" else min
    spot, value = pick(items, key=lambda item: item[1].value)
    if len(items) == 1:
        return Value(value, "read", (spot,))
    where = f" ({' '.join(spot)} {show(value.value)})" if spot else ""
    return Value(value, f"{rule} of {len(items)}{where}", (spot,))


def _spread(items: list[tuple[Spot, Measured]], show: Callable[[float], str], where: str) -> Value:
    if len(items) < 2:
        return Value(None, "needs two readings")
    ordered = sorted(items, key=lambda item: item[1].value)
    # Two different readings, equal ones too: the error of a reading less itself would vanish.
    low, high = ordered[0], ordered[-1]
    formula = f"max {show(high[1].value)} − min {show(low[1].value)}{where}"
    return Value(high[1] - low[1], formula, (high[0], low[0]))


def across(plan: Plan) -> str | None:
    """The name in a plan that says which way a diameter was read, if it has one.

    >>> across({"angle": ["30", "90"], "depth": ["front", "rear"]})
    'angle'
    """
    named = next((name for name in plan if name in _ACROSS), None)
    if named is not None:
        return named
    return list(plan)[1] if len(plan) > 1 else None


def _grid(plan: Plan, values: Mapping[Spot, Measured], show: Callable[[float], str]) -> _Grid:
    names = list(plan)
    axis_name = across(plan)
    at = names.index(axis_name) if axis_name is not None else None
    cells: dict[tuple[Spot, str], tuple[Spot, Measured]] = {}
    for spot, value in values.items():
        axis = "" if at is None else spot[at]
        level = spot if at is None else (*spot[:at], *spot[at + 1 :])
        cells[level, axis] = (spot, value)
    axes = ("",) if axis_name is None else tuple(plan[axis_name])
    levels = tuple(product(*(plan[name] for name in names if name != axis_name)))
    return _Grid(cells, levels, axes, show)


def _taper_of_pairs(grid: _Grid) -> Value:
    ends = (grid.levels[0], grid.levels[-1])
    if len(grid.levels) < 2 or not all(grid.at_level(level) for level in ends):
        return Value(None, "needs readings at the first and the last level")
    (top_spot, top), (foot_spot, foot) = (
        max(grid.at_level(level), key=lambda item: item[1].value) for level in ends
    )
    names = [" ".join(level) for level in ends]
    formula = f"max {names[0]} {grid.shown(top.value)} − max {names[1]} {grid.shown(foot.value)}"
    value = top - foot
    if value.value >= 0.0:
        return Value(value, formula, (top_spot, foot_spot))
    note = f"{names[1]} is the larger end; judged by the amount"
    return Value(value, formula, (top_spot, foot_spot), -value, (note,))


def _taper_down(grid: _Grid) -> Value:
    found = [
        _spread(grid.on_axis(axis), grid.shown, f" ({axis})" if axis else "")
        for axis in grid.axes
        if len(grid.on_axis(axis)) > 1
    ]
    return _greatest(found, "needs two levels on one axis")


def _oval_over_all(grid: _Grid) -> Value:
    first, rest = (
        grid.on_axis(grid.axes[0]),
        [item for axis in grid.axes[1:] for item in grid.on_axis(axis)],
    )
    if not first or not rest:
        return Value(None, "needs readings on two axes")
    value, formula, spots = _over_all(grid, first, rest, grid.axes[0], _rest_name(grid))
    if value.value >= 0.0:
        return Value(value, formula, spots)
    other, other_formula, _ = _over_all(grid, rest, first, _rest_name(grid), grid.axes[0])
    note = f"below zero: the axes may be exchanged; judged the other way round, {other_formula}"
    return Value(value, formula, spots, other, (note,))


def _rest_name(grid: _Grid) -> str:
    return grid.axes[1] if len(grid.axes) == 2 else "the others"


def _over_all(
    grid: _Grid,
    first: list[tuple[Spot, Measured]],
    rest: list[tuple[Spot, Measured]],
    name: str,
    rest_name: str,
) -> tuple[Measured, str, tuple[Spot, ...]]:
    high = max(first, key=lambda item: item[1].value)
    low = min(rest, key=lambda item: item[1].value)
    formula = f"max {name} {grid.shown(high[1].value)} − min {rest_name} {grid.shown(low[1].value)}"
    return high[1] - low[1], formula, (high[0], low[0])


def _oval_at_a_height(grid: _Grid) -> Value:
    found = [
        _spread(grid.at_level(level), grid.shown, f" ({' '.join(level)})" if level else "")
        for level in grid.levels
        if len(grid.at_level(level)) > 1
    ]
    return _greatest(found, "needs two axes at one level")


def _oval_half(grid: _Grid) -> Value:
    whole = _oval_at_a_height(grid)
    if whole.value is None:
        return whole
    return Value(whole.value.scale(0.5), f"half of {whole.formula}", whole.spots)


def _greatest(found: list[Value], otherwise: str) -> Value:
    usable = [item for item in found if item.value is not None]
    if not usable:
        return Value(None, otherwise)
    return max(usable, key=lambda item: item.value.value if item.value else 0.0)


_SHAPES: Final[dict[str, Callable[[_Grid], Value]]] = {
    "taper-of-pairs": _taper_of_pairs,
    "taper-down-an-axis": _taper_down,
    "oval-over-all": _oval_over_all,
    "oval-at-a-height": _oval_at_a_height,
    "oval-half": _oval_half,
}
