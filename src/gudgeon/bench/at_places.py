"""What stands at the places of an engine: of each size the finding of its latest time, or the oil
clearance that the shells picked would give."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from gudgeon.bench.addresses import measure_at, place_of
from gudgeon.bench.opened import anchor_of, value_of
from gudgeon.bench.words import words_of
from gudgeon.record.figures import percent
from gudgeon.record.said import EPOCHS, mm, spoken

if TYPE_CHECKING:
    from gudgeon.bench.desk import Desk
    from gudgeon.fit.shells.report import ShellPicks
    from gudgeon.metrology.findings import Finding, Findings
    from gudgeon.sheet.model import Sheet

#: Name of the oil clearance among the sizes of the crank; no name of a sheet has a space.
OIL: Final = "oil clearance"
_LATEST: Final = ("built", "dry", "seated", "found")


@dataclass(frozen=True, slots=True)
class At:
    """One place and what is found there.

    Attributes:
        place, spoken: where. name: short. value, unit: as shown. word: verdict; empty where the
        value is a forecast. said: the verdict, or the chance of a forecast. limit: held against.
        when: of which time, where not as found. stale: why it no longer stands.
        see, measure: addresses of the page of the place and of measuring there.
    """

    place: str
    spoken: str
    name: str
    value: str
    unit: str
    word: str
    said: str
    limit: str
    when: str
    stale: str
    see: str
    measure: str


class AtPlaces:
    """What stands where in one job.

    Attributes:
        sizes: name of a size -> place -> its finding. shells: picked for the crank.
    """

    def __init__(self, desk: Desk, name: str) -> None:
        self.job = name
        self.sheet = desk.job(name).sheet
        self.sizes = latest(desk.findings(name))
        self.shells = shells_of(desk, name)
        self.words = words_of("engine")

    def at(self, place: str, name: str) -> At:
        """A place with a size of it: the one of its latest time."""
        if name == OIL:
            return self._oil(place)
        item = self.sizes.get(name, {}).get(place)
        see = place_of(self.job, place, anchor_of(item.size) if item else "")
        if item is None:
            return self.bare(place)
        size = item.size
        return At(
            place,
            spoken(place),
            short_name(self.sheet, place),
            value_of(size),
            size.unit,
            item.word,
            item.word,
            item.limit,
            "" if size.epoch == "found" else EPOCHS.get(size.epoch, size.epoch),
            size.stale or "",
            see,
            measure_at(self.job, size.feature, place, "" if size.origin == "fit" else size.epoch),
        )

    def bare(self, place: str) -> At:
        """A place of which the view shows nothing."""
        see = place_of(self.job, place)
        kind = self.sheet.layout.kind(place)
        feature = next((n for n, spec in self.sheet.features.items() if spec.at == kind), "")
        to = measure_at(self.job, feature, place) if feature else see
        name = short_name(self.sheet, place)
        return At(place, spoken(place), name, "", "", "", "", "", "", "", see, to)

    def _oil(self, place: str) -> At:
        """The oil clearance with the shells that are picked."""
        pick = next((item for item in self.shells.picks if item.place == place), None)
        bare = self.bare(place)
        if pick is None or pick.pick is None:
            return bare
        low, high = pick.bearing.window
        spec = self.sheet.select.shells[pick.group]
        window = "" if low is None or high is None else f"{mm(low)} to {mm(high)}"
        chance = "" if pick.pick.chance is None else percent(pick.pick.chance)
        return replace(
            bare,
            value=mm(pick.pick.clearance.value),
            unit="mm",
            said=self.words("chance-in", chance=chance) if chance else "",
            limit=window,
            when=self.words("forecast", shells=" / ".join(pick.pick.halves)),
            see=place_of(self.job, place, "shells"),
            measure=measure_at(self.job, spec.journal or spec.housing or "", place),
        )


def shells_of(desk: Desk, name: str) -> ShellPicks:
    """The shells of a job; without waiting for its shims, which take longer."""
    from gudgeon.fit.shells.report import shell_picks

    if desk.ready(name, "picks"):
        return desk.picks(name).shells

    def make() -> ShellPicks:
        return shell_picks(desk.job(name), desk.findings(name).table, desk.shop(name))

    return desk.result(name, "shells", make)


def latest(found: Findings) -> dict[str, dict[str, Finding]]:
    """Name of a size -> place -> the finding of its latest time that has a value."""
    sizes: dict[str, dict[str, Finding]] = {}
    for item in found.items:
        places = sizes.setdefault(item.size.name, {})
        held = places.get(item.size.place)
        if held is None or _rank(item) < _rank(held):
            places[item.size.place] = item
    return sizes


def _rank(item: Finding) -> tuple[bool, int]:
    epoch = item.size.epoch
    return (
        item.size.value is None and item.size.below is None,
        _LATEST.index(epoch) if epoch in _LATEST else len(_LATEST),
    )


def short_name(sheet: Sheet, place: str) -> str:
    """How a place is called beside its drawing: a valve by its side, the rest by name."""
    kind, _, rest = place.partition("/")
    if kind == "valve":
        return " ".join(rest.split("/")[1:]) or rest
    if kind == "cylinder":
        return ""
    return f"{kind} {rest.replace('/', ' ')}"
