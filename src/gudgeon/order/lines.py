"""Needs brought together into the lines of one order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

#: Notes that go with every order of shells.
KEEP_POSITIONS: Final = (
    "Shells belong to their positions: mark each one with its place as it comes out of its packet."
)


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that has to be bought, and where it goes.

    Attributes:
        what: the part, as one would order it. size: size, grade or mark; empty where there is one.
        place: address, with the half of a shell; empty where the part has no place of its own.
        price: of one, in the sheet's currency; none where it is not known.
        reason: why it is needed. count: how many; none where that is not stated.
        source: page of the manual.
        positioned: whether it must never be ordered or fitted without its place.
    """

    what: str
    size: str
    place: str
    price: float | None
    reason: str
    count: int | None = 1
    source: str = ""
    positioned: bool = False

    def __post_init__(self) -> None:
        if self.positioned and not self.place:
            raise ValueError(f"{self.what} {self.size} needs the place it is for")
        if self.count is not None and self.count < 1:
            raise ValueError(f"{self.what} {self.size}: a count of {self.count} is no need")


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the order: alike needs, counted.

    Attributes:
        what, size: as in `Need`. count: how many; none where that is not stated.
        places: for which, in the order they came.
        price: of one; none where it is not known. reasons: why, each once.
    """

    what: str
    size: str
    count: int | None
    places: tuple[str, ...]
    price: float | None
    reasons: tuple[str, ...]

    @property
    def total(self) -> float | None:
        """Price of the line, to a hundredth; none where price or count is not known."""
        if self.price is None or self.count is None:
            return None
        return round(self.price * self.count, 2)

    @property
    def named(self) -> str:
        """What it is, with its size."""
        return f"{self.what} {self.size}".strip()


@dataclass(frozen=True, slots=True)
class Order:
    """What to buy for one job.

    Attributes:
        job: its name. currency: shown before prices. lines: what to buy.
        also: worth having besides, not counted in the total. notes: what must be said with it.
    """

    job: str
    currency: str
    lines: tuple[OrderLine, ...]
    also: tuple[OrderLine, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Sum of the lines whose price is known."""
        return round(sum(line.total for line in self.lines if line.total is not None), 2)

    @property
    def unpriced(self) -> int:
        """How many lines have no price."""
        return sum(line.price is None for line in self.lines)

    @property
    def at_least(self) -> bool:
        """Whether the whole costs more than the total: a price or a count is not known."""
        return any(line.total is None for line in self.lines)


def combined(needs: Iterable[Need]) -> tuple[OrderLine, ...]:
    """Needs of the same part, size and price as one line each, in the order they first came.

    >>> lines = combined([
    ...     Need("shim", "1.750", "valve/1/in/L", 9.0, "pick"),
    ...     Need("shim", "1.775", "valve/1/in/R", 9.0, "pick"),
    ...     Need("shim", "1.750", "valve/2/in/R", 9.0, "pick"),
    ... ])
    >>> [(line.size, line.count, line.places, line.total) for line in lines]
    [('1.750', 2, ('valve/1/in/L', 'valve/2/in/R'), 18.0), ('1.775', 1, ('valve/1/in/R',), 9.0)]
    """
    alike: dict[tuple[str, str, float | None, bool], list[Need]] = {}
    for need in needs:
        key = (need.what, need.size, need.price, need.count is None)
        alike.setdefault(key, []).append(need)
    return tuple(
        OrderLine(
            what,
            size,
            None if unstated else sum(need.count or 0 for need in group),
            tuple(dict.fromkeys(need.place for need in group if need.place)),
            price,
            tuple(dict.fromkeys(need.reason for need in group if need.reason)),
        )
        for (what, size, price, unstated), group in alike.items()
    )


def make_order(
    job: str,
    currency: str,
    needs: Iterable[Need],
    also: Iterable[Need] = (),
    notes: Iterable[str] = (),
) -> Order:
    """The order for a job: alike needs combined, with the notes that go with them.

    Args:
        job: its name. currency: of the prices. needs: what must be bought. also: what is worth
        having besides. notes: further things to say.
    """
    wanted = tuple(needs)
    told = list(notes)
    if any(need.positioned for need in wanted):
        told.append(KEEP_POSITIONS)
    lines = combined(wanted)
    for words, missing in (
        ("Price not given", [line.named for line in lines if line.price is None]),
        ("How many is not stated", [line.named for line in lines if line.count is None]),
    ):
        if missing:
            told.append(f"{words}: {', '.join(dict.fromkeys(missing))}. The sum leaves that out.")
    return Order(job, currency, lines, combined(also), tuple(told))
