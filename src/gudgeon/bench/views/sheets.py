"""The sheets of the shop: those in its folder, and those that jobs are pinned to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.sheets.folder import SheetFolder
from gudgeon.bench.sheets.pinned import Pinned, every_pinned
from gudgeon.bench.state import Ask
from gudgeon.faults import Unusable
from gudgeon.log.peek import engine_name


@dataclass(frozen=True, slots=True)
class Kept:
    """A sheet in the folder.

    Attributes:
        file, engine: names. jobs: those judged by it as it is. older: those judged by another
            version of it. trouble: why it can't be read.
    """

    file: str
    engine: str
    jobs: tuple[str, ...]
    older: tuple[str, ...]
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class SheetList:
    """The page. alone: sheets that stand in the log of a job only."""

    sheets: tuple[Kept, ...]
    alone: tuple[Pinned, ...]


def view(ask: Ask) -> SheetList:
    """Every sheet of the shop."""
    folder = SheetFolder(ask.bench.folder)
    pinned = every_pinned(ask.bench.store)
    kept = tuple(_kept(folder, name, pinned) for name in folder.names())
    known = {job for item in kept for job in (*item.jobs, *item.older)}
    return SheetList(kept, tuple(item for item in pinned if item.job not in known))


def _kept(folder: SheetFolder, name: str, pinned: tuple[Pinned, ...]) -> Kept:
    try:
        sheet = folder.read(name)
    except Unusable as problem:
        return Kept(name, "", (), (), str(problem.faults[0]))
    same = tuple(item.job for item in pinned if item.sha256 == sheet.sha256)
    older = tuple(p.job for p in pinned if p.file == name and p.sha256 != sheet.sha256)
    return Kept(name, engine_name(sheet.text), same, older)


PAGE: Final = Page("sheets", "/sheets", view, tab="shop")
