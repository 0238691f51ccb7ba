"""From job and readings to bearings: marks by place, diameters by place, what was ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final, Literal

from gudgeon.faults import Fault, Unusable
from gudgeon.fit.class_likelihood import Band
from gudgeon.fit.marks import known_mark, placed, tokens
from gudgeon.fit.schemes import Halves, NormalForm, band_of, normal_form, span_of
from gudgeon.fit.shells.bearing import Bearing, Read, Role, diameter
from gudgeon.fit.shells.settings import ShellSettings
from gudgeon.fit.strings import StringTest, reversed_string
from gudgeon.log.job import Job
from gudgeon.log.oversize import oversize_step
from gudgeon.metrology.measured import Measured, mean_of
from gudgeon.metrology.readings import Table
from gudgeon.sheet.select import Marks, Shells

Side = Literal["case", "crank"]
#: Readings of one part further from their middle than this [mm] hold a slip, not wear.
#: Common practice, no source.
MOST_APART: Final = 0.1
_SIDE: Final[dict[Role, Side]] = {"housing": "case", "journal": "crank"}


@dataclass(frozen=True, slots=True)
class Group:
    """One group of shells of the engine: its bearings, and what is said of it as a whole.

    Attributes:
        name: of the group. spec: the sheet on it. form: its scheme.
        bearings: in the order of the places.
        tests: role -> what the measurements say about the end its string was read from.
        assumed: role -> what was assumed about its string, such as the end it starts at.
        faults: what could not be used.
    """

    name: str
    spec: Shells
    form: NormalForm
    bearings: tuple[Bearing, ...]
    tests: Mapping[Role, StringTest]
    assumed: Mapping[Role, str]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class _String:
    """One string of marks laid out over its places."""

    marks: Mapping[str, str]
    faults: Mapping[str, Fault]
    whole: bool
    assumed: str = ""


class _Gatherer:
    """Gathers one group."""

    def __init__(
        self, job: Job, table: Table, settings: ShellSettings, name: str, spec: Shells
    ) -> None:
        self.job, self.table, self.settings = job, table, settings
        self.name, self.spec = name, spec
        self.form = normal_form(spec)
        self.places = job.sheet.layout.of(spec.at)
        self.faults: list[Fault] = []
        self.undersize = self._undersize()

    def group(self) -> Group:
        """The whole group."""
        strings: dict[Role, _String] = {role: self._string(role) for role in _SIDE}
        sizes = {role: [self._size(self._feature(role), p) for p in self.places] for role in _SIDE}
        tests = self._tests(strings, {role: [s for s, _ in sizes[role]] for role in _SIDE})
        doubts = {role: self._doubt(role, tests) for role in _SIDE}
        reads = {
            role: [
                self._read(role, strings[role].marks.get(place), size, doubts[role], unused)
                for place, (size, unused) in zip(self.places, sizes[role], strict=True)
            ]
            for role in _SIDE
        }
        other = {
            role: reads[role][::-1] if self._turned(role, tests) else reads[role] for role in _SIDE
        }
        bearings = [
            self._bearing(
                place,
                {role: reads[role][number] for role in _SIDE},
                {role: other[role][number] for role in _SIDE},
                strings,
                turned=any(self._turned(role, tests) for role in _SIDE),
            )
            for number, place in enumerate(self.places)
        ]
        assumed = {role: string.assumed for role, string in strings.items() if string.assumed}
        faults = (*self.faults, *self.form.faults)
        return Group(self.name, self.spec, self.form, tuple(bearings), tests, assumed, faults)

    def _undersize(self) -> float:
        """What the journals were ground under their first size [mm], by this job's departures."""
        found = 0.0
        for entry in self.job.departures:
            oversize = self.job.sheet.oversizes.get(entry.oversize or "")
            if entry.oversize is None or oversize is None or oversize.feature != self.spec.journal:
                continue
            try:
                step = oversize_step(self.job.sheet, entry.oversize, entry.step, entry.id)
            except Unusable:
                continue  # told by the fold, where it belongs
            found = abs(float(step))
        return found

    def _feature(self, role: Role) -> str | None:
        return self.spec.housing if role == "housing" else self.spec.journal

    def _marks(self, role: Role) -> Marks | None:
        return self.spec.case if role == "housing" else self.spec.crank

    def _bands(self, role: Role) -> Mapping[str, Band | None]:
        return self.form.case if role == "housing" else self.form.crank

    def _size(self, feature: str | None, place: str) -> tuple[Measured | None, str]:
        """The mean of all spots at the latest epoch [mm], or why it can't be counted on."""
        spec = self.job.sheet.features.get(feature or "")
        if spec is None or feature is None:
            return None, ""
        for epoch in reversed(spec.epochs):
            values = self.table.values(feature, place, epoch)
            if not values:
                continue
            stale = self.table.stale.get((feature, place, epoch))
            if stale is not None:
                return None, f"{feature} at {place} does not count: {stale}"
            return _mean(list(values.values()), f"{feature} at {place}")
        return None, ""

    def _string(self, role: Role) -> _String:
        side = _SIDE[role]
        codes = [code for code in self.job.codes if code.group == self.name and code.on == side]
        if not codes:
            return _String({}, {}, False)
        code = codes[-1]
        where = f"entry {code.id}, {side} marks of {self.name}"
        marks = self._marks(role)
        start = marks.reads_from if marks else None
        assumed = [] if start else [f"the sheet does not say which end the {side} string starts at"]
        if len(codes) > 1:
            assumed.append(f"the {side} string was entered {len(codes)} times: the last one counts")
        try:
            read = tokens(code.marks, len(self.places), where)
            laid = placed(read, self.places, start, where)
        except Unusable as problem:
            self.faults.extend(problem.faults)
            return _String({}, dict.fromkeys(self.places, problem.faults[0]), False)
        known: dict[str, str] = {}
        faults: dict[str, Fault] = {}
        is_open = self.form.open_case if role == "housing" else self.form.open_crank
        for place, mark in laid.items():
            try:
                at = f"{where}, {place}"
                known[place] = known_mark(mark, self._bands(role), side, at, is_open)
            except Unusable as problem:
                faults[place] = problem.faults[0]
        self.faults.extend(faults.values())
        return _String(known, faults, not faults, "; ".join(assumed))

    def _tests(
        self, strings: Mapping[Role, _String], sizes: Mapping[Role, Sequence[Measured | None]]
    ) -> dict[Role, StringTest]:
        tests: dict[Role, StringTest] = {}
        for role, string in strings.items():
            if not string.whole or len(self.places) < 2 or (role == "journal" and self.undersize):
                continue
            marks = [string.marks[place] for place in self.places]
            wear = self.settings.housing if role == "housing" else self.settings.journal
            bands = self._bands(role)
            tests[role] = reversed_string(marks, bands, sizes[role], wear, span_of(bands))
        return tests

    def _turned(self, role: Role, tests: Mapping[Role, StringTest]) -> bool:
        return role in tests and tests[role].verdict == "fits better from the other end"

    def _doubt(self, role: Role, tests: Mapping[Role, StringTest]) -> str:
        """Why the marks of one side are not to be counted on; empty where they are."""
        side = _SIDE[role]
        if role == "journal" and self.undersize:
            return (
                f"the crank was ground {self.undersize:.2f} under: its marks no longer hold, and"
                " shells are chosen by measurement"
            )
        if self._turned(role, tests):
            odds = 1.0 / tests[role].odds
            shown = f"{odds:.0f}" if odds < 10_000 else "more than 10000"
            return (
                f"the {side} string fits better from the other end (odds {shown} to 1):"
                f" look again; until then the {side} marks don't count"
            )
        return ""

    def _read(
        self, role: Role, mark: str | None, size: Measured | None, doubt: str, unused: str
    ) -> Read:
        band = self._bands(role).get(mark) if mark else None
        return Read(mark, band, size, doubt, unused)

    def _bearing(
        self,
        place: str,
        reads: Mapping[Role, Read],
        other: Mapping[Role, Read],
        strings: Mapping[Role, _String],
        *,
        turned: bool,
    ) -> Bearing:
        spec, settings = self.spec, self.settings
        by_code, fault = self._by_code(place, reads, strings)
        other_end = self._by_code(place, other, strings)[0] if turned else None
        window = spec.window
        ends = (
            None if window is None or window.min is None else float(window.min),
            None if window is None or window.max is None else float(window.max),
        )
        aim = None if spec.aim is None else float(spec.aim)
        if aim is None and ends[0] is not None and ends[1] is not None:
            aim = 0.5 * (ends[0] + ends[1])
        spans = {role: span_of(self._bands(role)) for role in _SIDE}
        return Bearing(
            self.name,
            place,
            self.form,
            diameter("housing", reads["housing"], settings.housing, place, spans["housing"]),
            diameter("journal", reads["journal"], settings.journal, place, spans["journal"]),
            self._size(spec.fitted, place)[0],
            by_code,
            fault,
            other_end,
            self.undersize,
            float(spec.wall_tolerance or 0.0),
            ends,
            aim,
        )

    def _by_code(
        self, place: str, reads: Mapping[Role, Read], strings: Mapping[Role, _String]
    ) -> tuple[Halves | None, Fault | None]:
        """Grades by the marks; a fault where marks were entered and lead to none."""
        fault = next((s.faults[place] for s in strings.values() if place in s.faults), None)
        case, crank = reads["housing"].mark, reads["journal"].mark
        if case is None or crank is None:
            return None, fault
        if self.undersize:
            return None, None
        try:
            return self.form.look_up(case, crank, f"{self.name} at {place}"), None
        except Unusable as problem:
            if not reads["housing"].doubt and not reads["journal"].doubt:
                self._note(problem.faults[0])
            return None, problem.faults[0]

    def _note(self, fault: Fault) -> None:
        if fault not in self.faults:
            self.faults.append(fault)


