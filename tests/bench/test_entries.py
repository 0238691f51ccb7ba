"""Entries by id: acknowledged when they are stored, the same again is fine, other bytes are not."""

from __future__ import annotations

import json
import threading
from typing import TYPE_CHECKING, Any

import pytest
from tests.bench.helpers import note

from gudgeon.bench.desk import Desk
from gudgeon.log.canon import check_chain, entry_hash
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi.testclient import TestClient
    from tests.bench.helpers import Come

    from gudgeon.bench.state import Bench

JOB = "/api/jobs/twin/entries"


def last(client: TestClient) -> dict[str, Any]:
    entry: dict[str, Any] = client.get(JOB).json()["entries"][-1]
    return entry


def test_an_entry_is_stored_once_however_often_it_comes(main: TestClient, folder: Path) -> None:
    before = main.get(JOB).json()["count"]
    answers = [main.put(f"{JOB}/n1", json=note("n1")) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [201, 200, 200]
    assert [answer.json()["stored"] for answer in answers] == ["now", "already", "already"]
    assert {json.dumps(answer.json()["entry"]) for answer in answers} == {json.dumps(last(main))}
    assert main.get(JOB).json()["count"] == before + 1
    stored = SqliteStore(folder).read("twin")[-1]
    assert json.loads(stored) == last(main)


def test_the_same_id_for_something_else_is_refused_and_both_are_shown(main: TestClient) -> None:
    main.put(f"{JOB}/n1", json=note("n1"))
    answer = main.put(f"{JOB}/n1", json=note("n1", "other"))
    body = answer.json()
    assert answer.status_code == 409
    assert (body["stored"]["text"], body["sent"]["text"]) == ("seen", "other")
    assert body["ok"] is False
    assert last(main)["text"] == "seen"
    later = main.put(f"{JOB}/n1", json=note("n1") | {"at": "2026-11-01T08:00:01Z"})
    assert later.status_code == 409


def test_the_bench_says_who_wrote_it_and_chains_it(
    main: TestClient, come: Come, folder: Path
) -> None:
    forged = note("n1", device="somebody else", prev="0" * 64)
    assert main.put(f"{JOB}/n1", json=forged).json()["entry"]["device"] == "bench"
    tablet = come("write")
    for key in ("t1", "t2"):
        assert tablet.put(f"{JOB}/{key}", json=note(key)).json()["entry"]["device"] == "device 1"
    main.put(f"{JOB}/n2", json=note("n2"))
    bodies = SqliteStore(folder).read("twin")[-4:]
    n1, t1, t2, n2 = (json.loads(body) for body in bodies)
    assert t2["prev"] == entry_hash(bodies[1])
    assert n2["prev"] == entry_hash(bodies[0])
    assert "prev" not in t1
    assert n1["prev"] != "0" * 64
    assert check_chain(SqliteStore(folder).read("twin")) == ()


@pytest.mark.parametrize(
    ("sent", "wrong"),
    [
        (note("n1") | {"id": "n2"}, "not the one in its address"),
        ({"id": "n1"}, "no kind"),
        (note("n1") | {"at": "yesterday"}, "is no time"),
        (note("n1") | {"kind": "stock", "group": "shim"}, "does not belong"),
        (note("n1", extra=1), "not a field"),
        (note("n1", place="valve/9/in/L"), "no place"),
        (
            {
                "id": "n1",
                "at": "2026-11-01T08:00:00Z",
                "kind": "depart",
                "path": "a.b",
                "value": "1",
            },
            "a.b",
        ),
    ],
)
def test_what_can_t_be_used_is_refused_with_its_faults(
    main: TestClient, sent: dict[str, Any], wrong: str
) -> None:
    before = main.get(JOB).json()["count"]
    answer = main.put(f"{JOB}/n1", json=sent)
    assert answer.status_code == 422
    assert any(wrong in fault["wrong"] for fault in answer.json()["faults"]), answer.text
    assert all(fault["right"] for fault in answer.json()["faults"])
    assert main.get(JOB).json()["count"] == before


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"null",
        b"[]",
        b"{",
        b'{"id":"n1","id":"n1"}',
        b'{"id":"n1","text":NaN}',
        b'{"id":"n1","attempt":' + b"9" * 5000 + b"}",
        b"[" * 100_000,
        b'{"a":' * 50_000,
        b'{"id":"n1","text":"\\ud800"}',
        b"\xff\xfe",
    ],
)
def test_no_body_is_too_strange_to_be_refused_in_words(main: TestClient, body: bytes) -> None:
    answer = main.put(f"{JOB}/n1", content=body)
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["wrong"]


