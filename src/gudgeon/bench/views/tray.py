"""What the code on a tray opens: a step to the place's page.

A browser that comes from elsewhere, as a camera does, may leave its cookie out of the first
request. So this page asks for nothing, shows nothing but the names in its own address, and goes on
to the place at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask
from gudgeon.sheet.places import ENGINE


@dataclass(frozen=True, slots=True)
class Tray:
    """The page. to: the address to go on to."""

    job: str
    place: str
    to: str


def view(ask: Ask) -> Tray:
    """The place that the address names, whether there is one or not."""
    job, place = ask.parts["job"][:60], ask.parts["place"][:80]
    to = f"/jobs/{quote(job, safe='')}"
    return Tray(job, place, to if place == ENGINE else f"{to}/places/{quote(place)}")


PAGE: Final = Page("tray", "/t/{job}/{place:path}", view, rule="anyone")
