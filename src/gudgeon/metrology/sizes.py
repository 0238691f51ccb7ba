"""Readings → sizes: everything that has a limit, or is wanted by what chooses parts.

One size for each value the sheet derives, each fit and each feature nothing is derived from, at
each place, and for each epoch in which it was read. What was not read is there too, without value.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from gudgeon.metrology.measured import Measured, mean_of
from gudgeon.metrology.readings import AtSpot, Table, read_all
from gudgeon.metrology.rules import EITHER_WAY, OTHER, Spot, Value, change, derive, shown_to
from gudgeon.sheet.features import Derived, Feature, Fit, Rule
from gudgeon.sheet.places import ENGINE

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop
    from gudgeon.sheet.model import Sheet

Origin = Literal["derive", "fit", "feature"]
#: Decimals to which a mean is shown at most, unless its readings have more [of a millimetre].
USUAL_DECIMALS: Final = 3


@dataclass(frozen=True, slots=True)
class Other:
    """The same readings by another convention: its name, value and formula."""

    rule: str
    value: Measured
    formula: str


@dataclass(frozen=True, slots=True)
class Size:
    """One size of the engine.

    Attributes:
        place: where. name: of the derived value, fit or feature. origin: which of the three.
        feature: the feature read (of a fit, its hole). features: all features it rests on.
        part: the part it belongs to, as the sheet groups it. epoch: when.
        value: with its error sources [unit]; none where the readings do not suffice.
        judged: what limits are held against [unit], where that is not the value itself.
        below: the gap is smaller than this [mm], where no blade went.
        unit: mm or g. rule: the rule, where there is one.
        readings: ids of the readings behind it. formula: with its numbers.
        decimals: how many to show. read, planned: how many readings there are, and should be.
        other: by the other convention of its family. notes: what had to be assumed.
        stale: why its readings no longer hold, if they do not.
    """

    place: str
    name: str
    origin: Origin
    feature: str
    features: tuple[str, ...]
    part: str
    epoch: str
    value: Measured | None
    unit: str
    readings: tuple[str, ...]
    formula: str
    decimals: int
    read: int
    planned: int
    rule: str = ""
    judged: Measured | None = None
    below: float | None = None
    other: Other | None = None
    notes: tuple[str, ...] = ()
    stale: str | None = None
    spots: tuple[Spot, ...] = field(default=())

    @property
    def complete(self) -> bool:
        """Whether every reading of the plan is there."""
        return self.read >= self.planned

    def text(self, number: float) -> str:
        """A number written with this size's decimals."""
        return f"{number:.{self.decimals}f}"


def sizes(job: Job, shop: Shop) -> tuple[Size, ...]:
    """Every size of a job, in the order of its sheet: by name, then by place, then by epoch."""
    return sizes_of(job.sheet, read_all(job, shop))


def sizes_of(sheet: Sheet, table: Table) -> tuple[Size, ...]:
    """Every size that a sheet asks for, from readings already brought together."""
    maker = _Maker(sheet, table)
    return tuple(maker.all())


