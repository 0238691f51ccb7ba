"""The sheet proved against itself: one table of checks, each a function from sheet to remarks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from gudgeon.sheet.check.codes import check_codes, check_mixing
from gudgeon.sheet.check.engine import check_capacity, check_firing, check_layout
from gudgeon.sheet.check.evenness import check_even_steps
from gudgeon.sheet.check.found import Found, Remark, Remarks
from gudgeon.sheet.check.grades import check_classes, check_grades
from gudgeon.sheet.check.limits import (
    check_fit_arithmetic,
    check_left_out,
    check_oversizes,
    check_sources,
    check_wear_limits,
)
from gudgeon.sheet.check.shims import (
    check_shim_series,
    check_shim_spread,
    check_shim_steps,
    check_shim_window,
)
from gudgeon.sheet.check.units import check_units
from gudgeon.sheet.load import Loaded

__all__ = ["CHECKS", "Found", "check_sheet"]

#: Most remarks of one check that are told.
MOST_REMARKS: Final = 200


class Check(NamedTuple):
    """One check. Its docstring's first line says what it proves."""

    name: str
    run: Callable[[Loaded], Remarks]

    @property
    def proves(self) -> str:
        """What the check proves, in one line."""
        return (self.run.__doc__ or "").partition("\n")[0]


#: Every check, in the order they are run. A new one is a function and a row here.
CHECKS: Final = (
    Check("capacity", check_capacity),
    Check("layout", check_layout),
    Check("firing", check_firing),
    Check("units", check_units),
    Check("wear-limits", check_wear_limits),
    Check("fit-arithmetic", check_fit_arithmetic),
    Check("oversizes", check_oversizes),
    Check("shim-steps", check_shim_steps),
    Check("shim-series", check_shim_series),
    Check("shim-window", check_shim_window),
    Check("shim-spread", check_shim_spread),
    Check("codes", check_codes),
    Check("mixing", check_mixing),
    Check("classes", check_classes),
    Check("grades", check_grades),
    Check("even-steps", check_even_steps),
    Check("sources", check_sources),
    Check("left-out", check_left_out),
)


def check_sheet(loaded: Loaded) -> list[Found]:
    """Everything every check finds, in the order of the file."""
    found = [
        _placed(loaded, check.name, remark)
        for check in CHECKS
        for remark, _ in zip(check.run(loaded), range(MOST_REMARKS), strict=False)
    ]
    return sorted(found, key=lambda item: (item.line, item.column))


def _placed(loaded: Loaded, check: str, remark: Remark) -> Found:
    path = remark.path if remark.path in loaded.spots else loaded.as_written(remark.path)
    line, column = loaded.position(path, remark.at_key)
    return Found(
        loaded.where(path, remark.at_key),
        line,
        column,
        check,
        remark.severity,
        remark.wrong,
        remark.right,
        remark.sum,
    )
