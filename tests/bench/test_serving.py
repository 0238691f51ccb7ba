"""The command: it says where it is, takes another port where its own is taken, and ends cleanly."""

from __future__ import annotations

import json
import os
import random
import signal
import socket
import threading
import time
from pathlib import Path

import httpx2
import pytest
from tests.bench.helpers import OWN, Served, note, served

from gudgeon.bench.serving import check_names, listen, own_addresses
from gudgeon.cli.serve import has_browser
from gudgeon.faults import Unusable
from gudgeon.store.sqlite import SqliteStore


def test_it_opens_says_where_and_ends_cleanly(folder: Path) -> None:
    with served(folder, "--port", "0") as bench:
        assert bench.address.startswith("http://localhost:")
        assert httpx2.get(bench.address, timeout=20).status_code == 200
        assert any("--lan opens it" in line for line in bench.lines)
        assert bench.stop() == 0
        bench.said("The bench is closed")
    assert not any("Traceback" in line for line in bench.lines)


def test_it_listens_on_loopback_alone_unless_opened(folder: Path) -> None:
    own = own_addresses()
    for options, reached in (((), False), (("--lan",), True)):
        with served(folder, "--port", "0", *options) as bench:
            port = int(bench.address.rpartition(":")[2])
            for address in own:
                with socket.socket() as probe:
                    probe.settimeout(2)
                    assert (probe.connect_ex((address, port)) == 0) == reached


def test_with_lan_it_prints_a_code_that_works_once(folder: Path) -> None:
    with served(folder, "--port", "0", "--lan") as bench:
        if not own_addresses():
            assert any("no network" in line for line in bench.lines)
            return
        line = next(line for line in bench.lines if "and type" in line)
        code = line.partition("and type ")[2].rstrip(".")
        lan = next(line for line in bench.lines if "other devices: " in line).rpartition(" ")[2]
        assert any("█" in line for line in bench.lines)
        headers = {**OWN, "Origin": lan}
        body = json.dumps({"code": code})
        first = httpx2.post(f"{lan}/api/pair", content=body, headers=headers, timeout=20)
        again = httpx2.post(f"{lan}/api/pair", content=body, headers=headers, timeout=20)
        assert (first.status_code, again.status_code) == (200, 403)
        assert bench.stop() == 0


def test_a_port_in_use_gives_the_next_one(folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with served(folder, "--port", str(port)) as bench:
            assert any(f"port {port} is in use" in line for line in bench.lines)
            assert int(bench.address.rpartition(":")[2]) > port
            assert httpx2.get(f"{bench.address}/api/alive", timeout=20).json()["ok"] is True


def test_no_port_free_is_said_in_words() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 65535))
        taken.listen()
        with pytest.raises(Unusable, match="taken"):
            listen(65535, lan=False)


@pytest.mark.parametrize("name", ["", "a b", "http://x", "x/y", "[::1", "ünder.example"])
def test_a_name_that_is_no_host(name: str) -> None:
    with pytest.raises(Unusable, match="is not a host"):
        check_names((name,))


def test_no_browser_is_opened_in_automated_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.delenv("CI", raising=False)
    assert has_browser()
    monkeypatch.setenv("CI", "1")
    assert not has_browser()
    monkeypatch.delenv("CI")
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert not has_browser()


def test_it_opens_quickly(folder: Path) -> None:
    """0.6 s on a quiet machine; here it may have to share its processors, so the best of three."""
    best = min(_start(folder) for _ in range(3))
    assert best < 0.6 * max(1.0, 2.0 * (os.getloadavg()[0] / (os.cpu_count() or 1)))


def _start(folder: Path) -> float:
    with served(folder, "--port", "0") as bench:
        httpx2.get(f"{bench.address}/api/alive", timeout=20)
        return time.monotonic() - bench.began


@pytest.mark.parametrize("cycle", range(4))
def test_killed_in_mid_write_nothing_acknowledged_is_lost(folder: Path, cycle: int) -> None:
    acked: set[str] = set()
    sent: set[str] = set()
    ending = threading.Event()
    before = {json.loads(body)["id"] for body in SqliteStore(folder).read("twin")}

    def write(bench: Served, number: int) -> None:
        with httpx2.Client(base_url=bench.address, timeout=20) as client:
            for turn in range(10_000):
                key = f"k{number}-{turn}"
                sent.add(key)
                try:
                    answer = client.put(
                        f"/api/jobs/twin/entries/{key}",
                        content=json.dumps(note(key)),
                        headers={**OWN, "Origin": bench.address},
                    )
                except httpx2.HTTPError:
                    return
                assert answer.status_code == 201
                acked.add(key)
                if ending.is_set():
                    return

    with served(folder, "--port", "0") as bench:
        threads = [threading.Thread(target=write, args=(bench, n)) for n in range(3)]
        for thread in threads:
            thread.start()
        while len(acked) < 6:
            time.sleep(0.01)
        time.sleep(random.Random(cycle).uniform(0.0, 0.3))
        bench.stop(signal.SIGKILL)
        ending.set()
        for thread in threads:
            thread.join()
    store = SqliteStore(folder)
    ids = [json.loads(body)["id"] for body in store.read("twin")]
    assert len(ids) == len(set(ids))
    assert acked <= set(ids)
    assert set(ids) - before <= sent
    assert store.check() == ()
    with served(folder, "--port", "0") as bench:
        count = httpx2.get(f"{bench.address}/api/jobs/twin/entries", timeout=20).json()["count"]
        assert count == len(ids)
