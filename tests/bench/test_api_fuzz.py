"""The calls against their own description, and against what nobody should send: no 5xx, nothing
stored that is refused."""

from __future__ import annotations

import json
import random
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)
from tests.bench.helpers import OWN, note

from gudgeon.bench.app import make_app
from gudgeon.bench.config import Config
from gudgeon.bench.table import CALLS
from gudgeon.store.sqlite import SqliteStore

CHECKS: Final = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
#: Streams never end by themselves; they have tests of their own.
ENDLESS: Final = "/api/jobs/{job}/events"
EXAMPLES: Final = 10
DESCRIBED: Final = [call for call in CALLS if call.described and call.path != ENDLESS]
JOB: Final = "/api/jobs/twin/entries"
READING: Final = {
    "id": "fuzz",
    "at": "2026-11-01T08:00:00Z",
    "kind": "reading",
    "place": "cylinder/1",
    "feature": "bore",
    "spot": {"height": "top", "axis": "thrust"},
    "typed": "81.284",
    "instrument": "bore-gauge-a",
}
#: Values of all kinds and sizes, to stand anywhere in an entry.
HOSTILE: Final[tuple[Any, ...]] = (
    None,
    True,
    0,
    -1,
    1e308,
    10**400,
    float("nan"),
    float("inf"),
    "",
    " ",
    "\x00",
    "\u202e",
    "\ud800",
    "🔧" * 30,
    "a" * 5000,
    "78,012",
    "1e9",
    "٧٨",
    "../../etc/passwd",
    "<script>alert(1)</script>",
    "'; DROP TABLE entry; --",
    "{{7*7}}",
    "%s%n",
    "=1+1",
    [],
    {},
    [[[]]],
    {"a": {"b": {}}},
    ["x"] * 1000,
    {"__proto__": 1},
)
#: Paths that are no address of ours, as bytes on the wire.
TRICKS: Final = (
    "/%2e%2e/%2e%2e/etc/passwd",
    "/static/x/..%2f..%2f..%2fetc%2fpasswd",
    "/static/x/%2e%2e/%2e%2e/app.py",
    "/static/../app.py",
    "/api/jobs/%00/entries",
    "/api/jobs/twin%00/entries/n1",
    "/api/jobs/%2e%2e/entries/n1",
    "/api/jobs/@shop/entries/n1",
    "/api/jobs/%40shop/entries",
    "/api/jobs/" + "a" * 5000 + "/entries",
    "/api/jobs/twin/entries/" + "a" * 5000,
    "/api/jobs/twin/entries/%ff%fe",
    "/api/jobs/twin/entries/a%0d%0aSet-Cookie:x=1",
    "/api/jobs/twin/entries?after=99999999999999999999",
    "/api/jobs/twin/entries?after=-1",
    "/api/jobs/twin/entries?after=1e3",
    "/api/jobs/twin/features/%2e%2e/questions",
    "/api/jobs/twin/features/" + "f" * 300 + "/questions",
    "/api/sheets/..%2f..%2fshop.sqlite",
    "/sheets/..%2fshop.sqlite",
    "/sheets/%00.yaml",
    "/sheets/" + "s" * 3000 + ".yaml",
    "/photos/" + "0" * 64 + "/original",
    "/photos/" + "0" * 64 + "/huge",
    "/photos/..%2f..%2fshop.sqlite/small",
    "/jobs/%2e%2e",
    "/jobs/twin/places/..%2f..%2f",
    "/jobs/twin/places/valve/1/in/L%00",
    "/jobs/twin/places/" + "x/" * 500,
    "/jobs/twin/measure?order=%00&place=../../x",
    "/jobs/%E0%A4%A/findings",
    "/t/twin/" + "%2f" * 200,
    "/pair/" + "q" * 3000,
    "//evil.invalid/",
    "/\\evil.invalid",
    "/?json=%00",
    "/;x",
)
METHODS: Final = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "QUERY")


#: Parts of addresses that lead somewhere, to be put in where chance would never hit on them.
REAL: Final = {"job": "twin", "file": "twin.yaml", "feature": "bore"}


