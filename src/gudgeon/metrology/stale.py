"""What no longer holds once something was done: one table, read by role.

A feature's roles come from where the sheet names it: what the shims hold to, what the shells sit
between, what is rebored. Where the sheet names it nowhere, the words in its name decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.instruments import moment
from gudgeon.sheet.places import ENGINE, Places

if TYPE_CHECKING:
    from gudgeon.log.entries import Happened
    from gudgeon.sheet.model import Sheet


class Row(NamedTuple):
    """What rests on one kind of event.

    Attributes:
        words: what was done. roles: the roles of features that no longer hold.
        picks: the choices that rest on them.
    """

    words: str
    roles: frozenset[str]
    picks: tuple[str, ...] = ()


def _row(words: str, roles: str, *picks: str) -> Row:
    return Row(words, frozenset(roles.split()), picks)


#: Event -> what rests on it. `new-part` takes everything at its places.
EVENTS: Final[dict[str, Row]] = {
    "seat-recut": _row("the seat was recut", "clearance stem-height seat", "shims"),
    "valve-replaced": _row(
        "the valve was replaced", "clearance stem-height stem seat spring", "shims"
    ),
    "valve-ground": _row("the valve was ground", "clearance stem-height seat", "shims"),
    "guide-replaced": _row("the guide was replaced", "clearance stem-height guide seat", "shims"),
    "shim-changed": _row("the shim was changed", "clearance"),
    "bucket-changed": _row("the bucket was changed", "clearance bucket", "shims"),
    "new-cam": _row("another cam went in", "clearance lobe cam", "shims"),
    "skim": _row("the face was skimmed", "face"),
    "rebore": _row("the cylinder was rebored", "bore piston ring-gap", "pistons"),
    "hone": _row("the cylinder was honed", "bore ring-gap", "pistons"),
    "piston-replaced": _row("the piston was replaced", "piston pin-bore ring-gap", "pistons"),
    "rings-replaced": _row("the rings were replaced", "ring-gap ring-side"),
    "regrind": _row("the journal was ground", "journal", "shells"),
    "polish": _row("the journal was polished", "journal", "shells"),
    "crank-replaced": _row("the crankshaft was replaced", "journal run-out", "shells"),
    "rod-moved": _row("the rod was moved", "rod-housing shells-in", "shells"),
    "rod-replaced": _row("the rod was replaced", "rod-housing small-end shells-in", "shells"),
    "case-replaced": _row("the case was replaced", "case-housing shells-in", "shells"),
    "line-bore": _row("the housings were line-bored", "case-housing shells-in", "shells"),
    "shells-replaced": _row("the shells were replaced", "shells-in"),
    "new-part": Row("a new part went in", frozenset()),
}
_WORDS: Final = (
    "seat",
    "stem",
    "spring",
    "guide",
    "bucket",
    "lobe",
    "cam",
    "bore",
    "piston",
    "pin-bore",
    "ring-gap",
    "ring-side",
    "small-end",
)


def roles(sheet: Sheet) -> Mapping[str, frozenset[str]]:
    """The roles of each feature of a sheet, by the feature's name."""
    found: dict[str, set[str]] = {name: set() for name in sheet.features}

    def give(feature: str | None, role: str) -> None:
        if feature in found:
            found[feature].add(role)

    if sheet.select.shims is not None:
        give(sheet.select.shims.gap, "clearance")
        give(sheet.select.shims.tip, "stem-height")
    for shells in sheet.select.shells.values():
        give(shells.housing, "case-housing" if shells.at.startswith("main") else "rod-housing")
        give(shells.journal, "journal")
        give(shells.fitted, "shells-in")
    for oversize in sheet.oversizes.values():
        cut = sheet.features.get(oversize.feature)
        give(oversize.feature, "journal" if cut and cut.wears == "smaller" else "bore")
        give(oversize.with_, "piston")
    for name, feature in sheet.features.items():
        if feature.kind == "flatness":
            found[name].add("face")
        if feature.kind == "run-out":
            found[name].add("run-out")
        if not found[name]:
            found[name].update(_by_name(name))
    return {name: frozenset(items) for name, items in found.items()}


def _by_name(name: str) -> set[str]:
    if name.startswith(("piston-pin", "pin-bore")):
        return {"pin-bore"} if name.startswith("pin-bore") else set()
    padded = f"-{name}-"
    return {word for word in _WORDS if f"-{word}-" in padded}


class Done(NamedTuple):
    """One event that makes results stale.

    Attributes:
        entry: its id. when: its time. row: what rests on it. places: where; none means everywhere.
        text: the remark written with it.
    """

    entry: str
    when: datetime
    row: Row
    places: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Stale:
    """All events of a job, ready to be asked.

    Attributes:
        events: in time order. by_feature: feature -> its roles. layout: the engine's places.
        faults: events that are not in the table.
    """

    events: tuple[Done, ...]
    by_feature: Mapping[str, frozenset[str]]
    layout: Places
    faults: tuple[Fault, ...] = ()

    def last(self, feature: str, place: str) -> Done | None:
        """The last event after which readings of a feature at a place no longer hold."""
        mine = self.by_feature.get(feature, frozenset())
        for done in reversed(self.events):
            if self._touches(done, feature, mine) and self._there(done.places, place):
                return done
        return None

    def _touches(self, done: Done, feature: str, mine: frozenset[str]) -> bool:
        if done.row.roles:
            return bool(done.row.roles & mine)
        named = [name for name in self.by_feature if name in done.text.lower().split()]
        return not named or feature in named

    def _there(self, places: tuple[str, ...], place: str) -> bool:
        if not places or place == ENGINE:
            return True
        above = self.layout.parent(place)
        return any(at in (place, above, ENGINE) or self.layout.parent(at) == place for at in places)


def stale(sheet: Sheet, events: Iterable[Happened]) -> Stale:
    """The events of a job as what they make stale.

    An event the table doesn't know changes nothing, and is told as a fault.
    """
    done: list[Done] = []
    faults: list[Fault] = []
    for event in events:
        row = EVENTS.get(event.what)
        if row is None:
            faults.append(
                Fault(
                    f"entry {event.id}",
                    f"nothing is known of what rests on '{event.what}'",
                    f"use {', '.join(EVENTS)}, or strike it out and enter a note",
                )
            )
            continue
        done.append(Done(event.id, moment(event.at), row, event.places, event.text))
    done.sort(key=lambda item: item.when)
    return Stale(tuple(done), roles(sheet), sheet.layout, tuple(faults))


def reason(done: Done, taken: datetime) -> str:
    """Why a reading taken then no longer holds."""
    return (
        f"measured {taken.date().isoformat()}, before {done.row.words}"
        f" ({done.when.date().isoformat()})"
    )
