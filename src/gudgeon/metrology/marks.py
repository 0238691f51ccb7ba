"""Marks on shims, decoded and held against the micrometer."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from gudgeon.metrology.instruments import Cabinet, moment
from gudgeon.metrology.measured import Measured
from gudgeon.numbers import NotANumber, read_decimal, read_length

if TYPE_CHECKING:
    from gudgeon.sheet.select import Marking, Shims

#: Mark and micrometer further apart than this [mm]: the shim is mis-marked, worn or misread.
#: Common practice, no source.
MARK_DIFFERS: Final = 0.015
#: Half-width by which a shim may differ from its mark [mm] where the sheet says nothing.
MARK_TOLERANCE: Final = 0.010
_QUARTERS: Final = {"0": 0.0, "2": 0.025, "5": 0.050, "8": 0.075}


def decode(
    mark: str, rule: Marking, least: float | None = None, most: float | None = None
) -> float | None:
    """The thickness [mm] a mark stands for; none where the rule gives it no meaning.

    `least` and `most` [mm] bound the series: a mark of two digits leaves its millimetre out, and
    the first that lies within them is meant.

    >>> decode("178", "quarters"), decode("65", "quarters"), decode("1775", "thousandths")
    (1.775, 1.65, 1.775)
    >>> decode("65", "quarters", 2.3, 3.2), decode("177", "quarters")
    (2.65, None)
    """
    plain = mark.strip()
    if rule == "millimetres":
        try:
            value = float(read_decimal(plain))
        except NotANumber:
            return None
        return value if value > 0.0 else None
    if not re.fullmatch(r"[0-9]{2,5}", plain, re.ASCII):
        return None
    if rule == "thousandths":
        return int(plain) / 1000.0
    if len(plain) == 2:
        found = [_three(f"{mm}{plain}", rule) for mm in range(1, 10)]
        inside = [
            value
            for value in found
            if value is not None and (least or 0.0) <= value <= (most or math.inf)
        ]
        return inside[0] if inside else found[0]
    return _three(plain, rule)


def _three(digits: str, rule: Marking) -> float | None:
    if rule == "hundredths":
        return int(digits) / 100.0
    end = _QUARTERS.get(digits[-1])
    return None if end is None else round(int(digits[:-1]) / 10.0 + end, 3)


@dataclass(frozen=True, slots=True)
class Thickness:
    """A shim's thickness.

    Attributes:
        value: by the micrometer where there is a reading, else by its mark [mm].
        measured: whether by the micrometer. marked: by its mark [mm], if that has a meaning.
        typed: as read. difference: micrometer less mark [mm], where there are both.
    """

    value: Measured
    measured: bool
    marked: float | None
    typed: str
    difference: float | None

    @property
    def disagrees(self) -> bool:
        """Whether mark and micrometer are further apart than a sound shim's."""
        return self.difference is not None and abs(self.difference) > MARK_DIFFERS


def thickness(
    spec: Shims | None,
    cabinet: Cabinet,
    entry: str,
    at: str,
    mark: str | None,
    typed: str | None,
    unit: str | None,
    instrument: str | None,
) -> Thickness | None:
    """The thickness of a shim by its reading, else by its mark; none where neither tells.

    A shim is steel and so is the micrometer, and it is thin: 10 °C change it by 0.0003 mm at
    most, so it is not corrected to 20 °C.

    Args:
        spec: the sheet's shims. cabinet: the instruments. entry: id of the entry. at: its time.
        mark, typed, unit, instrument: as the entry has them; `unit` is mm where none is named.

    Raises NotANumber for a reading that is none.
    """
    marked = None if mark is None else _by_mark(mark, spec)
    if typed is not None:
        read = read_length(typed, unit or "mm")
        usual = "micrometer-0.001" if read.decimals > 2 else "micrometer-0.01"
        owned = cabinet.find(instrument, usual, "size", None)
        if owned.kind.name in ("feeler", "scales"):
            owned = cabinet.find(None, usual, "size", None)
        figures, zero = owned.figures(read), owned.zero_at(moment(at))
        step = 10.0**-read.decimals if read.unit == "mm" else figures.division
        own = max(figures.reading, min(step, figures.division) / math.sqrt(12.0))
        value = float(read) - (zero.error if zero else 0.0)
        parts = {
            owned.source(zero): zero.u if zero else figures.setting,
            f"reading:{entry}": own,
        }
        difference = None if marked is None else value - marked
        return Thickness(Measured(value, parts), True, marked, str(read), difference)
    if marked is None:
        return None
    stated = [s.tolerance for s in spec.series if s.tolerance is not None] if spec else []
    spread = float(max(stated)) if stated else MARK_TOLERANCE
    by_mark = Measured.of(marked, spread / math.sqrt(3.0), f"mark:{entry}")
    return Thickness(by_mark, False, marked, f"mark {mark}", None)


def _by_mark(mark: str, spec: Shims | None) -> float | None:
    if spec is None or spec.marking is None:
        return None
    least = min((float(s.from_) for s in spec.series if s.from_ is not None), default=None)
    most = max((float(s.to) for s in spec.series if s.to is not None), default=None)
    return decode(mark, spec.marking, least, most)
