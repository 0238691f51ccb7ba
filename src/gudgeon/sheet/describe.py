"""What a sheet says, as plain data for other programs and as lines for people."""

from __future__ import annotations

import math
from typing import Any

from gudgeon.sheet.base import Limits
from gudgeon.sheet.features import Derived, Fit
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.select import Shells, Shims


def describe(sheet: Sheet) -> dict[str, Any]:
    """The sheet as plain data: places, features with their readings, limits, what is chosen.

    Lengths in mm; keys that hold one end in `_mm`.
    """
    layout = sheet.layout
    return {
        "engine": sheet.engine.name,
        "invented": sheet.engine.invented,
        "unit": sheet.unit,
        "end": layout.end,
        "places": {kind: list(addresses) for kind, addresses in layout.kinds.items()},
        "features": [
            {
                "feature": name,
                "at": feature.at,
                "kind": feature.kind,
                "readings": readings_at_one_place(feature.plan),
                "places": len(layout.of(feature.at)),
                "epochs": list(feature.epochs),
                "new_mm": _pair(feature.new),
                "source": feature.source,
            }
            for name, feature in sheet.features.items()
        ],
        "derived": [
            {
                "name": name,
                "from": derived.from_,
                "rule": derived.rule,
                "new_mm": _pair(derived.new),
                "service_mm": _pair(derived.service),
                "source": derived.source,
            }
            for name, derived in sheet.derive.items()
        ],
        "fits": [
            {
                "name": name,
                "sum": f"{fit.hole} {fit.take} − {fit.shaft} {fit.less}",
                "new_mm": _pair(fit.new),
                "service_mm": _pair(fit.service),
                "source": fit.source,
            }
            for name, fit in sheet.fits.items()
        ],
        "shims": _shims(sheet.select.shims) if sheet.select.shims else None,
        "shells": [_shells(name, shells) for name, shells in sheet.select.shells.items()],
    }


def readings_at_one_place(plan: dict[str, list[str]]) -> int:
    """How many readings a plan asks for at one place.

    >>> readings_at_one_place({"height": ["top", "mid", "foot"], "axis": ["thrust", "pin"]})
    6
    """
    return math.prod(len(spots) for spots in plan.values())


def _pair(limits: Limits | None) -> list[float | None] | None:
    if limits is None or limits.blank:
        return None
    return [None if end is None else float(end) for end in (limits.min, limits.max)]


def _shims(shims: Shims) -> dict[str, Any]:
    window = shims.window
    return {
        "at": shims.at,
        "gear": shims.gear,
        "window_mm": {
            "in": _pair(window.in_) if window else None,
            "ex": _pair(window.ex) if window else None,
        },
        "series": [
            {
                "from_mm": float(one.from_),
                "to_mm": float(one.to),
                "step_mm": float(one.step),
                "price": one.price,
            }
            for one in shims.series
        ],
        "source": shims.source,
    }


def _shells(name: str, shells: Shells) -> dict[str, Any]:
    return {
        "name": name,
        "at": shells.at,
        "scheme": shells.scheme.kind if shells.scheme else None,
        "grades_mm": {grade: float(item.wall) for grade, item in shells.grades.items()},
        "window_mm": _pair(shells.window),
        "service_mm": _pair(shells.service),
        "source": shells.source,
    }


def lines_of(sheet: Sheet) -> list[str]:
    """The sheet in words, one line for each thing it says, figures as typed."""
    layout = sheet.layout
    name = sheet.engine.name or "an engine without a name"
    out = [f"{name}{' (invented)' if sheet.engine.invented else ''}"]
    out.append(f"  counted from: {layout.end}")
    for kind, addresses in layout.kinds.items():
        ends = f"{addresses[0]} … {addresses[-1]}" if len(addresses) > 1 else "".join(addresses)
        out.append(f"  {len(addresses):3} {kind}: {ends}")
    return out + _measured(sheet) + _judged(sheet) + _chosen(sheet)


def _measured(sheet: Sheet) -> list[str]:
    lines, total = [], 0
    for name, feature in sheet.features.items():
        each = readings_at_one_place(feature.plan)
        here = each * len(sheet.layout.of(feature.at))
        total += here * len(feature.epochs)
        epochs = "" if feature.epochs == ("found",) else f", {' and '.join(feature.epochs)}"
        text = f"  {name}: {here} at {feature.at} ({each} each){epochs}"
        lines.append(text + _limit("new", feature.new) + _page(feature.source))
    return [f"Measured: {len(lines)} features, {total} readings in all", *lines]


def _judged(sheet: Sheet) -> list[str]:
    lines = ["Judged:"]
    judged: list[tuple[str, str, Derived | Fit]] = [
        *((n, f"{d.rule} of {d.from_}", d) for n, d in sheet.derive.items()),
        *((n, f"{f.hole} {f.take} − {f.shaft} {f.less}", f) for n, f in sheet.fits.items()),
    ]
    for name, how, item in judged:
        limits = _limit("new", item.new) + _limit("service", item.service)
        lines.append(f"  {name}: {how}{limits or ', no limit given'}{_page(item.source)}")
    return lines if len(lines) > 1 else [*lines, "  nothing"]


def _chosen(sheet: Sheet) -> list[str]:
    out = ["Chosen by size:"]
    shims = sheet.select.shims
    if shims:
        window = shims.window
        text = _limit("in", window.in_) + _limit("ex", window.ex) if window else ""
        out.append(f"  shims at {shims.at}, {shims.gear}{text or ', no window'}")
        for one in shims.series:
            price = "" if one.price is None else f", {one.price:g} each"
            out.append(f"    {one.from_} to {one.to} by {one.step}{price}")
    for name, shells in sheet.select.shells.items():
        scheme = f"scheme {shells.scheme.kind}" if shells.scheme else "no scheme"
        text = f"  {name} at {shells.at}: {len(shells.grades)} grades, {scheme}"
        out.append(text + (_limit("window", shells.window) or ", no window") + _page(shells.source))
    return out if len(out) > 1 else [*out, "  nothing"]


def _limit(word: str, limits: Limits | None) -> str:
    if limits is None or limits.blank:
        return ""
    if limits.min is None:
        return f", {word} up to {limits.max}"
    return f", {word} from {limits.min}" + ("" if limits.max is None else f" to {limits.max}")


def _page(source: str | None) -> str:
    return f" ({source})" if source else ""
