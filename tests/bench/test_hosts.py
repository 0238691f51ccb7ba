"""Host headers: forty of them against every route, and only ours get through."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from tests.bench.helpers import LAN, apart

from gudgeon.bench.app import make_app
from gudgeon.bench.config import Config
from gudgeon.bench.gate.hosts import read_host
from gudgeon.bench.table import CALLS, PAGES
from gudgeon.store.sqlite import SqliteStore

ALLOWED = [
    "localhost:7340",
    "LOCALHOST:7340",
    "LocalHost:7340",
    "127.0.0.1:7340",
    "[::1]:7340",
    "[0:0:0:0:0:0:0:1]:7340",
    f"{LAN}:7340",
    "bench.local:7340",
    "BENCH.local:7340",
    "shop.example:8080",
]
REFUSED = [
    "",
    " ",
    "localhost",
    "localhost:80",
    "localhost:7341",
    "localhost:07340x",
    "localhost:",
    "localhost.:7340",
    "localhost.localdomain:7340",
    "localhost.evil.example:7340",
    "evil.example",
    "evil.example:7340",
    "evil.example:80",
    "bench.local",
    "bench.local.evil.example:7340",
    "xbench.local:7340",
    "shop.example:7340",
    "me@localhost:7340",
    "localhost@evil.example:7340",
    "localhost:7340@evil.example",
    "localhost:7340/",
    "http://localhost:7340",
    "localhost:7340, evil.example",
    "127.0.0.1",
    "127.1:7340",
    "127.0.0.2:7340",
    "2130706433:7340",
    "0x7f.0.0.1:7340",
    "0177.0.0.1:7340",
    "0.0.0.0:7340",
    "[::]:7340",
    "::1:7340",
    "[::1:7340",
    "[::ffff:127.0.0.1]:7340",
    "[fe80::1%25eth0]:7340",
    "192.0.2.8:7340",
    f"{LAN}:80",
    f"{LAN}.:7340",
    "1.2.0.192.in-addr.arpa:7340",
    "localhost\t:7340",
    "l\u00f6calhost:7340",
    "-localhost:7340",
    "%6cocalhost:7340",
]


@pytest.fixture
def named(folder: Path) -> FastAPI:
    names = ("bench.local", "shop.example:8080")
    return make_app(SqliteStore(folder), Config(lan=True, names=names))


def status(app: FastAPI, hosts: list[str], method: str, path: str) -> int:
    """The status of a request with these Host headers, sent past clients that would mend them."""
    headers = [(b"host", host.encode("latin-1", "replace")) for host in hosts]
    scope: Mapping[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": headers,
        "client": ("192.0.2.50", 5000),
        "server": (LAN, 7340),
    }
    sent: list[Any] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    apart(app(dict(scope), receive, send))
    return int(sent[0]["status"])


def addresses() -> list[tuple[str, str]]:
    """Every route of the table, filled in; with one method that changes something beside each."""
    calls = [(call.method, call.path) for call in CALLS] + [("GET", page.path) for page in PAGES]
    calls += [("POST", path) for _, path in calls] + [("OPTIONS", "/"), ("GET", "/nowhere")]
    fill = {"{job}": "triple", "{entry}": "n1", "{device}": "d1", "{link}": "l1"}
    filled = []
    for method, path in calls:
        for key, value in fill.items():
            path = path.replace(key, value)
        path = (
            path.replace("{digest}/{name:path}", "abc/bench.css").replace("{", "").replace("}", "")
        )
        filled.append((method, path))
    return filled


@pytest.mark.parametrize("host", REFUSED)
def test_every_other_host_is_refused_at_every_route(named: FastAPI, host: str) -> None:
    assert {status(named, [host], *address) for address in addresses()} == {421}


@pytest.mark.parametrize("host", ALLOWED)
def test_our_own_hosts_get_through(named: FastAPI, host: str) -> None:
    assert status(named, [host], "GET", "/api/alive") == 200


@pytest.mark.parametrize(
    "hosts", [[], ["localhost:7340", "localhost:7340"], ["localhost:7340", "evil.example"]]
)
def test_no_host_or_two_are_refused(named: FastAPI, hosts: list[str]) -> None:
    assert {status(named, hosts, *address) for address in addresses()} == {421}


def test_without_lan_no_address_but_loopback_is_ours(folder: Path) -> None:
    app = make_app(SqliteStore(folder), Config())
    assert status(app, [f"{LAN}:7340"], "GET", "/api/alive") == 421
    assert status(app, ["localhost:7340"], "GET", "/api/alive") == 200


def test_a_websocket_is_closed(named: FastAPI) -> None:
    sent: list[Any] = []

    async def receive() -> dict[str, Any]:
        return {"type": "websocket.connect"}

    async def send(message: Any) -> None:
        sent.append(message)

    apart(named({"type": "websocket", "path": "/", "headers": []}, receive, send))
    assert sent == [{"type": "websocket.close", "code": 1008}]


@pytest.mark.parametrize(("text", "port"), [("localhost", 443), ("localhost:1", 1)])
def test_the_usual_port_of_https(text: str, port: int) -> None:
    host = read_host(text, tls=True)
    assert host is not None
    assert host.port == port
