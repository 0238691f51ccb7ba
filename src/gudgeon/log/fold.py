"""The fold: a set of entries becomes a job, or the shop, whatever the order they came in.

Nothing in an entry can make the fold fail. What can't be used is left out and named as a fault,
with the entry's id as its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Final, TypeVar

from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import moment
from gudgeon.log.checks import problems_with
from gudgeon.log.entries import (
    Code,
    Departure,
    Entry,
    Feeler,
    Happened,
    Note,
    Opened,
    Photo,
    Reading,
    RiseEstimate,
    Setting,
    SheetPinned,
    ShimFitted,
)
from gudgeon.log.foldshop import fold_shop, reservation_faults
from gudgeon.log.job import Job
from gudgeon.log.ordering import counting, in_order
from gudgeon.log.oversize import oversize_step, with_oversize
from gudgeon.numbers import shown
from gudgeon.sheet.depart import apply_departures
from gudgeon.sheet.load import Loaded, load, load_raw
from gudgeon.sheet.model import Sheet

__all__ = ["fold", "fold_shop"]
E = TypeVar("E", bound=Entry)

_NO_SHEET: Final = Sheet.model_validate({"sheet": 1, "engine": {"name": ""}})


def fold(name: str, entries: Iterable[Entry], shop_entries: Iterable[Entry] = ()) -> Job:
    """The job that a log says.

    Args:
        name: the job's name in its shop.
        entries: its log, in any order.
        shop_entries: the shop's log; reservations for this job that can't be kept are faults.
    """
    every, faults = in_order(entries)
    struck, left, wrong = counting(every)
    faults += wrong
    pinned = _of(left, SheetPinned)
    loaded, wrong = _sheet_in_force(pinned)
    faults += wrong
    departures, sheet, wrong = _departed(loaded, _of(left, Departure))
    faults += wrong
    good: list[Entry] = []
    for entry in left if loaded else ():
        problems = problems_with(entry, sheet)
        faults += [Fault(entry.id, item.wrong, item.right) for item in problems]
        if not problems:
            good.append(entry)
    faults += reservation_faults(shop_entries, name)
    opened = _of(left, Opened)
    return Job(
        name=name,
        title=opened[-1].title if opened else "",
        sheet=sheet,
        sheet_hash=loaded.sha256 if loaded else "",
        sheet_file=loaded.file if loaded else "",
        readings=_of(good, Reading),
        feelers=_of(good, Feeler),
        codes=_of(good, Code),
        shims=_of(good, ShimFitted),
        rises=_of(good, RiseEstimate),
        events=_of(good, Happened),
        notes=_of(good, Note) if loaded else _of(left, Note),
        photos=_of(good, Photo) if loaded else _of(left, Photo),
        departures=departures,
        settings={entry.name: entry.value for entry in _of(left, Setting)},
        struck=struck,
        entries=tuple(every),
        faults=tuple(faults),
    )


def _of(entries: Iterable[Entry], kind: type[E]) -> tuple[E, ...]:
    return tuple(entry for entry in entries if isinstance(entry, kind))


@lru_cache(maxsize=8)
def _loaded(text: str, file: str) -> Loaded:
    """A sheet is read once, however often its job is folded."""
    return load(text, file)


def _sheet_in_force(pinned: Sequence[SheetPinned]) -> tuple[Loaded | None, list[Fault]]:
    """The sheet pinned last that can be read."""
    faults: list[Fault] = []
    for entry in reversed(pinned):
        try:
            loaded = _loaded(entry.text, shown(entry.file, 200)[1:-1])
        except Unusable as refused:
            faults += refused.faults
            continue
        if loaded.sha256 == entry.sha256:
            return loaded, faults
        faults.append(
            Fault(entry.id, "the sheet's text was altered after it was pinned", "pin it again")
        )
    faults.append(Fault("sheet", "the job has no sheet that can be used", "pin one to it"))
    return None, faults


def _departed(
    loaded: Loaded | None, departures: Sequence[Departure]
) -> tuple[tuple[Departure, ...], Sheet, list[Fault]]:
    """The departures that hold, and the sheet as they make it."""
    if loaded is None:
        return (), _NO_SHEET, []
    faults: list[Fault] = []
    kept: list[Departure] = []
    paths: list[tuple[Departure, str]] = []
    steps: dict[str, Departure] = {}
    for entry in departures:
        if (entry.path is None) == (entry.oversize is None):
            faults.append(
                Fault(entry.id, "neither path nor oversize, or both", "give one of the two")
            )
        elif entry.path is not None:
            paths.append((entry, entry.path))
        elif entry.oversize is not None:
            steps[entry.oversize] = entry
    sheet = loaded.sheet
    stated: set[str] = set()
    if paths:
        raw, answers = apply_departures(loaded.raw, [(path, e.value) for e, path in paths])
        for (entry, path), fault in zip(paths, answers, strict=True):
            if fault is None:
                kept.append(entry)
                stated.add(path)
            else:
                faults.append(Fault(entry.id, f"{shown(path)}: {fault.wrong}", fault.right))
        sheet = load_raw(raw, loaded.file, loaded.sha256).sheet
    for name, entry in steps.items():
        try:
            step = oversize_step(sheet, name, entry.step, entry.id)
        except Unusable as refused:
            faults += refused.faults
        else:
            sheet = with_oversize(sheet, name, step, stated)
            kept.append(entry)
    kept.sort(key=lambda entry: (moment(entry.at), entry.id))
    return tuple(kept), sheet, faults
