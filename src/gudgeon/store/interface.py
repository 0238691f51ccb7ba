"""What a store does, whatever it is built on: five functions."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Final, NamedTuple, Protocol

from gudgeon.faults import Conflict, Fault, GudgeonError

#: Name of the log that all engines share. No job can have it: a job's name begins with a letter
#: or a digit.
SHOP_LOG: Final = "@shop"


class Appended(NamedTuple):
    """What an append did: entries stored, and entries that were there already."""

    stored: int
    already: int


class Grown(GudgeonError):
    """The log grew since it was read; nothing was written. Read it again and decide anew."""


class Store(Protocol):
    """Logs of entries. An entry is its body: canonical JSON, as `gudgeon.log.canon` writes it."""

    def append(self, log: str, bodies: Sequence[str], expected: int | None = None) -> Appended:
        """Store entries, all or none; they are on the disk when this returns.

        An entry whose id is there with the same bytes changes nothing.

        Args:
            log: name of the log.
            bodies: the entries.
            expected: how many entries the log held when the caller read it, if that matters.

        Raises:
            Conflict: an id is there with other bytes, or comes twice with different ones.
            Grown: the log holds more than `expected`.
            Unusable: the store can't be opened or written.
        """
        ...

    def read(self, log: str, kinds: Collection[str] = (), after: int = 0) -> tuple[str, ...]:
        """The entries of a log in the order they were stored, of some kinds or of all.

        Args:
            log: name of the log. kinds: only these. after: leave out so many, the oldest ones.

        Raises:
            Unusable: the store can't be read.
        """
        ...

    def logs(self) -> tuple[str, ...]:
        """Names of the logs, sorted.

        Raises:
            Unusable: the store can't be read.
        """
        ...

    def backup(self, file: Path) -> None:
        """Write a whole and consistent copy to `file`, while others may go on writing.

        Raises:
            Unusable: the file is there, or can't be written.
        """
        ...

    def check(self) -> tuple[Fault, ...]:
        """Everything wrong with what is stored; nothing if all is well.

        Raises:
            Unusable: the store can't be read at all.
        """
        ...


def conflict(log: str, entry: str) -> Conflict:
    """The refusal of an id that was used before for something else."""
    name = "the shop" if log == SHOP_LOG else log
    return Conflict(
        Fault(
            entry,
            f"{name} has another entry of this id, and the two differ",
            "give the new one an id of its own",
        )
    )