def stored(folder: Path) -> dict[str, tuple[str, ...]]:
    """Everything in the shop's logs."""
    store = SqliteStore(folder)
    return {log: store.read(log) for log in store.logs()}


@pytest.fixture(scope="module")
def shared(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The main screen of a bench for all calls in turn: what is stored there does not matter."""
    folder = Path(shutil.copytree(laid_out, tmp_path_factory.mktemp("fuzz") / "shop"))
    config = Config()
    origin = config.address("localhost")
    headers = {"Origin": origin, **OWN}
    with TestClient(
        make_app(SqliteStore(folder), config),
        base_url=origin,
        client=("127.0.0.1", 50000),
        headers=headers,
        follow_redirects=False,
    ) as client:
        yield client


@pytest.fixture(scope="module")
def described(shared: TestClient) -> Any:
    """The bench's own description of its calls."""
    return schemathesis.openapi.from_dict(shared.get("/api/openapi.json").json())


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
@pytest.mark.parametrize("call", DESCRIBED, ids=lambda call: f"{call.method} {call.path}")
def test_every_answer_is_as_described(
    shared: TestClient, described: Any, call: Any, mode: GenerationMode
) -> None:
    operation = described[call.path][call.method]
    said = described.raw_schema["paths"][call.path][call.method.lower()]
    if not said.get("parameters") and "requestBody" not in said:
        mode = GenerationMode.POSITIVE  # there is nothing to send, and so nothing to send wrong
    cases = operation.as_strategy(generation_mode=mode)
    chance = random.Random(1)

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=cases)
    def run(case: Any) -> None:
        for part in set(REAL) & set(case.path_parameters):
            if chance.random() < 0.7:
                case.path_parameters[part] = REAL[part]
        case.validate_response(sent(shared, case), checks=CHECKS)

    run()


def sent(client: TestClient, case: Any) -> Any:
    """The answer to a request as generated, with the headers of the bench's own pages."""
    made = case.as_transport_kwargs()
    kind = case.media_type or "application/json"
    return client.request(
        made["method"],
        made["url"],
        params=made.get("params"),
        json=made.get("json"),
        content=made.get("data"),
        headers={"Content-Type": kind, "Accept": "application/json"},
    )


def mutated(chance: random.Random) -> bytes:
    """The body of an entry with something wrong with it, sometimes nothing."""
    entry: dict[str, Any] = dict(READING)
    for _ in range(chance.randint(1, 3)):
        way = chance.randrange(4)
        key = chance.choice([*READING, "kind", "attempt", "part_temp", "epoch", "unit", "x"])
        if way == 0:
            entry.pop(key, None)
        elif way == 1:
            entry[key] = chance.choice(HOSTILE)
        elif way == 2:
            entry[chance.choice(["", "\x00", "id ", "__class__", "prev", "device"])] = "x"
        else:
            kinds = ["feeler", "shim", "strike", "code", "event", "depart", "sheet", "opened", "x"]
            entry["kind"] = chance.choice(kinds)
    body = json.dumps(entry).encode("utf-8")
    if chance.random() < 0.3:
        at = chance.randrange(len(body))
        body = body[:at] + bytes([chance.randrange(256)]) + body[at + chance.randrange(3) :]
    if chance.random() < 0.1:
        body = body[: chance.randrange(len(body))]
    return body


def test_mutated_entries_are_kept_whole_or_not_at_all(main: TestClient, folder: Path) -> None:
    chance, kept = random.Random(4), 0
    before = stored(folder)
    for number in range(1000):
        body = mutated(chance)
        answer = main.put(f"{JOB}/fuzz", content=body)
        assert answer.status_code in (200, 201, 400, 409, 422), (number, body, answer.text)
        if answer.status_code == 201:
            kept += 1
            assert answer.json()["entry"]["id"] == "fuzz"
        elif answer.status_code != 200:
            assert all(fault["right"] for fault in answer.json()["faults"]), (body, answer.text)
    after = stored(folder)
    assert kept == 1
    assert {log: rows[: len(before[log])] for log, rows in after.items()} == before
    assert sum(map(len, after.values())) == sum(map(len, before.values())) + kept
    assert SqliteStore(folder).check() == ()
    assert main.get("/jobs/twin/findings").status_code == 200


