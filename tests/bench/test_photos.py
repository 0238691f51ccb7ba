"""Photographs: kept as they came, shown upright and bare; what is hostile is refused in words."""

from __future__ import annotations

import hashlib
import io
import json
import random
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

from gudgeon.cli import main as command
from gudgeon.faults import Unusable
from gudgeon.store.photos import LARGEST, PhotoBox

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi.testclient import TestClient
    from tests.bench.helpers import Come

AT = "2026-11-01T08:00:00Z"
JPEG = {"Content-Type": "image/jpeg"}
ROTATED = 0x0112
PLACE_TAKEN = 0x8825


def photograph(turn: int = 1, kind: str = "JPEG", size: tuple[int, int] = (400, 300)) -> bytes:
    """A picture, red at its left and blue at its right, with where and when it was taken."""
    image = Image.new("RGB", size, "blue")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    notes = image.getexif()
    notes[ROTATED] = turn
    notes[0x010F] = "a camera"
    where = notes.get_ifd(PLACE_TAKEN)
    where.update({1: "N", 2: (52.0, 13.0, 7.5), 3: "E", 4: (4.0, 53.0, 1.0)})
    out = io.BytesIO()
    image.save(out, kind, exif=notes, comment=b"secret") if kind == "JPEG" else image.save(
        out, kind, exif=notes
    )
    return out.getvalue()


def put(client: TestClient, data: bytes, key: str = "p1", **query: str) -> Any:
    address = f"/api/jobs/twin/photos/{key}"
    return client.put(address, params={"at": AT, **query}, content=data, headers=JPEG)


@pytest.mark.parametrize(
    ("turn", "corner", "size", "kind"),
    [
        (1, "red", (400, 300), "JPEG"),
        (3, "blue", (400, 300), "JPEG"),
        (6, "red", (300, 400), "JPEG"),
        (8, "blue", (300, 400), "JPEG"),
        (6, "red", (300, 400), "PNG"),
        (6, "red", (300, 400), "WEBP"),
    ],
)
def test_it_is_shown_upright_and_without_what_the_camera_noted(
    tmp_path: Path, turn: int, corner: str, size: tuple[int, int], kind: str
) -> None:
    data = photograph(turn, kind)
    assert b"camera" in data
    box = PhotoBox(tmp_path)
    sha = box.keep(data).sha256
    for which in ("shown", "small"):
        file = box.copy(sha, "shown" if which == "shown" else "small")
        assert file is not None
        assert not any(word in file.read_bytes() for word in (b"Exif", b"camera", b"secret"))
        with Image.open(file) as made:
            assert not made.getexif()
            assert made.format == "JPEG"
            if which == "shown":
                assert made.size == size
                pixel = made.convert("RGB").getpixel((8, 8))
                assert isinstance(pixel, tuple)
                assert ("red" if pixel[0] > pixel[2] else "blue") == corner
            else:
                assert max(made.size) == 320
    original = box.original(sha)
    assert original is not None
    assert original.read_bytes() == data
    assert original.name == hashlib.sha256(data).hexdigest()


def test_a_large_one_is_made_smaller(tmp_path: Path) -> None:
    box = PhotoBox(tmp_path)
    file = box.copy(box.keep(photograph(6, size=(4000, 3000))).sha256, "shown")
    assert file is not None
    with Image.open(file) as made:
        assert made.size == (1200, 1600)


def _png(size: tuple[int, int], mode: str = "1") -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, "PNG")
    return out.getvalue()


