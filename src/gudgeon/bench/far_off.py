"""Readings so far off that no part explains them: the decimal mark, the unit or the sign is wrong.

A factor of ten or of 25.4 leaves any part of this engine behind, so a plain test will do: the
reading is nowhere near where it is expected, and with one thing changed it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.metrology.ranges import Expected, expected_range
from gudgeon.numbers import LENGTH_UNITS, NotANumber, read_decimal, split_unit

if TYPE_CHECKING:
    from gudgeon.log.entries import Reading
    from gudgeon.sheet.model import Sheet

#: Sorts of reading that can't be less than nothing.
_NOT_BELOW: Final = ("size", "mass", "gap", "flatness")
#: Places that a decimal mark is likely to have been moved by, the likeliest first.
_MOVES: Final = (-1, 1, -2, -3, -4, 2)
#: A reading is far off from this share of the size on, and this many times the usual wear.
_SHARE: Final = 0.1
_WEAR: Final = 10.0


class Far(NamedTuple):
    """What a far-off reading may have been.

    Attributes:
        kind: `tenfold`, `unit` or `sign`. why: in a few words. typed, unit: in its place.
        near: where it is expected, as text.
    """

    kind: str
    why: str
    typed: str
    unit: str
    near: str


def far_off(sheet: Sheet, readings: Sequence[Reading], entry: Reading) -> Far | None:
    """What a reading may have been, where it is nowhere near what is expected.

    Args:
        sheet: the engine's. readings: those of the same feature. entry: one of them.

    Nothing is said where nothing is known of the size, or nothing would make it fit.
    """
    feature = sheet.features[entry.feature]
    try:
        number, own = split_unit(entry.typed)
        typed = read_decimal(number)
    except NotANumber:
        return None
    unit = own or entry.unit or ("g" if feature.kind == "mass" else sheet.unit)
    if unit not in LENGTH_UNITS:
        return None
    if typed < 0 and feature.kind in _NOT_BELOW:
        return Far("sign", "a sign that can't be", number.lstrip("-−"), unit, "0")
    near = _near(sheet, readings, entry)
    if near is None or _fits(number, unit, near):
        return None
    text = f"{near.low:.3f}" if near.low == near.high else f"{near.low:.3f} to {near.high:.3f}"
    other = {"mm": "in", "in": "mm"}.get(unit)
    if other and _fits(number, other, near):
        return Far("unit", f"{other}, not {unit}", number, other, text)
    for places in _MOVES:
        moved = with_mark_moved(number, places)
        if _fits(moved, unit, near):
            return Far("tenfold", "decimal mark in the wrong place", moved, unit, text)
    return None


def _near(sheet: Sheet, readings: Sequence[Reading], entry: Reading) -> Expected | None:
    known = expected_range(sheet, entry.feature)
    if known is not None:
        return known
    if sheet.features[entry.feature].kind != "size":
        return None
    others = [size for item in readings if item.id != entry.id for size in _sizes(sheet, item)]
    if len(others) < 2:
        return None
    middle = median(others)
    return Expected(middle, middle, 0.02 * abs(middle))


def _sizes(sheet: Sheet, entry: Reading) -> Iterator[float]:
    try:
        number, own = split_unit(entry.typed)
        yield float(read_decimal(number) * LENGTH_UNITS[own or entry.unit or sheet.unit])
    except (NotANumber, KeyError):
        return


def _fits(number: str, unit: str, near: Expected) -> bool:
    room = max(_WEAR * near.wear, _SHARE * abs(near.high))
    try:
        value = float(read_decimal(number) * LENGTH_UNITS[unit])
    except NotANumber:
        return False
    return near.low - room <= value <= near.high + room


def with_mark_moved(number: str, places: int) -> str:
    """A number as typed with its decimal mark moved to the right; its digits stay.

    >>> with_mark_moved("580.12", -1), with_mark_moved("5,8012", 1), with_mark_moved("58012", -3)
    ('58.012', '58,012', '58.012')
    """
    mark = "," if "," in number else "."
    sign = "-" if number[:1] in ("-", "−") else ""
    whole, _, part = number.lstrip("+-−").partition(mark)
    digits, at = whole + part, len(whole) + places
    digits = "0" * max(0, 1 - at) + digits
    at = max(1, at)
    digits = digits.ljust(at, "0")
    head = digits[:at].lstrip("0") or "0"
    return sign + head + (mark + digits[at:] if len(digits) > at else "")
