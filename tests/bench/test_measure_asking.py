"""What is asked about a reading the moment it is stored, and how long that takes."""

from __future__ import annotations

import random
import threading
import time
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st
from tests.bench.helpers import note
from tests.bench.measuring import open_job

from gudgeon.bench.asking import asked
from gudgeon.bench.far_off import far_off, with_mark_moved
from gudgeon.bench.state import Bench
from gudgeon.log.entries import Feeler, Reading
from gudgeon.log.job import Job, Shop
from gudgeon.log.spots import spots
from gudgeon.metrology.findings import findings
from gudgeon.numbers import read_decimal

AT = "2026-11-01T08:00:00Z"


@pytest.fixture(scope="module")
def triple(laid_out: Path) -> tuple[Job, Shop]:
    """The demo's main job, and its shop."""
    from gudgeon.cli.opening import open_job as opened

    return opened("triple", str(laid_out))


def reading(key: str, typed: str, feature: str = "bore", **more: Any) -> Reading:
    """A reading of the demo's triple."""
    spot = {"height": "top", "axis": "thrust"} if feature == "bore" else more.pop("spot", {})
    place = more.pop("place", "cylinder/1")
    return Reading(
        id=key, at=AT, place=place, feature=feature, spot=spot, typed=typed, unit="mm", **more
    )


def test_the_planted_turn_is_asked_as_findings_ask_it(triple: tuple[Job, Shop]) -> None:
    job, shop = triple
    (question,) = asked(job, shop, "journal")
    slip = next(slip for slip in findings(job, shop).slips if slip.feature == "journal")
    assert question.text == slip.question
    assert question.kind == "turn"
    (one,) = question.readings
    assert one.entry == slip.entry
    assert f"{one.typed} {one.unit}" == slip.corrected_text


def test_sound_features_raise_no_question(triple: tuple[Job, Shop]) -> None:
    job, shop = triple
    silent = [name for name in job.sheet.features if name != "journal"]
    assert {name: asked(job, shop, name) for name in silent} == dict.fromkeys(silent, ())


def test_an_answer_silences_the_question_here_and_in_the_findings(
    triple: tuple[Job, Shop],
) -> None:
    job, shop = triple
    (question,) = asked(job, shop, "journal")
    told = replace(job, settings={"right-as-read-77": question.key})
    assert asked(told, shop, "journal") == ()
    assert question.key not in {slip.entry for slip in findings(told, shop).slips}
    assert all(question.key not in item.questioned for item in findings(told, shop).items)


def test_one_spot_read_on_two_devices(triple: tuple[Job, Shop]) -> None:
    job, shop = triple
    old = next(item for item in job.readings if item.feature == "bore")
    mine = old.model_copy(update={"id": "other", "device": "tablet 2", "typed": "78.031"})
    again = old.model_copy(update={"id": "third", "attempt": 2, "device": "tablet 2"})
    both = replace(job, readings=(*job.readings, mine, again))
    (question,) = [item for item in asked(both, shop, "bore") if item.kind == "twice"]
    assert {item.entry for item in question.readings} == {old.id, "other"}
    assert "tablet 2" in question.text
    assert old.device in question.text
    told = replace(both, settings={"right-as-read-1": question.key})
    assert not any(item.kind == "twice" for item in asked(told, shop, "bore"))


def test_blades_felt_on_two_devices(triple: tuple[Job, Shop]) -> None:
    job, shop = triple
    one = Feeler(id="a", at=AT, place="valve/1/in/L", feature="gap", goes="0.12", wont="0.13")
    other = one.model_copy(update={"id": "b", "device": "tablet 2", "goes": None})
    (question,) = asked(replace(job, feelers=(one, other)), shop, "gap")
    assert "nothing goes, 0.13 won't on tablet 2" in question.text


def test_an_engine_bored_before_is_asked_with_its_departure(triple: tuple[Job, Shop]) -> None:
    job, shop = triple
    over = [
        item.model_copy(update={"typed": f"{float(item.typed) + 0.5:.3f}"})
        if item.feature in ("bore", "piston")
        else item
        for item in job.readings
    ]
    moved = replace(job, readings=tuple(over))
    (question,) = asked(moved, shop, "bore")
    assert question.departure
    assert question.departure["kind"] == "depart"
    assert question.readings == ()


@pytest.mark.parametrize(
    ("typed", "unit", "kind", "instead"),
    [
        ("780.12", "mm", "tenfold", "78.012"),
        ("7.8012", "mm", "tenfold", "78.012"),
        ("78012", "mm", "tenfold", "78.012"),
        ("7,8012", "mm", "tenfold", "78,012"),
        ("-78.012", "mm", "sign", "78.012"),
        ("3.0713", "mm", "unit", "3.0713"),
        ("78.012", "in", "unit", "78.012"),
    ],
)
def test_far_off_numbers(
    triple: tuple[Job, Shop], typed: str, unit: str, kind: str, instead: str
) -> None:
    job, _ = triple
    entry = reading("far", typed).model_copy(update={"unit": unit})
    found = far_off(job.sheet, [entry], entry)
    assert found is not None
    assert (found.kind, found.typed) == (kind, instead)
    assert found.unit == {"unit": {"mm": "in", "in": "mm"}[unit]}.get(kind, unit)


