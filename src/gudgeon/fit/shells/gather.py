"""From job and readings to bearings: marks by place, diameters by place, what was ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from gudgeon.faults import Fault, Unusable
from gudgeon.fit.schemes import Halves, NormalForm, normal_form
from gudgeon.fit.shells.bearing import Bearing, Read, Role, diameter
from gudgeon.log.job import Job
from gudgeon.log.oversize import ground_under
from gudgeon.metrology.class_likelihood import Band, band_of, span_of
from gudgeon.metrology.part_sizes import PartSize, part_size
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip
from gudgeon.metrology.strings import StringTest
from gudgeon.metrology.suspicions import Suspicions
from gudgeon.sheet.marks import known_mark, laid_out
from gudgeon.sheet.select import Marks, Shells

Side = Literal["case", "crank"]
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
    assumed: str = ""


class _Gatherer:
    """Gathers one group."""

    def __init__(self, job: Job, table: Table, asked: Suspicions, name: str, spec: Shells) -> None:
        self.job, self.table, self.asked = job, table, asked
        self.name, self.spec = name, spec
        self.form = normal_form(spec)
        self.places = job.sheet.layout.of(spec.at)
        self.faults: list[Fault] = []
        self.undersize = ground_under(job, spec.journal)
        self.slips: dict[str, Slip] = {slip.entry: slip for slip in asked.slips}
        self.tests = self._tests()

    def group(self) -> Group:
        """The whole group."""
        strings: dict[Role, _String] = {role: self._string(role) for role in _SIDE}
        doubts = {role: self._doubt(role) for role in _SIDE}
        reads = {
            role: [
                self._read(role, strings[role].marks.get(place), place, doubts[role])
                for place in self.places
            ]
            for role in _SIDE
        }
        other = {role: reads[role][::-1] if self._turned(role) else reads[role] for role in _SIDE}
        bearings = [
            self._bearing(
                place,
                {role: reads[role][number] for role in _SIDE},
                {role: other[role][number] for role in _SIDE},
                strings,
                turned=any(self._turned(role) for role in _SIDE),
            )
            for number, place in enumerate(self.places)
        ]
        assumed = {role: string.assumed for role, string in strings.items() if string.assumed}
        faults = (*self.faults, *self.form.faults)
        return Group(self.name, self.spec, self.form, tuple(bearings), self.tests, assumed, faults)

    def _feature(self, role: Role) -> str | None:
        return self.spec.housing if role == "housing" else self.spec.journal

    def _marks(self, role: Role) -> Marks | None:
        return self.spec.case if role == "housing" else self.spec.crank

    def _bands(self, role: Role) -> Mapping[str, Band | None]:
        return self.form.case if role == "housing" else self.form.crank

    def _size(self, feature: str | None, place: str) -> PartSize:
        return part_size(self.job.sheet, self.table, feature, place, self.asked.questioned)

    def _string(self, role: Role) -> _String:
        side = _SIDE[role]
        codes = [code for code in self.job.codes if code.group == self.name and code.on == side]
        if not codes:
            return _String({}, {})
        code = codes[-1]
        where = f"entry {code.id}, {side} marks of {self.name}"
        marks = self._marks(role)
        start = marks.reads_from if marks else None
        assumed = [] if start else [f"the sheet does not say which end the {side} string starts at"]
        if len(codes) > 1:
            assumed.append(f"the {side} string was entered {len(codes)} times: the last one counts")
        try:
            laid = laid_out(code.marks, self.places, start, where)
        except Unusable as problem:
            self.faults.extend(problem.faults)
            return _String({}, dict.fromkeys(self.places, problem.faults[0]))
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
        return _String(known, faults, "; ".join(assumed))

    def _tests(self) -> dict[Role, StringTest]:
        """What the measurements say about each string, as the findings say it."""
        said = {item.on: item.test for item in self.asked.strings if item.group == self.name}
        return {role: said[side] for role, side in _SIDE.items() if side in said}

    def _turned(self, role: Role) -> bool:
        return role in self.tests and self.tests[role].turned

    def _doubt(self, role: Role) -> str:
        """Why the marks of one side are not to be counted on; empty where they are."""
        side = _SIDE[role]
        if role == "journal" and self.undersize:
            return (
                f"the crank was ground {self.undersize:.2f} under: its marks no longer hold, and"
                " shells are chosen by measurement"
            )
        if self._turned(role):
            return (
                f"the {side} string fits better from the other end (odds"
                f" {self.tests[role].figure}): look again; until then the {side} marks don't count"
            )
        return ""

    def _read(self, role: Role, mark: str | None, place: str, doubt: str) -> Read:
        band = self._bands(role).get(mark) if mark else None
        size = self._size(self._feature(role), place)
        unused = [*_questions(self.slips, size.questioned), size.unused]
        return Read(mark, band, size.value, doubt, tuple(text for text in unused if text))

    def _bearing(
        self,
        place: str,
        reads: Mapping[Role, Read],
        other: Mapping[Role, Read],
        strings: Mapping[Role, _String],
        *,
        turned: bool,
    ) -> Bearing:
        spec, settings = self.spec, self.table.settings
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
            self._size(spec.fitted, place).value,
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


def _questions(slips: Mapping[str, Slip], entries: Sequence[str]) -> Iterator[str]:
    """The questions that keep readings from counting, in the words in which they are asked."""
    groups: dict[str, list[Slip]] = {}
    for entry in entries:
        if entry in slips:
            groups.setdefault(slips[entry].group, []).append(slips[entry])
    for slip, *others in groups.values():
        if others:
            more = f"The same of {len(others)} more there. Until that is settled they don't count"
        else:
            more = "Until that is settled it does not count"
        yield f"{slip.question} {more}"


def groups(job: Job, table: Table, asked: Suspicions) -> Iterator[Group]:
    """Every group of shells the sheet has, at the places this engine has."""
    for name, spec in job.sheet.select.shells.items():
        if job.sheet.layout.of(spec.at):
            yield _Gatherer(job, table, asked, name, spec).group()


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
