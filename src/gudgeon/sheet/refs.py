"""Cross-references: every name that one part of a sheet uses must be defined in another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from gudgeon.numbers import shown
from gudgeon.sheet.features import Derived, Feature
from gudgeon.sheet.marks import no_end, reading_end
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.places import ENGINE
from gudgeon.sheet.select import Marks, Shells, Shims
from gudgeon.sheet.wording import nearest
from gudgeon.sheet.yamltext import Path

#: Most readings one feature may plan at one place.
MOST_READINGS: Final = 200
#: Most readings one engine may be asked for; a four with everything measured has some 700.
MOST_IN_ALL: Final = 50_000
#: Rules that compare readings along one axis of the plan with readings along another.
_TWO_AXES: Final = frozenset(
    ("taper-of-pairs", "taper-down-an-axis", "oval-over-all", "oval-at-a-height")
)


class Wrong(NamedTuple):
    """A problem at a path of the sheet."""

    path: Path
    wrong: str
    right: str


def cross_references(sheet: Sheet) -> Iterator[Wrong]:
    """Every name used that is not defined, in the order of the schema."""
    yield from _engine(sheet)
    yield from _in_all(sheet)
    for name, feature in sheet.features.items():
        yield from _kind(sheet, feature.at, ("features", name, "at"))
        yield from _plan(feature, ("features", name, "plan"))
    for name, derived in sheet.derive.items():
        path: Path = ("derive", name)
        yield from _feature(sheet, derived.from_, (*path, "from"))
        if derived.from_ in sheet.features:
            yield from _rule(derived, sheet.features[derived.from_], (*path, "rule"))
        if name in sheet.features or name in sheet.fits:
            yield Wrong(path, f"'{name}' names two things", "give this one a name of its own")
    for name, fit in sheet.fits.items():
        path = ("fits", name)
        yield from _same_kind(
            sheet, None, ((fit.hole, (*path, "hole")), (fit.shaft, (*path, "shaft")))
        )
        if name in sheet.features:
            yield Wrong(path, f"'{name}' names two things", "give this one a name of its own")
    for name, oversize in sheet.oversizes.items():
        yield from _feature(sheet, oversize.feature, ("oversizes", name, "feature"))
        if oversize.with_ is not None:
            yield from _feature(sheet, oversize.with_, ("oversizes", name, "with"))
    if sheet.select.shims:
        yield from _shims(sheet, sheet.select.shims)
    for name, shells in sheet.select.shells.items():
        yield from _shells(sheet, shells, ("select", "shells", name))


def _engine(sheet: Sheet) -> Iterator[Wrong]:
    cylinders = [address.partition("/")[2] for address in sheet.layout.of("cylinder")]
    if not cylinders:
        return
    for bank, held in (sheet.engine.layout.banks or {}).items():
        for place, name in enumerate(held):
            if name not in cylinders:
                path: Path = ("engine", "layout", "banks", bank, place)
                yield Wrong(path, f"there is no cylinder {shown(name)}", nearest(name, cylinders))
    for name in sheet.turning.firing or {}:
        if name not in cylinders:
            path = ("turning", "firing", name)
            yield Wrong(path, f"there is no cylinder {shown(name)}", nearest(name, cylinders))


def _in_all(sheet: Sheet) -> Iterator[Wrong]:
    asked = sum(
        math.prod(map(len, feature.plan.values()))
        * len(sheet.layout.of(feature.at))
        * len(feature.epochs)
        for feature in sheet.features.values()
    )
    if asked > MOST_IN_ALL:
        yield Wrong(
            ("features",),
            f"the sheet asks for {asked:,} readings",
            f"no more than {MOST_IN_ALL:,}: check counts of places and plans",
        )


def _kind(sheet: Sheet, kind: str, path: Path) -> Iterator[Wrong]:
    if kind != ENGINE and kind not in sheet.layout.kinds:
        known = (*sheet.layout.kinds, ENGINE)
        yield Wrong(path, f"there is no kind of place {shown(kind)}", nearest(kind, known))


def _feature(sheet: Sheet, name: str, path: Path) -> Iterator[Wrong]:
    if name not in sheet.features:
        yield Wrong(path, f"there is no feature {shown(name)}", nearest(name, sheet.features))


def _same_kind(
    sheet: Sheet, kind: str | None, used: Iterable[tuple[str | None, Path]]
) -> Iterator[Wrong]:
    """Features that belong together exist, and are measured at the same kind of place."""
    for name, path in used:
        if name is None:
            continue
        yield from _feature(sheet, name, path)
        found = sheet.features.get(name)
        if found is None:
            continue
        if kind is not None and found.at != kind:
            yield Wrong(
                path, f"'{name}' is measured at {found.at}, not at {kind}", f"measure it at {kind}"
            )
        kind = kind or found.at


def _plan(feature: Feature, path: Path) -> Iterator[Wrong]:
    for axis, spots in feature.plan.items():
        if not spots or len(set(spots)) != len(spots):
            wrong = "is empty" if not spots else "names a spot twice"
            yield Wrong((*path, axis), f"the axis '{axis}' {wrong}", "name each spot once")
    readings = math.prod(len(spots) for spots in feature.plan.values())
    if readings > MOST_READINGS:
        yield Wrong(
            path, f"a plan of {readings} readings", f"plan at most {MOST_READINGS} at one place"
        )


def _rule(derived: Derived, feature: Feature, path: Path) -> Iterator[Wrong]:
    axes = [axis for axis, spots in feature.plan.items() if len(spots) > 1]
    plan = f"the plan of '{derived.from_}'"
    if derived.rule in _TWO_AXES and len(axes) < 2:
        yield Wrong(
            path,
            f"{derived.rule} needs readings along two axes, {plan} has {len(axes)}",
            "plan them as {height: [top, foot], axis: [thrust, pin]}",
        )
    elif derived.rule == "oval-half" and not axes:
        yield Wrong(path, f"{derived.rule} needs readings on two axes", "plan two axes")
    elif derived.rule == "change" and len(feature.epochs) < 2:
        yield Wrong(
            path,
            f"change needs two epochs, '{derived.from_}' has one",
            f"give '{derived.from_}' epochs: [found, seated]",
        )


def _shims(sheet: Sheet, shims: Shims) -> Iterator[Wrong]:
    path: Path = ("select", "shims")
    yield from _kind(sheet, shims.at, (*path, "at"))
    yield from _same_kind(
        sheet, shims.at, ((shims.gap, (*path, "gap")), (shims.tip, (*path, "tip")))
    )


def _shells(sheet: Sheet, shells: Shells, path: Path) -> Iterator[Wrong]:
    yield from _kind(sheet, shells.at, (*path, "at"))
    used = ("housing", shells.housing), ("journal", shells.journal), ("fitted", shells.fitted)
    yield from _same_kind(sheet, shells.at, ((name, (*path, key)) for key, name in used))
    for key, marks in (("case", shells.case), ("crank", shells.crank)):
        if marks:
            yield from _reading_end(sheet, shells.at, marks, (*path, key, "reads-from"))


def _reading_end(sheet: Sheet, kind: str, marks: Marks, path: Path) -> Iterator[Wrong]:
    """The end a string is read from is the first or the last place."""
    places, start = sheet.layout.of(kind), marks.reads_from
    if start is not None and places and reading_end(start, places) is None:
        yield Wrong(path, *no_end(start, places))
