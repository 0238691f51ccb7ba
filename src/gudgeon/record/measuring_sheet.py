"""The measuring sheet: boxes to write readings in by hand, laid out as on the screen."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Any, Final

from gudgeon.record.cautions import INVENTED, SHORT
from gudgeon.record.data import Figure
from gudgeon.record.document import PAPERS, Paper, compile_pages, readied
from gudgeon.record.said import EPOCHS, spoken
from gudgeon.record.views import engine_views
from gudgeon.sheet.features import Feature
from gudgeon.sheet.model import Sheet

#: Most boxes side by side; a plan with more is laid out in pieces.
_MOST_COLUMNS: Final = 8
#: Date in the file where none is given, so that the bytes do not depend on the day.
UNDATED: Final = "2000-01-01"


@dataclasses.dataclass(frozen=True, slots=True)
class Column:
    """The columns of one feature: its name, how it is read, and its spots."""

    title: str
    note: str
    spots: tuple[str, ...]


@dataclasses.dataclass(frozen=True, slots=True)
class Boxes:
    """One table of boxes: a row for each place, columns for features read there."""

    rows: tuple[str, ...]
    columns: tuple[Column, ...]


@dataclasses.dataclass(frozen=True, slots=True)
class Stage:
    """Everything that is read at one time: as found, after seat work, and so on."""

    title: str
    tables: tuple[Boxes, ...]


@dataclasses.dataclass(frozen=True, slots=True)
class CodeBoxes:
    """One string of marks, a box for each; ask: with room to note the end it begins at."""

    title: str
    note: str
    count: int
    ask: bool = False


def measuring_sheet(
    sheet: Sheet,
    paper: Paper = "a4",
    sheet_file: str = "",
    job: str = "",
    date: str = UNDATED,
) -> bytes:
    """A PDF to write readings on by hand; equal input gives equal bytes.

    Args:
        sheet: whose engine. paper: `a4` or `letter`. sheet_file: its name, to print. job: its
        name, where there is one. date: ISO 8601, kept in the file only: the day of measuring is
        written by hand.
    """
    data: dict[str, Any] = {
        "printed": date[:10],
        "paper": PAPERS[paper],
        "title": {
            "engine": sheet.engine.name,
            "job": job,
            "sheet": sheet_file,
            "date": "",
            "invented": sheet.engine.invented,
        },
        "unit": sheet.unit,
        "caution": SHORT,
        "invented_words": INVENTED,
        "drawings": [[dataclasses.asdict(figure) for figure in row] for row in _views(sheet)],
        "stages": [dataclasses.asdict(stage) for stage in stages(sheet)],
        "codes": [dataclasses.asdict(code) for code in code_boxes(sheet)],
    }
    return compile_pages("form.typ", readied(data), date)


def _views(sheet: Sheet) -> tuple[tuple[Figure, ...], ...]:
    """The drawing without values: seen from above is enough to find every place."""
    rows = engine_views(sheet)
    return rows if sheet.engine.layout.kind == "inline" else rows[:1]


def stages(sheet: Sheet) -> tuple[Stage, ...]:
    """Every table of boxes of a sheet: by the time of reading, then by kind of place."""
    return tuple(
        Stage(words[0].upper() + words[1:], tables)
        for epoch, words in EPOCHS.items()
        if (tables := tuple(_tables(sheet, epoch)))
    )


def _tables(sheet: Sheet, epoch: str) -> Iterator[Boxes]:
    by_kind: dict[str, list[Column]] = {}
    for name, feature in sheet.features.items():
        if epoch in feature.epochs:
            by_kind.setdefault(feature.at, []).extend(_columns(name, feature))
    shims = sheet.select.shims
    if shims is not None and shims.gear != "rocker-screw" and epoch in ("found", "built"):
        shim = Column("shim", "mark as stamped; by micrometer", ("mark", "thickness"))
        by_kind.setdefault(shims.at, []).append(shim)
    for kind, columns in by_kind.items():
        rows = tuple(spoken(place) for place in sheet.layout.of(kind))
        for packed in _packed(columns):
            if rows:
                yield Boxes(rows, packed)


def _packed(columns: Sequence[Column]) -> Iterator[tuple[Column, ...]]:
    """Columns side by side as far as the paper is wide."""
    row: list[Column] = []
    for column in columns:
        if row and sum(len(c.spots) for c in (*row, column)) > _MOST_COLUMNS:
            yield tuple(row)
            row = []
        row.append(column)
    if row:
        yield tuple(row)


def _columns(name: str, feature: Feature) -> Iterator[Column]:
    spots = [" ".join(spot) for spot in product(*feature.plan.values())]
    if feature.by == "feeler":
        spots = [f"{spot} {word}".strip() for spot in spots for word in ("goes", "won't")]
    told = [words for words in (feature.state, feature.look_up) if words]
    if feature.by:
        told.append(f"by {feature.by}")
    named = tuple(spot or "reading" for spot in spots)
    for start in range(0, len(named), _MOST_COLUMNS):
        whole = name if start == 0 else f"{name}, continued"
        yield Column(whole, "; ".join(told), named[start : start + _MOST_COLUMNS])


def code_boxes(sheet: Sheet) -> tuple[CodeBoxes, ...]:
    """A row of boxes for each string of marks the sheet reads."""
    found = []
    for name, group in sheet.select.shells.items():
        for where, marks in (("case", group.case), ("crank", group.crank)):
            if marks is None:
                continue
            note = (
                f"the sheet says the first mark belongs to {group.at} {marks.reads_from}"
                if marks.reads_from
                else "the sheet does not say which end is stamped first: note it here"
            )
            count = min(len(sheet.layout.of(group.at)), 40)
            asked = not marks.reads_from
            found.append(CodeBoxes(f"{name}, marks on the {where}", note, count, asked))
    return tuple(found)