def test_a_body_that_is_too_large_is_not_read(main: TestClient) -> None:
    assert main.put(f"{JOB}/n1", content=b"x" * (8 * 1024 * 1024 + 1)).status_code == 413
    assert main.post("/api/codes", content=b"x" * (64 * 1024 + 1)).status_code == 413


@pytest.mark.parametrize("job", ["nothing", "@shop", "%00", "..%2f..", "a" * 60, "<b>"])
def test_a_job_that_is_not_there(main: TestClient, job: str) -> None:
    for answer in (
        main.put(f"/api/jobs/{job}/entries/n1", json=note("n1")),
        main.get(f"/api/jobs/{job}/entries"),
        main.get(f"/api/jobs/{job}/events"),
        main.get(f"/jobs/{job}?json"),
    ):
        assert answer.status_code == 404
        assert answer.json()["ok"] is False


def test_a_strike_out_may_come_before_what_it_strikes(main: TestClient) -> None:
    strike = {"id": "s1", "at": "2026-11-01T08:00:00Z", "kind": "strike", "target": "n1"}
    assert main.put(f"{JOB}/s1", json=strike).status_code == 201
    assert main.put(f"{JOB}/n1", json=note("n1")).status_code == 201
    latest = main.get("/jobs/twin?json").json()["front"]["latest"]
    assert next(done for done in latest if done["id"] == "n1")["struck"] is True


def test_entries_after_those_a_device_has(main: TestClient) -> None:
    count = main.get(JOB).json()["count"]
    main.put(f"{JOB}/n1", json=note("n1"))
    new = main.get(f"{JOB}?after={count}").json()
    assert [entry["id"] for entry in new["entries"]] == ["n1"]
    assert new["count"] == count + 1
    assert main.get(f"{JOB}?after=99999").json()["entries"] == []
    assert main.get(f"{JOB}?after=-1").status_code == 422
    assert main.get(f"{JOB}?after=x").json()["ok"] is False


def test_what_another_program_writes_is_seen(main: TestClient, folder: Path) -> None:
    count = main.get(JOB).json()["count"]
    from gudgeon.log.codec import body_of, entry_from

    body = body_of(entry_from(note("cli-1", device="cli"), "test", "job"))
    SqliteStore(folder).append("twin", [body])
    assert main.get(JOB).json()["count"] == count + 1
    assert main.put(f"{JOB}/n1", json=note("n1")).status_code == 201


def test_many_threads_and_two_desks_lose_nothing_and_double_nothing(
    folder: Path, bench: Bench
) -> None:
    """Two processes would meet in the store just as two desks do."""
    store = SqliteStore(folder)
    desks = [bench.desk, Desk(store)]
    before = len(store.read("twin"))
    faults: list[Exception] = []

    def work(number: int) -> None:
        for turn in range(15):
            key = f"w{(number + turn) % 20}"
            try:
                desks[number % 2].keep("twin", note(key), f"device {number}")
            except Exception as problem:
                faults.append(problem)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    ids = [json.loads(body)["id"] for body in store.read("twin")[before:]]
    assert sorted(ids) == sorted({f"w{n}" for n in range(20)})
    assert store.check() == ()