class _Maker:
    """Makes sizes from one sheet and one table of readings."""

    def __init__(self, sheet: Sheet, table: Table) -> None:
        self.sheet = sheet
        self.table = table

    def all(self) -> Iterator[Size]:
        """Features without a derived value first, then derived values, then fits."""
        derived = {item.from_ for item in self.sheet.derive.values() if item.rule != "change"}
        for name, feature in self.sheet.features.items():
            if name not in derived:
                yield from self._feature(name, feature)
        for name, spec in self.sheet.derive.items():
            source = self.sheet.features.get(spec.from_)
            if source is None:
                continue
            if spec.rule == "change":
                yield from self._changes(name, spec, source)
            else:
                yield from self._derived(name, spec, source)
        for name, fit in self.sheet.fits.items():
            yield from self._fits(name, fit)

    def _epochs(self, feature: str, spec: Feature, place: str) -> list[str]:
        """The first epoch, and every other one in which something was read there."""
        return [
            epoch
            for number, epoch in enumerate(spec.epochs)
            if number == 0 or self.table.at(feature, place, epoch)
        ]

    def _feature(self, name: str, spec: Feature) -> Iterator[Size]:
        rule: Rule = "mean"
        if spec.plan and spec.wears is not None:
            rule = "max" if spec.wears == "larger" else "min"
        elif spec.plan and spec.kind in ("flatness", "run-out"):
            rule = "max"
        for place in self.sheet.layout.of(spec.at):
            for epoch in self._epochs(name, spec, place):
                yield self._one(name, "feature", name, spec, rule, spec.part, place, epoch)

    def _derived(self, name: str, spec: Derived, source: Feature) -> Iterator[Size]:
        part = spec.part or source.part
        for place in self.sheet.layout.of(source.at):
            for epoch in self._epochs(spec.from_, source, place):
                yield self._one(name, "derive", spec.from_, source, spec.rule, part, place, epoch)

    def _one(
        self,
        name: str,
        origin: Origin,
        feature: str,
        spec: Feature,
        rule: Rule,
        part: str | None,
        place: str,
        epoch: str,
    ) -> Size:
        spots = self.table.at(feature, place, epoch)
        values = {spot: at.value for spot, at in spots.items() if at.value is not None}
        decimals = _decimals(spots, rule)
        found = derive(rule, spec.plan, values, decimals)
        below = next((at.below for at in spots.values() if at.below is not None), None)
        planned = 1
        for names in spec.plan.values():
            planned *= len(names)
        formula = found.formula
        if len(spots) == 1 and planned == 1:
            formula = _as_read(next(iter(spots.values())))
        return Size(
            place,
            name,
            origin,
            feature,
            (feature,),
            part or feature,
            epoch,
            found.value,
            "g" if spec.kind == "mass" else "mm",
            _entries(spots),
            formula,
            decimals,
            len(spots),
            planned,
            rule,
            found.judged,
            below if not values else None,
            _other(rule, spec, values, decimals),
            (*_notes(spots), *found.notes, *_partial(len(spots), planned)),
            self.table.stale.get((feature, place, epoch)),
            found.spots,
        )

    def _changes(self, name: str, spec: Derived, source: Feature) -> Iterator[Size]:
        for place in self.sheet.layout.of(source.at):
            read = [e for e in source.epochs if self.table.values(spec.from_, place, e)]
            spots: dict[str, Mapping[Spot, AtSpot]] = {
                epoch: self.table.at(spec.from_, place, epoch) for epoch in read
            }
            found = Value(None, "needs readings of two epochs")
            decimals = max((_decimals(at, "change") for at in spots.values()), default=3)
            if len(read) > 1:
                pair = (read[0], read[-1])
                means = [self._matched(spec.from_, place, epoch, pair) for epoch in pair]
                if means[0] is not None and means[1] is not None:
                    found = change(means[0], means[1], pair, decimals)
            last = read[-1] if len(read) > 1 else source.epochs[-1]
            yield Size(
                place,
                name,
                "derive",
                spec.from_,
                (spec.from_,),
                spec.part or source.part or spec.from_,
                last,
                found.value,
                "g" if source.kind == "mass" else "mm",
                tuple(entry for at in spots.values() for entry in _entries(at)),
                found.formula,
                decimals,
                len(read),
                2,
                spec.rule,
                notes=tuple(dict.fromkeys(n for at in spots.values() for n in _notes(at))),
                stale=self.table.stale.get((spec.from_, place, last)) if len(read) > 1 else None,
            )

    def _matched(
        self, feature: str, place: str, epoch: str, pair: tuple[str, str]
    ) -> Measured | None:
        """The mean over the spots that both epochs have."""
        both = [self.table.values(feature, place, e) for e in pair]
        mine = self.table.values(feature, place, epoch)
        shared = [value for spot, value in mine.items() if all(spot in other for other in both)]
        return mean_of(shared) if shared else None

    def _fits(self, name: str, fit: Fit) -> Iterator[Size]:
        hole, shaft = self.sheet.features.get(fit.hole), self.sheet.features.get(fit.shaft)
        if hole is None or shaft is None:
            return
        for place, hole_at, shaft_at in self._pairs(hole, shaft):
            for epoch in hole.epochs:
                if epoch not in shaft.epochs:
                    continue
                both = self.table.at(fit.hole, hole_at, epoch) and self.table.at(
                    fit.shaft, shaft_at, epoch
                )
                if epoch == hole.epochs[0] or both:
                    yield self._fit(name, fit, place, (hole_at, shaft_at), epoch)

    def _pairs(self, hole: Feature, shaft: Feature) -> Iterator[tuple[str, str, str]]:
        """Each finer place, with where its hole and its shaft are."""
        layout = self.sheet.layout
        if hole.at == shaft.at or shaft.at == ENGINE or layout.parents.get(hole.at) == shaft.at:
            for place in layout.of(hole.at):
                at = place if hole.at == shaft.at else layout.parent(place) or ENGINE
                yield place, place, ENGINE if shaft.at == ENGINE else at
        elif hole.at == ENGINE or layout.parents.get(shaft.at) == hole.at:
            for place in layout.of(shaft.at):
                yield place, ENGINE if hole.at == ENGINE else layout.parent(place) or ENGINE, place

    def _fit(self, name: str, fit: Fit, place: str, at: tuple[str, str], epoch: str) -> Size:
        features = (fit.hole, fit.shaft)
        specs = [self.sheet.features[feature] for feature in features]
        sides = [self.table.at(f, p, epoch) for f, p in zip(features, at, strict=True)]
        decimals = max((_decimals(side, "max") for side in sides if side), default=3)
        values = [
            {spot: item.value for spot, item in side.items() if item.value is not None}
            for side in sides
        ]
        rules: tuple[Rule, Rule] = (fit.take, fit.less)
        ends = [
            derive(rule, spec.plan, mine, decimals).value
            for rule, spec, mine in zip(rules, specs, values, strict=True)
        ]
        value, formula = None, "not all read"
        if ends[0] is not None and ends[1] is not None:
            value = ends[0] - ends[1]
            formula = _fit_formula(features, rules, (ends[0], ends[1]), values, decimals)
        planned = [_planned(spec) for spec in specs]
        stales = [
            self.table.stale.get((feature, p, epoch))
            for feature, p in zip(features, at, strict=True)
        ]
        return Size(
            place,
            name,
            "fit",
            fit.hole,
            features,
            fit.part or specs[0].part or fit.hole,
            epoch,
            value,
            "mm",
            tuple(entry for side in sides for entry in _entries(side)),
            formula,
            decimals,
            sum(len(side) for side in sides),
            sum(planned),
            "fit",
            other=_other_fit(fit, specs[0], values[0], ends[1], decimals),
            notes=tuple(
                dict.fromkeys(
                    note
                    for side, count in zip(sides, planned, strict=True)
                    for note in (*_notes(side), *_partial(len(side), count))
                )
            ),
            stale=next((why for why in stales if why), None),
        )


