"""What is stamped and fitted: strings of marks on case and crank, and the shims at each valve."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask
from gudgeon.record.said import spoken

if TYPE_CHECKING:
    from gudgeon.log.job import Job

#: When shims are noted: as found, and as built.
EPOCHS: Final = ("found", "built")
CONDITIONS: Final = ("good", "dished", "chipped")


@dataclass(frozen=True, slots=True)
class Stamped:
    """One string of marks.

    Attributes:
        group, on: of which shells, and on what. count: how many marks it must have. first: the
        place whose mark is stamped first. known: the marks there are. now: as noted last, if it is.
    """

    group: str
    on: str
    count: int
    first: str
    known: tuple[str, ...]
    now: str


@dataclass(frozen=True, slots=True)
class Seat:
    """A place where a shim sits, and what was noted there last."""

    place: str
    spoken: str
    mark: str
    typed: str
    condition: str
    said: str


@dataclass(frozen=True, slots=True)
class Marks:
    """The page. epoch: which shims. marking: what a mark means, by the sheet."""

    job: str
    unit: str
    codes: tuple[Stamped, ...]
    epoch: str
    epochs: tuple[str, ...]
    seats: tuple[Seat, ...]
    marking: str
    conditions: tuple[str, ...] = CONDITIONS


def view(ask: Ask) -> Marks:
    """The marks of the job in the address."""
    name = ask.parts["job"]
    job = ask.bench.desk.job(name)
    shims = job.sheet.select.shims
    epoch = ask.query.get("epoch", "")
    epoch = epoch if epoch in EPOCHS else EPOCHS[0]
    fitted = shims is not None and shims.gear != "rocker-screw"
    return Marks(
        name,
        job.sheet.unit,
        tuple(_codes(job)),
        epoch,
        EPOCHS,
        tuple(_seats(job, epoch)) if fitted else (),
        (shims.marking or "") if shims is not None else "",
    )


def _codes(job: Job) -> Iterator[Stamped]:
    latest = {(entry.group, entry.on): entry.marks for entry in job.codes}
    for name, shells in job.sheet.select.shells.items():
        places = job.sheet.layout.of(shells.at)
        sides: tuple[tuple[str, Any], ...] = (("case", shells.case), ("crank", shells.crank))
        for on, marks in sides:
            if marks is not None and places:
                first = f"{shells.at} {marks.reads_from}" if marks.reads_from else spoken(places[0])
                now = next((item for key, item in latest.items() if key == (name, on)), "")
                yield Stamped(name, on, len(places), first, tuple(marks.marks), now)


def _seats(job: Job, epoch: str) -> Iterator[Seat]:
    shims = job.sheet.select.shims
    latest = {entry.place: entry for entry in job.shims if entry.epoch == epoch}
    for place in job.sheet.layout.of(shims.at) if shims is not None else ():
        entry = latest.get(place)
        if entry is None:
            yield Seat(place, spoken(place), "", "", CONDITIONS[0], "")
            continue
        typed = f"{entry.typed or ''} {entry.unit or ''}".strip() if entry.typed else ""
        said = " · ".join(part for part in (entry.mark, typed, entry.condition) if part)
        yield Seat(place, spoken(place), entry.mark or "", typed, entry.condition, said)


PAGE: Final = Page("marks", "/jobs/{job}/marks", view, script=True, tab="job")
