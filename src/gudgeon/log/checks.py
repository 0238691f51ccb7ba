"""Whether an entry makes sense for the engine: its place, feature, spot, unit and numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, Final

from gudgeon.faults import Unusable
from gudgeon.log.codec import Problem
from gudgeon.log.entries import (
    Code,
    Entry,
    Feeler,
    Happened,
    Note,
    Photo,
    Reading,
    RiseEstimate,
    ShimFitted,
    Stock,
)
from gudgeon.numbers import NotANumber, read_decimal, read_length, shown, split_unit
from gudgeon.sheet.features import Feature
from gudgeon.sheet.marks import NO_MARK, known_mark, split_marks
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.wording import nearest

#: Grams in one unit of mass.
MASS_UNITS: Final[dict[str, Decimal]] = {"g": Decimal(1), "kg": Decimal(1000)}
#: Coldest and hottest part anybody measures [degrees C].
TEMPERATURES: Final = (Decimal(-50), Decimal(300))
#: No valve shim is as thick as this [mm], an inch and more. Common practice, no source.
LARGEST_SHIM: Final = 26.0
#: Kinds of feature that can't be nothing, and those that can't be less than nothing. A height is
#: told from any datum, and may be below it.
_ABOVE_NOTHING: Final = ("size", "mass")
_NOT_BELOW: Final = ("gap", "flatness", "run-out")


def problems_with(entry: Entry, sheet: Sheet) -> tuple[Problem, ...]:
    """Everything that keeps an entry from being used for this engine.

    >>> from gudgeon.sheet.load import load
    >>> sheet = load("sheet: 1\\nengine: {name: X}\\nplaces: {main: 4}", "x.yaml").sheet
    >>> note = Note(id="n", at="2026-03-01T14:05:00Z", text="blue", place="main/5")
    >>> [problem.wrong for problem in problems_with(note, sheet)]
    ["there is no place 'main/5' on this engine"]
    """
    check = _CHECKS.get(type(entry))
    return tuple(check(entry, sheet)) if check else ()


def _place(sheet: Sheet, address: str, field: str = "place") -> Iterator[Problem]:
    try:
        sheet.layout.check(address, field)
    except Unusable as refused:
        for fault in refused.faults:
            yield Problem(field, fault.wrong, fault.right)


def _feature(sheet: Sheet, name: str, address: str) -> Iterator[Problem]:
    feature = sheet.features.get(name)
    if feature is None:
        yield Problem(
            "feature", f"the sheet has no feature {shown(name)}", nearest(name, sheet.features)
        )
        return
    yield from _place(sheet, address)
    kind = sheet.layout.kind(address)
    if address in sheet.layout and kind != feature.at:
        yield Problem(
            "place",
            f"{shown(name)} is not measured at a {kind}",
            f"it is at {_first(sheet, feature.at)}",
        )


def _first(sheet: Sheet, kind: str) -> str:
    places = sheet.layout.of(kind)
    return f"{places[0]} … {places[-1]}" if len(places) > 1 else "".join(places) or kind


def _spot(feature: Feature, spot: Mapping[str, str]) -> Iterator[Problem]:
    for axis, levels in feature.plan.items():
        if axis not in spot:
            yield Problem("spot", f"the spot names no {axis}", f"give one of {', '.join(levels)}")
        elif spot[axis] not in levels:
            yield Problem(
                "spot",
                f"{axis} {shown(spot[axis])} is not in the sheet's plan",
                f"give one of {', '.join(levels)}",
            )
    for axis in spot:
        if axis not in feature.plan:
            known = ", ".join(feature.plan) or "it is read at one spot, so leave it out"
            yield Problem("spot", f"the plan has no {shown(axis)}", known)


def _epoch(feature: Feature, epoch: str) -> Iterator[Problem]:
    if epoch not in feature.epochs:
        yield Problem(
            "epoch",
            f"this feature is not measured at epoch {shown(epoch)}",
            f"use {' or '.join(feature.epochs)}",
        )


def amount(
    field: str,
    typed: str | None,
    unit: str | None,
    default: str = "mm",
    read: Callable[[str, str], Any] = read_length,
) -> Iterator[Problem]:
    """What is wrong with a number as typed and its unit, if one was typed."""
    if typed is None:
        return
    try:
        own = split_unit(typed)[1]
        read(typed, unit or default)
    except NotANumber as problem:
        at = "unit" if problem.wrong.endswith("unit of length") and not own else field
        yield Problem(at, problem.wrong, problem.right)
        return
    if own and unit and own != unit:
        yield Problem(
            "unit",
            f"{shown(typed)} has a unit of its own, and {shown(unit)} is given as well",
            "give it once",
        )


def read_mass(text: str, unit: str) -> float:
    """A mass as typed [g].

    Raises:
        NotANumber: not a number, or not a unit of mass.
    """
    number, own = split_unit(text)
    factor = MASS_UNITS.get(own or unit)
    if factor is None:
        raise NotANumber(f"{shown(own or unit)} is not a unit of mass", "use g or kg")
    return float(read_decimal(number) * factor)


def _value(
    sheet: Sheet, feature: Feature, field: str, typed: str | None, unit: str | None
) -> Iterator[Problem]:
    mass = feature.kind == "mass"
    found = list(
        amount(field, typed, unit, "g", read_mass)
        if mass
        else amount(field, typed, unit, sheet.unit)
    )
    yield from found
    if not found and typed is not None:
        yield from _sign(field, typed, feature.kind)


def _sign(field: str, typed: str, kind: str) -> Iterator[Problem]:
    value = read_decimal(split_unit(typed)[0])
    what = {"size": "a size", "mass": "a mass", "gap": "a gap"}.get(kind, f"a {kind}")
    if value < 0 and kind in (*_ABOVE_NOTHING, *_NOT_BELOW):
        yield Problem(field, f"{what} of {shown(typed)} is below nothing", "check the sign")
    elif value == 0 and kind in _ABOVE_NOTHING:
        yield Problem(field, f"{what} of {shown(typed)} is nothing", "give what was read")


def temperature(field: str, typed: str | None) -> Iterator[Problem]:
    """What is wrong with a temperature in degrees Celsius, if one was typed."""
    if typed is None:
        return
    try:
        value = read_decimal(typed)
    except NotANumber:
        yield Problem(field, f"temperature {shown(typed)} is not a number", "give °C, like 21.5")
        return
    if not TEMPERATURES[0] <= value <= TEMPERATURES[1]:
        yield Problem(field, f"a part at {shown(typed)} °C", "give degrees Celsius, like 21.5")


def _reading(entry: Reading, sheet: Sheet) -> Iterator[Problem]:
    yield from _feature(sheet, entry.feature, entry.place)
    feature = sheet.features.get(entry.feature)
    if feature is not None:
        yield from _spot(feature, entry.spot)
        yield from _epoch(feature, entry.epoch)
        yield from _value(sheet, feature, "typed", entry.typed, entry.unit)
    yield from temperature("part_temp", entry.part_temp)
    yield from temperature("gauge_temp", entry.gauge_temp)


def _feeler(entry: Feeler, sheet: Sheet) -> Iterator[Problem]:
    yield from _feature(sheet, entry.feature, entry.place)
    if entry.goes is None and entry.wont is None:
        yield Problem(
            "goes", "no blade is named", "give the largest that goes, or the smallest that won't"
        )
    feature = sheet.features.get(entry.feature)
    if feature is None:
        return
    yield from _epoch(feature, entry.epoch)
    if feature.kind == "mass":
        yield Problem("feature", "a mass is not measured with blades", "enter it as a reading")
        return
    found = [
        *_value(sheet, feature, "goes", entry.goes, entry.unit),
        *_value(sheet, feature, "wont", entry.wont, entry.unit),
    ]
    yield from found
    if not found and entry.goes is not None and entry.wont is not None:
        unit = entry.unit or sheet.unit
        if read_length(entry.goes, unit) >= read_length(entry.wont, unit):
            yield Problem(
                "wont",
                f"the blade that goes ({entry.goes}) is not thinner than the one that won't"
                f" ({entry.wont})",
                "check which is which",
            )
    yield from temperature("part_temp", entry.part_temp)


def _code(entry: Code, sheet: Sheet) -> Iterator[Problem]:
    shells = sheet.select.shells.get(entry.group)
    if shells is None:
        yield Problem(
            "group",
            f"the sheet has no shells {shown(entry.group)}",
            nearest(entry.group, sheet.select.shells),
        )
        return
    spec = shells.case if entry.on == "case" else shells.crank
    known = spec.marks if spec else {}
    try:
        marks = split_marks(entry.marks, len(sheet.layout.of(shells.at)), entry.id)
        for mark in dict.fromkeys(marks):
            if known and mark != NO_MARK:
                known_mark(mark, known, entry.on, entry.id)
    except Unusable as problem:
        for fault in problem.faults:
            yield Problem("marks", fault.wrong, fault.right)


def _shim_place(sheet: Sheet, address: str) -> Iterator[Problem]:
    shims = sheet.select.shims
    if shims is None:
        yield Problem("place", "the sheet has no shims", "add select.shims to the sheet")
        return
    found = list(_place(sheet, address))
    yield from found
    if not found and sheet.layout.kind(address) != shims.at:
        yield Problem("place", f"no shim sits at {address}", f"use {_first(sheet, shims.at)}")


def _shim(entry: ShimFitted, sheet: Sheet) -> Iterator[Problem]:
    yield from _shim_place(sheet, entry.place)
    if entry.mark is None and entry.typed is None:
        yield Problem("mark", "neither mark nor thickness is given", "give one of them, or both")
    found = list(amount("typed", entry.typed, entry.unit, sheet.unit))
    yield from found
    if not found and entry.typed is not None:
        yield from _sign("typed", entry.typed, "size")
        yield from _shim_size(entry.typed, entry.unit or sheet.unit, sheet)


def _shim_size(typed: str, unit: str, sheet: Sheet) -> Iterator[Problem]:
    """A mark typed where a thickness belongs, or an inch for a millimetre: far off any shim."""
    thickness = float(read_length(typed, unit))
    series = sheet.select.shims.series if sheet.select.shims is not None else []
    thin = min((float(one.from_) for one in series if one.from_ is not None), default=0.0)
    thick = max((float(one.to) for one in series if one.to is not None), default=LARGEST_SHIM / 2)
    if thickness > 0 and not thin / 2 <= thickness <= 2 * thick:
        known = f", the sheet's go from {thin:.3f} to {thick:.3f}" if thin else ""
        yield Problem(
            "typed",
            f"a shim {typed} {unit} thick{known}",
            "give its thickness in millimetres; what is stamped on it is its mark",
        )


def _rise(entry: RiseEstimate, sheet: Sheet) -> Iterator[Problem]:
    yield from _shim_place(sheet, entry.place)
    yield from amount("typed", entry.typed, entry.unit, sheet.unit)
    found = list(amount("spread", entry.spread, entry.unit, sheet.unit))
    yield from found
    if not found and read_decimal(split_unit(entry.spread)[0]) < 0:
        yield Problem("spread", f"a spread of {shown(entry.spread)}", "give it without a sign")


def _happened(entry: Happened, sheet: Sheet) -> Iterator[Problem]:
    for address in entry.places:
        yield from _place(sheet, address, "places")
    yield from amount("typed", entry.typed, entry.unit, sheet.unit)


def _note(entry: Note | Photo, sheet: Sheet) -> Iterator[Problem]:
    if entry.place is not None:
        yield from _place(sheet, entry.place)


def stock_problems(entry: Stock) -> Iterator[Problem]:
    """What keeps a piece of the drawer from being used."""
    if entry.mark is None and entry.typed is None:
        yield Problem("mark", "neither mark nor size is given", "give one of them, or both")
    for field, typed in (("typed", entry.typed), ("diameter", entry.diameter)):
        found = list(amount(field, typed, entry.unit))
        yield from found
        if not found and typed is not None:
            yield from _sign(field, typed, "size")


_CHECKS: Final[dict[type[Entry], Callable[[Any, Sheet], Iterator[Problem]]]] = {
    Reading: _reading,
    Feeler: _feeler,
    Code: _code,
    ShimFitted: _shim,
    RiseEstimate: _rise,
    Happened: _happened,
    Note: _note,
    Photo: _note,
}
