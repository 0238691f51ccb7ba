"""An engine that already has an oversize: what its parts and limits become."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import Length, NotANumber, read_length, shown
from gudgeon.sheet.base import Limits
from gudgeon.sheet.features import Derived, Feature, Oversize
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.wording import nearest

if TYPE_CHECKING:
    from gudgeon.log.job import Job

#: Rules whose value is a size, which an oversize moves; the others are differences.
_SIZES: Final = ("max", "min", "mean")


def oversize_step(sheet: Sheet, name: str, typed: str | None, where: str) -> Length:
    """The step [mm] of an oversize that is already fitted; of a ground journal it is below nothing.

    Raises:
        Unusable: the sheet has no such oversize, or not that step of it.
    """
    oversize = sheet.oversizes.get(name)
    if oversize is None:
        wrong = f"the sheet has no oversize {shown(name)}"
        raise Unusable(Fault(where, wrong, nearest(name, sheet.oversizes)))
    known = ", ".join(step.typed for step in oversize.steps)
    if typed is None:
        right = f"give one of {known}" if known else "give the step on the diameter"
        raise Unusable(Fault(where, f"the oversize {shown(name)} comes without its step", right))
    try:
        step = read_length(typed, sheet.unit)
    except NotANumber as problem:
        raise problem.at(where) from None
    size = abs(step)
    if oversize.steps and not any(abs(abs(own) - size) < 1e-9 for own in oversize.steps):
        wrong = f"the oversize {shown(name)} has no step {shown(typed)}"
        raise Unusable(Fault(where, wrong, f"give one of {known}"))
    plain = step.typed.lstrip("+-")
    return (
        Length(-size, f"-{plain}", step.unit)
        if _ground(sheet, oversize)
        else Length(size, plain, step.unit)
    )


def ground_under(job: Job, feature: str) -> float:
    """What the journals of a feature were ground under their first size [mm], by the job's log."""
    found = 0.0
    for entry in job.departures:
        oversize = job.sheet.oversizes.get(entry.oversize or "")
        if entry.oversize is None or oversize is None or oversize.feature != feature:
            continue
        try:
            step = oversize_step(job.sheet, entry.oversize, entry.step, entry.id)
        except Unusable:
            continue  # told by the fold, where it belongs
        found = abs(float(step))
    return found


def _ground(sheet: Sheet, oversize: Oversize) -> bool:
    """Whether the part gets smaller: a journal."""
    feature = sheet.features.get(oversize.feature)
    if feature is not None and feature.wears is not None:
        return feature.wears == "smaller"
    return any(shells.journal == oversize.feature for shells in sheet.select.shells.values())


def with_oversize(sheet: Sheet, name: str, step: Length, stated: Collection[str] = ()) -> Sheet:
    """The sheet as it is once an oversize is fitted.

    The new ranges of the features that change, and the limits of the sizes derived from them,
    move by the step [mm]; differences, such as taper, and clearances stay.

    Args:
        sheet: the sheet as written.
        name: the oversize.
        step: from `oversize_step`.
        stated: paths that another departure of this job sets; these are as stated and don't move.
    """
    oversize = sheet.oversizes[name]
    moved = {oversize.feature, oversize.with_} - {None}
    features = {
        key: _feature(item, f"features.{key}", step, stated) if key in moved else item
        for key, item in sheet.features.items()
    }
    derived = {
        key: _derived(item, f"derive.{key}", step, stated)
        if item.from_ in moved and item.rule in _SIZES
        else item
        for key, item in sheet.derive.items()
    }
    return sheet.model_copy(update={"features": features, "derive": derived})


def _feature(item: Feature, path: str, step: Length, stated: Collection[str]) -> Feature:
    return item.model_copy(update={"new": _moved(item.new, f"{path}.new", step, stated)})


def _derived(item: Derived, path: str, step: Length, stated: Collection[str]) -> Derived:
    limits: Mapping[str, Limits | None] = {"new": item.new, "service": item.service}
    return item.model_copy(
        update={key: _moved(own, f"{path}.{key}", step, stated) for key, own in limits.items()}
    )


def _moved(
    limits: Limits | None, path: str, step: Length, stated: Collection[str]
) -> Limits | None:
    if limits is None:
        return None
    ends: dict[str, Length] = {}
    for end, value in (("min", limits.min), ("max", limits.max)):
        if value is not None and not _stated(f"{path}.{end}", stated):
            ends[end] = plus(value, step)
    return limits.model_copy(update=ends)


def _stated(path: str, stated: Collection[str]) -> bool:
    return any(path == own or path.startswith(f"{own}.") for own in stated)


def plus(value: Length, step: Length) -> Length:
    """The sum of two lengths [mm], with the digits both were typed with.

    >>> plus(Length(58.1, "58.100"), Length(0.5, "0.50")).typed
    '58.600'
    """
    if value.unit != step.unit:
        return Length(float(value) + float(step), f"{float(value) + float(step):.4f}", "mm")
    total = Decimal(value.typed.replace(",", ".")) + Decimal(step.typed.replace(",", "."))
    return Length(float(value) + float(step), str(total), value.unit)
