"""One input of a calculation: what it may be, how it is read, and what is said of a wrong one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from gudgeon.calc.quantities import Quantity, read_quantity
from gudgeon.calc.units import KINDS
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import NotANumber, read_whole, shown

Value = object
"""A `Quantity`, a word of a closed list, a whole number, or what an option's own reader made."""

MOST_SEVERAL: Final = 12
_TIMES: Final = {1: "once", 2: "twice"}


@dataclass(frozen=True, slots=True)
class Option:
    """One input of a calculation.

    Attributes:
        name: as typed after ``--``. what: a phrase that follows "give". example: a value, or
            values.
        kind: a key of `KINDS`; ``choice`` with `choices`; ``count`` for a whole number; ``name``
            for something known by name, which `reader` makes of the text.
        parameters: what the formula calls it; two where the option may be repeated, and the last
            one given then stands for the rest.
        least: how many times it must be given, 0 if it may be left out.
        above, lowest, highest: bounds in the core unit; the first excluded, the others included.
        several: any number of values, which the formula takes as one tuple.
        reader: for a ``name``: the text and where it stands, to its value or Unusable.
    """

    name: str
    what: str
    example: str
    kind: str = "length"
    parameters: tuple[str, ...] = ()
    least: int = 1
    above: float = -math.inf
    lowest: float = -math.inf
    highest: float = 10_000.0
    choices: tuple[str, ...] = ()
    several: bool = False
    reader: Callable[[str, str], Value] | None = None

    @property
    def where(self) -> str:
        """How a fault names it."""
        return f"--{self.name}"

    @property
    def keys(self) -> tuple[str, ...]:
        """The parameters of the formula that it fills."""
        return self.parameters or (self.name.replace("-", "_"),)

    @property
    def most(self) -> int:
        """How many times it may be given."""
        return MOST_SEVERAL if self.several else len(self.keys)

    @property
    def examples(self) -> list[str]:
        """What to type for it, as often as it must be given."""
        return self.example.split() if self.several else [self.example] * max(self.least, 1)

    def read(self, text: str) -> Value:
        """The value in `text`. Raises Unusable, naming this option."""
        if self.reader is not None:
            return self.reader(text, self.where)
        if self.kind == "choice":
            if text not in self.choices:
                right = f"give {' or '.join(self.choices)}"
                raise Unusable(Fault(self.where, f"{shown(text)} is not one of them", right))
            return text
        if self.kind == "count":
            try:
                return read_whole(text, int(self.lowest), int(self.highest))
            except NotANumber as problem:
                raise problem.at(self.where) from None
        quantity = read_quantity(text, self.kind, self.where)
        self._check(quantity, text)
        return quantity

    def _check(self, quantity: Quantity, text: str) -> None:
        if quantity.value <= self.above:
            bound = f"more than {self.above:g}"
        elif quantity.value < self.lowest:
            bound = f"no less than {self.lowest:g}"
        elif quantity.value > self.highest:
            bound = f"at most {self.highest:g}"
        else:
            return
        wrong = f"{shown(text)} can't be {self.what}"
        right = f"give {bound} {KINDS[self.kind].core}".rstrip()
        raise Unusable(Fault(self.where, wrong, f"{right}, as in {self.example}"))

    def wrong_count(self, count: int) -> Fault:
        """The fault of giving it `count` times."""
        quoted = " " in self.example and not self.several
        example = f'"{self.example}"' if quoted else self.example
        right = f"give {self.what}, as in {self.where} {example}"
        if count == 0:
            return Fault(self.where, "is missing", right)
        wrong = f"is given {_TIMES.get(count, f'{count} times')}"
        if count < self.least and self.several:
            return Fault(self.where, wrong, f"{right}, {self.least} of them or more")
        if count < self.least:
            return Fault(
                self.where, wrong, f"{right}, {_TIMES.get(self.least, f'{self.least} times')}"
            )
        return Fault(
            self.where, wrong, f"give it {_TIMES.get(self.most, f'{self.most} times')} at most"
        )
