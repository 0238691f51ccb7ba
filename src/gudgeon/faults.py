"""What is wrong, where, and what would be right: problems as values, and one error root.

GudgeonError
└── Unusable        input that can't be used; carries one or more faults; exit status 2
    └── Conflict    the same id was used before for something else; nothing was written
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One problem in what was given.

    Attributes:
        where: the place, as `file:line:column`, `file:line`, an option (`--shim`) or a log entry.
        wrong: what is wrong, with the text that was read.
        right: what would be right.

    >>> print(Fault("triple.yaml:12:9", "'1.2.3' is not a number", "write it like 1.23"))
    triple.yaml:12:9: '1.2.3' is not a number, write it like 1.23
    """

    where: str
    wrong: str
    right: str

    def __str__(self) -> str:
        return f"{self.where}: {self.wrong}, {self.right}"


class GudgeonError(Exception):
    """Root of every error this package raises on purpose."""


class Unusable(GudgeonError):
    """Input that can't be used. Nothing was written.

    Attributes:
        faults: every fault found, in the order of the input.
    """

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class Conflict(Unusable):
    """An id that was used before stands for other content; both stay as they are."""
