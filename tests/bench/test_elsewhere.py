"""At the wrong engine: readings of the twin, entered on the triple's page, raise the question."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

QUESTIONS = "/api/jobs/triple/features/bore/questions"


def put(client: TestClient, number: int, typed: str, minute: int) -> None:
    entry = {
        "id": f"w{number}",
        "at": f"2026-11-20T08:{minute:02}:00Z",
        "kind": "reading",
        "place": "cylinder/1",
        "feature": "bore",
        "spot": {"height": ["top", "middle", "foot"][number % 3], "axis": "thrust"},
        "attempt": 2 + number // 3,
        "typed": typed,
    }
    answer = client.put(f"/api/jobs/triple/entries/w{number}", json=entry)
    assert answer.status_code == 201, answer.text


def asked(client: TestClient) -> list[dict[str, Any]]:
    found = client.get(QUESTIONS).json()["questions"]
    return [item for item in found if item["kind"] == "engine"]


@pytest.fixture
def bores(main: TestClient) -> list[str]:
    """Three bores of the twin as its log has them."""
    entries = main.get("/api/jobs/twin/entries").json()["entries"]
    sizes = [item["typed"] for item in entries if item.get("feature") == "bore"]
    assert len(sizes) >= 3
    main.get("/jobs/twin")
    return sizes[:3]


def test_three_readings_of_another_engine_raise_the_question(
    main: TestClient, bores: list[str]
) -> None:
    for number, typed in enumerate(bores):
        assert asked(main) == []
        put(main, number, typed, number)
    (question,) = asked(main)
    assert question["text"].startswith("Are you at the right engine?")
    assert "twin" in question["text"]
    assert question["readings"] == []
    assert question["posterior"] > 0.9


def test_once_answered_it_is_not_asked_again(main: TestClient, bores: list[str]) -> None:
    for number, typed in enumerate(bores):
        put(main, number, typed, number)
    (question,) = asked(main)
    answer = {
        "id": "a1",
        "at": "2026-11-20T08:10:00Z",
        "kind": "setting",
        "name": "right-as-read-1",
        "value": question["key"],
    }
    assert main.put("/api/jobs/triple/entries/a1", json=answer).status_code == 201
    assert asked(main) == []


def test_a_long_pause_begins_a_new_sitting(main: TestClient, bores: list[str]) -> None:
    """Readings an hour apart are not in a row."""
    for number, typed in enumerate(bores):
        put(main, number, typed, number * 25)
    assert asked(main) == []
