"""From stamped marks to shell grades: every maker's scheme in one normal form.

Whatever a scheme looks like on paper (a two-way table, a difference, a sum, upper shell from the
case and lower from the crank), it comes to the same: a pair of marks leads to a pair of grades,
and each grade to a wall. The normal form is that list of cells, with the diameter ranges of the
marks beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.metrology.class_likelihood import Band, band_of
from gudgeon.sheet.marks import known_mark
from gudgeon.sheet.scheme import cell_of
from gudgeon.sheet.select import Marks, Scheme, Shells


class Halves(NamedTuple):
    """The grades of the two halves of one bearing."""

    upper: str
    lower: str

    def __str__(self) -> str:
        if self.upper == self.lower:
            return self.upper
        return f"upper {self.upper}, lower {self.lower}"


@dataclass(frozen=True, slots=True)
class NormalForm:
    """A scheme as a list of cells.

    Attributes:
        cells: (case mark, crank mark) -> grades.
        barred: (case mark, crank mark) -> why that pair has no grades.
        case, crank: the marks known on either side -> range of the diameter [mm], where given.
        walls: grade -> wall [mm], thinnest first.
        forbidden: pairs of grades that must not be mixed.
        open_case, open_crank: whether any whole number is a mark of that side.
        faults: where the scheme contradicts the rest of the sheet.
    """

    cells: Mapping[tuple[str, str], Halves]
    barred: Mapping[tuple[str, str], str]
    case: Mapping[str, Band | None]
    crank: Mapping[str, Band | None]
    walls: Mapping[str, float]
    forbidden: frozenset[Halves]
    open_case: bool
    open_crank: bool
    faults: tuple[Fault, ...]
    scheme: Scheme | None

    def look_up(self, case: str, crank: str, where: str) -> Halves:
        """The grades for a pair of marks.

        Raises:
            Unusable: a mark the sheet does not know, a pair without a cell, a forbidden pair.
        """
        pair = (
            known_mark(case, self.case, "case", where, self.open_case),
            known_mark(crank, self.crank, "crank", where, self.open_crank),
        )
        found = self.cells.get(pair)
        if found is None:
            found = self._evaluated(pair, where)
        return found

    def _evaluated(self, pair: tuple[str, str], where: str) -> Halves:
        """The pair's grades by the rule itself, where its marks are not all listed."""
        case, crank = pair
        reason = self.barred.get(pair)
        if reason is None:
            if self.scheme is None:
                reason = "the sheet has no scheme of grades"
            else:
                try:
                    return evaluate(self.scheme, case, crank, self.walls)
                except _NoGrade as problem:
                    reason = str(problem)
        raise Unusable(Fault(where, reason, _remedy(self.cells, case)))


class _NoGrade(Exception):
    """A pair of marks leads to no grades; says why."""


def normal_form(shells: Shells) -> NormalForm:
    """Bring a sheet's scheme to its normal form.

    >>> sheet = Shells.model_validate({"at": "main", "journal": "journal", "scheme":
    ...     {"kind": "sum", "case-numbers": {"A": 0, "B": 1}, "crank-numbers": {"1": 1, "2": 2}},
    ...     "grades": {"1": 1.487, "2": 1.490, "3": 1.493}})
    >>> normal_form(sheet).cells[("B", "2")]
    Halves(upper='3', lower='3')
    """
    scheme = shells.scheme
    walls = {
        name: float(grade.wall)
        for name, grade in sorted(shells.grades.items(), key=lambda item: item[1].wall)
    }
    case = _known(shells.case, _case_marks(scheme))
    crank = _known(shells.crank, _crank_marks(scheme))
    cells: dict[tuple[str, str], Halves] = {}
    barred: dict[tuple[str, str], str] = {}
    if scheme is not None:
        for pair in ((a, b) for a in case for b in crank):
            try:
                cells[pair] = evaluate(scheme, *pair, walls)
            except _NoGrade as problem:
                barred[pair] = str(problem)
    arithmetic = scheme is not None and scheme.kind in ("difference", "sum")
    return NormalForm(
        cells,
        barred,
        case,
        crank,
        walls,
        _forbidden(scheme),
        arithmetic and not case,
        arithmetic and not crank,
        tuple(_contradictions(shells, cells, walls)),
        scheme,
    )


def evaluate(scheme: Scheme, case: str, crank: str, walls: Mapping[str, float]) -> Halves:
    """The grades of one pair of marks, by the scheme's own rule."""
    found, _ = cell_of(scheme, case, crank)
    if isinstance(found, str):
        raise _NoGrade(found)
    halves = Halves(*found)
    unknown = [grade for grade in dict.fromkeys(halves) if walls and grade not in walls]
    if unknown:
        raise _NoGrade(
            f"case {case} with crank {crank} leads to grade {unknown[0]}, which the sheet does"
            " not list"
        )
    if halves in _forbidden(scheme):
        raise _NoGrade(
            f"case {case} with crank {crank}: upper {halves.upper} with lower {halves.lower} is"
            " forbidden"
        )
    return halves


def _case_marks(scheme: Scheme | None) -> Iterable[str]:
    return () if scheme is None else (*scheme.cells, *scheme.case_numbers, *scheme.upper)


def _crank_marks(scheme: Scheme | None) -> Iterable[str]:
    if scheme is None:
        return ()
    columns = (mark for row in scheme.cells.values() for mark in row)
    return (*columns, *scheme.crank_numbers, *scheme.lower)


def _known(marks: Marks | None, others: Iterable[str]) -> dict[str, Band | None]:
    stated = (
        {} if marks is None else {name: band_of(limits) for name, limits in marks.marks.items()}
    )
    return stated | {name: None for name in others if name not in stated}


def _forbidden(scheme: Scheme | None) -> frozenset[Halves]:
    if scheme is None:
        return frozenset()
    return frozenset(Halves(pair[0], pair[1]) for pair in scheme.forbidden if len(pair) == 2)


def _contradictions(
    shells: Shells, cells: Mapping[tuple[str, str], Halves], walls: Mapping[str, float]
) -> Iterable[Fault]:
    """Cells that the sheet's own rules on mixing do not allow."""
    side: Literal["upper", "lower", "either"] = shells.thicker_in
    for (case, crank), (upper, lower) in cells.items():
        where = f"scheme, case {case} with crank {crank}"
        if upper == lower:
            continue
        if shells.mixing == "never" and shells.scheme and shells.scheme.kind == "table":
            yield Fault(where, f"upper {upper} and lower {lower} differ", "mixing: table")
        if side == "either" or upper not in walls or lower not in walls:
            continue
        thicker = "upper" if walls[upper] > walls[lower] else "lower"
        if thicker != side:
            yield Fault(
                where,
                f"the thicker half stands in the {thicker}, but thicker-in says {side}",
                f"[{lower}, {upper}]",
            )


def _remedy(cells: Mapping[tuple[str, str], Halves], case: str) -> str:
    partners = [crank for first, crank in cells if first == case]
    if partners:
        return f"case {case} goes with crank {', '.join(partners)}; look at both marks again"
    return "look at both marks again, or choose by measurement"
