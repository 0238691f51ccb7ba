"""Letting devices in: codes used once, guesses counted, tokens kept as hashes."""

from __future__ import annotations

import json
import re
import secrets
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gudgeon.bench.errors import Refused
from gudgeon.bench.gate.devices import FILE, Devices
from gudgeon.bench.gate.pairing import LIFE, Pairing
from gudgeon.faults import Unusable

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from tests.bench.helpers import Clock, Come

    from gudgeon.bench.state import Bench


def new_code(main: TestClient, role: str = "write") -> tuple[str, str]:
    """The digits of a new code, and the path of its link."""
    answer = main.post("/api/codes", json={"role": role}).json()
    return answer["digits"], "/pair/" + answer["address"].rpartition("/")[2]


def test_a_scanned_code_lets_one_device_in_and_leaves_its_address(
    main: TestClient, come: Come
) -> None:
    _, link = new_code(main)
    tablet = come(None)
    assert tablet.get("/").headers["location"] == "/pair"
    answer = tablet.get(link)
    assert (answer.status_code, answer.headers["location"]) == (303, "/paired")
    assert link.rpartition("/")[2] not in answer.text
    assert tablet.get("/").status_code == 200
    assert come(None, peer="192.0.2.60").get(link).status_code == 403


def test_the_cookie_is_hardened(main: TestClient, come: Come) -> None:
    _, link = new_code(main)
    cookie = come(None).get(link).headers["set-cookie"]
    name, value = cookie.partition(";")[0].split("=", 1)
    assert name == "gudgeon-device"
    assert len(value) >= 22  # 128 bits and more, in base 64
    for part in ("HttpOnly", "SameSite=strict", "Path=/"):
        assert part.lower() in cookie.lower()
    assert "domain" not in cookie.lower()


def test_a_typed_code_lets_in_with_or_without_its_gap(main: TestClient, come: Come) -> None:
    for gap in ("", " ", "-"):
        digits, _ = new_code(main)
        assert re.fullmatch(r"\d{4} \d{4}", digits)
        tablet = come(None)
        answer = tablet.post("/api/pair", json={"code": digits.replace(" ", gap)})
        assert answer.json() == {"ok": True, "go": "/paired"}
        assert tablet.get("/?json").status_code == 200


def test_a_code_dies(main: TestClient, come: Come, clock: Clock) -> None:
    digits, link = new_code(main)
    clock.now += LIFE + 1
    assert come(None).post("/api/pair", json={"code": digits}).status_code == 403
    assert come(None).get(link).status_code == 403


def test_a_code_taken_back_or_replaced_is_dead(main: TestClient, come: Come) -> None:
    first, _ = new_code(main)
    second, _ = new_code(main)
    main.request("DELETE", "/api/codes")
    for digits in (first, second):
        assert come(None).post("/api/pair", json={"code": digits}).status_code == 403


def test_only_the_main_screen_shows_codes(come: Come) -> None:
    assert come("write").post("/api/codes", json={}).status_code == 403
    assert come(None).post("/api/codes", json={}).status_code == 401


def test_guesses_are_counted(main: TestClient, come: Come) -> None:
    digits, _ = new_code(main)
    thief = come(None, peer="192.0.2.66")
    wrong = f"{(int(digits.replace(' ', '')) + 1) % 10**8:08d}"
    seen = [thief.post("/api/pair", json={"code": wrong}).status_code for _ in range(7)]
    assert seen == [403] * 5 + [429] * 2
    assert thief.post("/api/pair", json={"code": digits}).status_code == 429
    assert come(None).post("/api/pair", json={"code": digits}).status_code == 200


def test_ten_thousand_guesses_from_everywhere_let_nobody_in() -> None:
    now = [0.0]
    pairing = Pairing(lambda: now[0])
    answers = Counter[int]()
    for number in range(10_000):
        now[0] += 0.05
        code = pairing.alive() or pairing.issue("write")
        guess = f"{(int(code.digits) + 1 + secrets.randbelow(10**8 - 1)) % 10**8:08d}"
        with pytest.raises(Refused) as refused:
            pairing.spend(guess, f"peer {number % 97}")
        answers[refused.value.status] += 1
    assert answers[403] < answers[429]
    assert set(answers) == {403, 429}


