"""gudgeon shop: instruments, drawer and settings, and the safety of the whole."""

from __future__ import annotations

import json
import re
import sqlite3
from importlib import import_module
from pathlib import Path

import pytest
from tests.cli.test_job import Bench

import gudgeon
from gudgeon.fit.settings import EVERY
from gudgeon.store.sqlite import FILE


@pytest.fixture
def bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Bench:
    made = Bench(tmp_path, monkeypatch, capsys)
    for job in ("one", "two"):
        made.ok("job", "new", job, "--sheet", "triple.yaml")
    return made


def test_what_all_engines_share_is_listed(bench: Bench) -> None:
    bench.ok(*("shop", "instrument", "mic-a", "micrometer-0.01", "--u-read", "0.003"), "--id", "i1")
    bench.ok("shop", "check-instrument", "mic-a", "25", "25,002", "--id", "k1")
    bench.ok("shop", "stock", "shim", "--mark", "178", "--size", "1.775", "--id", "p1")
    bench.ok("shop", "stock", "main-shell", "--mark", "brown", "--count", "4", "--id", "p2")
    bench.ok("shop", "setting", "hour-rate", "60")
    found = bench.json("shop", "list")
    assert [item["name"] for item in found["instruments"]] == ["mic-a"]
    assert [item["read"] for item in found["checks"]] == ["25,002"]
    assert [(item["stock"], item["count"]) for item in found["drawer"]] == [("p1", 1), ("p2", 4)]
    assert found["settings"] == {"hour-rate": "60"}
    assert found["faults"] == []
    said = bench.ok("shop", "list")
    for words in ("mic-a is a micrometer-0.01", "mic-a reads 25,002 on 25", "hour-rate = 60"):
        assert words in said
    assert "p1  1 free of shim marked 178 measured 1.775 mm" in said


def test_two_jobs_can_not_reserve_one_piece(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--id", "p1")
    bench.ok("shop", "reserve", "p1", "one", "--id", "r1")
    said = bench.refused("shop", "reserve", "p1", "two")
    assert "0 of 'p1' are free, reserved for one, and 1 are wanted" in said
    assert "already" in bench.ok("shop", "reserve", "p1", "one", "--id", "r1")
    assert bench.json("shop", "list", "--job", "two")["drawer"] == []
    assert len(bench.json("shop", "list", "--job", "one")["drawer"]) == 1
    bench.ok("shop", "strike", "r1", "--reason", "not needed")
    bench.ok("shop", "reserve", "p1", "two")


def test_reserving_for_no_job(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--id", "p1")
    assert "there is no job 'three'" in bench.refused("shop", "reserve", "p1", "three")


def test_stock_that_is_struck_while_reserved_is_named(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--id", "p1")
    bench.ok("shop", "reserve", "p1", "one", "--id", "r1")
    said = bench.refused("shop", "strike", "p1")
    assert "'p1', reserved for one, is not in the drawer" in said
    assert len(bench.json("shop", "list", "--job", "one")["drawer"]) == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["instrument", "mic a", "caliper"], "instrument name: 'mic a' can't be a name"),
        (
            ["instrument", "mic", "caliper", "--u-zero", "1 yd"],
            "--u-zero: 'yd' is not a unit of length",
        ),
        (["check-instrument", "mic", "25", "nan"], "read: 'nan' is not a number"),
        (["stock", "shim", "--mark", "178", "--count", "0"], "stock count: count '0' is too small"),
        (["stock", "shim", "--size", "1e308"], "stock: '1e308' is far too large"),
        (["strike", "nothing"], "strike: there is no entry 'nothing' to strike out"),
        (["setting", "", "60"], "setting: there is no setting ''"),
        (["setting", "hour-rate"], "VALUE: no value for 'hour-rate'"),
        (["setting", "hour_rate", "60"], "setting: there is no setting 'hour_rate'"),
        (["instrument", "mic", "micrometre"], "kind of instrument: there is no kind of instrument"),
        (["list", "--shop", "triple.yaml"], "triple.yaml: this is a file"),
    ],
)
def test_what_makes_no_sense_is_refused(bench: Bench, arguments: list[str], said: str) -> None:
    assert bench.refused("shop", *arguments).startswith(said)
    assert bench.json("shop", "list")["faults"] == []


def test_checked_backed_up_and_restored(bench: Bench) -> None:
    assert "all is well, 2 jobs" in bench.ok("shop", "check")
    bench.ok("shop", "backup", "copy.sqlite")
    bench.ok("shop", "restore", "copy.sqlite", "--into", "again")
    assert bench.ok("job", "export", "one") == bench.ok("job", "export", "one", "--shop", "again")
    assert "the folder is not empty" in bench.refused(
        "shop", "restore", "copy.sqlite", "--into", "again"
    )


