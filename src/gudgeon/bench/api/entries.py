"""Entries of a job's log: put one, read them, wait for news."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator
from typing import Any, Final

from fastapi import Path, Query
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from gudgeon.bench.described import answering
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.state import Bench, bench_of, who_of
from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import parse

#: Longest that nothing is sent to a device that waits for news [s], so that it knows it is heard.
HEARTBEAT: Final = 10.0
#: How often logs are looked at for what other programs wrote [s].
GLANCE: Final = 0.4
#: Largest entry [bytes]: a whole sheet of 1 MiB, every character escaped.
LARGEST: Final = 8 * 1024 * 1024


class Stored(BaseModel):
    """An entry that is in the log, on the disk.

    Attributes:
        stored: `now`, or `already` where the same entry had come before.
        entry: as it stands in the log. count: how many entries the log has.
    """

    job: str
    stored: str
    entry: dict[str, Any]
    count: int


class Entries(BaseModel):
    """Entries of a job in the order in which they were stored.

    Attributes:
        count: how many the log has; ask for what comes after it next time.
    """

    job: str
    count: int
    entries: list[dict[str, Any]]


JobName = Path(max_length=60, description="name of the job")


@answering({200: Stored, 201: Stored}, takes="an entry")
@ruled("write", largest=LARGEST)
async def put_entry(
    request: Request,
    job: str = JobName,
    entry: str = Path(max_length=80, description="the entry's id, made by the device"),
) -> Response:
    """Store an entry under its id. 201: stored, on the disk. 200: it was there already. 409: the id
    stands for something else; both are in the answer. 422: it can't be used, with every fault.

    The bench fills in `device` and `prev`; what is sent for them does not count.
    """
    bench, who = bench_of(request), who_of(request)
    body = await request.body()
    kept = await run_in_threadpool(_put, bench, job, entry, body, who.name)
    bench.watch.tell(job)
    return Response(kept[0], 201 if kept[1] else 200, media_type="application/json")


def _put(bench: Bench, job: str, key: str, body: bytes, device: str) -> tuple[str, bool]:
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise Unusable(Fault(key, "the entry is not text in UTF-8", "send JSON in UTF-8")) from None
    sent = parse(text, key)
    if sent.get("id") != key:
        raise Unusable(
            Fault(key, "the entry's id is not the one in its address", "make the two equal")
        )
    kept = bench.desk.keep(job, sent, device)
    answer = {
        "job": job,
        "stored": "already" if kept.already else "now",
        "entry": json.loads(kept.body),
        "count": kept.held,
    }
    return json.dumps(answer, ensure_ascii=False), not kept.already


@ruled("look")
def get_entries(
    request: Request,
    job: str = JobName,
    after: int = Query(0, ge=0, le=10_000_000, description="leave out so many, the oldest"),
) -> Entries:
    """The entries of a job that came after the first `after`, in the order of storing."""
    desk = bench_of(request).desk
    bodies = desk.bodies(job)
    new = [json.loads(body) for body in bodies[after:]]
    return Entries(job=job, count=len(bodies), entries=new)


@answering({200: "text/event-stream"})
@ruled("look")
async def get_events(
    request: Request,
    job: str = JobName,
    after: int | None = Query(None, ge=0, le=10_000_000, description="leave out so many"),
) -> Response:
    """Entries as they come, as Server-Sent Events: event `entry`, its data the entry, its id how
    many the log has with it. A browser that comes back says the last one it had."""
    bench = bench_of(request)
    last = request.headers.get("last-event-id", "")
    have = await run_in_threadpool(bench.desk.state, job)
    start = int(last) if last.isascii() and last.isdigit() and len(last) < 9 else after
    stream = _stream(bench, job, have.job if start is None else start)
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(stream, media_type="text/event-stream", headers=headers)


async def _stream(bench: Bench, job: str, have: int) -> AsyncIterator[str]:
    """News of a job, for one device, until it goes away."""
    yield f"retry: 1000\nid: {have}\nevent: here\ndata: {have}\n\n"
    said = time.monotonic()
    with bench.watch.listening(job) as news:
        while not bench.watch.closed:
            news.clear()
            bodies = await run_in_threadpool(bench.desk.bodies, job, have)
            for body in bodies:
                have += 1
                yield f"id: {have}\nevent: entry\ndata: {body}\n\n"
            if bodies:
                said = time.monotonic()
            elif time.monotonic() - said > HEARTBEAT:
                yield f"event: beat\ndata: {have}\n\n"
                said = time.monotonic()
            try:
                await asyncio.wait_for(news.wait(), GLANCE)
            except TimeoutError:
                continue
