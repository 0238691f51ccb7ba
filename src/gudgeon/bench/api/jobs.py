"""Jobs: open one by a sheet of the shop, pin one to another version of its sheet."""

from __future__ import annotations

import re

from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request

from gudgeon.bench.api.devices import Done
from gudgeon.bench.api.entries import JobName
from gudgeon.bench.errors import Missing
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.sheets.folder import ENDING, SheetFolder, SheetText
from gudgeon.bench.sheets.pinned import pinned_to
from gudgeon.bench.state import Bench, bench_of, who_of
from gudgeon.faults import Conflict, Fault
from gudgeon.log.codec import body_of, entry_from
from gudgeon.log.merging import chained
from gudgeon.sheet.load import load
from gudgeon.store.adding import new_id, now
from gudgeon.store.jobs import check_name, open_log


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")


class NewJob(_Body):
    """A job to open. sheet: the file it is judged by. title: machine, owner's complaint."""

    name: str = Field(max_length=400)
    title: str = Field("", max_length=4000)
    sheet: str = Field(max_length=80)


class Pin(_Body):
    """The sheet to judge a job by from now on, as it was seen."""

    sheet: str = Field(max_length=80)
    seen: str = Field(pattern=r"^[0-9a-f]{64}$")


@ruled("write")
def open_job(request: Request, wish: NewJob) -> Done:
    """Open a job, judged by a sheet of the shop's folder."""
    bench, device = bench_of(request), who_of(request).name
    name = wish.name.strip()
    check_name(name)
    sheet = SheetFolder(bench.folder).read(wish.sheet)
    load(sheet.text, sheet.name)
    common = {"at": now(), "device": device}
    entries = [
        entry_from(
            {"kind": "opened", "id": new_id(), "title": wish.title.strip()} | common, "title", "job"
        ),
        entry_from(_pinning(sheet) | {"id": new_id()} | common, sheet.name, "job"),
    ]
    open_log(bench.store, name, chained((), [body_of(entry) for entry in entries], device))
    return Done(go=f"/jobs/{name}")


@ruled("write")
async def pin_sheet(request: Request, wish: Pin, job: str = JobName) -> Done:
    """Judge a job by a sheet of the folder from now on. Refused where entries of the job would make
    no sense by it any more; each is named."""
    bench = bench_of(request)
    await run_in_threadpool(_pin, bench, job, wish, who_of(request).name)
    bench.watch.tell(job)
    return Done(go=f"/jobs/{job}")


def _pin(bench: Bench, job: str, wish: Pin, device: str) -> None:
    sheet = SheetFolder(bench.folder).read(wish.sheet)
    if sheet.sha256 != wish.seen:
        raise Conflict(
            Fault(sheet.name, "the sheet was changed since this page was opened", "open it again")
        )
    load(sheet.text, sheet.name)
    bench.desk.keep(job, _pinning(sheet) | {"id": new_id(), "at": now()}, device)


@ruled("write")
def copy_sheet_out(request: Request, job: str = JobName) -> Done:
    """Put the sheet that a job is judged by into the shop's folder, as a file of its own."""
    bench = bench_of(request)
    bench.desk.state(job)
    pinned = pinned_to(bench.store, job)
    if pinned is None:
        raise Missing(Fault(job, "the job has no sheet", "pin one to it"))
    stem = re.sub(r"[^A-Za-z0-9._-]+", "-", pinned[0].file.removesuffix(ENDING)).strip("-._")
    name = (stem[:50] or job) + ENDING
    folder = SheetFolder(bench.folder)
    if name in folder.names():
        name = f"{name.removesuffix(ENDING)}-{pinned[0].sha256[:6]}{ENDING}"
    folder.create(name, pinned[1])
    return Done(go=f"/sheets/{name}")


def _pinning(sheet: SheetText) -> dict[str, str]:
    return {"kind": "sheet", "file": sheet.name, "sha256": sheet.sha256, "text": sheet.text}
