"""The app: the table's pages and calls behind the gate."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from gudgeon import __version__
from gudgeon.bench.config import Config
from gudgeon.bench.described import description_of
from gudgeon.bench.errors import Trouble, trouble_of
from gudgeon.bench.gate.middleware import Gate
from gudgeon.bench.gate.routing import RuledRoute, ruled
from gudgeon.bench.page import endpoint, trouble_page
from gudgeon.bench.state import Bench, make_bench
from gudgeon.bench.table import CALLS, PAGES
from gudgeon.bench.warming import warm
from gudgeon.faults import Fault, GudgeonError
from gudgeon.numbers import shown
from gudgeon.store.sqlite import SqliteStore

_ABOUT = "The bench of gudgeon: entries of jobs, news of them, and the devices that may write."


def make_app(store: SqliteStore, config: Config) -> FastAPI:
    """The web app for a shop.

    Args:
        store: the shop. config: how the bench was started.

    Raises:
        Unusable: the shop's list of devices is damaged.
    """
    return app_of(make_bench(store, config, Path(store.folder)))


def app_of(bench: Bench) -> FastAPI:
    """The web app for a bench made ready."""

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        bench.watch.start()
        ending = threading.Event()
        thread = threading.Thread(target=warm, args=(bench, ending), name="warm", daemon=True)
        thread.start()
        yield
        ending.set()

    app = FastAPI(
        title="gudgeon bench",
        version=__version__,
        description=_ABOUT,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        lifespan=life,
        redirect_slashes=False,
    )
    app.state.bench = bench
    app.router.route_class = RuledRoute
    for call in CALLS:
        app.add_api_route(
            call.path,
            call.endpoint,
            methods=[call.method],
            include_in_schema=call.described,
            **description_of(call.method, call.path, call.endpoint),
        )
    for page in PAGES:
        answer = ruled(page.rule)(endpoint(page, PAGES))
        app.add_api_route(page.path, answer, methods=["GET", "HEAD"], include_in_schema=False)
    _handle_errors(app, bench)
    app.add_middleware(
        Gate,
        config=bench.config,
        devices=bench.devices,
        show=lambda request, trouble: trouble_page(request, bench, trouble),
    )
    return app


def _handle_errors(app: FastAPI, bench: Bench) -> None:
    async def ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, GudgeonError)
        return trouble_page(request, bench, trouble_of(error))

    async def http(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        return trouble_page(request, bench, _http_trouble(error))

    async def invalid(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        faults = tuple(_fault(item) for item in error.errors())
        return trouble_page(request, bench, Trouble(422, faults, {}))

    app.add_exception_handler(GudgeonError, ours)
    app.add_exception_handler(HTTPException, http)
    app.add_exception_handler(RequestValidationError, invalid)


def _http_trouble(error: HTTPException) -> Trouble:
    words = {
        404: ("there is no such page", "begin at the shop page"),
        405: ("this address does not take that method", "look at /api/openapi.json"),
    }
    wrong, right = words.get(error.status_code, ("the request can't be read", "check what is sent"))
    return Trouble(error.status_code, (Fault("address", wrong, right),), {})


def _fault(item: Any) -> Fault:
    """One error of a request's fields in words."""
    where = ".".join(str(part) for part in item["loc"][1:]) or "body"
    value = item.get("input")
    given = "it is missing" if item["type"] == "missing" else f"{shown(value)} can't be used"
    return Fault(where, given, f"{item['msg'][:1].lower()}{item['msg'][1:]}")