HOSTILE = {
    "bomb": (_png((20_000, 20_000)), "more than 50 million pixels"),
    "warned": (_png((8_000, 8_000)), "more than 50 million pixels"),
    "svg": (b'<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>', "no JPEG, PNG or WebP"),
    "page": (b"<!doctype html><script>alert(1)</script>", "no JPEG, PNG or WebP"),
    "gif": (b"GIF89a" + b"\0" * 40, "no JPEG, PNG or WebP"),
    "short": (photograph()[:300], "can't be read"),
    "begins well": (b"\x89PNG\r\n\x1a\n" + b"x" * 500, "can't be read"),
    "nothing": (b"", "no JPEG, PNG or WebP"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photograph_is_refused_and_leaves_nothing(tmp_path: Path, name: str) -> None:
    data, words = HOSTILE[name]
    with pytest.raises(Unusable, match=words):
        PhotoBox(tmp_path).keep(data)
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == []


def test_damaged_bytes_never_do_more_than_be_refused(tmp_path: Path) -> None:
    """Bytes changed at random: either a picture comes out, or words."""
    rng = random.Random(4)
    for kind in ("JPEG", "PNG", "WEBP"):
        data = bytearray(photograph(6, kind, (64, 48)))
        for _ in range(2):
            hurt = bytearray(data)
            for _ in range(6):
                hurt[rng.randrange(12, len(hurt))] = rng.randrange(256)
            with suppress(Unusable):
                PhotoBox(tmp_path).keep(bytes(hurt))
    assert not list(tmp_path.rglob("*.part"))


def test_it_is_kept_in_the_log_of_its_job_once(main: TestClient, folder: Path) -> None:
    data = photograph()
    answers = [put(main, data, place="valve/1/in/L", words="seat pitted") for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 200]
    entry = answers[0].json()["entry"]
    assert entry["sha256"] == hashlib.sha256(data).hexdigest()
    assert (entry["place"], entry["words"]) == ("valve/1/in/L", "seat pitted")
    other = put(main, photograph(3), place="valve/1/in/L")
    assert other.status_code == 409
    shown = main.get("/jobs/twin/photos?json").json()["photos"]["pictures"]
    assert [(item["spoken"], item["words"], item["there"]) for item in shown] == [
        ("valve 1 in L", "seat pitted", True)
    ]
    main.cookies.clear()
    (folder / "photos" / entry["sha256"]).unlink()
    assert "not in this shop" in main.get("/jobs/twin/photos").text


def test_a_place_the_engine_has_not_is_refused(main: TestClient) -> None:
    answer = put(main, photograph(), place="valve/9/in/L")
    assert answer.status_code == 422
    assert "there is no place" in answer.json()["error"]
    assert put(main, b"<svg/>").status_code == 422


def test_other_kinds_and_larger_bodies_stop_at_the_gate(main: TestClient) -> None:
    url = f"/api/jobs/twin/photos/p1?at={AT}"
    assert main.put(url, content=b"{}").status_code == 415
    answer = main.put(url, content=b"\xff\xd8\xff" + b"0" * LARGEST, headers=JPEG)
    assert answer.status_code == 413


def test_copies_are_sent_to_be_looked_at_not_run(come: Come) -> None:
    main = come()
    sha = put(main, photograph(6)).json()["entry"]["sha256"]
    answer = main.get(f"/photos/{sha}/shown")
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-disposition"].startswith("attachment")
    assert b"Exif" not in answer.content
    original = main.get(f"/photos/{sha}/original")
    assert original.content == photograph(6)
    tablet = come("write")
    assert tablet.get(f"/photos/{sha}/small").status_code == 200
    assert tablet.get(f"/photos/{sha}/original").status_code == 403
    assert come(None).get(f"/photos/{sha}/small").status_code in (303, 401)
    assert main.get(f"/photos/{'0' * 64}/small").status_code == 404
    assert main.get("/photos/..%2f..%2fshop.db/original").status_code in (404, 422)


def test_words_of_a_photograph_are_text(main: TestClient) -> None:
    words = "<img src=x onerror=alert(1)>\"'{{ 7*7 }}"
    assert put(main, photograph(), words=words).status_code == 201
    page = main.get("/jobs/twin/photos").text
    assert "<img src=x" not in page
    assert "&lt;img src=x onerror=alert(1)&gt;" in page


def test_the_command_keeps_one_too(
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    file = tmp_path / "seat.jpg"
    file.write_bytes(photograph())
    log, shop = tmp_path / "log.jsonl", tmp_path / "other"

    def run(*arguments: str) -> tuple[int, str]:
        monkeypatch.setattr(sys, "argv", ["gudgeon", *arguments])
        with pytest.raises(SystemExit) as left:
            command()
        return int(left.value.code or 0), "".join(capsys.readouterr())

    at = ("--shop", str(folder))
    add = ("job", "add", "twin", "photo", "valve/1/in/L", str(file), "--words", "pitted")
    assert run(*add, *at)[0] == 0
    assert PhotoBox(folder).original(hashlib.sha256(photograph()).hexdigest()) is not None
    status, said = run("job", "add", "twin", "photo", "engine", str(tmp_path / "none.jpg"), *at)
    assert (status, "can't be read" in said) == (2, True)
    assert run("job", "export", "twin", "-o", str(log), *at)[0] == 0
    assert any(json.loads(line).get("kind") == "photo" for line in log.read_text().splitlines())
    status, said = run("job", "import", str(log), "--shop", str(shop))
    assert status == 0
    assert "the file of one photograph is not in this shop" in said
