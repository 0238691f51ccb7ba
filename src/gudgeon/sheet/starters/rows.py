"""The rows a starter is made of: what to measure, what is derived from it, what to look up."""

from __future__ import annotations

from typing import Literal, NamedTuple

#: Which limits a row leaves blank.
Ends = Literal["max", "min", "both"]


class Choice(NamedTuple):
    """What an engine is like, as chosen when a sheet is started.

    Attributes:
        layout: inline1 to inline6, v2 or flat2. valves: per cylinder, 2 to 5.
        gear: what stands between cam and valve. big_ends: plain or roller.
        bores: iron or plated. cooling: liquid or air. unit: mm or in.
        inlet, exhaust: clearance window, least and most, as typed; blank where not known.
        series: thinnest and thickest shim and the step, as typed; blank where not known.
        marking: what the mark on a shim means; blank where not known.
    """

    layout: str = "inline4"
    valves: int = 4
    gear: str = "under-bucket"
    big_ends: str = "plain"
    bores: str = "iron"
    cooling: str = "liquid"
    unit: str = "mm"
    inlet: tuple[str, str] = ("", "")
    exhaust: tuple[str, str] = ("", "")
    series: tuple[str, str, str] = ("", "", "")
    marking: str = ""

    @property
    def cylinders(self) -> int:
        """How many cylinders the layout has."""
        return int(self.layout[-1])

    @property
    def two_heads(self) -> bool:
        """Whether each bank has a head of its own."""
        return self.layout in ("v2", "flat2")


class Measure(NamedTuple):
    """A feature, as a starter states it. `note` says what to look up or how to measure."""

    name: str
    note: str
    at: str
    by: str
    plan: str = ""
    kind: str = "size"
    of: str = ""
    wears: str = ""
    state: str = ""
    epochs: str = ""
    only: str = ""


class Value(NamedTuple):
    """A derived value with its limits."""

    name: str
    note: str
    of: str
    rule: str
    ends: Ends


class Clearance(NamedTuple):
    """A fit, hole less shaft."""

    name: str
    note: str
    hole: str
    shaft: str
    take: str = "max"
    less: str = "min"


class Section(NamedTuple):
    """Rows that belong to one assembly."""

    title: str
    part: str
    measures: tuple[Measure, ...]
    values: tuple[Value, ...]
    fits: tuple[Clearance, ...] = ()


def wanted(only: str, choice: Choice) -> bool:
    """Whether a row is for this engine; `only` names words of the choice, any of which will do."""
    if not only:
        return True
    have = {choice.gear, choice.big_ends, choice.bores, choice.cooling}
    return any(word in have for word in only.split())
