"""Units that look wrong: an inch figure among millimetres, or the reverse.

Figures that belong together (limits of one thing, a hole and its shaft, classes of one string) are
compared; one that is 25.4 times off the others, within 12 %, was probably typed in the other unit.
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
#: Bores, strokes and shims [mm] outside these are no engine of the kind this tool is for.
_BELIEVABLE: Final = {"bore": (25.0, 160.0), "stroke": (20.0, 160.0), "shim": (0.5, 12.0)}
_SIZES: Final = frozenset(("max", "min", "mean"))
Figure = tuple[Path, Length]


def check_units(loaded: Loaded) -> Remarks:
    """No figure is 25.4 times off the figures it belongs with."""
    said: set[Path] = set()
    for group in _groups(loaded):
        for path, value, right in _odd(group, loaded.sheet.unit):
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


def _odd(group: list[Figure], unit: str) -> Iterator[tuple[Path, Length, str]]:
    """Members of a group that stand 25.4 times off its middle."""
    plain = [(path, value) for path, value in group if value > 0]
    if len(plain) < 2:
        return
    # Where votes are equal, a sheet in mm holds the small ones to be inches, and the reverse.
    median = statistics.median_low if unit == "in" else statistics.median_high
    middle = median([float(value) for _, value in plain])
    for path, value in plain:
        if _is_inch(middle / value):
            yield path, value, f"write {value.typed} in, which is {mm(value * _INCH)} mm"
        elif _is_inch(value / middle):
            yield path, value, f"write {value.typed} mm" if unit == "in" else "check the unit"


def _is_inch(ratio: float) -> bool:
    return _INCH / _NEAR <= ratio <= _INCH * _NEAR


def _ends(path: Path, limits: Limits | None) -> list[Figure]:
    """The limits that are given, with their paths."""
    if limits is None:
        return []
    pairs = (("min", limits.min), ("max", limits.max))
    return [((*path, key), value) for key, value in pairs if value is not None]


def _groups(loaded: Loaded) -> Iterator[list[Figure]]:
    """Figures that belong together."""
    sheet = loaded.sheet
    sizes: dict[str, list[Figure]] = {}
    for name, feature in sheet.features.items():
        sizes[name] = _ends(("features", name, "new"), feature.new)
    for name, derived in sheet.derive.items():
        path: Path = ("derive", name)
        figures = _ends((*path, "new"), derived.new) + _ends((*path, "service"), derived.service)
        if derived.rule in _SIZES:
            sizes[derived.from_] += figures
        else:
            yield [item for item in figures if item[0][-1] == "max"]
    for name, shells in sheet.select.shells.items():
        yield from _shell_groups(shells, ("select", "shells", name), sizes)
    for name, oversize in sheet.oversizes.items():
        if oversize.largest is not None:
            sizes[oversize.feature].append((("oversizes", name, "largest"), oversize.largest))
        yield [(("oversizes", name, "steps", i), s) for i, s in enumerate(oversize.steps)]
    if sheet.engine.bore is not None and "bore" in sizes:
        sizes["bore"].append((("engine", "bore"), sheet.engine.bore))
    yield from sizes.values()
    for name, fit in sheet.fits.items():
        yield sizes[fit.hole] + sizes[fit.shaft]
        path = ("fits", name)
        both = _ends((*path, "new"), fit.new) + _ends((*path, "service"), fit.service)
        yield [item for item in both if item[0][-1] == "max"]
    yield from _shim_groups(loaded)


def _shell_groups(
    shells: Shells, path: Path, sizes: dict[str, list[Figure]]
) -> Iterator[list[Figure]]:
    yield [((*path, "grades", grade, "wall"), item.wall) for grade, item in shells.grades.items()]
    for key, marks in (("case", shells.case), ("crank", shells.crank)):
        if marks is not None:
            yield [
                figure
                for mark, item in marks.marks.items()
                for figure in _ends((*path, key, "marks", mark), item)
            ]
    tops = _ends((*path, "window"), shells.window) + _ends((*path, "service"), shells.service)
    yield [item for item in tops if item[0][-1] == "max"]


def _shim_groups(loaded: Loaded) -> Iterator[list[Figure]]:
    shims = loaded.sheet.select.shims
    if shims is None:
        return
    path: Path = ("select", "shims")
    if shims.window is not None:
        ends = _ends((*path, "window", "in"), shims.window.in_)
        yield ends + _ends((*path, "window", "ex"), shims.window.ex)
    yield [
        ((*path, "series", place, key), value)
        for place, series in enumerate(shims.series)
        for key, value in (("from", series.from_), ("to", series.to))
    ]


def _absolute(loaded: Loaded) -> Iterator[tuple[Path, Length, str]]:
    """Figures whose size is known roughly for any engine."""
    engine, shims = loaded.sheet.engine, loaded.sheet.select.shims
    if engine.bore is not None:
        yield ("engine", "bore"), engine.bore, "bore"
    if engine.stroke is not None:
        yield ("engine", "stroke"), engine.stroke, "stroke"
    for place, series in enumerate(shims.series if shims else ()):
        yield ("select", "shims", "series", place, "from"), series.from_, "shim"