def big_bodies() -> Iterator[tuple[str, bytes, int]]:
    """Bodies that are too much, and the status each should be refused with."""
    yield "deep list", b"[" * 200_000, 422
    yield "deep object", b'{"a":' * 100_000, 422
    yield "deep inside", b'{"id":"n1","spot":' + b"[" * 5000 + b"]" * 5000 + b"}", 422
    yield "long number", b'{"id":"n1","attempt":' + b"9" * 100_000 + b"}", 422
    yield "wide", b'{"id":"n1",' + b'"a":1,' * 50_000 + b'"b":1}', 422
    yield "many keys", json.dumps({f"k{n}": n for n in range(50_000)} | {"id": "n1"}).encode(), 422
    yield "no number", b'{"id":"n1","at":NaN}', 422
    yield "infinite", b'{"id":"n1","at":-Infinity}', 422
    yield "too long", b" " * (8 * 1024 * 1024 + 1), 413
    yield "long text", json.dumps(note("n1", "a" * 4_000_000)).encode(), 422
    yield "half of a character", b'{"id":"n1","text":"\\ud800"}', 422
    yield "not UTF-8", b'{"id":"n1","text":"\xff"}', 422
    yield "UTF-16", json.dumps(note("n1")).encode("utf-16"), 422
    yield "mark before it", b"\xef\xbb\xbf" + json.dumps(note("n1")).encode(), 422
    yield "two of them", json.dumps(note("n1")).encode() * 2, 422


@pytest.mark.parametrize(("body", "status"), [pytest.param(b, s, id=n) for n, b, s in big_bodies()])
def test_bodies_that_are_too_much_are_refused_soon(
    main: TestClient, folder: Path, body: bytes, status: int
) -> None:
    before, begun = stored(folder), time.process_time()
    answer = main.put(f"{JOB}/n1", content=body)
    assert answer.status_code == status, answer.text[:300]
    assert time.process_time() - begun < 2
    assert len(answer.content) < 20_000
    assert stored(folder) == before


def test_wrong_kinds_of_content_store_nothing(main: TestClient, folder: Path) -> None:
    before = stored(folder)
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; b=x", ""):
        for call in CALLS:
            if call.method == "GET":
                continue
            path = call.path.format(
                **REAL, entry="n1", device="d", sha="0" * 64, size="x", link="l"
            )
            answer = main.request(
                call.method, path, content=json.dumps(note("n1")), headers={"Content-Type": kind}
            )
            assert answer.status_code == 415, (call, kind, answer.text)
    assert stored(folder) == before


@pytest.mark.parametrize("accept", ["text/html", "application/json"])
def test_no_trick_in_an_address_gets_anywhere(main: TestClient, folder: Path, accept: str) -> None:
    before = stored(folder)
    for path in TRICKS:
        for method in METHODS:
            content = json.dumps(note("n1")) if method in ("POST", "PUT", "PATCH") else None
            answer = main.request(method, path, content=content, headers={"Accept": accept})
            assert 200 <= answer.status_code < 500, (method, path, answer.text[:300])
            assert b"root:" not in answer.content
            assert b"SQLite format" not in answer.content
            assert b"Traceback" not in answer.content
            assert "set-cookie" not in answer.headers
            assert "evil.invalid" not in answer.headers.get("location", "")
    assert stored(folder) == before


def test_every_page_and_call_by_every_other_method(main: TestClient, folder: Path) -> None:
    before = stored(folder)
    parts = {"entry": "n1", "device": "d", "sha": "0" * 64, "size": "x", "link": "l", "digest": "x"}
    for call in CALLS:
        path = call.path.replace(":path", "").format(**REAL, **parts, name="x")
        taken = {other.method for other in CALLS if other.path == call.path}
        for method in set(METHODS) - taken - {"HEAD"}:
            answer = main.request(method, path)
            assert answer.status_code in (404, 405, 415, 422), (method, path, answer.text)
    assert stored(folder) == before
