"""A bench to test: a demo shop of its own for each test, and clients that come in as somebody."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser
from tests.bench.browser import chromium
from tests.bench.helpers import LAN, OWN, Clock, Come, Served, served

from gudgeon.bench.app import make_app
from gudgeon.bench.config import Config
from gudgeon.bench.gate.cookies import cookie_name
from gudgeon.bench.gate.who import Role
from gudgeon.bench.state import Bench
from gudgeon.cli.demo import lay_out
from gudgeon.store.sqlite import SqliteStore


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop, to be copied."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    lay_out(folder)
    return folder


@pytest.fixture
def folder(laid_out: Path, tmp_path: Path) -> Path:
    """A demo shop of this test's own."""
    return Path(shutil.copytree(laid_out, tmp_path / "shop"))


@pytest.fixture
def clock() -> Clock:
    """The bench's clock."""
    return Clock()


@pytest.fixture
def app(folder: Path, clock: Clock) -> FastAPI:
    """A bench open to the shop's network."""
    return make_app(SqliteStore(folder), Config(lan=True, addresses=(LAN,), clock=clock))


@pytest.fixture
def bench(app: FastAPI) -> Bench:
    """What the bench holds."""
    bench: Bench = app.state.bench
    return bench


@pytest.fixture
def come(app: FastAPI) -> Iterator[Come]:
    """A client: `come()` the main screen, `come(role)` a paired device, `come(None)` a stranger."""
    bench: Bench = app.state.bench
    with ExitStack() as stack:

        def coming(role: Role | str | None = "main", peer: str = "192.0.2.50") -> TestClient:
            host, peer = ("localhost", "127.0.0.1") if role == "main" else (LAN, peer)
            origin = bench.config.address(host)
            client = TestClient(
                app,
                base_url=origin,
                client=(peer, 50000),
                headers={"Origin": origin, **OWN},
                follow_redirects=False,
                raise_server_exceptions=True,
            )
            if role in ("write", "look"):
                _, token = bench.devices.let_in("write" if role == "write" else "look")
                client.cookies.set(cookie_name(bench.config), token)
            return stack.enter_context(client)

        yield coming


@pytest.fixture
def main(come: Come) -> TestClient:
    """The main screen."""
    return come()


@pytest.fixture(scope="session")
def chromium_browser() -> Iterator[Browser]:
    """One browser for all tests of this process."""
    with chromium() as browser:
        yield browser


@pytest.fixture
def running(folder: Path) -> Iterator[Served]:
    """A bench on a port, over a demo shop of this test's own."""
    with served(folder, "--port", "0") as bench:
        yield bench
