"""Several things at once: results that look at other jobs, entries while others are computed."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any

import pytest
from tests.bench.helpers import note

from gudgeon.bench.asking import questions_of
from gudgeon.bench.desk import Desk
from gudgeon.bench.elsewhere import wrong_engine
from gudgeon.log.fold import fold
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from gudgeon.log.job import Job

PATIENCE = 30


def both(first: Callable[[], object], second: Callable[[], object]) -> bool:
    """Whether two things end when done at the same time."""
    threads = [threading.Thread(target=what, daemon=True) for what in (first, second)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE)
    return not any(thread.is_alive() for thread in threads)


def test_two_jobs_that_look_at_each_other_do_not_wait_for_ever(folder: Path) -> None:
    desk = Desk(SqliteStore(folder))
    for name in ("twin", "triple"):
        desk.job(name)
    begun = threading.Event()

    def first() -> None:
        def make() -> object:
            begun.set()
            threading.Event().wait(0.2)
            return wrong_engine(desk, "twin", "bore")

        desk.result("twin", "first", make)

    def second() -> None:
        assert begun.wait(PATIENCE)
        desk.result("triple", "second", lambda: wrong_engine(desk, "triple", "bore"))

    assert both(first, second)


def test_an_entry_does_not_wait_for_what_is_being_worked_out(folder: Path) -> None:
    desk = Desk(SqliteStore(folder))
    desk.job("twin")
    working, stored = threading.Event(), threading.Event()

    def slow() -> None:
        def make() -> bool:
            working.set()
            return stored.wait(PATIENCE)

        assert desk.result("twin", "slow", make) is True

    def enter() -> None:
        assert working.wait(PATIENCE)
        desk.keep("twin", note("n1"), "tablet")
        stored.set()

    assert both(slow, enter)
    assert stored.is_set()


def test_what_is_at_hand_is_given_while_something_else_is_worked_out(folder: Path) -> None:
    desk = Desk(SqliteStore(folder))
    desk.job("twin")
    working, given = threading.Event(), threading.Event()

    def slow() -> None:
        def make() -> bool:
            working.set()
            return given.wait(PATIENCE)

        assert desk.result("triple", "slow", make) is True

    def look() -> None:
        assert working.wait(PATIENCE)
        desk.job("twin")
        given.set()

    assert both(slow, look)
    assert given.is_set()


@pytest.mark.parametrize("round_", range(3))
def test_questions_and_entries_of_two_jobs_at_once(folder: Path, round_: int) -> None:
    desk = Desk(SqliteStore(folder))

    def work(name: str) -> Callable[[], None]:
        def done() -> None:
            for number in range(4):
                desk.keep(name, note(f"{name}-{round_}-{number}"), name)
                questions_of(desk, name, "bore")

        return done

    assert both(work("twin"), work("triple"))
    for name in ("twin", "triple"):
        assert len([b for b in desk.bodies(name) if f'"{name}-{round_}-' in b]) == 4


def test_an_entry_does_not_wait_for_its_job_being_folded(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk(SqliteStore(folder))
    desk.sheet_job("twin")
    desk.keep("twin", note("n0", at="2020-01-01T00:00:00Z"), "tablet")
    folding, stored = threading.Event(), threading.Event()

    def slow(*given: Any) -> Job:
        folding.set()
        assert stored.wait(PATIENCE)
        return fold(*given)

    monkeypatch.setattr("gudgeon.bench.desk.fold", slow)

    def enter() -> None:
        assert folding.wait(PATIENCE)
        desk.keep("twin", note("n1"), "tablet")
        stored.set()

    assert both(lambda: desk.job("twin"), enter)
    assert stored.is_set()
    assert {"n0", "n1"} <= {entry.id for entry in desk.job("twin").entries}
    assert len(desk.job("twin").entries) == len(desk.bodies("twin"))
