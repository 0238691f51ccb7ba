"""The readings behind a record, as typed: features of one kind of place side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Final, NamedTuple

from gudgeon.log.entries import Feeler
from gudgeon.metrology.readings import Spot, Table
from gudgeon.record.data import ReadingTable
from gudgeon.record.said import EPOCHS, listed, spoken
from gudgeon.sheet.model import Sheet

#: Most columns of readings side by side.
MOST_COLUMNS: Final = 8


class _Column(NamedTuple):
    """One spot of one feature at one epoch."""

    feature: str
    epoch: str
    spot: Spot

    @property
    def head(self) -> str:
        epoch = "" if self.epoch == "found" else EPOCHS.get(self.epoch, self.epoch)
        return " ".join(word for word in (self.feature, epoch, *self.spot) if word)


def reading_tables(
    sheet: Sheet, table: Table, blades: Mapping[str, Feeler]
) -> Mapping[str, tuple[ReadingTable, ...]]:
    """Part -> its tables of readings; features and spots that were not read take no column.

    Args:
        sheet: the engine's. table: its readings. blades: entry -> the blades as they were felt.
    """
    blocks: dict[tuple[str, str], list[list[_Column]]] = {}
    for name, feature in sheet.features.items():
        for epoch in dict.fromkeys((*feature.epochs, *_epochs(table, name))):
            columns = [
                _Column(name, epoch, spot)
                for spot in product(*feature.plan.values())
                if any(
                    spot in table.at(name, place, epoch) for place in sheet.layout.of(feature.at)
                )
            ]
            if columns:
                key = (feature.part or "", feature.at)
                blocks.setdefault(key, []).append(columns)
    found: dict[str, tuple[ReadingTable, ...]] = {}
    for (part, kind), groups in blocks.items():
        made = tuple(
            _table(sheet, table, kind, columns, blades)
            for group in _packed(groups, table, blades)
            for columns in _pieces(group)
        )
        found[part] = (*found.get(part, ()), *made)
    return found


def _epochs(table: Table, feature: str) -> Iterator[str]:
    return (epoch for name, _, epoch in table.spots if name == feature)


def _packed(
    groups: Sequence[list[_Column]], table: Table, blades: Mapping[str, Feeler]
) -> Iterator[list[_Column]]:
    row: list[_Column] = []
    for group in groups:
        wide = sum(_weight(table, column, blades) for column in (*row, *group))
        if row and wide > MOST_COLUMNS:
            yield row
            row = []
        row = row + group
    if row:
        yield row


def _weight(table: Table, column: _Column, blades: Mapping[str, Feeler]) -> int:
    """A column of blades takes the room of two."""
    felt = any(
        taken.entry in blades
        for (feature, _, epoch), spots in table.spots.items()
        if (feature, epoch) == (column.feature, column.epoch)
        for taken in (spots[column.spot].taken if column.spot in spots else ())
    )
    return 2 if felt else 1


def _pieces(columns: list[_Column]) -> Iterator[list[_Column]]:
    for start in range(0, len(columns), MOST_COLUMNS):
        yield columns[start : start + MOST_COLUMNS]


def _table(
    sheet: Sheet,
    table: Table,
    kind: str,
    columns: Sequence[_Column],
    blades: Mapping[str, Feeler],
) -> ReadingTable:
    rows = []
    for place in sheet.layout.of(kind):
        cells = tuple(_cell(table, place, column, blades) for column in columns)
        if any(cells):
            rows.append((spoken(place), cells))
    features = dict.fromkeys(column.feature for column in columns)
    return ReadingTable(
        title=listed(features),
        columns=tuple(column.head for column in columns),
        rows=tuple(rows),
        note="; ".join(_how(table, feature, blades) for feature in features),
        weights=tuple(_weight(table, column, blades) for column in columns),
    )


def _cell(table: Table, place: str, column: _Column, blades: Mapping[str, Feeler]) -> str:
    """What was typed at one spot, all attempts; the unit is left out where it is mm."""
    at = table.at(column.feature, place, column.epoch).get(column.spot)
    if at is None:
        return ""
    return " · ".join(
        felt(blades[taken.entry]) if taken.entry in blades else taken.typed.removesuffix(" mm")
        for taken in at.taken
    )


def felt(entry: Feeler) -> str:
    """Blades as felt: the largest that goes, a stroke, the smallest that won't, and the feel."""
    unit = f" {entry.unit}" if entry.unit else ""
    return f"{entry.goes or 'none'}/{entry.wont or 'none'}{unit} {entry.feel or ''}".strip()


def _how(table: Table, feature: str, blades: Mapping[str, Feeler]) -> str:
    """With what a feature was read, as far as the log says."""
    mine = [taken for taken in table.taken.values() if taken.feature == feature]
    names = listed(dict.fromkeys(taken.instrument.name for taken in mine))
    how = ", goes/won't" if any(taken.entry in blades for taken in mine) else ""
    return f"{feature} by {names}{how}"
