"""All photographs of a job, and taking another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.photos import PhotoStrip, strip_of
from gudgeon.bench.state import Ask
from gudgeon.record.said import spoken
from gudgeon.sheet.places import ENGINE


@dataclass(frozen=True, slots=True)
class Photographs:
    """The page. places: address and name, to choose from."""

    photos: PhotoStrip
    places: tuple[tuple[str, str], ...]


def view(ask: Ask) -> Photographs:
    """The photographs of the job in the address; of one place, where `?place=` says so."""
    layout = ask.bench.desk.job(ask.parts["job"]).sheet.layout
    asked = ask.query.get("place", "")
    every = tuple((place, spoken(place)) for kind in layout.kinds for place in layout.of(kind))
    return Photographs(strip_of(ask, asked if asked in layout and asked != ENGINE else ""), every)


PAGE: Final = Page("photos", "/jobs/{job}/photos", view)
