"""One bearing as the choice of its shells sees it: two marks and two diameters."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from gudgeon.faults import Fault
from gudgeon.fit.schemes import Halves, NormalForm
from gudgeon.formulas.bearings import installed_clearance, undersize_wall
from gudgeon.metrology.class_likelihood import Band, Wear, Weighed, from_class, weigh
from gudgeon.metrology.measured import Measured

Role = Literal["housing", "journal"]
Basis = Literal["code and measurement", "measurement", "code", "nothing"]


class Read(NamedTuple):
    """What is known of one part before code and measurement are brought together.

    Attributes:
        mark: its stamped mark. band: the diameter range of that mark [mm].
        measured: its diameter [mm].
        doubt: why its mark is not to be counted on; empty where it is.
        unused: why some or all of its readings do not count, cause by cause.
    """

    mark: str | None = None
    band: Band | None = None
    measured: Measured | None = None
    doubt: str = ""
    unused: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Diameter:
    """The diameter of one part at one place.

    Attributes:
        role: housing or journal.
        read: mark, range and measurement.
        taken: the diameter to count on [mm].
        basis: what that rests on.
        weighed: code against measurement, where there are both.
    """

    role: Role
    read: Read
    taken: Measured | None
    basis: Basis
    weighed: Weighed | None = None

    @property
    def status(self) -> str:
        """Whether the measurement agrees with the mark; empty where there are not both."""
        return self.weighed.status if self.weighed else ""


@dataclass(frozen=True, slots=True)
class Bearing:
    """One place that takes an upper and a lower shell.

    Attributes:
        group: name of the group of shells. place: address.
        form: the scheme of grades.
        housing, journal: the two diameters.
        fitted: bore with the present shells in [mm], where it was measured.
        present: the shells taken to be in there now.
        by_code: grades by the marks. fault: why there are none.
        other_end: grades by the marks if a doubted string is read from its other end.
        undersize: what the journal was ground under its first size [mm].
        tolerance: greatest departure of a wall [mm]. window: oil clearance, None where open [mm].
        aim: oil clearance to aim at [mm].
    """

    group: str
    place: str
    form: NormalForm
    housing: Diameter
    journal: Diameter
    fitted: Measured | None
    by_code: Halves | None
    fault: Fault | None
    other_end: Halves | None
    undersize: float
    tolerance: float
    window: tuple[float | None, float | None]
    aim: float | None

    @property
    def present(self) -> Halves | None:
        """The shells taken to be in the bearing now: those its marks call for."""
        known = self.by_code is not None and all(grade in self.form.walls for grade in self.by_code)
        return self.by_code if known else None

    @property
    def as_found(self) -> Measured | None:
        """Oil clearance with the shells that are in there now [mm], where that bore was read."""
        journal = self.journal.read.measured
        if self.fitted is None or journal is None:
            return None
        return installed_clearance(self.fitted, journal)

    @property
    def route(self) -> Literal["housing", "fitted", "none"]:
        """Which bore the forecast rests on: the bare housing, or the bore with shells in."""
        if self.journal.taken is None:
            return "none"
        if self.housing.read.measured is None and self.fitted is not None and self.present:
            return "fitted"
        return "none" if self.housing.taken is None else "housing"

    def wall(self, grade: str) -> float:
        """Wall of a grade at this journal's undersize [mm].

        The undersize is on the diameter, so the wall grows by half of it.
        """
        return undersize_wall(self.form.walls[grade], self.undersize)

    def bare(self, measured_only: bool = False) -> Measured | None:
        """Housing less journal: the room for two walls and the oil [mm].

        With `measured_only`, by the measurements as they stand, without the codes.
        """
        journal = self.journal.read.measured if measured_only else self.journal.taken
        if journal is None:
            return None
        if self.route == "fitted" and self.fitted is not None and self.present is not None:
            inside = sum(self.wall(grade) for grade in self.present)
            own = Measured.of(inside, 2.0 * self.wall_u, f"shells now in {self.place}")
            return self.fitted + own - journal
        housing = self.housing.read.measured if measured_only else self.housing.taken
        return None if housing is None else housing - journal

    @property
    def wall_u(self) -> float:
        """Standard uncertainty of one wall [mm]: anywhere within its tolerance."""
        return self.tolerance / math.sqrt(3.0)


def diameter(role: Role, read: Read, wear: Wear, place: str, span: float) -> Diameter:
    """Bring mark and measurement of one part together.

    A doubted mark counts for nothing; so does one without a stated range.
    """
    source = f"class of the {role} at {place}"
    band = None if read.doubt else read.band
    if read.measured is None:
        if band is None:
            return Diameter(role, read, None, "nothing")
        return Diameter(role, read, from_class(band, wear, source), "code")
    if band is None:
        return Diameter(role, read, read.measured, "measurement")
    weighed = weigh(read.measured, band, wear, source, span)
    basis: Basis = "code and measurement" if weighed.status == "agrees" else "measurement"
    return Diameter(role, read, weighed.size, basis, weighed)


def class_of(size: float, bands: Mapping[str, Band | None]) -> str | None:
    """The mark whose range holds `size` [mm]; none where no range does."""
    return next(
        (
            mark
            for mark, band in bands.items()
            if band is not None and band.lower <= size <= band.upper
        ),
        None,
    )
