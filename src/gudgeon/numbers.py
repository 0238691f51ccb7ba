"""Numbers as people type them: decimal mark, unit and all, kept as typed beside the core value.

A length is a float in millimetres that remembers its text, so 81.000 stays 81.000 on paper.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, Final

from gudgeon.faults import Fault, Unusable

#: Millimetres in one unit of length. A "tenth" is 0.1 mm to one person and 0.0001 in to another,
#: so the word is never accepted.
LENGTH_UNITS: Final[dict[str, Decimal]] = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "um": Decimal("0.001"),
    "µm": Decimal("0.001"),
    "μm": Decimal("0.001"),
    "in": Decimal("25.4"),
    '"': Decimal("25.4"),
    "inch": Decimal("25.4"),
    "thou": Decimal("0.0254"),
}
VOLUME_UNITS: Final[dict[str, Decimal]] = {
    "cc": Decimal(1),
    "cm3": Decimal(1),
    "ml": Decimal(1),
    "l": Decimal(1000),
    "L": Decimal(1000),
    "cu in": Decimal("16.387064"),
    "in3": Decimal("16.387064"),
}
LARGEST: Final = Decimal(1_000_000)
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII)
#: A number as one would type it, whose power of ten has more digits than any that is of use.
_HUGE = re.compile(r"[+-]?(?:\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})[eE]\+?\d{3,9}", re.ASCII)
#: Letters that stand among the digits of a number, as l for 1; but cm3 and in2 are units.
_LETTERS_IN = re.compile(
    r"(?![A-Za-z]+[23](?:\s|$))[A-Za-z]{1,2}(?:[.,][0-9]|[0-9]).*", re.ASCII | re.DOTALL
)
_SPLIT = re.compile(r"\s*([+\-−]?[0-9.,]+(?:[eE][+\-]?[0-9]+)?)\s*(.*?)\s*", re.ASCII | re.DOTALL)


class NotANumber(ValueError):
    """Text that can't be read as a number; carries what would be right.

    Attributes:
        wrong: what is wrong. right: what would be right.
    """

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}, {right}")
        self.wrong = wrong
        self.right = right

    def at(self, where: str) -> Unusable:
        """The same problem as an error that says where."""
        return Unusable(Fault(where, self.wrong, self.right))


def shown(text: object, most: int = 40) -> str:
    """The text in quotes, cut where it is too long to show, with nothing that moves a cursor."""
    plain = "".join(c if c.isprintable() else "?" for c in str(text)[: most + 1])
    return f"'{plain[:most]}…'" if len(plain) > most else f"'{plain}'"


def read_decimal(text: str) -> Decimal:
    """The number in `text`, with a decimal point or a decimal comma.

    Raises:
        NotANumber: not a finite number of sensible size and length, or a mark that may be either
            a decimal or a thousands mark.

    >>> read_decimal("1,850"), read_decimal("−0.02"), read_decimal(" 81.000 ")
    (Decimal('1.850'), Decimal('-0.02'), Decimal('81.000'))
    """
    plain = text.strip().replace("−", "-")
    if "," in plain:
        if "." in plain or plain.count(",") > 1:
            raise NotANumber(
                f"{shown(text)} has more than one decimal mark", "write it like 1234.5"
            )
        plain = plain.replace(",", ".")
    if _HUGE.fullmatch(plain):
        raise NotANumber(f"{shown(text)} is far too large", "check the digits")
    if len(plain) > 30 or not _NUMBER.fullmatch(plain):
        raise NotANumber(f"{shown(text)} is not a number", "write it like 1.850 or 1,850")
    value = Decimal(plain)
    if abs(value) > LARGEST:
        raise NotANumber(f"{shown(text)} is far too large", "check the digits")
    return value


def read_whole(text: str, least: int = 0, most: int = 1_000_000) -> int:
    """The whole number in `text`, between `least` and `most`.

    Raises:
        NotANumber: not a whole number, or outside the bounds.
    """
    value = read_decimal(text)
    if value != value.to_integral_value() or not least <= value <= most:
        raise NotANumber(
            f"{shown(text)} is not a whole number from {least} to {most}",
            "write it in plain digits",
        )
    return int(value)


def split_unit(text: str) -> tuple[str, str]:
    """The number and the unit of a quantity as typed; the unit is empty where none was given.

    Raises:
        NotANumber: the text does not begin with a number.

    >>> split_unit("1.8901 in"), split_unit("0,05mm"), split_unit("18")
    (('1.8901', 'in'), ('0,05', 'mm'), ('18', ''))
    """
    match = _SPLIT.fullmatch(text) if len(text) <= 80 else None
    if match is None:
        raise NotANumber(f"{shown(text)} is not a number", "write it like 1.850 or 1.850 mm")
    if match.end(1) == match.start(2) and _LETTERS_IN.fullmatch(match.group(2)):
        raise NotANumber(
            f"{shown(text)} has letters among its digits", "write it like 1.850 or 1.850 mm"
        )
    return match.group(1), match.group(2)


class Length(float):
    """A length [mm] that remembers how it was typed.

    Attributes:
        typed: the number as typed, without its unit.
        unit: the unit it was typed in.
    """

    typed: str
    unit: str
    __slots__ = ("typed", "unit")

    def __new__(cls, value_mm: float, typed: str = "", unit: str = "mm") -> Length:
        made = super().__new__(cls, value_mm)
        made.typed = typed or format(value_mm, "g")
        made.unit = unit
        return made

    @property
    def decimals(self) -> int:
        """Digits after the decimal mark, as typed."""
        return len(self.typed.replace(",", ".").partition(".")[2])

    def __str__(self) -> str:
        return self.typed if self.unit == "mm" else f"{self.typed} {self.unit}"

    def __reduce__(self) -> tuple[Any, ...]:
        return (Length, (float(self), self.typed, self.unit))


def read_length(text: str, unit: str = "mm") -> Length:
    """A length as typed, in `unit` where the text names none.

    Raises:
        NotANumber: not a number, or a unit of length that is not known.

    >>> read_length("1.8901 in"), read_length("81.000").typed
    (48.00854, '81.000')
    """
    number, own = split_unit(text)
    name = own or unit
    factor = LENGTH_UNITS.get(name)
    if factor is None:
        raise NotANumber(
            f"{shown(name)} is not a unit of length",
            "use mm, um, in or thou",
        )
    value = read_decimal(number)
    return Length(float(value * factor), number.replace("−", "-"), name)


def read_volume(text: str) -> float:
    """A volume [cm3] as typed, in cubic centimetres where the text names no unit.

    Raises:
        NotANumber: not a number, or a unit of volume that is not known.

    >>> read_volume("798 cc"), round(read_volume("50 cu in"), 1)
    (798.0, 819.4)
    """
    number, own = split_unit(text)
    factor = VOLUME_UNITS.get(own or "cc")
    if factor is None:
        raise NotANumber(f"{shown(own)} is not a unit of volume", "use cc, ml, l or cu in")
    return float(read_decimal(number) * factor)
