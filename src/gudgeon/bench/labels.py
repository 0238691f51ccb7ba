"""Labels for trays: which places, on which paper, and the address that scanning one opens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from gudgeon.bench.config import Config


@dataclass(frozen=True, slots=True)
class Stock:
    """Labels to print on: a roll, or a sheet of A4 cut into a grid.

    Attributes:
        key: in the address and the styles. width, height: of one label [mm].
        across, down: labels on a sheet; 1 and 1 on a roll.
        left, top: margins of the sheet [mm]. gap: between columns [mm].
    """

    key: str
    width: float
    height: float
    across: int = 1
    down: int = 1
    left: float = 0.0
    top: float = 0.0
    gap: float = 0.0

    @property
    def roll(self) -> bool:
        """Whether each label is a page of its own."""
        return self.across * self.down == 1


#: Sizes in common use; common practice, no source. `static/labels.css` has the same, and a test
#: holds the two together.
STOCKS: Final = (
    Stock("roll-50x30", 50, 30),
    Stock("roll-57x32", 57, 32),
    Stock("roll-70x40", 70, 40),
    Stock("roll-100x50", 100, 50),
    Stock("a4-3x8", 70, 37, 3, 8, 0, 0.5),
    Stock("a4-3x7", 63.5, 38.1, 3, 7, 7.25, 15.15, 2.5),
    Stock("a4-2x7", 99.1, 38.1, 2, 7, 4.65, 15.15, 2.5),
)
#: Most labels that are laid out at once.
MOST: Final = 300


@dataclass(frozen=True, slots=True)
class Label:
    """One label: what stands on it, and what its code opens."""

    job: str
    place: str
    words: str
    address: str


def stock_of(key: str) -> Stock:
    """The stock of a name; the first where there is none."""
    return next((item for item in STOCKS if item.key == key), STOCKS[0])


def tray_address(config: Config, job: str, place: str) -> str:
    """What the code on a tray says: short, so that the code is coarse and easily read.

    >>> tray_address(Config(), "triple", "valve/1/in/L")
    'http://localhost:7340/t/triple/valve/1/in/L'
    """
    host = config.addresses[0] if config.lan and config.addresses else "localhost"
    return f"{config.address(host)}/t/{quote(job, safe='')}/{quote(place)}"


def on_paper(labels: Sequence[Label], stock: Stock, first: int) -> list[list[Label | None]]:
    """Labels page by page; on a sheet that was begun before, the used ones are left free.

    Args:
        labels: what to print. stock: on what. first: the first free label of the sheet, from 1.

    >>> made = [Label("j", str(n), "", "") for n in range(4)]
    >>> [[x and x.place for x in page] for page in on_paper(made, Stock("a", 1, 1, 2, 2), 3)]
    [[None, None, '0', '1'], ['2', '3']]
    """
    size = stock.across * stock.down
    free = 0 if stock.roll else max(0, min(size - 1, first - 1))
    every: list[Label | None] = [*([None] * free), *labels]
    return [every[at : at + size] for at in range(0, len(every), size)]
