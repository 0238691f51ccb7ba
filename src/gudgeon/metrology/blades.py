"""A gap between the largest blade that goes and the smallest that will not.

The truth lies between the two; half the interval over √3 is its standard uncertainty, and the
feel of the hand comes on top: one part that all readings of the set share, one of each reading.
Repeating with the same two blades finds the same interval, so it never averages out.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.instruments import Owned
from gudgeon.metrology.measured import Measured
from gudgeon.numbers import Length, NotANumber, read_length

#: The usual step between blades [mm]: what stands for the blade that was not tried.
USUAL_STEP: Final = 0.02
ONE_BLADE: Final = "only the blade that goes was read; the one that will not go would say more"
ONE_BLADE_DRAGS: Final = (
    "one blade, dragging: the gap is taken as its thickness, give or take half a step"
)


class Blades(NamedTuple):
    """A gap as blades tell it.

    Attributes:
        value: with its error sources [mm]; none where no blade went in.
        below: the gap is smaller than this [mm], where no blade went in.
        typed: as typed. decimals: digits of a millimetre. notes: what had to be assumed.
    """

    value: Measured | None
    below: float | None
    typed: str
    decimals: int
    notes: tuple[str, ...]


def blades(
    goes: str | None,
    wont: str | None,
    feel: str | None,
    unit: str,
    owned: Owned,
    entry: str,
    at: str = "",
) -> Blades | Fault:
    """The gap, or what is wrong with the blades as typed.

    Args:
        goes, wont: thickness as typed, in `unit` where the text names none.
        feel: free, drag or tight. owned: the set of blades. entry: id of the entry.
        at: which gap it is; repeats of one gap with the same blades share their interval.

    "0.13 goes, 0.15 will not" is 0.14 ± 0.01, not 0.13:

    >>> from gudgeon.metrology.kinds import KINDS
    >>> found = blades("0.13", "0.15", None, "mm", Owned("feeler", KINDS["feeler"]), "e1")
    >>> round(found.value.value, 3), round(found.value.u, 4)
    (0.14, 0.0083)
    """
    where = f"entry {entry}"
    try:
        low = None if goes is None else read_length(goes, unit)
        high = None if wont is None else read_length(wont, unit)
    except NotANumber as problem:
        return Fault(where, problem.wrong, problem.right)
    if low is None and high is None:
        return Fault(where, "no blade is named", "give the blade that goes and the one that won't")
    if (low is not None and low < 0.0) or (high is not None and high <= 0.0):
        return Fault(where, "a blade has no thickness", "type it again")
    if low is not None and high is not None and low > high:
        return Fault(
            where,
            f"{low} goes and {high} will not: the blade that goes is the thicker one",
            "exchange the two, or read it again",
        )
    if low is not None and low > 0.0:
        return _between(low, high, feel, owned, entry, at)
    return _no_gap(high)


def _no_gap(high: Length | None) -> Blades:
    if high is None:
        return Blades(None, 0.0, "0", 2, ("no gap at all: held open",))
    note = f"no gap that a blade of {high} finds: held open, or tighter than that"
    return Blades(None, float(high), f"{high} won't", _decimals(high), (note,))


def _between(
    low: Length, high: Length | None, feel: str | None, owned: Owned, entry: str, at: str
) -> Blades:
    notes: tuple[str, ...] = ()
    if high is None:
        typed = f"{low} goes" + (f", {feel}" if feel else "")
        if feel in ("drag", "tight"):
            lower, upper, notes = low - USUAL_STEP / 2, low + USUAL_STEP / 2, (ONE_BLADE_DRAGS,)
        else:
            lower, upper, notes = float(low), low + USUAL_STEP, (ONE_BLADE,)
    elif low == high:
        typed = f"{low} goes and won't"
        lower, upper, notes = (
            low - USUAL_STEP / 4,
            low + USUAL_STEP / 4,
            ("the same blade goes and will not: it just goes",),
        )
    else:
        typed = f"{low} goes" + (f" ({feel})" if feel else "") + f", {high} won't"
        lower, upper = float(low), float(high)
    middle = (lower + upper) / 2.0
    figures = owned.figures(middle)
    parts = {
        owned.source(None): figures.setting,
        f"reading:{entry}": figures.reading,
        f"blades:{at or entry}/{lower:.3f}-{upper:.3f}": (upper - lower) / 2.0 / math.sqrt(3.0),
    }
    decimals = max(_decimals(low), 0 if high is None else _decimals(high))
    if abs(middle - round(middle, decimals)) > 1e-9:
        decimals += 1
    return Blades(Measured(middle, parts), None, typed, decimals, notes)


def _decimals(length: Length) -> int:
    return 3 if length.unit != "mm" else max(2, length.decimals)
