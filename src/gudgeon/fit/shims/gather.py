"""From a job's readings to what the choice of shims needs."""

from __future__ import annotations

from collections.abc import Sequence

from gudgeon.faults import Fault
from gudgeon.fit.shims.valves import Fitted, ShimReadings
from gudgeon.log.entries import ShimFitted
from gudgeon.log.job import Job, Piece, Shop
from gudgeon.metrology.instruments import Cabinet
from gudgeon.metrology.marks import thickness
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.readings import AtSpot, Table
from gudgeon.metrology.stale import stale
from gudgeon.numbers import NotANumber, read_length, shown
from gudgeon.sheet.select import Shims


def gather(
    job: Job, shop: Shop, spec: Shims, table: Table
) -> tuple[ShimReadings, list[tuple[Fitted, int]], list[Fault]]:
    """The readings of the valves, the drawer's shims of the right family, and what is unusable."""
    faults: list[Fault] = []
    done = stale(job.sheet, job.events)
    places = job.sheet.layout.of(spec.at)
    gaps: dict[tuple[str, str], Measured | None] = {}
    rises: dict[str, Measured] = {}
    recut: dict[str, str] = {}
    worked: set[str] = set()
    for place in places:
        for epoch in ("found", "dry", "built"):
            spots = table.at(spec.gap, place, epoch)
            old = (spec.gap, place, epoch) in table.stale
            if spots and not (old and epoch != "found"):
                gaps[place, epoch] = next(iter(spots.values())).value
        last = done.last(spec.gap, place)
        if last is not None:
            worked.add(place)
        if (spec.gap, place, "found") in table.stale and last is not None:
            recut[place] = last.row.words
        if (rise := _rise(spec, table, place)) is not None:
            rises[place] = rise
    shims: dict[tuple[str, str], Fitted] = {}
    unread: dict[tuple[str, str], str] = {}
    for entry in job.shims:
        fitted = _fitted(entry, spec, job.sheet.unit, table.cabinet, faults)
        if fitted is None:
            unread[entry.place, entry.epoch] = f"{faults[-1].wrong}: {faults[-1].right}"
        elif entry.place in places:
            shims[entry.place, entry.epoch] = fitted
    estimates = _estimates(job, faults)
    drawer = _drawer(shop.drawer, spec, job.sheet.unit, table.cabinet, faults)
    told = ShimReadings(gaps, shims, rises, estimates, recut, frozenset(worked), unread)
    return told, drawer, faults


def _rise(spec: Shims, table: Table, place: str) -> Measured | None:
    """How much further up the valve sits: stem tip seated less stem tip found [mm]."""
    if spec.tip is None or (spec.tip, place, "seated") in table.stale:
        return None
    after = _only(list(table.at(spec.tip, place, "seated").values()))
    before = _only(list(table.at(spec.tip, place, "found").values()))
    if after is None or before is None:
        return None
    return after - before


def _only(spots: Sequence[AtSpot]) -> Measured | None:
    """The mean over the spots of a stem-tip reading; usually there is one."""
    values = [spot.value for spot in spots if spot.value is not None]
    if not values:
        return None
    total = values[0]
    for value in values[1:]:
        total = total + value
    return total / len(values)


def _estimates(job: Job, faults: list[Fault]) -> dict[str, Measured]:
    told: dict[str, Measured] = {}
    for entry in job.rises:
        unit = entry.unit or job.sheet.unit
        try:
            rise, spread = read_length(entry.typed, unit), read_length(entry.spread, unit)
        except NotANumber as problem:
            faults.append(Fault(f"entry {entry.id}", problem.wrong, problem.right))
            continue
        if spread < 0:
            faults.append(
                Fault(f"entry {entry.id}", "a spread below 0", "give it as plus or minus")
            )
            continue
        # A person's "0.10 give or take 0.03" is taken as a range that holds 95 %.
        told[entry.place] = Measured(float(rise), {f"estimate {entry.id}": float(spread) / 2})
    return told


def _fitted(
    entry: ShimFitted, spec: Shims, unit: str, cabinet: Cabinet, faults: list[Fault]
) -> Fitted | None:
    return _sized(
        entry.id,
        entry.mark,
        entry.typed,
        entry.unit or unit,
        entry.instrument,
        entry.at,
        entry.condition,
        spec,
        cabinet,
        faults,
    )


def _drawer(
    pieces: Sequence[Piece], spec: Shims, unit: str, cabinet: Cabinet, faults: list[Fault]
) -> list[tuple[Fitted, int]]:
    """The drawer's shims of this engine's family; a diameter not stated counts as the right one."""
    told = []
    for piece in pieces:
        if piece.group != "shim":
            continue
        other = (
            spec.diameter is not None
            and piece.diameter_mm is not None
            and abs(piece.diameter_mm - spec.diameter) > 0.05
        )
        if other:
            continue
        fitted = _sized(
            piece.stock,
            piece.mark,
            piece.typed,
            piece.unit or unit,
            piece.instrument,
            piece.at,
            piece.condition,
            spec,
            cabinet,
            faults,
        )
        if fitted is not None:
            told.append((fitted, piece.count))
    return told


def _sized(
    entry: str,
    mark: str | None,
    typed: str | None,
    unit: str,
    instrument: str | None,
    at: str,
    condition: str,
    spec: Shims,
    cabinet: Cabinet,
    faults: list[Fault],
) -> Fitted | None:
    """A shim's size: by the micrometer where it was used, else by its mark."""
    try:
        found = thickness(spec, cabinet, entry, at, mark, typed, unit, instrument)
    except NotANumber as problem:
        faults.append(Fault(f"entry {entry}", problem.wrong, problem.right))
        return None
    if found is None:
        why, right = f"this shim's mark {shown(mark)} has no meaning by the sheet", "measure it"
        if mark is None:
            why = "this shim has no size"
        elif spec.marking is None:
            right = "fill in select: shims: marking, or measure it"
        faults.append(Fault(f"entry {entry}", why, right))
        return None
    if found.value.value <= 0:
        faults.append(Fault(f"entry {entry}", f"{typed} is no thickness", "measure it again"))
        return None
    note = ""
    if found.disagrees and found.marked is not None:
        size = f"{found.value.value:.3f}"
        note = (
            f"marked {mark}, which means {found.marked:.3f}, but measures {size}: used as {size};"
            " re-mark it, or read the mark again"
        )
    return Fitted(entry, found.value, mark, condition, found.measured, note)
