"""Readings from a table (CSV): one row an entry, every bad row named, and the blank form."""

from __future__ import annotations

import csv
import difflib
import hashlib
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.log.checks import problems_with
from gudgeon.log.codec import Problem, try_entry
from gudgeon.log.entries import Entry
from gudgeon.log.spots import read_spot
from gudgeon.numbers import NotANumber, shown, split_unit
from gudgeon.sheet.model import Sheet

#: Column -> what it holds. The names may be in capitals, with spaces or underscores.
COLUMNS: Final[dict[str, str]] = {
    "entry": "`reading`, `feeler`, `shim`, `code`, `rise` or `note`; left blank, a row with a value"
    " is a reading, one with `goes` or `wont` a feeler reading, one with a note alone a note",
    "place": "place, as `cylinder/1` or `valve/2/in/L`; of a code the shells and what they are"
    " stamped on, as `main-shell/case`",
    "feature": "feature of the sheet that was measured",
    "spot": "spot of the plan, as `top thrust` or `height=top axis=thrust`",
    "epoch": "`found` (or blank), `seated`, `dry`, `built`",
    "attempt": "1 (or blank) for the first reading at a spot, 2 for the next",
    "value": "reading, thickness of a shim, or estimated rise, as read: 58.013 or 58,013 or"
    " `2.284 in`",
    "goes": "largest blade that goes",
    "wont": "smallest blade that won't",
    "feel": "feel of the blade that goes: `free`, `drag`, `tight`",
    "mark": "mark of a shim; string of marks of a code, in the order in which they are stamped",
    "condition": "`good` (or blank), `dished`, `chipped`",
    "spread": "spread of an estimated rise",
    "unit": "unit of the numbers in this row; the sheet's where blank",
    "instrument": "instrument, by its name in the shop",
    "part-temp": "temperature of the part [°C]",
    "gauge-temp": "temperature of the gauge [°C]",
    "note": "a remark; beside a reading it becomes a note of its own",
}
_ALSO: Final = {"typed": "value", "thickness": "value", "won't": "wont", "marks": "mark"}
#: A row says something when one of these is filled in.
_ANSWERS: Final = ("value", "goes", "wont", "feel", "mark", "spread", "note")
_TIMES: Final = {"part-temp": "part_temp", "gauge-temp": "gauge_temp"}
#: Kind -> its columns, and the field of the entry that each fills.
_FIELDS: Final[dict[str, dict[str, str]]] = {
    "reading": {c: c for c in ("place", "feature", "spot", "epoch", "attempt", "unit")}
    | {"value": "typed", "instrument": "instrument"}
    | _TIMES,
    "feeler": {c: c for c in ("place", "feature", "epoch", "attempt", "goes", "wont", "feel")}
    | {"unit": "unit", "instrument": "instrument", "part-temp": "part_temp"},
    "shim": {c: c for c in ("place", "epoch", "mark", "unit", "instrument", "condition")}
    | {"value": "typed"},
    "code": {"place": "group", "mark": "marks"},
    "rise": {"place": "place", "value": "typed", "spread": "spread", "unit": "unit"}
    | {"note": "basis"},
    "note": {"place": "place", "note": "text"},
}
MOST_ROWS: Final = 20_000
MOST_FAULTS: Final = 50
#: The device that rows of a table are written by. They stand outside the chains: one file may be
#: read into two copies of a log, and its rows are the same entries in both.
DEVICE: Final = "csv"


@dataclass(slots=True)
class _Table:
    """A table being read.

    Attributes:
        file: its name. sheet: the sheet in force. stamp: beginning of every id. at: time of every
            entry. header: columns in order, by their full names.
    """

    file: str
    sheet: Sheet
    stamp: str
    at: str
    header: list[str] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def where(self, line: int, column: str) -> str:
        """The place of a cell."""
        known = column in self.header
        return f"{self.file}:{line}" + (f":{self.header.index(column) + 1}" if known else "")

    def fault(self, line: int, column: str, wrong: str, right: str) -> None:
        """Note a problem in a cell."""
        self.faults.append(Fault(self.where(line, column), f"{column}: {wrong}", right))


def read_table(text: str, file: str, sheet: Sheet, at: str) -> tuple[list[Entry], dict[str, int]]:
    """The entries of a table, all or none, and the line of each by its id.

    The id of an entry is made of the file's hash and its line, so that the same file read again
    gives the same entries.

    Args:
        text: the table's text; comma, semicolon or tab between cells.
        file: its name, for faults.
        sheet: the sheet in force, which rows are checked against.
        at: the time the entries carry.

    Raises:
        Unusable: every row that can't be used, with its line and column.
    """
    stamp = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    table = _Table(file, sheet, stamp, at)
    rows = _rows(text.removeprefix("\ufeff"), file)
    first = next(rows, None)
    if first is None:
        raise Unusable(Fault(file, "the table is empty", "print one with gudgeon job form"))
    _read_header(table, *first)
    for number, (line, cells) in enumerate(rows):
        if number >= MOST_ROWS:
            raise Unusable(Fault(file, f"more than {MOST_ROWS:,} rows", "check that it is the one"))
        _read_row(table, line, cells)
        if len(table.faults) >= MOST_FAULTS:
            break
    if table.faults:
        raise Unusable(table.faults)
    return table.entries, table.lines