def test_thirty_wrong_tries_end_the_code_wherever_they_come_from() -> None:
    pairing = Pairing(lambda: 0.0)
    code = pairing.issue("write")
    for number in range(30):
        with pytest.raises(Refused):
            pairing.spend("x" * 8, f"peer {number}")
    with pytest.raises(Refused):
        pairing.spend(code.digits, "an honest one")
    assert pairing.alive() is None
    assert pairing.spend(pairing.issue("look").digits, "an honest one") == "look"


def test_tokens_are_kept_as_hashes_and_survive_a_restart(
    main: TestClient, come: Come, folder: Path
) -> None:
    digits, _ = new_code(main, "look")
    answer = come(None).post("/api/pair", json={"code": digits})
    token = answer.headers["set-cookie"].partition(";")[0].partition("=")[2]
    text = (folder / FILE).read_text(encoding="utf-8")
    assert token not in text
    who = Devices(folder / FILE).who(token)
    assert who is not None
    assert (who.kind, who.role, who.name) == ("device", "look", "device 1")
    assert (folder / FILE).stat().st_mode & 0o077 == 0


def test_a_device_is_renamed_demoted_and_turned_away(
    main: TestClient, come: Come, bench: Bench
) -> None:
    tablet = come("write")
    (device,) = bench.devices.all()
    put = {"id": "x1", "at": "2026-11-01T08:00:00Z", "kind": "note", "text": "n"}
    assert tablet.post("/api/me", json={"name": "tablet at the lathe"}).json()["go"] == "/"
    stored = tablet.put("/api/jobs/triple/entries/x1", json=put).json()
    assert stored["entry"]["device"] == "tablet at the lathe"
    assert main.patch(f"/api/devices/{device.id}", json={"role": "look"}).status_code == 200
    assert tablet.put("/api/jobs/triple/entries/x2", json=put | {"id": "x2"}).status_code == 403
    assert tablet.get("/?json").status_code == 200
    assert main.request("DELETE", f"/api/devices/{device.id}").status_code == 200
    assert tablet.get("/?json").status_code == 401
    assert main.request("DELETE", f"/api/devices/{device.id}").status_code == 404


@pytest.mark.parametrize(
    "name", ["", " ", "a" * 41, 'say "hi"', "a\\b", "<b>", "bench", "BENCH", "_x"]
)
def test_names_that_can_t_be_used(come: Come, name: str) -> None:
    answer = come("write").post("/api/me", json={"name": name})
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["right"]


def test_two_devices_have_two_names(come: Come) -> None:
    one, two = come("write"), come("look")
    assert one.post("/api/me", json={"name": "Tablet"}).status_code == 200
    assert two.post("/api/me", json={"name": "tablet"}).status_code == 422


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"devices": [{}]}',
        json.dumps(
            {"devices": [{"id": "a", "name": "b", "role": "main", "token": "c" * 64, "since": ""}]}
        ),
    ],
)
def test_a_damaged_list_lets_nobody_in(tmp_path: Path, text: str) -> None:
    file = tmp_path / FILE
    file.write_text(text, encoding="utf-8")
    with pytest.raises(Unusable, match="damaged"):
        Devices(file)


def test_a_list_that_can_t_be_written_changes_nothing(tmp_path: Path) -> None:
    devices = Devices(tmp_path / FILE)
    (tmp_path / FILE).mkdir()
    with pytest.raises(Unusable):
        devices.let_in("write")
    assert devices.all() == ()


def test_with_tls_the_cookie_is_bound_to_the_host(folder: Path) -> None:
    from fastapi.testclient import TestClient

    from gudgeon.bench.app import make_app
    from gudgeon.bench.config import Config
    from gudgeon.store.sqlite import SqliteStore

    app = make_app(SqliteStore(folder), Config(lan=True, tls=True, addresses=("192.0.2.7",)))
    link = app.state.bench.pairing.issue("write").link
    with TestClient(app, base_url="https://192.0.2.7:7340", follow_redirects=False) as client:
        cookie = client.get(f"/pair/{link}").headers["set-cookie"]
    assert cookie.startswith("__Host-gudgeon-device=")
    assert "secure" in cookie.lower()
