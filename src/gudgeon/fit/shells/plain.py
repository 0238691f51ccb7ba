"""The answer about shells as plain data, as the command contract names it; lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from gudgeon.fit.schemes import Halves
from gudgeon.fit.shells.bearing import Diameter, Role
from gudgeon.fit.shells.choose import Option

if TYPE_CHECKING:
    from gudgeon.fit.shells.report import GroupPicks, ShellBuy, ShellPick, ShellPicks


def to_json(picks: ShellPicks) -> dict[str, Any]:
    """The picks of all groups; every `u_mm` is a standard uncertainty."""
    return {
        "shells": [_pick_json(pick) for pick in picks.picks],
        "strings": [row for group in picks.groups for row in _strings_json(group)],
        "groups": [
            {
                "group": group.group.name,
                "chance_all": _rounded(group.chance_all),
                "notes": list(group.notes),
            }
            for group in picks.groups
        ],
        "chance_all": _rounded(picks.chance_all),
        "buy": [_buy_json(item) for item in picks.buy],
    }


def _rounded(value: float | None, digits: int = 6) -> float | None:
    return None if value is None else round(value, digits)


def _text(halves: Halves | None) -> str | None:
    return None if halves is None else str(halves)


def _pick_json(pick: ShellPick) -> dict[str, Any]:
    bearing, taken = pick.bearing, pick.pick
    return {
        "place": bearing.place,
        "group": bearing.group,
        "by_code": _text(bearing.by_code),
        "by_code_from_other_end": _text(bearing.other_end),
        "by_measurement": _text(pick.measured.halves if pick.measured else None),
        "pick": _text(taken.halves if taken else None),
        "upper": taken.halves.upper if taken else None,
        "lower": taken.halves.lower if taken else None,
        "sources": dict(pick.sources),
        "undersize_mm": bearing.undersize,
        "clearance_mm": _rounded(taken.clearance.value if taken else None, 5),
        "u_mm": _rounded(taken.clearance.u if taken else None, 5),
        "clearance_measured_mm": _rounded(
            pick.sum_measured.value if pick.sum_measured else None, 5
        ),
        "window_mm": list(bearing.window),
        "aim_mm": _rounded(bearing.aim),
        "wanted_wall_mm": _rounded(pick.wanted.value if pick.wanted else None, 5),
        "chance": _rounded(taken.chance if taken else None),
        "sum": pick.sum.text if pick.sum else None,
        "sum_measured": pick.sum_measured.text if pick.sum_measured else None,
        "route": bearing.route,
        "agreement": pick.agreement.word,
        "agreement_text": pick.agreement.text,
        "advice": list(pick.advice),
        "refused": pick.refused or None,
        "cross_check": pick.cross or None,
        "strip_mm": None if pick.strip is None else [_rounded(x, 4) for x in pick.strip],
        "strip_text": pick.expect or None,
        "housing": _diameter_json(bearing.housing),
        "journal": _diameter_json(bearing.journal),
        "clearance_found_mm": _rounded(bearing.as_found.value if bearing.as_found else None, 5),
        "fitted_mm": _rounded(bearing.fitted.value if bearing.fitted else None, 5),
        "options": [_option_json(option) for option in pick.options],
    }


def _diameter_json(part: Diameter) -> dict[str, Any]:
    read, weighed = part.read, part.weighed
    return {
        "mark": read.mark,
        "class_mm": list(read.band) if read.band else None,
        "measured_mm": _rounded(read.measured.value if read.measured else None, 5),
        "u_measured_mm": _rounded(read.measured.u if read.measured else None, 5),
        "taken_mm": _rounded(part.taken.value if part.taken else None, 5),
        "u_taken_mm": _rounded(part.taken.u if part.taken else None, 5),
        "basis": part.basis,
        "status": part.status or None,
        "outside_mm": _rounded(weighed.outside if weighed else None, 5),
        "chance": _rounded(weighed.chance if weighed else None),
        "doubt": read.doubt or None,
    }


def _option_json(option: Option) -> dict[str, Any]:
    return {
        "upper": option.halves.upper,
        "lower": option.halves.lower,
        "wall_upper_mm": _rounded(option.walls[0], 5),
        "wall_lower_mm": _rounded(option.walls[1], 5),
        "clearance_mm": _rounded(option.clearance.value, 5),
        "u_mm": _rounded(option.clearance.u, 5),
        "chance": _rounded(option.chance),
        "tight": _rounded(option.tight),
        "loose": _rounded(option.loose),
        "legal": option.legal,
    }


def _strings_json(group: GroupPicks) -> Iterator[dict[str, Any]]:
    names: dict[Role, str] = {"housing": "case", "journal": "crank"}
    for role, test in group.group.tests.items():
        yield {
            "group": group.group.name,
            "on": names[role],
            "verdict": test.verdict,
            "odds": float(f"{test.odds:.4g}"),
            "used": test.used,
            "text": test.text,
        }


def _buy_json(item: ShellBuy) -> dict[str, Any]:
    size = f"{item.grade}, {item.undersize:.2f} undersize" if item.undersize else item.grade
    return {
        "what": f"{item.group}, {item.half}",
        "size": size,
        "count": item.count,
        "places": list(item.places),
        "price": item.price,
    }
