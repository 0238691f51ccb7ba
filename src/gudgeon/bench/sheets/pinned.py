"""Which sheet each job is pinned to, without reading the whole of its log."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Final

from gudgeon.log.canon import order_of
from gudgeon.log.peek import KINDS, engine_name
from gudgeon.log.strikes import Strike, struck_by
from gudgeon.store.interface import Store
from gudgeon.store.jobs import job_names


@dataclass(frozen=True, slots=True)
class Pinned:
    """The sheet that a job is judged by. at: when it was pinned, ISO 8601."""

    job: str
    file: str
    sha256: str
    engine: str
    at: str


def pinned_to(store: Store, job: str) -> tuple[Pinned, str] | None:
    """The sheet pinned last to a job, and its text; nothing where there is none."""
    entries = sorted((json.loads(body) for body in store.read(job, KINDS)), key=order_of)
    struck, _ = struck_by(
        Strike(item["id"], item["target"]) for item in entries if item["kind"] == "strike"
    )
    sheets = [item for item in entries if item["kind"] == "sheet" and item["id"] not in struck]
    if not sheets:
        return None
    last = sheets[-1]
    text: Final[str] = last["text"]
    return Pinned(job, last["file"], last["sha256"], engine_name(text), last["at"]), text


def every_pinned(store: Store) -> tuple[Pinned, ...]:
    """The sheets of all jobs."""
    found = (pinned_to(store, name) for name in job_names(store))
    return tuple(item[0] for item in found if item is not None)
