"""Settings of the shop and of a job: what may be set, and what is in force.

Every room declares the settings it rests on as a table, name -> `Known`. A setting in the job's log
goes before one in the shop's, and that before the default. What can't be used becomes a fault, and
the default stands in its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gudgeon.faults import Fault
from gudgeon.numbers import NotANumber, read_decimal, shown


@dataclass(frozen=True, slots=True)
class Known:
    """A setting that some room makes use of: a number, or a word from a list.

    Attributes:
        default: its value when nobody set it, as one would type it. meaning: in words.
        least, most: bounds of a number. choices: the words, where it is none.
    """

    default: str
    meaning: str
    least: float = 0.0
    most: float = 0.0
    choices: tuple[str, ...] = ()

    @property
    def right(self) -> str:
        """What it may be set to."""
        if self.choices:
            *others, last = self.choices
            return f"set {', '.join(others)} or {last}"
        return f"set a number from {self.least:.15g} to {self.most:.15g}"

    def number(self, typed: str) -> float:
        """A number as typed.

        Raises:
            NotANumber: it is none, or outside its bounds.

        >>> Known("2", "the factor k", 1.0, 4.0).number("2,5")
        2.5
        """
        try:
            value = float(read_decimal(typed))
        except NotANumber as problem:
            raise NotANumber(problem.wrong, self.right) from None
        if not self.least <= value <= self.most:
            wrong = f"{shown(typed)} is not from {self.least:.15g} to {self.most:.15g}"
            raise NotANumber(wrong, self.right)
        return value

    def choice(self, typed: str) -> str | None:
        """The word that was typed, capitals or not; none where it is not in the list."""
        word = typed.strip().lower()
        return word if word in self.choices else None

    def fault(self, name: str, typed: str) -> Fault | None:
        """What keeps a value from being used; none where nothing does.

        >>> print(Known("2", "the factor k", 1.0, 4.0).fault("coverage", "5"))
        setting coverage: '5' is not from 1 to 4, set a number from 1 to 4
        """
        where = f"setting {name}"
        if self.choices:
            if self.choice(typed) is not None:
                return None
            return Fault(where, f"{shown(typed)} is not one of its words", self.right)
        try:
            self.number(typed)
        except NotANumber as problem:
            return Fault(where, problem.wrong, problem.right)
        return None


@dataclass(frozen=True, slots=True)
class InForce:
    """The settings of a table as they are in force.

    Attributes:
        typed: name -> value as typed, the default where there is none that can be used.
        numbers, words: name -> value. faults: what can't be used.
    """

    typed: Mapping[str, str]
    numbers: Mapping[str, float]
    words: Mapping[str, str]
    faults: tuple[Fault, ...]


def in_force(
    table: Mapping[str, Known], job: Mapping[str, str], shop: Mapping[str, str]
) -> InForce:
    """What holds of a table of settings, by what the logs of a job and its shop set.

    >>> table = {"coverage": Known("2", "the factor k", 1.0, 4.0)}
    >>> in_force(table, {"coverage": "3"}, {"coverage": "2.5"}).numbers
    {'coverage': 3.0}
    """
    typed: dict[str, str] = {}
    faults: list[Fault] = []
    for name, known in table.items():
        value = job.get(name) or shop.get(name) or known.default
        fault = known.fault(name, value)
        if fault is not None:
            faults.append(fault)
        typed[name] = known.default if fault else value
    return InForce(
        typed,
        {name: known.number(typed[name]) for name, known in table.items() if not known.choices},
        {name: known.choice(typed[name]) or "" for name, known in table.items() if known.choices},
        tuple(faults),
    )
