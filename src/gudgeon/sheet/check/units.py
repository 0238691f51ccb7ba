"""Units that look wrong: an inch figure among millimetres, or the reverse.

Figures that belong together (limits of one thing, a hole and its shaft, classes of one string) are
compared; one that is 25.4 times off the others was probably typed in the other unit. Sizes are
near each other, so 25.4 is known within 12 %; clearances new and worn, inlet and exhaust, differ by
themselves, so there it is taken within a factor of two.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from typing import Final

from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.found import Remark, Remarks, mm
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.select import Shells
from gudgeon.sheet.yamltext import Path

_INCH: Final = 25.4
_NEAR: Final = 1.12
_NEAR_CLEARANCE: Final = 2.0
#: Bores, strokes and shims [mm] outside these are no engine of the kind this tool is for.
_BELIEVABLE: Final = {"bore": (25.0, 160.0), "stroke": (20.0, 160.0), "shim": (0.5, 12.0)}
_SIZES: Final = frozenset(("max", "min", "mean"))
Figure = tuple[Path, Length]
Group = tuple[list[Figure], float]


def check_units(loaded: Loaded) -> Remarks:
    """No figure is 25.4 times off the figures it belongs with."""
    said: set[Path] = set()
    for group, near in _groups(loaded):
        for path, value, right in _odd(group, loaded.sheet.unit, near):
            if path not in said:
                said.add(path)
                yield Remark(path, f"{value} is 25.4 times off its neighbours", right)
    for path, value, what in _absolute(loaded):
        low, high = _BELIEVABLE[what]
        if path in said or low <= value <= high:
            continue
        other = "in" if value.unit != "in" and value < low else "mm"
        factor = _INCH if other == "in" else 1 / _INCH
        if low <= value * factor <= high:
            yield Remark(
                path,
                f"a {what} of {mm(value)} mm is hard to believe",
                f"write {value.typed} {other} if that is meant",
            )


def _odd(group: list[Figure], unit: str, near: float) -> Iterator[tuple[Path, Length, str]]:
    """Members of a group that stand 25.4 times off its middle."""
    plain = [(path, value) for path, value in group if value > 0]
    if len(plain) < 2:
        return
    # Where votes are equal, a sheet in mm holds the small ones to be inches, and the reverse.
    median = statistics.median_low if unit == "in" else statistics.median_high
    middle = median([float(value) for _, value in plain])
    for path, value in plain:
        if _is_inch(middle / value, near):
            yield path, value, f"write {value.typed} in, which is {mm(value * _INCH)} mm"
        elif _is_inch(value / middle, near):
            yield path, value, f"write {value.typed} mm" if unit == "in" else "check the unit"


def _is_inch(ratio: float, near: float) -> bool:
    return _INCH / near <= ratio <= _INCH * near


def _ends(path: Path, limits: Limits | None) -> list[Figure]:
    """The limits that are given, with their paths."""
    if limits is None:
        return []
    pairs = (("min", limits.min), ("max", limits.max))
    return [((*path, key), value) for key, value in pairs if value is not None]


def _groups(loaded: Loaded) -> Iterator[Group]:
    """Figures that belong together, and how near to 25.4 a slip of units would bring them."""
    sheet = loaded.sheet
    sizes: dict[str, list[Figure]] = {}
    for name, feature in sheet.features.items():
        sizes[name] = _ends(("features", name, "new"), feature.new)
    for name, derived in sheet.derive.items():
        path: Path = ("derive", name)
        figures = _ends((*path, "new"), derived.new) + _ends((*path, "service"), derived.service)
        if derived.rule in _SIZES and sheet.features[derived.from_].kind == "size":
            sizes[derived.from_] += figures
        else:
            yield _upper(figures)
    for name, shells in sheet.select.shells.items():
        yield from _shell_groups(shells, ("select", "shells", name))
    for name, oversize in sheet.oversizes.items():
        if oversize.largest is not None:
            sizes[oversize.feature].append((("oversizes", name, "largest"), oversize.largest))
        path = ("oversizes", name, "steps")
        yield [((*path, place), step) for place, step in enumerate(oversize.steps)], _NEAR
    if sheet.engine.bore is not None and "bore" in sizes:
        sizes["bore"].append((("engine", "bore"), sheet.engine.bore))
    for figures in sizes.values():
        yield figures, _NEAR
    for name, fit in sheet.fits.items():
        yield sizes[fit.hole] + sizes[fit.shaft], _NEAR
        path = ("fits", name)
        yield _upper(_ends((*path, "new"), fit.new) + _ends((*path, "service"), fit.service))
    yield from _shim_groups(loaded)


def _upper(figures: list[Figure]) -> Group:
    """The upper limits of a clearance, new and worn."""
    return [item for item in figures if item[0][-1] == "max"], _NEAR_CLEARANCE


def _shell_groups(shells: Shells, path: Path) -> Iterator[Group]:
    walls = [((*path, "grades", grade, "wall"), item.wall) for grade, item in shells.grades.items()]
    yield walls, _NEAR
    for key, marks in (("case", shells.case), ("crank", shells.crank)):
        if marks is not None:
            classes = [
                figure
                for mark, item in marks.marks.items()
                for figure in _ends((*path, key, "marks", mark), item)
            ]
            yield classes, _NEAR
    yield _upper(
        _ends((*path, "window"), shells.window) + _ends((*path, "service"), shells.service)
    )


def _shim_groups(loaded: Loaded) -> Iterator[Group]:
    shims = loaded.sheet.select.shims
    if shims is None:
        return
    path: Path = ("select", "shims")
    if shims.window is not None:
        ends = _ends((*path, "window", "in"), shims.window.in_)
        ends += _ends((*path, "window", "ex"), shims.window.ex)
        for limit in ("min", "max"):
            yield [item for item in ends if item[0][-1] == limit], _NEAR_CLEARANCE
    sizes = [
        ((*path, "series", place, key), value)
        for place, series in enumerate(shims.series)
        for key, value in (("from", series.from_), ("to", series.to))
    ]
    yield sizes, _NEAR


def _absolute(loaded: Loaded) -> Iterator[tuple[Path, Length, str]]:
    """Figures whose size is known roughly for any engine."""
    engine, shims = loaded.sheet.engine, loaded.sheet.select.shims
    if engine.bore is not None:
        yield ("engine", "bore"), engine.bore, "bore"
    if engine.stroke is not None:
        yield ("engine", "stroke"), engine.stroke, "stroke"
    for place, series in enumerate(shims.series if shims else ()):
        yield ("select", "shims", "series", place, "from"), series.from_, "shim"
