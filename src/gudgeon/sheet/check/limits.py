"""Limits against each other: service against new, parts against fits, oversizes against both."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.found import SAME, Remark, Remarks, limits_text, mm, outside, span
from gudgeon.sheet.features import Oversize
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.yamltext import Path

#: Rules whose value is a size of the part, so that the new range of the feature bears on it.
_SIZES: Final = frozenset(("max", "min", "mean"))


def check_wear_limits(loaded: Loaded) -> Remarks:
    """A service limit is never tighter than new: a new part would fail it."""
    sheet = loaded.sheet
    for name, derived in sheet.derive.items():
        yield from _tighter(derived.new, derived.service, ("derive", name, "service"))
        feature = sheet.features[derived.from_]
        if derived.rule in _SIZES and feature.new and derived.new is None:
            yield from _tighter(feature.new, derived.service, ("derive", name, "service"))
    for name, fit in sheet.fits.items():
        yield from _tighter(fit.new, fit.service, ("fits", name, "service"))
    for name, shells in sheet.select.shells.items():
        path = ("select", "shells", name)
        yield from _tighter(shells.window, shells.service, (*path, "service"))
        middle, window = shells.aim, shells.window
        if middle is not None and window is not None and outside(middle, middle, window):
            yield Remark(
                (*path, "aim"),
                f"the aim {middle} is outside the window {limits_text(window)}",
                "aim inside it",
            )


def _tighter(new: Limits | None, service: Limits | None, path: Path) -> Remarks:
    if new is None or service is None:
        return
    for side, most, least in (("max", new.max, service.max), ("min", service.min, new.min)):
        if most is None or least is None or most <= least + SAME:
            continue
        stated, fresh = (service.max, new.max) if side == "max" else (service.min, new.min)
        yield Remark(
            (*path, side),
            f"the service limit {side} {stated} is tighter than new, {fresh}",
            "a new part must pass; check both, and whether they are exchanged",
        )


def check_fit_arithmetic(loaded: Loaded) -> Remarks:
    """The new ranges of hole and shaft give the new clearance that is stated."""
    sheet = loaded.sheet
    for name, fit in sheet.fits.items():
        hole, shaft = sheet.features[fit.hole].new, sheet.features[fit.shaft].new
        if hole is None or shaft is None or fit.new is None or fit.new.blank:
            continue
        if hole.min is None or hole.max is None or shaft.min is None or shaft.max is None:
            continue
        low, high = float(hole.min - shaft.max), float(hole.max - shaft.min)
        stated_low = float(fit.new.min) if fit.new.min is not None else low
        stated_high = float(fit.new.max) if fit.new.max is not None else high
        sum_ = f"{hole.min}..{hole.max} − {shaft.min}..{shaft.max} = {span(low, high)}"
        path: Path = ("fits", name, "new")
        if stated_low > high + SAME or stated_high < low - SAME:
            yield Remark(
                path,
                f"new parts give {span(low, high)}, the sheet says {limits_text(fit.new)}",
                f"check '{fit.hole}', '{fit.shaft}' and this clearance",
                sum_,
            )
        elif stated_low < low - SAME or stated_high > high + SAME:
            yield Remark(
                path,
                f"the stated clearance {limits_text(fit.new)} reaches beyond what new parts give,"
                f" {span(low, high)}",
                "check the three ranges",
                sum_,
                "look",
            )


def check_oversizes(loaded: Loaded) -> Remarks:
    """Steps ascend and end within the largest size; a plated bore is never bored."""
    sheet = loaded.sheet
    for name, oversize in sheet.oversizes.items():
        path: Path = ("oversizes", name)
        feature = sheet.features[oversize.feature]
        shrinks = feature.wears == "smaller"
        for place, (one, two) in enumerate(pairwise(oversize.steps)):
            if two <= one + SAME:
                yield Remark(
                    (*path, "steps", place + 1), f"the step {two} follows {one}", "smallest first"
                )
        for place, step in enumerate(oversize.steps):
            if step <= 0:
                yield Remark(
                    (*path, "steps", place), f"a step of {step}", "give the step above nothing"
                )
        plated = sheet.engine.layout.bore_kind == "plated"
        if plated and feature.at == "cylinder" and not shrinks and oversize.steps:
            yield Remark(
                (*path, "steps"),
                "a plated bore can't be rebored to an oversize",
                "leave the steps blank, or write bore-kind: iron",
            )
            continue
        yield from _largest(loaded, oversize, shrinks, path)


def _largest(loaded: Loaded, oversize: Oversize, shrinks: bool, path: Path) -> Remarks:
    """Each step, cut from the new range, against the largest (or smallest) size allowed."""
    new = loaded.sheet.features[oversize.feature].new
    nominal = loaded.sheet.engine.bore if oversize.feature == "bore" else None
    base = (new.min if shrinks else new.max) if new else None
    base = base if base is not None else nominal
    if base is None or oversize.largest is None:
        return
    sign, word = ("−", "smallest") if shrinks else ("+", "largest")
    for place, step in enumerate(oversize.steps):
        size = base - step if shrinks else base + step
        beyond = oversize.largest - size if shrinks else size - oversize.largest
        if step > 0 and beyond > SAME:
            yield Remark(
                (*path, "steps", place),
                f"the step {step} gives {mm(size)}, beyond the {word} size {oversize.largest}",
                f"leave it out, or check the {word} size",
                f"{base} {sign} {step} = {mm(size)}",
            )


def _limited(loaded: Loaded) -> Iterator[tuple[Path, str | None, bool, str]]:
    """Everything that may have limits: path, source, whether it has any, what."""
    sheet = loaded.sheet
    for name, feature in sheet.features.items():
        yield ("features", name, "new"), feature.source, _any(feature.new), "new range"
    for name, derived in sheet.derive.items():
        given = _any(derived.new, derived.service)
        yield ("derive", name), derived.source, given, "limits"
    for name, fit in sheet.fits.items():
        yield ("fits", name), fit.source, _any(fit.new, fit.service), "limits"
    for name, oversize in sheet.oversizes.items():
        yield ("oversizes", name), oversize.source, bool(oversize.steps), "steps"
    shims = sheet.select.shims
    if shims is not None and shims.window is not None:
        given = _any(shims.window.in_, shims.window.ex)
        yield ("select", "shims", "window"), shims.source, given, "window"
    for name, shells in sheet.select.shells.items():
        path: Path = ("select", "shells", name)
        yield path, shells.source, _any(shells.window, shells.service), "window"


def _any(*limits: Limits | None) -> bool:
    return any(item is not None and not item.blank for item in limits)


def check_sources(loaded: Loaded) -> Remarks:
    """Every limit says where it came from."""
    for path, source, given, what in _limited(loaded):
        if given and not (source or "").strip():
            name = path[1] if path[1] != "shells" else path[2]
            yield Remark(
                path,
                f"there is no source for the {what} of '{name}'",
                "add source: and the page of the manual",
                severity="look",
                at_key=True,
            )


def check_left_out(loaded: Loaded) -> Remarks:
    """Entries that say something, but are not used because a necessary key is blank."""
    for path, key in loaded.left_out.items():
        yield Remark(
            path,
            f"'{path[-1]}' is not used: its '{key}' is blank",
            f"fill in '{key}', or remove the rest",
            severity="look",
            at_key=True,
        )
