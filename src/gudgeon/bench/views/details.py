"""What belongs to a job beside its readings: where the engine is not as its sheet says, its sheet,
its photographs, labels for its trays."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.sheets.fields import Field, Source
from gudgeon.bench.sheets.folder import SheetFolder
from gudgeon.bench.sheets.pinned import pinned_to
from gudgeon.bench.sheets.sections import sections
from gudgeon.bench.sheets.showing import flat
from gudgeon.bench.state import Ask
from gudgeon.log.words import in_words
from gudgeon.sheet.yamltext import read_yaml

#: Parts of a sheet in which no single engine departs: then it would be another one's sheet.
_FIXED: Final = ("sheet", "unit", "places")


@dataclass(frozen=True, slots=True)
class Departed:
    """Where the engine is not as its sheet says. id: of the entry."""

    id: str
    at: str
    text: str


@dataclass(frozen=True, slots=True)
class Step:
    """An oversize that may be fitted already, with its steps as typed."""

    name: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Details:
    """The page.

    Attributes:
        departures: those that hold. paths: value of the sheet -> as the sheet has it.
        oversizes: of the sheet. file: of the sheet. kept: whether the folder has a file of that
        name. newer: whether that is another version. photos: how many there are.
    """

    job: str
    departures: tuple[Departed, ...]
    paths: dict[str, str]
    oversizes: tuple[Step, ...]
    file: str
    kept: bool
    newer: bool
    photos: int


def view(ask: Ask) -> Details:
    """The details of the job in the address."""
    name = ask.parts["job"]
    job, folder = ask.bench.desk.job(name), SheetFolder(ask.bench.folder)
    kept = job.sheet_file in folder.names()
    return Details(
        name,
        tuple(Departed(item.id, item.at, in_words(item)) for item in job.departures),
        ask.bench.desk.result(name, "paths", lambda: _paths(ask, name)),
        tuple(
            Step(key, tuple(str(step) for step in item.steps))
            for key, item in job.sheet.oversizes.items()
        ),
        job.sheet_file,
        kept,
        kept and folder.read(job.sheet_file).sha256 != job.sheet_hash,
        len(job.photos),
    )


def _paths(ask: Ask, name: str) -> dict[str, str]:
    """Every value of the sheet that an engine may depart in."""
    pinned = pinned_to(ask.bench.store, name)
    if pinned is None:
        return {}
    raw = read_yaml(pinned[1], pinned[0].file).value
    source = Source(raw)
    found: dict[str, str] = {}
    for section in sections(raw):
        for item in flat(source.field(path) for path in section.paths):
            if isinstance(item, Field):
                keys = [str(key) for key in json.loads(item.name)]
                if keys[0] not in _FIXED:
                    found[".".join(keys)] = item.value
    return found


PAGE: Final = Page("details", "/jobs/{job}/details", view, script=True, tab="job")
