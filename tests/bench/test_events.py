"""News of a job reaches other devices within a second, and nothing is left of those who went."""

from __future__ import annotations

import asyncio
import contextlib
import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import httpx2
import pytest
from tests.bench.helpers import OWN, apart, note, served

from gudgeon.bench.api.entries import _stream
from gudgeon.log.codec import body_of, entry_from
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from gudgeon.bench.state import Bench


class Listener:
    """A device that listens, on a thread of its own."""

    def __init__(self, address: str, **headers: str) -> None:
        self.events: list[tuple[str, str, str]] = []
        self.opened = threading.Event()
        self.closing = threading.Event()
        self.address, self.headers = address, headers
        self.thread = threading.Thread(target=self._listen, daemon=True)
        self.thread.start()

    def _listen(self) -> None:
        with (
            contextlib.suppress(httpx2.HTTPError),  # the bench was ended, as tests do
            httpx2.Client(timeout=30) as client,
            client.stream("GET", self.address, headers=self.headers) as answer,
        ):
            fields: dict[str, str] = {}
            for line in answer.iter_lines():
                if self.closing.is_set():
                    return
                if line:
                    name, _, value = line.partition(": ")
                    fields[name] = value
                    continue
                self.events.append((fields.get("event", ""), fields.get("id", ""), fields["data"]))
                fields = {}
                self.opened.set()

    def wait(self, count: int, patience: float = 5.0) -> list[tuple[str, str, str]]:
        """The first so many entries, as soon as they are there."""
        until = time.monotonic() + patience
        while time.monotonic() < until:
            found = [event for event in self.events if event[0] == "entry"]
            if len(found) >= count:
                return found
            time.sleep(0.005)
        raise AssertionError(f"{count} entries did not come: {self.events}")


@pytest.fixture
def address(folder: Path) -> Iterator[str]:
    with served(folder, "--port", "0") as bench:
        yield bench.address


def put(address: str, key: str) -> httpx2.Response:
    return httpx2.put(
        f"{address}/api/jobs/twin/entries/{key}",
        content=json.dumps(note(key)),
        headers={**OWN, "Origin": address},
        timeout=20,
    )


def test_entries_reach_the_others_within_a_second(address: str, folder: Path) -> None:
    listeners = [Listener(f"{address}/api/jobs/twin/events") for _ in range(3)]
    for listener in listeners:
        assert listener.opened.wait(10)
    began = time.monotonic()
    assert put(address, "n1").status_code == 201
    for listener in listeners:
        assert json.loads(listener.wait(1)[0][2])["id"] == "n1"
    assert time.monotonic() - began < 1.0
    body = body_of(entry_from(note("cli-1", device="cli"), "test", "job"))
    began = time.monotonic()
    SqliteStore(folder).append("twin", [body])
    for listener in listeners:
        assert json.loads(listener.wait(2)[1][2])["id"] == "cli-1"
    assert time.monotonic() - began < 1.0


def test_one_that_comes_back_gets_what_it_missed(address: str) -> None:
    first = Listener(f"{address}/api/jobs/twin/events")
    assert first.opened.wait(10)
    had = first.events[0][1]
    for key in ("n1", "n2"):
        put(address, key)
    back = Listener(f"{address}/api/jobs/twin/events", **{"Last-Event-ID": had})
    ids = [json.loads(data)["id"] for _, _, data in back.wait(2)]
    assert ids == ["n1", "n2"]
    after = Listener(f"{address}/api/jobs/twin/events?after={had}")
    assert [json.loads(data)["id"] for _, _, data in after.wait(2)] == ["n1", "n2"]


def test_an_open_stream_does_not_hold_up_the_end(folder: Path) -> None:
    with served(folder, "--port", "0") as bench:
        listener = Listener(f"{bench.address}/api/jobs/twin/events")
        assert listener.opened.wait(10)
        began = time.monotonic()
        assert bench.stop() == 0
        assert time.monotonic() - began < 1.5  # before the two seconds of patience are over


def test_nothing_is_left_of_one_that_went(bench: Bench) -> None:
    async def come_and_go() -> list[str]:
        bench.watch.start()
        stream: Any = _stream(bench, "twin", 0)
        first = [await anext(stream) for _ in range(3)]
        assert bench.watch.waiting == 1
        await stream.aclose()
        assert bench.watch.waiting == 0
        return first

    here, entry, _ = apart(come_and_go())
    assert here.startswith("retry: 1000\nid: 0\nevent: here")
    assert entry.startswith("id: 1\nevent: entry\ndata: {")
    bench.watch.tell("twin")  # after the loop has ended: nobody to wake, nothing to fail


def test_a_quiet_stream_beats(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gudgeon.bench.api.entries.HEARTBEAT", 0.05)
    monkeypatch.setattr("gudgeon.bench.api.entries.GLANCE", 0.02)

    async def listen() -> str:
        count = bench.desk.state("twin").job
        stream: Any = _stream(bench, "twin", count)
        await anext(stream)
        beat: str = await asyncio.wait_for(anext(stream), 5)
        await stream.aclose()
        return beat

    assert apart(listen()).startswith("event: beat\n")
