"""From the log to a record: departures, what was struck out, what was done and remarked."""

from __future__ import annotations

from collections.abc import Iterator

from gudgeon.log.entries import (
    Code,
    Departure,
    Entry,
    Feeler,
    Happened,
    Note,
    Photo,
    Reading,
    RiseEstimate,
    Setting,
    ShimFitted,
)
from gudgeon.log.job import Job
from gudgeon.record.data import ReadingTable
from gudgeon.record.said import EPOCHS, every, listed, spoken


def departures(job: Job) -> tuple[tuple[str, str], ...]:
    """Where this engine is not as its sheet says, and why."""
    return tuple((_departure(item), item.reason) for item in job.departures)


def _departure(item: Departure) -> str:
    if item.oversize:
        return f"already on the oversize {item.oversize} {item.step or ''}".strip()
    return f"{item.path or 'the sheet'} = {item.value or 'nothing'}"


def struck(job: Job) -> tuple[tuple[str, str], ...]:
    """Entries that were struck out, as they read, and why."""
    return tuple(
        (f"{entry.at[:10]}  {described(entry)}", job.struck[entry.id])
        for entry in job.entries
        if entry.id in job.struck
    )


def described(entry: Entry) -> str:
    """An entry in a few words."""
    if isinstance(entry, Reading):
        spot = " ".join(entry.spot.values())
        unit = f" {entry.unit}" if entry.unit else ""
        return f"{entry.feature} {spoken(entry.place)} {spot}: {entry.typed}{unit}".replace(
            "  ", " "
        )
    if isinstance(entry, Feeler):
        goes, wont = entry.goes or "nothing", entry.wont or "not tried"
        return f"{entry.feature} {spoken(entry.place)}: {goes} goes, {wont} won't"
    if isinstance(entry, Code):
        return f"{entry.group}, marks on the {entry.on}: {entry.marks}"
    if isinstance(entry, ShimFitted):
        return (
            f"shim {spoken(entry.place)}: mark {entry.mark or 'none'}, {entry.typed or 'not read'}"
        )
    if isinstance(entry, RiseEstimate):
        return f"rise {spoken(entry.place)}: {entry.typed} ± {entry.spread}"
    if isinstance(entry, Departure):
        return _departure(entry)
    if isinstance(entry, Happened):
        return f"{entry.what} {listed(spoken(place) for place in entry.places)}".strip()
    if isinstance(entry, Note):
        return f"remark: {entry.text[:120]}"
    if isinstance(entry, Photo):
        return f"photograph {spoken(entry.place) if entry.place else ''}: {entry.words[:120]}"
    if isinstance(entry, Setting):
        return f"setting {entry.name} = {entry.value}"
    return str(getattr(entry, "kind", "entry"))


def remarks(job: Job) -> tuple[tuple[str, str], ...]:
    """What was done and remarked, in the order of time."""
    told: list[tuple[str, str, str]] = [
        (note.at, spoken(note.place) if note.place else "engine", note.text) for note in job.notes
    ]
    for event in job.events:
        places = every(event.places, job.sheet.layout) or "engine"
        amount = f" {event.typed} {event.unit or ''}".rstrip() if event.typed else ""
        told.append((event.at, places, f"{event.what}{amount}. {event.text}".strip()))
    return tuple((place, f"{at[:10]}  {words}") for at, place, words in sorted(told))


def marks_read(job: Job) -> tuple[ReadingTable, ...]:
    """Shims and strings of marks as they were read."""
    return (*_shims(job), *_codes(job))


def _shims(job: Job) -> Iterator[ReadingTable]:
    spec = job.sheet.select.shims
    if spec is None or not job.shims:
        return
    latest = {(entry.place, str(entry.epoch)): entry for entry in job.shims}
    epochs = [epoch for epoch in EPOCHS if any(key[1] == epoch for key in latest)]
    rows = []
    for place in job.sheet.layout.of(spec.at):
        cells: list[str] = []
        for epoch in epochs:
            entry = latest.get((place, epoch))
            size = "" if entry is None or entry.typed is None else entry.typed
            worn = f" {entry.condition}" if entry and entry.condition != "good" else ""
            unit = f" {entry.unit}" if entry and entry.unit and entry.typed else ""
            cells += ["" if entry is None else entry.mark or "none", f"{size}{unit}{worn}"]
        if any(cells):
            rows.append((spoken(place), tuple(cells)))
    heads = tuple(f"{EPOCHS[epoch]}, {what}" for epoch in epochs for what in ("mark", "thickness"))
    if rows:
        yield ReadingTable("shims", heads, tuple(rows))


def _codes(job: Job) -> Iterator[ReadingTable]:
    latest = {(entry.group, entry.on): entry for entry in job.codes}
    rows = tuple((f"{group}, {on}", (entry.marks,)) for (group, on), entry in latest.items())
    if rows:
        yield ReadingTable("marks, in the order in which they are stamped", ("as read",), rows)
