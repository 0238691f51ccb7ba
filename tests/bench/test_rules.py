"""Every route carries a rule, and keeps it."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from fastapi import FastAPI
from starlette.routing import BaseRoute

from gudgeon.bench.gate.routing import RuledRoute, ruled
from gudgeon.bench.gate.who import RULES, Rule, Who
from gudgeon.bench.table import CALLS, PAGES

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from tests.bench.helpers import Come

#: The routes that even a device that was not let in may ask for. A new one must be put here.
OPEN = {
    "/static/{digest}/{name:path}",
    "/api/alive",
    "/pair",
    "/pair/{link}",
    "/api/pair",
    "/paired",
    "/t/{job}/{place:path}",
}


def routes(app: FastAPI) -> list[BaseRoute]:
    return list(app.router.routes)


def test_every_route_carries_a_rule(app: FastAPI) -> None:
    found = routes(app)
    assert len(found) == len(CALLS) + len(PAGES)
    for route in found:
        assert isinstance(route, RuledRoute)
        assert route.rule in RULES


def test_what_is_open_to_anyone_is_named_here(app: FastAPI) -> None:
    found = {r.path for r in routes(app) if isinstance(r, RuledRoute) and r.rule == "anyone"}
    assert found == OPEN


def test_whatever_changes_something_needs_a_device_that_writes(app: FastAPI) -> None:
    found = {
        route.path
        for route in routes(app)
        if isinstance(route, RuledRoute)
        and not {"GET", "HEAD"} & set(route.methods or ())
        and route.rule not in ("write", "main")
    }
    assert found == {"/api/pair", "/api/me"}


def test_a_route_without_a_rule_is_refused(app: FastAPI) -> None:
    def bare() -> None: ...

    with pytest.raises(LookupError, match="has no rule"):
        app.add_api_route("/bare", bare)


def test_a_rule_that_is_none_is_refused(app: FastAPI) -> None:
    with pytest.raises(LookupError):
        app.add_api_route("/bare", ruled(cast(Rule, "everyone"))(lambda: None))


def test_rules_are_kept(app: FastAPI, come: Come) -> None:
    """Each kind of client at each route: let in exactly where its rule says so."""
    clients = {"main": come(), "write": come("write"), "look": come("look"), "none": come(None)}
    known = {
        "main": Who("main"),
        "write": Who("device", role="write"),
        "look": Who("device", role="look"),
        "none": Who("stranger"),
    }
    fill = {"{job}": "triple", "{entry}": "n1", "{device}": "d1", "{link}": "l1"}
    for route in routes(app):
        assert isinstance(route, RuledRoute)
        path = route.path.replace("{digest}/{name:path}", "x/bench.css")
        for key, value in fill.items():
            path = path.replace(key, value)
        if path.endswith("/events"):
            continue  # never ends; tried with a server of its own
        for name, client in clients.items():
            method = sorted(route.methods or ())[0]
            answer = client.request(method, path, headers={"Accept": "application/json"})
            refused = answer.status_code in (401, 403)
            denied = refused and answer.json()["faults"][0]["where"] == "device"
            assert denied != known[name].may(route.rule), (name, method, path, answer.text)


def test_a_device_that_only_looks_is_told_so(come: Come) -> None:
    answer = come("look").put("/api/jobs/triple/entries/n1", json={"id": "n1"})
    assert answer.status_code == 403
    assert "may look, not write" in answer.json()["error"]


def test_behind_a_proxy_nobody_is_the_main_screen(main: TestClient) -> None:
    for header in ("X-Forwarded-For", "Forwarded", "Via", "X-Real-IP"):
        assert main.get("/devices?json", headers={header: "1"}).status_code == 401


def test_loopback_under_a_name_is_not_the_main_screen(come: Come) -> None:
    assert come(None, peer="127.0.0.1").get("/devices?json").status_code == 401
