"""What the measuring page asks the bench besides entries: the questions a reading raises."""

from __future__ import annotations

from typing import Any

from fastapi import Path
from pydantic import BaseModel
from starlette.requests import Request

from gudgeon.bench.api.entries import JobName
from gudgeon.bench.asking import questions_of
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.page import plain
from gudgeon.bench.state import bench_of


class Asked(BaseModel):
    """The questions about a feature, likeliest first.

    Attributes:
        count: how many entries the log had when they were worked out.
    """

    job: str
    feature: str
    count: int
    questions: list[dict[str, Any]]


@ruled("look")
def get_questions(
    request: Request,
    job: str = JobName,
    feature: str = Path(max_length=40, description="name of the feature in the sheet"),
) -> Asked:
    """What is to be asked about the readings of a feature: slips that explain a reading better than
    the part does, with the corrected number. Empty where there is nothing to ask."""
    desk = bench_of(request).desk
    count = desk.state(job).job
    found = questions_of(desk, job, feature)
    return Asked(job=job, feature=feature, count=count, questions=[plain(item) for item in found])