def _planned(spec: Feature) -> int:
    planned = 1
    for names in spec.plan.values():
        planned *= len(names)
    return planned


def _fit_formula(
    features: tuple[str, str],
    rules: tuple[str, str],
    ends: tuple[Measured, Measured],
    values: list[dict[Spot, Measured]],
    decimals: int,
) -> str:
    show = shown_to(decimals)
    told = [
        f"{rule + ' ' if len(mine) > 1 else ''}{feature} {show(end.value)}"
        for feature, rule, end, mine in zip(features, rules, ends, values, strict=True)
    ]
    return " − ".join(told)


def _other_fit(
    fit: Fit,
    hole: Feature,
    holes: Mapping[Spot, Measured],
    shaft: Measured | None,
    decimals: int,
) -> Other | None:
    """With the mean hole where the sheet takes the greatest, and the other way round."""
    if shaft is None or len(holes) < 2 or fit.take == "min":
        return None
    rule: Rule = "mean" if fit.take == "max" else "max"
    end = derive(rule, hole.plan, holes, decimals).value
    if end is None:
        return None
    show = shown_to(decimals)
    formula = f"{rule} {fit.hole} {show(end.value)} − {fit.shaft} {show(shaft.value)}"
    return Other(f"{rule} of the hole", end - shaft, formula)


def _other(
    rule: str, spec: Feature, values: Mapping[Spot, Measured], decimals: int
) -> Other | None:
    other = OTHER.get(rule)
    if other is None or not values:
        return None
    found = derive(other, spec.plan, values, decimals)
    if found.value is None:
        return None
    judged = found.judged if other in EITHER_WAY and found.judged is not None else found.value
    return Other(other, judged, found.formula)


def _as_read(at: AtSpot) -> str:
    """How a single value was read."""
    typed = [item.typed for item in at.taken]
    return typed[0] if len(typed) == 1 else f"mean of {'; '.join(typed)}"


def _entries(spots: Mapping[Spot, AtSpot]) -> tuple[str, ...]:
    return tuple(item.entry for at in spots.values() for item in at.taken)


def _notes(spots: Mapping[Spot, AtSpot]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(note for at in spots.values() for note in at.notes))


def _partial(read: int, planned: int) -> tuple[str, ...]:
    return (f"{read} of {planned} read",) if 0 < read < planned else ()


def _decimals(spots: Mapping[Spot, AtSpot], rule: str) -> int:
    """As many as were typed; one more for a mean of several or a half."""
    typed = max((item.decimals for at in spots.values() for item in at.taken), default=3)
    several = rule == "mean" and sum(len(at.taken) for at in spots.values()) > 1
    finer = typed + (1 if several or rule == "oval-half" else 0)
    return min(max(typed, USUAL_DECIMALS), finer)
