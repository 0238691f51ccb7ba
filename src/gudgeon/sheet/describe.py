"""What a sheet says, as plain data for other programs and as lines for people."""

from __future__ import annotations

import math
from typing import Any

from gudgeon.sheet.base import Limits
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
    """The sheet in words, one line for each thing it says."""
    said = describe(sheet)
    name = said["engine"] or "an engine without a name"
    out = [f"{name}{' (invented)' if said['invented'] else ''}", f"  counted from: {said['end']}"]
    for kind, addresses in said["places"].items():
        ends = f"{addresses[0]} … {addresses[-1]}" if len(addresses) > 1 else "".join(addresses)
        out.append(f"  {len(addresses):3} {kind}: {ends}")
    total = sum(
        item["readings"] * item["places"] * len(item["epochs"]) for item in said["features"]
    )
    out.append(f"Measured: {len(said['features'])} features, {total} readings in all")
    for item in said["features"]:
        each = item["readings"] * item["places"]
        text = f"  {item['feature']}: {each} at {item['at']} ({item['readings']} each)"
        epochs = "" if item["epochs"] == ["found"] else f", {' and '.join(item['epochs'])}"
        out.append(text + epochs + _limit("new", item["new_mm"]))
    out.append("Derived:")
    for item in said["derived"]:
        limits = _limit("new", item["new_mm"]) + _limit("service", item["service_mm"])
        text = f"  {item['name']}: {item['rule']} of {item['from']}"
        out.append(text + (limits or ", no limit given") + _page(item))
    for item in said["fits"]:
        limits = _limit("new", item["new_mm"]) + _limit("service", item["service_mm"])
        out.append(
            f"  {item['name']}: {item['sum']}" + (limits or ", no limit given") + _page(item)
        )
    return out + _chosen(said)


def _chosen(said: dict[str, Any]) -> list[str]:
    out = ["Chosen by size:"]
    shims = said["shims"]
    if shims:
        window = "".join(_limit(side, shims["window_mm"][side]) for side in ("in", "ex"))
        out.append(f"  shims at {shims['at']}, {shims['gear']}" + (window or ", no window"))
        for one in shims["series"]:
            span = f"{one['from_mm']:g} to {one['to_mm']:g} by {one['step_mm']:g}"
            out.append(f"    {span}" + (f", {one['price']:g} each" if one["price"] else ""))
    for shells in said["shells"]:
        scheme = f"scheme {shells['scheme']}" if shells["scheme"] else "no scheme"
        text = f"  {shells['name']} at {shells['at']}: {len(shells['grades_mm'])} grades, {scheme}"
        out.append(text + (_limit("window", shells["window_mm"]) or ", no window") + _page(shells))
    return out if len(out) > 1 else [*out, "  nothing"]


def _limit(word: str, pair: list[float | None] | None) -> str:
    """Limits in words, with as many digits as they have."""
    if pair is None:
        return ""
    low, high = (None if end is None else f"{end:.6g}" for end in pair)
    if low is None or high is None:
        return f", {word} {'up to' if low is None else 'from'} {high or low}"
    return f", {word} {low} to {high}"


def _page(item: dict[str, Any]) -> str:
    return f" ({item['source']})" if item.get("source") else ""
