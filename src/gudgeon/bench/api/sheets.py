"""Sheets: start one, save what was typed, add and take out entries, copy from another."""

from __future__ import annotations

from typing import Any, Final, Literal

from fastapi import Path
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request

from gudgeon.bench.api.devices import Done
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.page import plain
from gudgeon.bench.sheets.fields import known_path, value_of
from gudgeon.bench.sheets.folder import ENDING, SheetFolder, check_file_name, digest
from gudgeon.bench.sheets.judged import judge
from gudgeon.bench.sheets.saving import copied, with_entry, with_values, without_entry
from gudgeon.bench.sheets.sections import MEASURED, Section, sections
from gudgeon.bench.sheets.showing import other_units, show
from gudgeon.bench.state import bench_of
from gudgeon.faults import Conflict, Fault, Unusable
from gudgeon.sheet.load import load
from gudgeon.sheet.starters import LAYOUTS, Choice, checked, prove, shims_only, starter
from gudgeon.sheet.yamltext import LARGEST_TEXT, read_yaml
from gudgeon.sheet.yamltext import Path as Keys

#: Largest body with a whole sheet in it [bytes].
LARGEST: Final = 4 * LARGEST_TEXT
FileName = Path(max_length=80, description="name of the sheet's file, as four.yaml")
Sha = Field(pattern=r"^[0-9a-f]{64}$", description="sha256 of the text that was seen")


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Started(_Body):
    """What the engine of a new sheet is like."""

    name: str = Field(max_length=400)
    layout: str = Field("inline4", max_length=20)
    valves: Literal["2", "3", "4", "5"] = "4"
    gear: Literal["under-bucket", "over-bucket", "finger", "rocker-screw"] = "under-bucket"
    big_ends: Literal["plain", "roller"] = "plain"
    bores: Literal["iron", "plated"] = "iron"
    cooling: Literal["liquid", "air"] = "liquid"
    unit: Literal["mm", "in"] = "mm"
    whole: Literal["shims", "all"] = "all"
    in_min: str = Field("", max_length=40)
    in_max: str = Field("", max_length=40)
    ex_min: str = Field("", max_length=40)
    ex_max: str = Field("", max_length=40)
    series_from: str = Field("", max_length=40)
    series_to: str = Field("", max_length=40)
    series_step: str = Field("", max_length=40)


class Typed(_Body):
    """One field as typed. name: of the field, its path as JSON."""

    name: str = Field(max_length=800)
    text: str = Field(max_length=20_000)


class Typing(_Body):
    """Fields as typed. part: the section that is shown."""

    seen: str = Sha
    part: str = Field("", max_length=120)
    fields: list[Typed] = Field(max_length=500)


class Added(_Body):
    """An entry to add. within: name of the group it goes into. key: its own name."""

    seen: str = Sha
    within: str = Field(max_length=800)
    key: str = Field("", max_length=80)
    part: str = Field("", max_length=200)


class Dropped(_Body):
    """An entry to take out."""

    seen: str = Sha
    name: str = Field(max_length=800)


class Copied(_Body):
    """What to take from another sheet: one section of it."""

    seen: str = Sha
    source: str = Field(max_length=80)
    part: str = Field(max_length=120)


class Text(_Body):
    """A sheet as a whole."""

    seen: str = Sha
    text: str = Field(max_length=LARGEST_TEXT)


class Saved(BaseModel):
    """A sheet after a change.

    Attributes:
        saved: whether the file holds what was sent. sha256: of its text.
        said: what is to be said beside which field. equals: lengths in the sheet's unit.
        tabs: remarks by section.
    """

    saved: bool
    sha256: str
    said: list[dict[str, Any]]
    equals: dict[str, str]
    tabs: list[dict[str, Any]]


@ruled("write")
def start_sheet(request: Request, started: Started) -> Done:
    """A new sheet for a layout, in the shop's folder."""
    name = started.name.strip().removesuffix(ENDING) + ENDING
    check_file_name(name)
    if started.layout not in LAYOUTS:
        raise Unusable(Fault("layout", "there is no such layout", f"use {', '.join(LAYOUTS)}"))
    choice = _choice(started)
    text = shims_only(choice) if started.whole == "shims" else starter(choice)
    prove(load(text, name).sheet, choice)
    SheetFolder(bench_of(request).folder).create(name, text)
    return Done(go=f"/sheets/{name}")


