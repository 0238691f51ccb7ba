"""Quantities as typed: "0.05 mm", "1,850", "300 lbf*in", "1.850 +- 0.003 mm"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from gudgeon.calc.units import KINDS, to_core, unit_of_kind
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import NotANumber, read_decimal, shown, split_unit

_SIGMA = re.compile(r"\s*(?:\+\s*/?\s*[-−]|±)\s*")
_FRACTION = re.compile(r"\s*([0-9]{1,6})\s*/\s*([0-9]{1,6})\s*", re.ASCII)
_LIKE = "write it like 1.850 +- 0.003 mm"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit, in the core unit of its kind.

    Attributes:
        value: in the core unit. u: standard uncertainty in the core unit, None where not given.
        typed: the number as typed, with a decimal point. unit: as typed; the core unit if none.
        kind: a key of `KINDS`.
    """

    value: float
    u: float | None
    typed: str
    unit: str
    kind: str

    @property
    def decimals(self) -> int | None:
        """Digits after the point where typed plainly in the core unit, else None."""
        if self.unit != KINDS[self.kind].core or "e" in self.typed.lower():
            return None
        return len(self.typed.partition(".")[2])

    def __str__(self) -> str:
        """The number in its core unit, as typed where it was typed so."""
        return self.typed if self.unit == KINDS[self.kind].core else f"{self.value:.10g}"

    def as_json(self) -> dict[str, object]:
        """The quantity for JSON: core value and unit, and what was typed."""
        answer: dict[str, object] = {"value": self.value, "unit": KINDS[self.kind].core}
        if self.u is not None:
            answer["u"] = self.u
        return answer | {"typed": f"{self.typed} {self.unit}".strip()}


def read_quantity(text: str, kind: str, where: str) -> Quantity:
    """The quantity in `text`, in the core unit of `kind` where it names none.

    A plain number may be a fraction of whole ones, as in 20/30. What follows ``+-`` or ``±`` is
    one standard uncertainty, in the same unit unless it names another.

    Raises Unusable, naming `where`: not a number, a unit unknown or of another kind, an
    uncertainty below 0.

    >>> read_quantity("0.05 in", "length", "--normal").value
    1.27
    >>> read_quantity("1,850 +- 0,003 mm", "length", "--old").u
    0.003
    """
    plain = text.strip()
    fraction = _FRACTION.fullmatch(plain) if kind == "number" else None
    if fraction is not None:
        return _divided(fraction, where)
    if plain.startswith("(") and _SIGMA.search(plain):  # (1.850 +- 0.003) mm
        plain = plain[1:].replace(")", "", 1)
    number, *rest = _SIGMA.split(plain)
    if len(rest) > 1:
        raise Unusable(Fault(where, f"{shown(text)} has two +-", _LIKE))
    value, own = _split(number, where)
    spread, spread_own = _split(rest[0], where) if rest else (None, "")
    name = own or spread_own or KINDS[kind].core
    unit = unit_of_kind(name, kind, where)
    u = None
    if spread is not None:
        if spread < 0:
            raise Unusable(Fault(where, f"{shown(text)} has an uncertainty below 0", _LIKE))
        u = to_core(spread, unit_of_kind(spread_own or name, kind, where), kind, step=True)
    typed = split_unit(number)[0].replace("−", "-").replace(",", ".")
    return Quantity(to_core(value, unit, kind), u, typed, name, kind)


def _divided(fraction: re.Match[str], where: str) -> Quantity:
    over, under = int(fraction[1]), int(fraction[2])
    if under == 0:
        raise Unusable(Fault(where, f"{shown(fraction[0])} divides by 0", "write it like 20/30"))
    return Quantity(over / under, None, f"{over}/{under}", "", "number")


def _split(text: str, where: str) -> tuple[Decimal, str]:
    try:
        number, unit = split_unit(text)
        return read_decimal(number), unit
    except NotANumber as problem:
        raise problem.at(where) from None
