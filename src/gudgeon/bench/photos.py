"""The photographs of a job, or of one place of it, for a page to show.

A page includes them with `{% import "_photos.html" as pictures with context %}` and
`{{ pictures.strip(it.photos) }}`, where `it.photos` is what `strip_of` gives.
"""

from __future__ import annotations

from dataclasses import dataclass

from gudgeon.bench.state import Ask
from gudgeon.record.said import spoken
from gudgeon.store.photos import PhotoBox


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph.

    Attributes:
        id, at, by: of the entry, and who took it. place, spoken: where; both empty where it shows
        the engine. words: what it shows. sha256: of the file. there: whether the file is here.
    """

    id: str
    at: str
    by: str
    place: str
    spoken: str
    words: str
    sha256: str
    there: bool


@dataclass(frozen=True, slots=True)
class PhotoStrip:
    """The photographs of a place; of the whole job where `place` is empty. Latest first."""

    job: str
    place: str
    pictures: tuple[Picture, ...]


def strip_of(ask: Ask, place: str = "") -> PhotoStrip:
    """The photographs of a place, or all of the job in the address.

    Raises:
        Missing: there is no such job.
    """
    name, box = ask.parts["job"], PhotoBox(ask.bench.folder)
    job = ask.bench.desk.job(name)
    pictures = tuple(
        Picture(
            photo.id,
            photo.at,
            photo.by or photo.device,
            photo.place or "",
            spoken(photo.place) if photo.place else "",
            photo.words,
            photo.sha256,
            box.original(photo.sha256) is not None,
        )
        for photo in reversed(job.photos)
        if not place or photo.place == place
    )
    return PhotoStrip(name, place, pictures)
