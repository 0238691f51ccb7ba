"""From picks and order to the rows of a record."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from gudgeon.fit.shells.bearing import Bearing
from gudgeon.fit.shells.report import GroupPicks, ShellPick
from gudgeon.fit.shims.advice import sum_text
from gudgeon.fit.shims.choose import ShimPick
from gudgeon.fit.shims.report import AsBuilt, ShimReport
from gudgeon.fit.shims.valves import Valve
from gudgeon.order.lines import Order, OrderLine
from gudgeon.order.needs import PICKED
from gudgeon.order.text import counted as counted_of
from gudgeon.order.text import together
from gudgeon.record.data import (
    BuiltRow,
    Figure,
    OrderPart,
    OrderRow,
    ShellPart,
    ShellRow,
    ShimPart,
    ShimRow,
)
from gudgeon.record.figures import Strip, chance_strips, percent
from gudgeon.record.said import counted, listed, mm, money, page, span, spoken, spoken_in, with_u
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.places import Places

_BASES = {
    "found": "",
    "seated": "",
    "estimate": "the rise is an estimate",
    "dry": "from the dry build",
    "built": "from the reading after the build",
}
_KEY = (
    "Open box: the window. Dashed: the aim. Curve: where the clearance is expected to land; its"
    " heavy foot is ± 2 u. Cross: read after the build."
)


def shim_part(sheet: Sheet, told: ShimReport, first: Mapping[str, str] | None = None) -> ShimPart:
    """The choice of shims: rows, chances, advice and what was read after the build.

    Args:
        sheet: which engine. told: the choice. first: valve -> what must be done before its shim
        can be chosen.
    """
    spec = sheet.select.shims
    return ShimPart(
        rows=tuple(
            _shim_row(told, pick, (first or {}).get(pick.place)) for pick in told.choice.picks
        )
        + tuple(
            ShimRow(spoken(item.place), "", "none", "", "", "", "", "", (item.why,))
            for item in told.choice.left_out
        ),
        chance_all=percent(told.choice.joint.all) if told.choice.picks else "",
        chance_of="all valves listed" if told.choice.left_out else "every valve",
        words=tuple(_shim_words(sheet, told)),
        measure_again=tuple(
            (spoken(item.place), item.what, percent(item.chance_all_after)) for item in told.again
        ),
        frontier=tuple(
            (
                counted(step.bought, "shim", "shims") + (" (chosen)" if step.chosen else ""),
                money(step.price, sheet.currency),
                percent(step.chance_all),
            )
            for step in told.frontier
        ),
        page=page(spec.source if spec else None),
        figure=_shim_figure(told),
        built=tuple(_built_row(item) for item in told.built),
        stops=tuple(
            (
                f"{stop.angle:g}°",
                f"cylinder {stop.cylinder} on its compression top centre",
                listed(spoken(place) for place in stop.valves),
            )
            for stop in told.stops
        ),
        turning=tuple(_turning(sheet)) if told.stops else (),
    )


def _turning(sheet: Sheet) -> Iterator[str]:
    """How to turn the crank to its positions, as the sheet says."""
    turning = sheet.turning
    if turning.direction:
        yield f"Turn the crank {turning.direction}."
    else:
        yield "The sheet does not say which way the crank turns: turn it its own way only."
    if turning.mark:
        yield f"Mark of the first cylinder's top centre: {turning.mark}."
    if turning.max_temperature is not None:
        yield f"Read with the engine no warmer than {turning.max_temperature:g} °C."
    if turning.source:
        yield f"All of it: {turning.source}."


def _shim_row(told: ShimReport, pick: ShimPick, first: str | None) -> ShimRow:
    taken, valve = pick.taken, pick.valve
    source = taken.shim.source
    where = "stays" if source == pick.place else spoken(source)
    notes = [_BASES[valve.base]] if _BASES[valve.base] else []
    if first:
        notes.append(first)
    if any(item.place == pick.place for item in told.held):
        notes.append(f"{_with_old_shim(valve)}: build dry first")
    if valve.shim is not None and valve.shim.note:
        notes.append(f"shim found here: {valve.shim.note}")
    wanted, leaves = sum_text(pick)
    return ShimRow(
        place=spoken(pick.place),
        total=wanted,
        leaves=leaves,
        shim=taken.shim.label,
        source=where,
        clearance=with_u(taken.clearance.value, taken.clearance.u),
        window=span(*valve.window, decimals=2),
        chance=percent(taken.chance),
        notes=tuple(notes),
    )


def _with_old_shim(valve: Valve) -> str:
    """What the shim that was found would do to a valve that now sits further up."""
    old = valve.with_old_shim
    if old is None:
        return "the old shim would hold this valve open"
    does = "leave too little gap to read" if old.value > 0.0 else "hold this valve open"
    return f"the old shim would {does} ({mm(old.value)} mm)"


def _shim_words(sheet: Sheet, told: ShimReport) -> Iterator[str]:
    sources = Counter(
        "stay where they are"
        if pick.taken.shim.source == pick.place
        else {"buy": "to buy", "drawer": "from the drawer"}.get(
            pick.taken.shim.source, "from another valve of this engine"
        )
        for pick in told.choice.picks
    )
    if sources:
        yield "Shims: " + listed(f"{count} {words}" for words, count in sources.items()) + "."
    plan = told.choice.plan
    if plan is not None:
        # One cost is told: that of the frontier, in which errors that readings share count.
        cost = next((step.cost for step in told.frontier if step.chosen), plan.cost)
        short = round(plan.cost - plan.lower_bound, 2)
        by = f" by more than {money(short, sheet.currency)}" if short > 0.0 else ""
        yield (
            f"Expected cost {money(cost, sheet.currency)}, errors that readings share counted, with"
            f" opening again reckoned at {money(told.money.reopen, sheet.currency)}. Were no error"
            f" shared, no choice would cost less{by} (proven)."
        )
    low, high = told.bedding
    yield (
        f"Fresh seats bed in: reckon with {mm(low, 2)} to {mm(high, 2)} mm in the first hours where"
        " seats were worked on."
    )
    for item in told.brackets:
        yield (
            f"{spoken(item.place)}: order {item.label} besides; one of the two then fits with"
            f" {percent(item.chance_with)} instead of {percent(item.chance)}."
        )
    for check in told.checking:
        if check.thickness is not None:
            yield (
                f"{spoken(check.place)}: for the dry build take a checking shim of"
                f" {mm(check.thickness)} or thinner."
            )
    for barred in told.shelf.barred:
        yield f"Not to be used again: {barred.label} ({spoken(barred.source)}), {barred.why}."
    for screw in told.screws:
        if screw.turns is None:
            yield f"{spoken(screw.place)}: {screw.why}."
        else:
            way = "out" if screw.turns >= 0 else "in"
            yield f"{spoken(screw.place)}: turn the screw {way} by {abs(screw.turns):.2f} turns."


def _shim_figure(told: ShimReport) -> Figure | None:
    built = {item.place: item for item in told.built}
    strips = [
        Strip(
            spoken(pick.place),
            *pick.valve.window,
            pick.valve.aim,
            pick.taken.clearance.value,
            pick.taken.clearance.u,
            pick.taken.chance,
            _read(built.get(pick.place)),
        )
        for pick in told.choice.picks
    ]
    if not strips:
        return None
    return Figure(chance_strips(strips), "forecast clearance of each valve in its window", _KEY)


def _read(item: AsBuilt | None) -> float | None:
    return item.read.value if item is not None and item.read is not None else None


def _built_row(item: AsBuilt) -> BuiltRow:
    verdict = item.decision.verdict if item.decision else "does not conform"
    return BuiltRow(
        place=spoken(item.place),
        shim=mm(item.shim.thickness.value),
        read=with_u(item.read.value, item.read.u) if item.read else "no gap",
        window=span(*item.window, decimals=2),
        verdict=verdict,
        chance=percent(item.decision.probability) if item.decision else "",
        forecast=with_u(item.forecast.value, item.forecast.u) if item.forecast else "none",
    )


def shell_part(told: GroupPicks) -> ShellPart:
    """The choice of one group of shells."""
    group = told.group
    words = [f"String on the {_STRING[role]}: {test.text}." for role, test in group.tests.items()]
    words += [f"{note[0].upper()}{note[1:]}." for note in told.notes if note]
    if told.chance_all is not None:
        words.insert(
            0, f"Chance that every clearance lands in its window: {percent(told.chance_all)}."
        )
    sources = [
        group.spec.source,
        group.spec.case and group.spec.case.source,
        group.spec.crank and group.spec.crank.source,
    ]
    return ShellPart(
        name=group.name,
        rows=tuple(_shell_row(pick) for pick in told.picks),
        words=tuple(words),
        page=listed(dict.fromkeys(source for source in sources if source)),
        figure=_shell_figure(told),
    )


_STRING = {"housing": "case", "journal": "crank"}


def _shell_row(pick: ShellPick) -> ShellRow:
    bearing = pick.bearing
    notes = [pick.sum.text] if pick.sum else []
    if pick.sum_measured and pick.sum and pick.sum_measured.text != pick.sum.text:
        notes.append(f"by the measurements alone {pick.sum_measured.text}")
    notes.append(pick.agreement.text)
    notes += [pick.cross] if pick.cross else []
    notes += [f"{number}. {step}" for number, step in enumerate(pick.advice, 1)]
    if pick.refused:
        notes.append(f"no shell picked: {pick.refused}")
    chosen = pick.pick
    return ShellRow(
        place=spoken(pick.place),
        marks=_marks(bearing),
        by_code=str(bearing.by_code) if bearing.by_code else "none",
        by_measurement=str(pick.measured.halves) if pick.measured else "none",
        pick=" / ".join(chosen.halves) if chosen else "none",
        clearance=with_u(chosen.clearance.value, chosen.clearance.u) if chosen else "",
        window=span(*bearing.window),
        chance=percent(chosen.chance) if chosen and chosen.chance is not None else "",
        notes=_once(notes),
    )


def _once(notes: Sequence[str]) -> tuple[str, ...]:
    """Notes without those that another one says too, whatever number stands before it."""
    kept: list[str] = []
    said: list[str] = []
    for note in notes:
        plain = note.partition(". ")[2] if note[:1].isdigit() and note[1:3] == ". " else note
        plain = plain.removeprefix("no shell picked: ")
        if plain and not any(plain in other for other in said):
            kept.append(note)
            said.append(plain)
    return tuple(kept)


def _marks(bearing: Bearing) -> str:
    marks = (bearing.housing.read.mark, bearing.journal.read.mark)
    return ", ".join(mark or "none" for mark in marks)


def _shell_figure(told: GroupPicks) -> Figure | None:
    strips = []
    for pick in told.picks:
        low, high = pick.bearing.window
        if low is None or high is None:
            continue
        chosen = pick.pick
        strips.append(
            Strip(
                spoken(pick.place),
                low,
                high,
                pick.bearing.aim,
                chosen.clearance.value if chosen else None,
                chosen.clearance.u if chosen else 0.0,
                chosen.chance if chosen else None,
            )
        )
    if not strips:
        return None
    name = told.group.name
    return Figure(chance_strips(strips, decimals=3), f"oil clearance at each place, {name}", _KEY)


def order_part(order: Order, places: Places) -> OrderPart:
    """The order list."""
    also = [
        f"Worth having besides, not in the sum: {counted_of(line.count)} × {line.named} for"
        f" {listed(spoken(place) for place in line.places)}."
        for line in order.also
    ]
    return OrderPart(
        rows=tuple(_order_row(line) for line in order.lines),
        total=together(order),
        notes=(*(spoken_in(note, places) for note in order.notes), *also),
    )


def _order_row(line: OrderLine) -> OrderRow:
    return OrderRow(
        what=line.what,
        size=line.size,
        count=counted_of(line.count),
        places=listed(spoken(place) for place in line.places),
        price="" if line.price is None else f"{line.price:.2f}",
        total="" if line.total is None else f"{line.total:.2f}",
        why="; ".join(reason for reason in line.reasons if reason != PICKED),
    )
