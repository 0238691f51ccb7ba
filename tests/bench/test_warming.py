"""Pages are worked out in the background once somebody has stopped entering."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from tests.bench.helpers import note

from gudgeon.bench.gate.who import Who
from gudgeon.bench.state import Ask
from gudgeon.bench.views import shop
from gudgeon.bench.views.job import front_of
from gudgeon.bench.warming import warm

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from gudgeon.bench.state import Bench

PATIENCE = 60.0
RESULTS = ("findings", "picks", "front")


@pytest.fixture
def warming(bench: Bench) -> Iterator[threading.Event]:
    """The background at work, with little patience."""
    ending = threading.Event()
    thread = threading.Thread(target=warm, args=(bench, ending, 0.05))
    thread.start()
    yield ending
    ending.set()
    thread.join(PATIENCE)
    assert not thread.is_alive()


def until_ready(bench: Bench, job: str) -> None:
    """Wait until all of a job is worked out."""
    until = time.monotonic() + PATIENCE
    while not all(bench.desk.ready(job, what) for what in RESULTS):
        assert time.monotonic() < until
        time.sleep(0.02)


@pytest.mark.usefixtures("warming")
def test_the_shelf_first_then_what_has_news(bench: Bench) -> None:
    for job in ("twin", "triple"):
        until_ready(bench, job)
    bench.desk.keep("twin", note("n1"), "tablet")
    assert not bench.desk.ready("twin", "findings")
    bench.watch.tell("twin")
    until_ready(bench, "twin")
    until = time.monotonic() + PATIENCE
    while bench.watch.stirred:
        assert time.monotonic() < until
        time.sleep(0.02)


@pytest.mark.usefixtures("warming")
def test_a_job_that_can_t_be_read_does_not_end_it(bench: Bench) -> None:
    bench.watch.tell("no-such-job")
    until_ready(bench, "twin")
    bench.desk.keep("triple", note("n1"), "tablet")
    bench.watch.tell("triple")
    until_ready(bench, "triple")


def test_nothing_is_worked_out_while_somebody_goes_on(bench: Bench) -> None:
    ending = threading.Event()
    thread = threading.Thread(target=warm, args=(bench, ending, 3600.0))
    thread.start()
    for job in ("twin", "triple"):
        until = time.monotonic() + PATIENCE
        while not bench.desk.ready(job, "front"):
            assert time.monotonic() < until
            time.sleep(0.02)
    bench.desk.keep("twin", note("n1"), "tablet")
    bench.watch.tell("twin")
    time.sleep(0.6)
    assert not bench.desk.ready("twin", "findings")
    ending.set()
    thread.join(PATIENCE)
    assert not thread.is_alive()


def test_every_entry_that_comes_by_the_page_is_told(main: TestClient, bench: Bench) -> None:
    assert main.put("/api/jobs/twin/entries/n1", json=note("n1")).status_code == 201
    assert "twin" in bench.watch.stirred


def test_the_shelf_shows_what_is_known_and_waits_for_nothing(bench: Bench) -> None:
    ask = Ask(bench, Who("main", "bench", "write"))
    for job in ("twin", "triple"):
        front_of(bench.desk, job)
    first = shop.view(ask)
    assert first.complete
    bench.desk.keep("twin", note("n1"), "tablet")
    bench.watch.tell("twin")
    second = shop.view(ask)
    assert not second.complete
    assert not bench.desk.ready("twin", "front")
    twin = next(engine for engine in second.engines if engine.job == "twin")
    was = next(engine for engine in first.engines if engine.job == "twin")
    assert (twin.engine, twin.title, twin.drawing) == (was.engine, was.title, was.drawing)
    assert twin.waits == "still being added up"
    bench.watch.stirred.clear()
    assert shop.view(ask).complete  # nobody else comes to it: it is worked out here