def _mean(values: list[Measured], what: str) -> tuple[Measured | None, str]:
    """The mean of the spots of one part [mm], and what is not counted in it.

    Where most of them agree and some lie far off, the mean is that of the ones that agree.
    """
    centre = median(value.value for value in values)
    kept = [value for value in values if abs(value.value - centre) <= MOST_APART]
    astray = [value.value for value in values if abs(value.value - centre) > MOST_APART]
    if not astray:
        return mean_of(kept), ""
    told = ", ".join(f"{value:.3f}" for value in astray)
    if len(kept) >= 2 and len(kept) > len(astray):
        return mean_of(kept), (
            f"{told} of {what} lies more than {MOST_APART} from the other {len(kept)} readings:"
            " settle that first; until then it does not count"
        )
    return None, (
        f"the readings of {what} lie more than {MOST_APART} apart, more than any wear: settle that"
        " first; until then they don't count"
    )


def groups(job: Job, table: Table, settings: ShellSettings) -> Iterator[Group]:
    """Every group of shells the sheet has, at the places this engine has."""
    for name, spec in job.sheet.select.shells.items():
        if job.sheet.layout.of(spec.at):
            yield _Gatherer(job, table, settings, name, spec).group()


def journal_limit(job: Job, spec: Shells) -> float | None:
    """The service limit of the journal's diameter [mm], where the sheet gives one."""
    limits = [
        float(item.service.min)
        for item in job.sheet.derive.values()
        if item.from_ == spec.journal
        and item.rule in ("min", "mean", "max")
        and item.service is not None
        and item.service.min is not None
    ]
    return max(limits, default=None)


def journal_bounds(job: Job, group: Group) -> tuple[float, float] | None:
    """Least and greatest diameter of a new journal [mm]: by its marks, else by the sheet."""
    bands = [band for band in group.form.crank.values() if band is not None]
    if not bands:
        feature = job.sheet.features.get(group.spec.journal)
        own = band_of(feature.new) if feature and feature.new else None
        bands = [own] if own else []
    if not bands:
        return None
    return min(band.lower for band in bands), max(band.upper for band in bands)
