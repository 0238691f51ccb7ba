"""Entries of the shop's log: pieces of the drawer, and for which job they are kept."""

from __future__ import annotations

from typing import Any

from fastapi import Path
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from gudgeon.bench.described import answering
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.shop_log import keep_in_shop
from gudgeon.bench.state import Bench, bench_of, who_of
from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import parse
from gudgeon.store.jobs import job_names


class KeptInShop(BaseModel):
    """An entry that is in the shop's log, on the disk.

    Attributes:
        stored: `now`, or `already` where the same entry had come before.
    """

    id: str
    stored: str


@answering({200: KeptInShop, 201: KeptInShop}, takes="an entry")
@ruled("write")
async def put_shop_entry(
    request: Request,
    entry: str = Path(max_length=80, description="the entry's id, made by the device"),
) -> Response:
    """Store an entry of the shop's log under its id: `stock`, `reserve` or `strike`. 201: stored.
    200: it was there already. 409: the id stands for something else. 422: it can't be used."""
    bench, who = bench_of(request), who_of(request)
    body = await request.body()
    new = await run_in_threadpool(_put, bench, entry, body, who.name)
    for job in await run_in_threadpool(job_names, bench.store) if new else ():
        bench.watch.tell(job)
    told = KeptInShop(id=entry, stored="now" if new else "already")
    return JSONResponse(told.model_dump(), 201 if new else 200)


def _put(bench: Bench, key: str, body: bytes, device: str) -> bool:
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise Unusable(Fault(key, "the entry is not text in UTF-8", "send JSON in UTF-8")) from None
    sent: dict[str, Any] = parse(text, key)
    if sent.get("id") != key:
        wrong = "the entry's id is not the one in its address"
        raise Unusable(Fault(key, wrong, "make the two equal"))
    return keep_in_shop(bench.store, sent, device)
