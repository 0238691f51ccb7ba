"""One section of a sheet as a page shows it: its fields, and what is to be said beside them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from gudgeon.bench.sheets.fields import Field, Group, Source, equals
from gudgeon.bench.sheets.judged import Judged, Remark, nearest_name
from gudgeon.bench.sheets.sections import Section, sections
from gudgeon.sheet.yamltext import Path


@dataclass(frozen=True, slots=True)
class Said:
    """A remark at its field. name: of the field or group; empty where it is none on this page."""

    name: str
    severity: str
    wrong: str
    right: str
    sum: str


@dataclass(frozen=True, slots=True)
class Tab:
    """A section in the list of them. faults, looks: how many remarks belong to it."""

    key: str
    title: str
    faults: int
    looks: int


@dataclass(frozen=True, slots=True)
class Shown:
    """A section ready to be shown.

    Attributes:
        tabs: all sections. at: key of the one shown. fields: what it holds. adds: where entries
            may be added, as names of fields. said: remarks, those of this section at their field.
    """

    tabs: tuple[Tab, ...]
    at: str
    title: str
    fields: tuple[Field | Group, ...]
    adds: tuple[tuple[str, str], ...]
    said: tuple[Said, ...]
    next: str


def show(judged: Judged, at: str) -> Shown:
    """A section of a sheet; the first where there is none of that key."""
    every = sections(judged.raw)
    chosen = next((item for item in every if item.key == at), every[0])
    owner = {id(remark): _owner(every, remark.path) for remark in judged.remarks}
    source = Source(judged.raw, judged.notes, judged.unit)
    fields = tuple(source.field(path) for path in chosen.paths)
    names = {tuple(json.loads(item.name)): item.name for item in flat(fields)}
    following = every[(every.index(chosen) + 1) % len(every)].key
    return Shown(
        tuple(_tab(item, judged.remarks, owner) for item in every),
        chosen.key,
        chosen.title,
        fields,
        tuple((json.dumps(list(path)), str(path[-1])) for path in chosen.adds),
        tuple(
            Said(
                nearest_name(remark.path, names),
                remark.severity,
                remark.wrong,
                remark.right,
                remark.sum,
            )
            for remark in judged.remarks
            if owner[id(remark)] in (chosen.key, "")
        ),
        following,
    )


def flat(fields: Iterable[Field | Group]) -> Iterator[Field | Group]:
    """Every field and group, outer ones first."""
    for item in fields:
        yield item
        if isinstance(item, Group):
            yield from flat(item.fields)
            yield from flat(item.more)


def other_units(fields: Iterable[Field | Group]) -> dict[str, str]:
    """Field -> its length in the sheet's unit, of those typed in another."""
    every = (item for item in flat(fields) if isinstance(item, Field))
    return {item.name: equals(item.value, item.unit) for item in every if item.unit}


def _owner(every: tuple[Section, ...], path: Path) -> str:
    """The section that a path of the sheet stands in; none for the sheet as a whole."""
    for section in every:
        for mine in section.paths:
            if path[: len(mine)] == mine:
                return section.key
    return ""


def _tab(section: Section, remarks: Iterable[Remark], owner: dict[int, str]) -> Tab:
    mine = [remark.severity for remark in remarks if owner[id(remark)] == section.key]
    looks = mine.count("look")
    return Tab(section.key, section.title, len(mine) - looks, looks)
