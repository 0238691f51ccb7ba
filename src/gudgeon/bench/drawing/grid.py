"""Which cylinder stands where in the plan: banks, rows and columns, from what the sheet says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.record.engine_places import banks_of, cylinder_names, named_side
from gudgeon.sheet.model import Sheet

_SIDES: Final = ("left", "right")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cylinder: its name, and where it stands in the grid of the drawing."""

    name: str
    column: int
    row: int
    bank: str


@dataclass(frozen=True, slots=True)
class Grid:
    """The drawing's grid.

    Attributes:
        cells: the cylinders. columns, rows: how many. upright: whether the crank runs down it.
    """

    cells: tuple[Cell, ...]
    columns: int
    rows: int
    upright: bool


def alone(name: str) -> Grid:
    """One cylinder by itself."""
    return Grid((Cell(name, 0, 0, ""),), 1, 1, False)


def grid_of(sheet: Sheet) -> Grid:
    """Every cylinder of an engine, each bank in a row, or in a column where banks are left and
    right."""
    banks, _ = banks_of(sheet)
    ranked = sorted(banks.items(), key=_rank)
    upright = len(banks) > 1 and any(word in bank.lower() for bank in banks for word in _SIDES)
    turned = named_side(sheet.layout.end) == "right" and not upright
    cells = []
    for number, (bank, members) in enumerate(ranked):
        for index, name in enumerate(members[::-1] if turned else members):
            column, row = (number, index) if upright else (index, number)
            cells.append(Cell(name, column, row, bank.strip()))
    names = cylinder_names(sheet)
    cells.sort(key=lambda cell: names.index(cell.name))
    return Grid(
        tuple(cells),
        1 + max((cell.column for cell in cells), default=0),
        1 + max((cell.row for cell in cells), default=0),
        upright,
    )


def _rank(item: tuple[str, tuple[str, ...]]) -> int:
    """Front or left bank first, as they are seen."""
    low = item[0].lower()
    return 0 if "front" in low or "left" in low else 2 if "rear" in low or "right" in low else 1
