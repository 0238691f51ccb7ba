"""What leaves the bench on paper: the order as a table, the record as PDF."""

from __future__ import annotations

from typing import Literal

from fastapi import Query
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from gudgeon.bench.api.entries import JobName
from gudgeon.bench.described import answering
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.papers import order_of
from gudgeon.bench.state import bench_of
from gudgeon.order.text import to_csv


@answering({200: "text/csv"})
@ruled("look")
def order_csv(request: Request, job: str = JobName) -> Response:
    """The order of a job as CSV, safe to open in a spreadsheet."""
    text = to_csv(order_of(bench_of(request).desk, job))
    named = {"Content-Disposition": f'attachment; filename="{job}-order.csv"'}
    return Response(text.encode("utf-8"), 200, named, media_type="text/csv; charset=utf-8")


@answering({200: "application/pdf"})
@ruled("look")
async def record_pdf(
    request: Request,
    job: str = JobName,
    paper: Literal["a4", "letter"] = Query("a4", description="paper"),
    keep: bool = Query(False, description="as a file to keep, not to be shown"),
) -> Response:
    """The record of a job as PDF. It takes a second or two where the log has grown since."""
    bench = bench_of(request)
    made = await run_in_threadpool(bench.papers.record, bench.desk, job, paper)
    way = "attachment" if keep else "inline"
    named = {"Content-Disposition": f'{way}; filename="{job}-record.pdf"'}
    return Response(made, 200, named, media_type="application/pdf")