def _delimiter(text: str) -> str:
    """What stands between the cells, by the first line that says something."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    outside = re.sub(r'"[^"]*"', "", first)
    return max(",;\t", key=outside.count)


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Line and cells of every row that is not blank."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    line = 1
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped):
                yield line, stripped
            line = reader.line_num + 1
    except csv.Error as problem:
        opened = "unexpected end" in str(problem)
        wrong = "a quote is not closed" if opened else f"the row can't be read ({problem})"
        right = "close it, or take it out" if opened else "check its quotes"
        raise Unusable(Fault(f"{file}:{line}", wrong, right)) from None


def _read_header(table: _Table, line: int, cells: Sequence[str]) -> None:
    table.header = [_column(cell) for cell in cells]
    if "place" not in table.header and not any(name in COLUMNS for name in table.header):
        raise Unusable(
            Fault(
                f"{table.file}:{line}",
                "the first row does not name the columns",
                "begin with a row like place,feature,spot,value",
            )
        )
    faults = []
    for number, (cell, name) in enumerate(zip(cells, table.header, strict=True), 1):
        where = f"{table.file}:{line}:{number}"
        if cell and name not in COLUMNS:
            near = difflib.get_close_matches(name[:40], COLUMNS, 1)
            right = f"did you mean {near[0]}?" if near else f"the columns are {', '.join(COLUMNS)}"
            faults.append(Fault(where, f"there is no column {shown(cell)}", right))
        elif cell and name in table.header[: number - 1]:
            faults.append(Fault(where, f"the column {name} stands twice", "keep one of them"))
    if faults:
        raise Unusable(faults[:MOST_FAULTS])


def _column(cell: str) -> str:
    """The full name of a column, as its heading means it."""
    name = re.sub(r"[\s_-]+", "-", cell.lower())
    return _ALSO.get(name, name)


def _read_row(table: _Table, line: int, cells: Sequence[str]) -> None:
    for number, cell in enumerate(cells[len(table.header) :], len(table.header) + 1):
        if cell:
            table.faults.append(
                Fault(
                    f"{table.file}:{line}:{number}",
                    f"{shown(cell)} stands beyond the last column",
                    "put a number with a decimal comma in quotes, or ; between the cells",
                )
            )
            return
    row = {name: cell for name, cell in zip(table.header, cells, strict=False) if cell}
    if "" in row:
        table.fault(line, "", f"{shown(row[''])} stands in a column without a name", "name it")
        return
    if not any(name in row for name in _ANSWERS):
        return
    kind = _kind(row)
    if kind not in _FIELDS:
        wrong = f"{shown(kind)} is not a kind of row" if kind else "the row does not say what it is"
        table.fault(line, "entry", wrong, f"put one of {', '.join(_FIELDS)} there")
        return
    remark = row.pop("note", "") if kind not in ("rise", "note") else ""
    if remark:
        note = {key: row[key] for key in ("place",) if key in row and kind != "code"}
        _add(table, line, "note", note | {"note": remark}, ".note")
    if any(name in row for name in _ANSWERS):
        _add(table, line, kind, row)


def _kind(row: dict[str, str]) -> str:
    """The kind of a row: as it says, or as its cells tell."""
    said = row.pop("entry", "").lower()
    if said:
        return said
    if "goes" in row or "wont" in row:
        return "feeler"
    if "value" in row:
        return "reading"
    return "note" if "note" in row and "mark" not in row else ""


def _add(table: _Table, line: int, kind: str, row: Mapping[str, str], ending: str = "") -> None:
    """Make the entry of a row, or note what keeps it from being one."""
    columns = _FIELDS[kind]
    before = len(table.faults)
    for name in row:
        if name not in columns:
            table.fault(line, name, f"a {kind} has none", "leave the cell blank")
    data, problems = _data(table.sheet, kind, {k: v for k, v in row.items() if k in columns})
    key = f"{table.stamp}-{line}{ending}"
    entry, wrong = try_entry(data | {"kind": kind, "id": key, "at": table.at, "device": DEVICE})
    back = {into: column for column, into in columns.items()} | {"on": "place"}
    if "unit" not in row:
        back["unit"] = next((name for name in ("value", "goes", "wont") if name in row), "unit")
    named = {item.field for item in problems}
    found = problems + [item for item in wrong if item.field not in named]
    if entry is not None:
        found += [i for i in problems_with(entry, table.sheet) if i.field not in named]
    for item in found:
        table.fault(line, back.get(item.field, item.field), item.wrong, item.right)
    if entry is not None and len(table.faults) == before:
        table.entries.append(entry)
        table.lines[key] = line


def _data(sheet: Sheet, kind: str, row: dict[str, str]) -> tuple[dict[str, Any], list[Problem]]:
    """The fields of an entry, from the cells of a row."""
    problems: list[Problem] = []
    data: dict[str, Any] = {_FIELDS[kind][name]: cell for name, cell in row.items()}
    if "spot" in data:
        feature = sheet.features.get(data.get("feature", ""))
        data["spot"], problems = read_spot(data["spot"], feature)
    if kind == "code":
        group, slash, on = data.get("group", "").rpartition("/")
        data["group"] = group if slash else on
        if slash:
            data["on"] = on
        if on not in ("case", "crank"):
            data["on"] = "case"
            problems.append(
                Problem(
                    "on",
                    f"{shown(row.get('place', ''))} does not say what is stamped",
                    "write it like main-shell/case or main-shell/crank",
                )
            )
    return with_unit(data), problems


def with_unit(data: dict[str, Any]) -> dict[str, Any]:
    """Fields with the unit taken off the number, where it was typed behind it.

    >>> with_unit({"typed": "2.284 in"})
    {'typed': '2.284', 'unit': 'in'}
    """
    typed = data.get("typed")
    if typed is None or "unit" in data:
        return data
    try:
        number, unit = split_unit(typed)
    except NotANumber:
        return data
    return data | ({"typed": number, "unit": unit} if unit else {})