def test_what_was_altered_in_the_store_gives_status_1(bench: Bench) -> None:
    base = sqlite3.connect(bench.folder / "shop" / FILE)
    base.execute("DROP TRIGGER entry_changed")
    base.execute("UPDATE entry SET body = replace(body, 'triple', 'tripel') WHERE log = 'one'")
    base.commit()
    base.close()
    status, out, err = bench.run("shop", "check")
    assert (status, err) == (1, "")
    assert "the entry was altered in the store" in out
    status, out, _ = bench.run("shop", "check", "--json")
    assert status == 1
    assert '"faults": [\n  {' in out


def test_a_chain_with_a_missing_link_gives_status_1(bench: Bench) -> None:
    bench.ok("job", "add", "one", "note", "a", "--id", "a")
    bench.ok("job", "add", "one", "note", "b", "--id", "b")
    lines = bench.ok("job", "export", "one").splitlines(keepends=True)[1:]
    kept = [line for line in lines if '"id":"a"' not in line]
    (bench.folder / "cut.jsonl").write_text('{"gudgeon":"log","version":1}\n' + "".join(kept))
    bench.ok("job", "import", "cut.jsonl", "--as", "cut")
    status, out, _ = bench.run("shop", "check")
    assert status == 1
    assert "cut/b: the entry that 'bench' wrote before this one is missing" in out


def test_the_log_of_the_shop_out_and_in(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--id", "p1")
    bench.ok("shop", "setting", "hour-rate", "60", "--id", "t1")
    bench.ok("shop", "export", "-o", "shop.jsonl")
    assert bench.ok("shop", "import", "shop.jsonl", "--shop", "new") == "shop: 2 added\n"
    assert bench.ok("shop", "import", "shop.jsonl") == "shop: 0 added, 2 there already\n"
    assert bench.ok("shop", "export", "--shop", "new") == bench.ok("shop", "export")


def test_every_setting_is_listed_with_its_value_and_meaning(bench: Bench) -> None:
    bench.ok("shop", "setting", "hour-rate", "75")
    rows = {row["name"]: row for row in bench.json("shop", "setting")["settings"]}
    assert rows["hour-rate"]["value"] == "75"
    assert rows["coverage"]["value"] == rows["coverage"]["default"] == "2"
    assert all(row["meaning"] for row in rows.values())
    assert list(rows) == list(EVERY)
    said = bench.ok("shop", "setting")
    assert "hour-rate = 75 (default 60): price of an hour" in said
    assert "\ncoverage = 2: the factor k of the expanded rule; set a number from 1 to 4\n" in said


def test_a_setting_from_elsewhere_that_cannot_be_used_is_told_and_its_default_holds(
    bench: Bench,
) -> None:
    entry = {"kind": "setting", "id": "t1", "at": "2026-03-01T14:05:00Z", "device": "elsewhere"}
    line = json.dumps(entry | {"name": "coverage", "value": "9"})
    head = json.loads(bench.ok("shop", "export").splitlines()[0])
    first = json.dumps({key: head[key] for key in head.keys() - {"entries", "tips"}})
    Path("shop.jsonl").write_text(f"{first}\n{line}\n", encoding="utf-8")
    bench.ok("shop", "import", "shop.jsonl", "--shop", "other")
    told = bench.json("shop", "setting", "--shop", "other")
    row = next(row for row in told["settings"] if row["name"] == "coverage")
    assert (row["value"], row["default"]) == ("2", "2")
    fault = "setting coverage: '9' is not from 1 to 4, set a number from 1 to 4"
    assert f"not used: {fault}" in bench.ok("shop", "setting", "--shop", "other")
    assert told["faults"][0]["where"] == "setting coverage"


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("coverage", "9", "setting coverage: '9' is not from 1 to 4, set a number from 1 to 4"),
        ("hour-rate", "much", "setting hour-rate: 'much' is not a number, set a number from 0"),
        ("hour-rate", "-1", "setting hour-rate: '-1' is not from 0 to 1000000,"),
        ("legal", "yes", "setting legal: 'yes' is not one of its words, set inside or guarded"),
        ("covrage", "2", "setting: there is no setting 'covrage', did you mean coverage"),
    ],
)
def test_a_setting_that_cannot_be_used_is_not_stored(
    bench: Bench, name: str, value: str, said: str
) -> None:
    """In the shop and in a job alike."""
    for where in (("shop",), ("job", "add", "one")):
        assert said in bench.refused(*where, "setting", name, value)
    assert bench.json("shop", "list")["settings"] == {}


