"""Benches over the demo shop for tests that only look: one for a whole file of tests."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, cast

from fastapi.testclient import TestClient
from tests.bench.helpers import OWN, Served, served

from gudgeon.bench.app import make_app
from gudgeon.bench.config import Config
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from fastapi import FastAPI

    from gudgeon.bench.state import Bench


def held_by(client: TestClient) -> Bench:
    """What the bench of a client holds."""
    bench: Bench = cast("FastAPI", client.app).state.bench
    return bench


@contextmanager
def looked_at(laid_out: Path) -> Iterator[TestClient]:
    """The main screen of a bench over a copy of the demo shop."""
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(shutil.copytree(laid_out, Path(folder) / "shop"))
        config = Config()
        origin = config.address("localhost")
        app = make_app(SqliteStore(shop), config)
        headers = {"Origin": origin, **OWN}
        with TestClient(
            app, base_url=origin, client=("127.0.0.1", 50000), headers=headers
        ) as client:
            yield client


@contextmanager
def served_copy(laid_out: Path) -> Iterator[Served]:
    """A bench on a port over a copy of the demo shop."""
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(shutil.copytree(laid_out, Path(folder) / "shop"))
        with served(shop, "--port", "0") as bench:
            yield bench
