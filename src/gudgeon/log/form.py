"""The blank form of an engine: a row for each reading its sheet asks for, to fill in and read."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Final

from gudgeon.log.spots import spot_words, spots
from gudgeon.sheet.features import Feature
from gudgeon.sheet.model import Sheet

#: The columns of a form; the empty ones are filled in at the bench.
FORM: Final = (
    "entry",
    "place",
    "feature",
    "spot",
    "epoch",
    "value",
    "goes",
    "wont",
    "mark",
    "unit",
    "instrument",
    "attempt",
    "part-temp",
    "gauge-temp",
    "note",
)


def blank_form(sheet: Sheet, epoch: str = "found", delimiter: str = ",") -> str:
    """A table with a row for every code, shim and reading of one epoch, its values left blank."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, FORM, restval="", delimiter=delimiter, lineterminator="\n")
    writer.writeheader()
    writer.writerows(form_rows(sheet, epoch))
    return out.getvalue()


def form_rows(sheet: Sheet, epoch: str) -> Iterator[dict[str, str]]:
    """The rows of a form: codes, shims, then feature by feature, place by place."""
    if epoch == "found":
        for name, shells in sheet.select.shells.items():
            for on, marks in (("case", shells.case), ("crank", shells.crank)):
                if marks is not None:
                    yield {"entry": "code", "place": f"{name}/{on}"}
    shims = sheet.select.shims
    if shims is not None and shims.gear != "rocker-screw" and epoch in ("found", "built"):
        for place in sheet.layout.of(shims.at):
            yield {"entry": "shim", "place": place, "epoch": epoch, "unit": sheet.unit}
    for name, feature in sheet.features.items():
        if epoch in feature.epochs:
            yield from _readings(sheet, name, feature, epoch)


def _readings(sheet: Sheet, name: str, feature: Feature, epoch: str) -> Iterator[dict[str, str]]:
    blades = by_blades(feature)
    for place in sheet.layout.of(feature.at):
        for spot in spots(feature):
            yield {
                "entry": "feeler" if blades else "reading",
                "place": place,
                "feature": name,
                "spot": spot_words(spot),
                "epoch": epoch,
                "unit": "g" if feature.kind == "mass" else sheet.unit,
            }


def by_blades(feature: Feature) -> bool:
    """Whether a feature is usually read with feeler blades: between one that goes and one that
    won't."""
    return not feature.plan and (
        feature.by == "feeler" or (feature.by is None and feature.kind == "gap")
    )