def test_worn_is_not_far_off(triple: tuple[Job, Shop]) -> None:
    job, _ = triple
    for typed in ("78.070", "78.512", "77.512", "79.000", "78.0"):
        entry = reading("worn", typed)
        assert far_off(job.sheet, [entry], entry) is None


def test_two_hundred_seeded_slips(triple: tuple[Job, Shop]) -> None:
    """Tenfold either way, inch for millimetre and the sign, over every feature with a size."""
    job, _ = triple
    chance = random.Random(4)
    sound = [item for item in job.readings if job.sheet.features[item.feature].kind == "size"]
    caught = 0
    for _ in range(200):
        item = chance.choice(sound)
        kind = chance.choice(("up", "down", "inch", "sign"))
        typed = {
            "up": lambda text: with_mark_moved(text, 1),
            "down": lambda text: with_mark_moved(text, -1),
            "inch": lambda text: f"{float(text) / 25.4:.4f}",
            "sign": lambda text: f"-{text}",
        }[kind](item.typed)
        wrong = item.model_copy(update={"typed": typed})
        found = far_off(job.sheet, [i for i in sound if i.feature == item.feature], wrong)
        caught += found is not None
    assert caught >= 190


def test_no_sound_reading_is_far_off(triple: tuple[Job, Shop]) -> None:
    job, _ = triple
    for item in job.readings:
        alike = [other for other in job.readings if other.feature == item.feature]
        assert far_off(job.sheet, alike, item) is None


@given(st.from_regex(r"-?[0-9]{1,4}[.,][0-9]{1,4}", fullmatch=True), st.integers(-4, 4))
def test_moving_the_mark_is_a_power_of_ten(number: str, places: int) -> None:
    moved = Decimal(with_mark_moved(number, places).replace(",", "."))
    assert moved == read_decimal(number).scaleb(places)


@given(st.from_regex(r"[0-9]{1,7}([.,][0-9]{0,4})?", fullmatch=True))
def test_no_number_trips_it_over(triple: tuple[Job, Shop], typed: str) -> None:
    entry = reading("any", typed)
    far_off(triple[0].sheet, [entry], entry)


def test_asked_within_fifty_milliseconds_at_seven_hundred_readings(
    bench: Bench, main: TestClient, folder: Path
) -> None:
    """From the question being put to its answer, after each of ten new readings. The processor's
    time is counted, so that what else runs on the machine does not matter."""
    open_job(folder, "long")
    desk = bench.desk
    sheet = desk.job("long").sheet
    made = 0
    for name, feature in sheet.features.items():
        if feature.kind != "size" or feature.new is None:
            continue
        size = float(feature.new.max or feature.new.min or 1.0)
        for place in sheet.layout.of(feature.at):
            for spot in spots(feature):
                for attempt in (1, 2):
                    fields = reading(
                        f"r{made}", f"{size - 0.002:.3f}", name, place=place, attempt=attempt
                    ).model_dump(mode="json", exclude_none=True)
                    desk.keep("long", {**fields, "spot": spot}, "bench")
                    made += 1
    assert made >= 700
    took = []
    for number in range(10):
        fields = reading(f"n{number}", "78.012", attempt=9 + number).model_dump(
            mode="json", exclude_none=True
        )
        assert main.put(f"/api/jobs/long/entries/n{number}", json=fields).status_code == 201
        began = time.process_time()
        answer = main.get("/api/jobs/long/features/bore/questions")
        took.append(time.process_time() - began)
        assert answer.status_code == 200
        assert answer.json()["questions"] == []
    assert sorted(took)[5] < 0.050, took


def test_keeping_an_entry_never_waits_for_a_result(bench: Bench) -> None:
    """A result at work waits for the log; who keeps an entry holds the log, and must not wait."""
    desk = bench.desk
    desk.job("triple")
    desk.keep("triple", {"id": "s", "at": AT, "kind": "strike", "target": "triple-0456"}, "bench")
    working, done = threading.Event(), threading.Event()

    def slow() -> int:
        working.set()
        assert done.wait(5)
        return desk.state("triple").job

    thread = threading.Thread(target=lambda: desk.result("triple", "slow", slow))
    thread.start()
    assert working.wait(5)
    began = time.perf_counter()
    keeper = threading.Thread(target=lambda: desk.keep("triple", note("kept-meanwhile"), "bench"))
    keeper.start()
    keeper.join(4)
    took = time.perf_counter() - began
    done.set()
    thread.join(5)
    keeper.join(5)
    assert took < 2.0


def test_a_feature_the_sheet_has_not_got_raises_nothing(main: TestClient) -> None:
    assert main.get("/api/jobs/triple/features/nothing/questions").json()["questions"] == []
    assert main.get("/api/jobs/nobody/features/bore/questions").status_code == 404