def test_an_answer_to_a_question_is_a_setting_of_its_job(bench: Bench) -> None:
    bench.ok("job", "add", "one", "setting", "right-as-read-1", "m-07")
    bench.refused("shop", "setting", "right-as-read-1", "m-07")


def test_every_table_of_settings_is_known() -> None:
    source = Path(gudgeon.__file__).parent
    found = {
        ".".join(("gudgeon", *path.relative_to(source).with_suffix("").parts))
        for path in source.rglob("*.py")
        if re.search(r"^SETTINGS\b", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    tables = [import_module(name).SETTINGS for name in sorted(found)]
    assert sorted(name for table in tables for name in table) == sorted(EVERY)


def test_what_is_reserved_is_listed_with_its_job(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--size", "1.775", "--id", "p1")
    bench.ok("shop", "stock", "shim", "--mark", "180", "--count", "3", "--id", "p2")
    bench.ok("shop", "reserve", "p1", "one", "--id", "r1")
    bench.ok("shop", "reserve", "p2", "two", "--count", "2", "--id", "r2")
    assert bench.ok("shop", "list").splitlines() == [
        "p2  1 free of shim marked 180",
        "r1  1 of shim marked 178 measured 1.775 mm, reserved for one, from p1",
        "r2  2 of shim marked 180, reserved for two, from p2",
    ]
    found = bench.json("shop", "list")["reserved"]
    keys = ("id", "job", "count", "stock", "group", "mark")
    assert [tuple(item[key] for key in keys) for item in found] == [
        ("r1", "one", 1, "p1", "shim", "178"),
        ("r2", "two", 2, "p2", "shim", "180"),
    ]
    bench.ok("shop", "strike", "r1")
    assert [item["id"] for item in bench.json("shop", "list")["reserved"]] == ["r2"]


def test_pieces_that_no_engine_of_the_shop_takes(bench: Bench) -> None:
    said = bench.refused("shop", "stock", "main-shel", "--mark", "A")
    assert said.startswith(
        "GROUP: no sheet pinned in this shop has a group 'main-shel', did you mean main-shell?"
    )
    assert "use shim or main-shell (open a job" in bench.refused(
        "shop", "stock", "bolts", "--mark", "A"
    )
    bench.ok("shop", "stock", "main-shell", "--mark", "A")
    bench.ok("shop", "stock", "anything", "--mark", "A", "--shop", "empty")


def test_an_instrument_to_check_that_the_shop_has_not_got(bench: Bench) -> None:
    said = bench.refused("shop", "check-instrument", "mik", "25", "25.002")
    assert said.startswith("INSTRUMENT: the shop has no instrument 'mik', add it with gudgeon shop")
    bench.ok("shop", "instrument", "mic-a", "micrometer-0.01")
    assert "it has mic-a; gudgeon" in bench.refused(
        "shop", "check-instrument", "mik", "25", "25.002"
    )
    for known in ("mic-a", "micrometer-0.01"):
        bench.ok("shop", "check-instrument", known, "25", "25.002")


def test_stock_measured_with_an_instrument_nobody_listed(bench: Bench) -> None:
    status, _, err = bench.run("shop", "stock", "shim", "--size", "1.775", "--instrument", "mik")
    assert status == 0
    assert err.startswith("note: instrument 'mik' is not in the shop's list: stored, and taken")


def test_what_is_struck_out_of_the_shop_already(bench: Bench) -> None:
    bench.ok("shop", "stock", "shim", "--mark", "178", "--id", "p1")
    bench.ok("shop", "strike", "p1", "--id", "s1")
    before = bench.ok("shop", "export")
    assert bench.ok("shop", "strike", "p1") == (
        "shop: p1 is struck out already; nothing was stored\n"
    )
    assert bench.ok("shop", "strike", "p1", "--id", "s1") == "shop: s1 is there already\n"
    assert bench.ok("shop", "export") == before


@pytest.mark.parametrize("value", ["nan", "inf", "1e308", "-1", "−2", "1e-400", "", "½"])
def test_no_setting_takes_what_is_no_sensible_number(bench: Bench, value: str) -> None:
    for name, known in EVERY.items():
        if value.startswith(("-", "−")) and known.least < 0:
            continue
        for where in (("shop",), ("job", "add", "one")):
            assert bench.refused(*where, "setting", name, value)
    assert bench.json("shop", "list")["settings"] == {}