def _choice(started: Started) -> Choice:
    unit = started.unit

    def typed(field: str) -> str:
        return checked(getattr(started, field), unit, field.replace("_", " "))

    return Choice(
        started.layout,
        int(started.valves),
        started.gear,
        started.big_ends,
        started.bores,
        started.cooling,
        unit,
        (typed("in_min"), typed("in_max")),
        (typed("ex_min"), typed("ex_max")),
        (typed("series_from"), typed("series_to"), typed("series_step")),
    )


@ruled("write", largest=256 * 1024)
def save_fields(request: Request, typing: Typing, file: str = FileName) -> Saved:
    """Save fields as typed. All or none: where the sheet could not be used with them, the file
    stays as it is and the answer says what is wrong, at which field."""
    folder = SheetFolder(bench_of(request).folder)
    sheet = folder.read(file)
    if sheet.sha256 != typing.seen:
        folder.replace(file, sheet.text, typing.seen)
    changes = [
        (path, value_of(path, item.text, item.name))
        for item in typing.fields
        for path in (known_path(item.name),)
    ]
    saved, text = True, sheet.text
    try:
        text = with_values(sheet.text, file, changes)
        folder.replace(file, text, typing.seen)
    except Conflict:
        raise
    except Unusable:
        saved = False
        text = _as_far(sheet.text, file, changes)
    return _saved(text, file, typing.part, saved, sheet.sha256)


def _as_far(text: str, file: str, changes: list[tuple[Keys, Any]]) -> str:
    """The text with the changes, whether a sheet or not, to say what is wrong with it."""
    from gudgeon.bench.sheets.saving import written
    from gudgeon.sheet.edit import change

    for path, value in changes:
        text = change(text, list(written(read_yaml(text, file).value, path, value)), file)
    return text


def _saved(text: str, file: str, part: str, saved: bool, before: str) -> Saved:
    shown = show(judge(text, file), part)
    return Saved(
        saved=saved,
        sha256=digest(text) if saved else before,
        said=[plain(item) for item in shown.said],
        equals=other_units(shown.fields),
        tabs=[plain(item) for item in shown.tabs],
    )


@ruled("write")
def add_entry(request: Request, added: Added, file: str = FileName) -> Done:
    """One more feature, limit, mark, family of shims …: blank, to be filled in."""
    folder = SheetFolder(bench_of(request).folder)
    sheet = folder.read(file)
    text = with_entry(sheet.text, file, known_path(added.within), added.key, added.part)
    folder.replace(file, text, added.seen)
    return Done()


@ruled("write")
def drop_entry(request: Request, dropped: Dropped, file: str = FileName) -> Done:
    """Take an entry out of a sheet."""
    folder = SheetFolder(bench_of(request).folder)
    sheet = folder.read(file)
    text = without_entry(sheet.text, file, known_path(dropped.name))
    folder.replace(file, text, dropped.seen)
    return Done()


@ruled("write")
def copy_part(request: Request, wish: Copied, file: str = FileName) -> Done:
    """Fill what is blank in one section of a sheet from another sheet of the shop. Lengths keep
    their digits, and get their unit where the two sheets differ in it."""
    folder = SheetFolder(bench_of(request).folder)
    sheet, other = folder.read(file), folder.read(wish.source)
    mine, theirs = judge(sheet.text, file), judge(other.text, wish.source)
    if theirs.loaded is None:
        raise Unusable(Fault(wish.source, "that sheet can't be used", "mend it first"))
    section = next((item for item in sections(mine.raw) if item.key == wish.part), None)
    if section is None:
        raise Unusable(Fault("part", "the sheet has no such section", "open the page again"))
    paths = _theirs(section, theirs.raw)
    text, count = copied(sheet.text, file, theirs.raw, (mine.unit, theirs.unit), paths)
    if not count:
        raise Unusable(
            Fault(wish.source, "it has nothing that is blank here", "fill it in from the manual")
        )
    folder.replace(file, text, wish.seen)
    return Done()


def _theirs(section: Section, raw: Any) -> tuple[Keys, ...]:
    """What the other sheet has for a section: the same entries, and those of the same part."""
    if not section.adds:
        return section.paths
    more = next((item.paths for item in sections(raw) if item.key == section.key), ())
    kinds = {kind for kind, _ in MEASURED}
    return tuple(dict.fromkeys(path for path in (*section.paths, *more) if path[0] in kinds))


@ruled("write", largest=LARGEST)
def save_text(request: Request, whole: Text, file: str = FileName) -> Done:
    """Save a sheet's text as a whole. It must be a sheet."""
    text = whole.text.replace("\r\n", "\n")
    load(text, file)
    SheetFolder(bench_of(request).folder).replace(file, text, whole.seen)
    return Done()
