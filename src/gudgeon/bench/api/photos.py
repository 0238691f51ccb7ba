"""Photographs: keep one, and show them."""

from __future__ import annotations

import json
from typing import Any, Literal

from fastapi import Path, Query
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response

from gudgeon.bench.api.entries import JobName
from gudgeon.bench.described import answering
from gudgeon.bench.errors import Missing
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.state import Bench, bench_of, who_of
from gudgeon.faults import Fault
from gudgeon.store.photos import LARGEST, PhotoBox, Size, kind_of

TYPES = ("image/jpeg", "image/png", "image/webp")
Sha = Path(pattern=r"^[0-9a-f]{64}$", description="sha256 of the photograph's file")


class KeptPhoto(BaseModel):
    """A photograph that is in the shop, and named in the job's log."""

    job: str
    entry: dict[str, Any]
    stored: str


@answering({200: KeptPhoto, 201: KeptPhoto}, takes="a file")
@ruled("write", types=TYPES, largest=LARGEST)
async def put_photo(
    request: Request,
    job: str = JobName,
    entry: str = Path(max_length=80, description="the entry's id, made by the device"),
    at: str = Query(max_length=40, description="when it was taken, as 2026-03-01T14:05:00Z"),
    place: str = Query("", max_length=60, description="of what; the engine if not given"),
    words: str = Query("", max_length=4000, description="what it shows"),
    by: str = Query("", max_length=60, description="who took it, if not this device"),
) -> Response:
    """Keep a photograph, sent as the body: JPEG, PNG or WebP, 15 MB and 50 million pixels at the
    most. The file is kept as it came; what is shown is a copy without the place and time that a
    camera writes into its files. 201: kept; 200: it was there already under this id."""
    bench, who = bench_of(request), who_of(request)
    data = await request.body()
    sent = {"kind": "photo", "id": entry, "at": at, "place": place, "words": words, "by": by}
    said = {key: value for key, value in sent.items() if value}
    kept, new = await run_in_threadpool(_keep, bench, job, data, said, who.name)
    bench.watch.tell(job)
    return JSONResponse(kept.model_dump(), 201 if new else 200)


def _keep(
    bench: Bench, job: str, data: bytes, said: dict[str, Any], device: str
) -> tuple[KeptPhoto, bool]:
    bench.desk.state(job)
    photo = PhotoBox(bench.folder).keep(data)
    kept = bench.desk.keep(job, {**said, "sha256": photo.sha256}, device)
    stored = "already" if kept.already else "now"
    return KeptPhoto(job=job, entry=json.loads(kept.body), stored=stored), not kept.already


@ruled("look")
def get_copy(
    request: Request, sha: str = Sha, size: Literal["shown", "small"] = Path(description="which")
) -> Response:
    """A photograph as it is shown: upright, small enough, without what the camera noted."""
    named: Size = size
    file = PhotoBox(bench_of(request).folder).copy(sha, named)
    if file is None:
        raise _not_here(sha)
    headers = {"Cache-Control": "private, max-age=31536000, immutable"}
    return FileResponse(
        file, media_type="image/jpeg", filename=f"{sha[:12]}-{size}.jpg", headers=headers
    )


@ruled("main")
def get_original(request: Request, sha: str = Sha) -> Response:
    """The file as it came, with the place and time that the camera may have noted in it; to be
    saved, on the main screen alone."""
    file = PhotoBox(bench_of(request).folder).original(sha)
    if file is None:
        raise _not_here(sha)
    with file.open("rb") as stream:
        kind = kind_of(stream.read(64))
    ending = {"image/jpeg": "jpg", "image/png": "png"}.get(kind, "webp")
    return FileResponse(file, media_type=kind, filename=f"{sha[:12]}.{ending}")


def _not_here(sha: str) -> Missing:
    return Missing(
        Fault(
            sha[:12],
            "the file of this photograph is not in this shop",
            "copy the folder photos of the shop where it was taken",
        )
    )
