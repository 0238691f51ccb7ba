"""Addresses of the bench's pages, as links write them."""

from __future__ import annotations

from urllib.parse import quote, urlencode


def page_of(job: str, name: str = "", **query: str) -> str:
    """A page of a job.

    >>> page_of("triple", "engine", plan="gap", near="")
    '/jobs/triple/engine?plan=gap'
    """
    path = f"/jobs/{quote(job, safe='')}" + (f"/{name}" if name else "")
    given = {key: value for key, value in query.items() if value}
    return f"{path}?{urlencode(given)}" if given else path


def place_of(job: str, place: str, anchor: str = "") -> str:
    """The page of a place, or a size on it.

    >>> place_of("triple", "valve/1/in/L", "gap-found")
    '/jobs/triple/places/valve/1/in/L#gap-found'
    """
    return page_of(job, f"places/{quote(place)}") + (f"#{quote(anchor)}" if anchor else "")


def measure_at(job: str, feature: str, place: str, epoch: str = "") -> str:
    """The measuring page, beginning with a feature at a place."""
    return page_of(job, "measure", feature=feature, epoch=epoch, place=place)


def record_of(job: str, **query: str) -> str:
    """The record of a job as PDF.

    >>> record_of("triple", keep="yes")
    '/api/jobs/triple/record.pdf?keep=yes'
    """
    path = f"/api/jobs/{quote(job, safe='')}/record.pdf"
    return f"{path}?{urlencode(query)}" if query else path
