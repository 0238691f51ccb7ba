"""A sheet, one section at a time, to fill in with the manual beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.sheets.folder import SheetFolder, digest
from gudgeon.bench.sheets.judged import judge
from gudgeon.bench.sheets.pinned import Pinned, every_pinned
from gudgeon.bench.sheets.showing import Shown, show
from gudgeon.bench.state import Ask
from gudgeon.sheet.describe import lines_of

TEXT: Final = "text"
DONE: Final = "done"


@dataclass(frozen=True, slots=True)
class SheetPage:
    """The page.

    Attributes:
        file, engine, sha256, unit: of the sheet. part: what is shown: a section, `text`, `done`.
        usable: whether a job could be judged by it. plain: whether it is YAML at all.
        shown: the section. text: the whole. lines: what it says, in words.
        jobs: jobs pinned to this file. others: sheets to copy from.
    """

    file: str
    engine: str
    sha256: str
    unit: str
    part: str
    usable: bool
    plain: bool
    shown: Shown
    text: str
    lines: tuple[str, ...]
    jobs: tuple[Pinned, ...]
    others: tuple[str, ...]


def view(ask: Ask) -> SheetPage:
    """The section of the sheet that the address names."""
    folder, name = SheetFolder(ask.bench.folder), ask.parts["file"]
    sheet = folder.read(name)
    judged = judge(sheet.text, name)
    part = ask.query.get("part", "")
    if judged.raw is None:
        part = TEXT
    shown = show(judged, part)
    usable = judged.loaded is not None
    loaded = judged.loaded
    return SheetPage(
        name,
        loaded.sheet.engine.name if loaded is not None else "",
        digest(sheet.text),
        judged.unit,
        part if part in (TEXT, DONE) else shown.at,
        usable,
        isinstance(judged.raw, dict),
        shown,
        sheet.text if part == TEXT else "",
        tuple(lines_of(loaded.sheet)) if loaded is not None and part == DONE else (),
        tuple(item for item in every_pinned(ask.bench.store) if item.file == name),
        tuple(item for item in folder.names() if item != name),
    )


PAGE: Final = Page("sheet", "/sheets/{file}", view, script=True)
