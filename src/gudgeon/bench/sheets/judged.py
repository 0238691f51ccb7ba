"""What the reader and the checks have to say of a sheet, at the fields they mean."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.sheet.check import check_sheet
from gudgeon.sheet.load import Loaded, load
from gudgeon.sheet.yamltext import Path, Spot, read_yaml

_WHERE: Final = re.compile(r":(\d+):(\d+)$")


class Remark(NamedTuple):
    """One thing to say. severity: `unread`, `fault` or `look`. sum: the arithmetic, if any."""

    path: Path
    severity: str
    wrong: str
    right: str
    sum: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """A sheet's text, read as far as it can be.

    Attributes:
        raw: plain data; None where it is no YAML. loaded: the sheet, where it is one.
        remarks: in the order of the file. notes: the comment that stands beside a value.
    """

    raw: Any
    loaded: Loaded | None
    remarks: tuple[Remark, ...]
    notes: Mapping[Path, str]

    @property
    def unit(self) -> str:
        """Of lengths that name none."""
        unit = self.raw.get("unit") if isinstance(self.raw, dict) else None
        return unit if unit in ("mm", "in") else "mm"


def judge(text: str, file: str) -> Judged:
    """Read a sheet, and run every check on it."""
    try:
        tree = read_yaml(text, file)
    except Unusable as problem:
        return Judged(None, None, tuple(_unread(problem.faults, {})), {})
    places = _places(tree.spots)
    notes = _notes(text, tree.spots)
    try:
        loaded = load(text, file)
    except Unusable as problem:
        return Judged(tree.value, None, tuple(_unread(problem.faults, places)), notes)
    remarks = tuple(
        Remark(
            places.get((item.line, item.column), ()),
            item.severity,
            item.wrong,
            item.right,
            item.sum,
        )
        for item in check_sheet(loaded)
    )
    return Judged(tree.value, loaded, remarks, notes)


def _unread(faults: Iterable[Fault], places: Mapping[tuple[int, int], Path]) -> Iterable[Remark]:
    for fault in faults:
        found = _WHERE.search(fault.where)
        at = (int(found[1]), int(found[2])) if found else (0, 0)
        yield Remark(places.get(at, ()), "unread", fault.wrong, fault.right)


def _places(spots: Mapping[Path, Spot]) -> dict[tuple[int, int], Path]:
    """Line and column -> what stands there, keys before values."""
    found: dict[tuple[int, int], Path] = {}
    for path, spot in spots.items():
        found.setdefault((spot.value_line, spot.value_column), path)
    return found | {(spot.line, spot.column): path for path, spot in spots.items() if path}


def _notes(text: str, spots: Mapping[Path, Spot]) -> dict[Path, str]:
    """The comment at the end of a line, for the first value on it."""
    first: dict[int, Path] = {}
    for path, spot in spots.items():
        if path and (spot.line not in first or len(path) < len(first[spot.line])):
            first[spot.line] = path
    lines = text.splitlines()
    notes = {}
    for line, path in first.items():
        before, mark, after = (
            lines[line - 1].rpartition(" #") if line <= len(lines) else ("", "", "")
        )
        if mark and before.count('"') % 2 == 0 and before.count("'") % 2 == 0:
            notes[path] = after.strip()[:300]
    return notes


def nearest_name(path: Path, names: Mapping[Path, str]) -> str:
    """The field or group on a page that a remark belongs to; empty where none is."""
    for length in range(len(path), 0, -1):
        if path[:length] in names:
            return names[path[:length]]
    inside = [name for at, name in names.items() if path and at[: len(path)] == path]
    return inside[0] if inside else ""
