"""gudgeon job: opened, filled, read, taken out and in, on a shop in a folder."""

from __future__ import annotations

import csv
import io
import json
import os
import statistics
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.log.helpers import SHEET

from gudgeon.cli import main
from gudgeon.store.sqlite import SqliteStore

#: The command in a process of its own.
GUDGEON = [sys.executable, "-c", "from gudgeon.cli import main; main()"]


def processor_time() -> float:
    """Processor time of the processes that have ended [s]; a busy machine hardly stretches it."""
    used = os.times()
    return used.children_user + used.children_system


class Bench:
    """Somebody at the command line, in a folder of their own with a shop in it."""

    def __init__(
        self,
        folder: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        self.folder = folder
        self.monkeypatch = monkeypatch
        self.capsys = capsys
        monkeypatch.chdir(folder)
        monkeypatch.setenv("GUDGEON_SHOP", str(folder / "shop"))
        (folder / "triple.yaml").write_text(SHEET, encoding="utf-8")

    def run(self, *arguments: str) -> tuple[int, str, str]:
        """Exit status, standard output, standard error."""
        self.monkeypatch.setattr(sys, "argv", ["gudgeon", *arguments])
        with pytest.raises(SystemExit) as left:
            main()
        said = self.capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    def ok(self, *arguments: str) -> str:
        """What a command says that must go well."""
        status, out, err = self.run(*arguments)
        assert (status, err) == (0, "")
        return out

    def json(self, *arguments: str) -> Any:
        """The JSON answer of a command."""
        return json.loads(self.ok(*arguments, "--json"))

    def refused(self, *arguments: str) -> str:
        """What a command says that must be refused."""
        status, out, err = self.run(*arguments)
        assert (status, out) == (2, "")
        return err

    def entries(self, name: str = "triple") -> dict[str, Any]:
        """The entries of a job by id."""
        return {entry["id"]: entry for entry in self.json("job", "log", name)["entries"]}


@pytest.fixture
def bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Bench:
    return Bench(tmp_path, monkeypatch, capsys)


@pytest.fixture
def triple(bench: Bench) -> Bench:
    bench.ok("job", "new", "triple", "--sheet", "triple.yaml", "--title", "Worn")
    return bench


def test_opened_and_listed(bench: Bench) -> None:
    assert bench.json("job", "list") == {"jobs": []}
    assert "no jobs yet" in bench.ok("job", "list")
    assert bench.ok("job", "new", "triple", "--sheet", "triple.yaml") == (
        "opened triple: Invented triple\n"
    )
    made = bench.json("job", "new", "a.2", "--sheet", "triple.yaml")
    assert made == {"job": "a.2", "engine": "Invented triple"}
    assert bench.json("job", "list") == {
        "jobs": [
            {"job": "a.2", "engine": "Invented triple"},
            {"job": "triple", "engine": "Invented triple"},
        ]
    }
    assert bench.ok("job", "list") == "a.2     Invented triple\ntriple  Invented triple\n"


SINGLE: dict[str, tuple[list[str], dict[str, Any]]] = {
    "reading": (
        ["cylinder/1", "bore", "58,013", "--spot", "top pin", "--instrument", "mic-a",
         "--part-temp", "21", "--gauge-temp", "20", "--attempt", "2"],
        {"typed": "58,013", "spot": {"height": "top", "axis": "pin"}, "instrument": "mic-a",
         "part_temp": "21", "gauge_temp": "20", "attempt": 2},
    ),
    "feeler": (
        ["valve/1/in/L", "gap", "--goes", "0.10", "--wont", "0.13", "--epoch", "built"],
        {"goes": "0.10", "wont": "0.13", "epoch": "built"},
    ),
    "shim": (
        ["valve/1/in/L", "--mark", "178", "--thickness", "0.070 in", "--condition", "dished"],
        {"mark": "178", "typed": "0.070", "unit": "in", "condition": "dished"},
    ),
    "code": (["main-shell", "case", "ABBA"], {"group": "main-shell", "on": "case"}),
    "rise": (
        ["valve/1/in/L", "-0.05", "0.02", "--basis", "guess"],
        {"typed": "-0.05", "spread": "0.02", "basis": "guess"},
    ),
    "note": (["blue", "--place", "main/2"], {"text": "blue", "place": "main/2"}),
    "depart": (
        ["derive.size.service.max", "58.15", "--reason", "bored"],
        {"path": "derive.size.service.max", "value": "58.15", "reason": "bored"},
    ),
    "event": (
        ["seat-recut", "valve/1/in/L", "valve/1/in/R", "--size", "0.05"],
        {"what": "seat-recut", "places": ["valve/1/in/L", "valve/1/in/R"], "typed": "0.05"},
    ),
    "setting": (["hour-rate", "60"], {"name": "hour-rate", "value": "60"}),
}  # fmt: skip


@pytest.mark.parametrize("kind", SINGLE)
def test_a_single_entry_of_each_kind(triple: Bench, kind: str) -> None:
    arguments, expected = SINGLE[kind]
    triple.ok("shop", "instrument", "mic-a", "micrometer-0.01")
    assert triple.ok("job", "add", "triple", kind, *arguments, "--id", "e1") == (
        "triple: e1 added\n"
    )
    again = triple.json("job", "add", "triple", kind, *arguments, "--id", "e1")
    assert again == {"job": "triple", "id": "e1", "added": 0, "already": 1}
    found = triple.entries()["e1"]
    assert found["kind"] == kind
    assert {key: found[key] for key in expected} == expected
    line = next(x for x in triple.ok("job", "log", "triple").splitlines() if " e1 " in x)
    assert kind in line
    assert triple.json("job", "log", "triple")["faults"] == []


def test_an_oversize_that_is_fitted_already(triple: Bench) -> None:
    triple.ok("job", "add", "triple", "depart", "--oversize", "first", "--step", "0.50")
    assert "oversize first, step 0.50, is fitted" in triple.ok("job", "log", "triple")


def test_struck_out_by_the_beginning_of_its_id_and_back(triple: Bench) -> None:
    made = triple.json("job", "add", "triple", "note", "blue")["id"]
    strike = ["job", "add", "triple", "strike"]
    undo = triple.json(*strike, made[:6], "--reason", "was not blue")["id"]
    assert triple.entries()[made]["struck"] == "was not blue"
    assert "struck out: was not blue" in triple.ok("job", "log", "triple")
    triple.ok(*strike, undo)
    assert triple.entries()[made]["struck"] is None


def test_a_new_version_of_the_sheet(triple: Bench) -> None:
    (triple.folder / "second.yaml").write_text(
        SHEET.replace("Invented triple", "Invented triple mark 2"), encoding="utf-8"
    )
    again = triple.ok("job", "add", "triple", "sheet", "second.yaml", "--anyway")
    assert again == "triple: 1 added\n"
    assert triple.json("job", "list")["jobs"][0]["engine"] == "Invented triple mark 2"


def test_a_sheet_by_which_readings_make_no_sense_is_pinned_only_anyway(triple: Bench) -> None:
    reading = ("reading", "cylinder/1", "piston-mass", "180")
    triple.ok("job", "add", "triple", *reading, "--id", "m1")
    (triple.folder / "less.yaml").write_text(
        SHEET.replace("piston-mass:", "piston-weight:"), encoding="utf-8"
    )
    said = triple.refused("job", "add", "triple", "sheet", "less.yaml")
    assert said.startswith("m1: the sheet has no feature 'piston-mass'")
    triple.ok("job", "add", "triple", "sheet", "less.yaml", "--anyway")
    assert [f["where"] for f in triple.json("job", "log", "triple")["faults"]] == ["m1"]


def filled(form: str) -> str:
    """A form, filled in."""
    rows = list(csv.DictReader(io.StringIO(form)))
    for row in rows:
        if row["entry"] == "feeler":
            row |= {"goes": "0.10", "wont": "0.13"}
        elif row["entry"] in ("shim", "code"):
            row["mark"] = {"main-shell/case": "ABBA", "main-shell/crank": "1221"}.get(
                row["place"], "178"
            )
        else:
            row["value"] = "58.01"
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


class TestFiles:
    def test_a_form_is_printed_filled_in_and_added_once(self, triple: Bench) -> None:
        assert triple.ok("job", "form", "triple") == triple.ok(
            "job", "form", "--sheet", "triple.yaml"
        )
        assert triple.ok("job", "form", "triple", "-o", "form.csv") == "wrote form.csv\n"
        form = (triple.folder / "form.csv").read_text(encoding="utf-8")
        assert triple.ok("job", "add", "triple", "form.csv") == "triple: 0 added\n"
        (triple.folder / "full.csv").write_text(filled(form), encoding="utf-8")
        count = len(form.splitlines()) - 1
        status, out, err = triple.run("job", "add", "triple", "full.csv")
        assert (status, out) == (0, f"triple: {count} added\n")
        assert "and 8 more: the mark is stored, but the sheet doesn't say what marks mean" in err
        before = triple.ok("job", "export", "triple")
        assert triple.json("job", "add", "triple", "full.csv") == {
            "job": "triple", "added": 0, "already": count, "repeated": 0,
        }  # fmt: skip
        assert triple.ok("job", "export", "triple") == before

    def test_a_row_put_right_and_the_file_added_again_adds_that_row(self, triple: Bench) -> None:
        table = "place,feature,value\n" + "".join(
            f"cylinder/{n},piston,57.9{n}\n" for n in (1, 2, 3)
        )
        (triple.folder / "a.csv").write_text(table, encoding="utf-8")
        triple.ok("job", "add", "triple", "a.csv")
        (triple.folder / "b.csv").write_text(table.replace("57.92", "57.96"), encoding="utf-8")
        assert triple.ok("job", "add", "triple", "b.csv") == (
            "triple: 1 added, 2 left out that say what another entry says\n"
        )

    def test_what_was_struck_out_may_be_said_again(self, triple: Bench) -> None:
        for name, ending in (("a", "\n"), ("b", "\n\n")):
            table = f"place,feature,value\ncylinder/1,piston,57.97{ending}"
            (triple.folder / f"{name}.csv").write_text(table, encoding="utf-8")
        triple.ok("job", "add", "triple", "a.csv")
        (first,) = (key for key in triple.entries() if key.endswith("-2"))
        triple.ok("job", "add", "triple", "strike", first)
        assert triple.ok("job", "add", "triple", "b.csv") == "triple: 1 added\n"

    def test_several_files_all_or_none(self, triple: Bench) -> None:
        (triple.folder / "a.csv").write_text("place,feature,value\ncylinder/1,piston,57.97\n")
        (triple.folder / "b.csv").write_text("place,feature,value\ncylinder/9,piston,57.97\n")
        assert "b.csv:2:1: place" in triple.refused("job", "add", "triple", "a.csv", "b.csv")
        assert len(triple.entries()) == 2
        hand = (
            '{"gudgeon":"log","version":1}\n'
            '{"kind":"note","id":"h1","at":"2026-03-01T14:05:00Z","text":"by hand"}\n'
        )
        (triple.folder / "h.jsonl").write_text(hand)
        assert triple.ok("job", "add", "triple", "a.csv", "h.jsonl") == "triple: 2 added\n"

    @pytest.mark.parametrize(
        ("content", "said"),
        [
            (b"\xff\xfe\x00p", "x.csv:1: the file is not text in UTF-8"),
            (b"place,note\nmain/1,\xb5m\n", "x.csv:2: the file is not text in UTF-8"),
            (b" " * (17 * 1024 * 1024), "x.csv: the file is larger than 16384 kB"),
            (b"\x00" * 100, "x.csv:1: the first row does not name the columns"),
        ],
    )
    def test_files_that_are_no_tables(self, triple: Bench, content: bytes, said: str) -> None:
        (triple.folder / "x.csv").write_bytes(content)
        assert triple.refused("job", "add", "triple", "x.csv").startswith(said)

    def test_a_form_needs_a_job_or_a_sheet(self, triple: Bench) -> None:
        assert "name one of them" in triple.refused("job", "form")
        assert "name one of them" in triple.refused(
            "job", "form", "triple", "--sheet", "triple.yaml"
        )

    def test_a_form_never_replaces_a_file(self, triple: Bench) -> None:
        (triple.folder / "form.csv").write_text("filled in")
        assert "there already" in triple.refused("job", "form", "triple", "-o", "form.csv")
        assert (triple.folder / "form.csv").read_text() == "filled in"


class TestOutAndIn:
    def test_to_another_shop_byte_for_byte(self, triple: Bench) -> None:
        triple.ok("job", "add", "triple", "note", "größer \u2028 \N{WRENCH}")
        triple.ok("job", "export", "triple", "-o", "log.jsonl")
        text = (triple.folder / "log.jsonl").read_bytes().decode()
        there = ["--shop", "other"]
        assert triple.ok("job", "import", "log.jsonl", *there) == "triple: 3 added\n"
        assert triple.ok("job", "export", "triple", *there) == text
        assert triple.ok("job", "import", "log.jsonl", *there) == (
            "triple: 0 added, 3 there already\n"
        )
        assert triple.ok("job", "export", "triple", *there) == text
        here, other = SqliteStore(triple.folder / "shop"), SqliteStore(triple.folder / "other")
        assert sorted(here.read("triple")) == sorted(other.read("triple"))

    def test_two_copies_merge_either_way(
        self, triple: Bench, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        triple.ok("job", "export", "triple", "-o", "start.jsonl")
        triple.ok("job", "import", "start.jsonl", "--shop", "other")
        triple.ok("job", "add", "triple", "note", "here")
        monkeypatch.setenv("GUDGEON_DEVICE", "tablet")
        triple.ok("job", "add", "triple", "note", "there", "--shop", "other")
        triple.ok("job", "export", "triple", "-o", "here.jsonl")
        triple.ok("job", "export", "triple", "-o", "there.jsonl", "--shop", "other")
        triple.ok("job", "import", "there.jsonl")
        triple.ok("job", "import", "here.jsonl", "--shop", "other")
        merged = triple.ok("job", "export", "triple")
        assert merged == triple.ok("job", "export", "triple", "--shop", "other")
        assert merged.count("\n") == 5
        assert triple.run("shop", "check")[0] == 0

    def test_under_another_name(self, triple: Bench) -> None:
        triple.ok("job", "export", "triple", "-o", "log.jsonl")
        triple.ok("job", "import", "log.jsonl", "--as", "copy")
        assert [job["job"] for job in triple.json("job", "list")["jobs"]] == ["copy", "triple"]

    def test_the_log_of_the_shop_is_no_job(self, triple: Bench) -> None:
        triple.ok("shop", "setting", "hour-rate", "60")
        triple.ok("shop", "export", "-o", "shop.jsonl")
        assert "pins no sheet" in triple.refused("job", "import", "shop.jsonl", "--as", "x")
        assert "can't be the name of a job" in triple.refused("job", "import", "shop.jsonl")
        assert "there is no job" in triple.refused("job", "log", "@shop")

    def test_an_export_with_what_its_job_could_not_use_is_taken_as_it_was(
        self, triple: Bench
    ) -> None:
        triple.ok("job", "add", "triple", "reading", "cylinder/3", "piston", "57.97", "--id", "r3")
        (triple.folder / "twin.yaml").write_text(
            SHEET.replace("cylinder: 3", "cylinder: 2"), encoding="utf-8"
        )
        triple.ok("job", "add", "triple", "sheet", "twin.yaml", "--anyway")
        triple.ok("job", "export", "triple", "-o", "log.jsonl")
        triple.ok("job", "import", "log.jsonl", "--shop", "other")
        assert triple.ok("job", "export", "triple", "--shop", "other") == (
            (triple.folder / "log.jsonl").read_text(encoding="utf-8")
        )


def test_entries_are_chained_by_device(triple: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    first = triple.json("job", "add", "triple", "note", "one")["id"]
    monkeypatch.setenv("GUDGEON_DEVICE", "tablet")
    other = triple.json("job", "add", "triple", "note", "two")["id"]
    entries = triple.entries()
    assert entries[first]["device"] == "bench"
    assert len(entries[first]["prev"]) == 64
    assert entries[other]["device"] == "tablet"
    assert "prev" not in entries[other]


def test_two_at_once_add_to_one_job(triple: Bench) -> None:
    def start(text: str) -> subprocess.Popen[bytes]:
        command = [*GUDGEON, "job", "add", "triple", "note", text]
        return subprocess.Popen(command, stdout=subprocess.DEVNULL)

    running = [start(f"note {number}") for number in range(4)]
    assert [process.wait() for process in running] == [0] * 4
    assert len(triple.entries()) == 6
    assert triple.run("shop", "check")[0] == 0


def test_nothing_that_an_entry_says_moves_the_cursor(triple: Bench) -> None:
    triple.ok("job", "add", "triple", "note", "a\x1b[2Jb\nc")
    said = triple.ok("job", "log", "triple")
    assert "\x1b" not in said
    assert "a?[2Jb c" in said


def test_listing_is_quick_and_imports_little(triple: Bench) -> None:
    command = [GUDGEON[0], "-X", "importtime", *GUDGEON[1:], "job", "list"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "Invented triple" in done.stdout
    for heavy in ("pydantic", "numpy", "scipy", "typst"):
        assert f" {heavy}\n" not in done.stderr
    taken = []
    for _ in range(5):
        start = processor_time()
        subprocess.run([*GUDGEON, "job", "list"], check=True)
        taken.append(processor_time() - start)
    assert statistics.median(taken) < 0.75  # 0.1 s when nothing else runs; the demand is 0.25 s


class TestWhatIsNotKnown:
    """Names that nothing stands behind: refused where nothing would use them, else noted."""

    def test_an_event_that_is_none(self, triple: Bench) -> None:
        said = triple.refused("job", "add", "triple", "event", "seat-cutting", "valve/1/in/L")
        assert said.startswith("WHAT: there is no event 'seat-cutting', use seat-recut, valve-rep")

    def test_an_instrument_that_is_not_in_the_list(self, triple: Bench) -> None:
        triple.ok("shop", "instrument", "mic-a", "micrometer-0.01")
        reading = ["job", "add", "triple", "reading", "cylinder/1", "piston", "57.97"]
        for known in ("mic-a", "micrometer-0.01", "mic"):
            triple.ok(*reading, "--instrument", known)
        status, out, err = triple.run(*reading, "--instrument", "mic-aa", "--id", "r1")
        assert (status, out) == (0, "triple: r1 added\n")
        assert err.startswith("note: instrument 'mic-aa' is not in the shop's list (did you mean")
        assert triple.run(*reading, "--instrument", "mic-aa", "--id", "r1")[2] == ""
        (triple.folder / "a.csv").write_text(
            "place,feature,value,instrument\ncylinder/2,piston,57.97,micro\n", encoding="utf-8"
        )
        assert "instrument 'micro' is not in" in triple.run("job", "add", "triple", "a.csv")[2]

    def test_a_mark_that_the_sheet_gives_no_meaning(self, triple: Bench) -> None:
        shim = ["job", "add", "triple", "shim", "valve/1/in/L", "--mark", "178"]
        status, out, err = triple.run(*shim)
        assert (status, out.endswith("added\n")) == (0, True)
        assert err == (
            "note: valve/1/in/L: the mark is stored, but the sheet doesn't say what marks mean:"
            " fill in select: shims: marking and pin the sheet again (gudgeon job add triple sheet"
            " FILE), or enter the thickness\n"
        )
        triple.ok(*shim, "--thickness", "1.775")
        told = SHEET.replace("  shims:\n    {", "  shims:\n    {marking: quarters, ")
        (triple.folder / "told.yaml").write_text(told, encoding="utf-8")
        triple.ok("job", "add", "triple", "sheet", "told.yaml")
        triple.ok(*shim)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Invented triple", "Invented twin", "the engine's name 'Invented twin' against 'Inv"),
        ("cylinder: 3", "cylinder: 4", "its cylinders '4' against '3', its valves '16' against"),
        ("ex: [L, R]", "ex: [M]", "its valves '9' against '12'"),
        ("capacity: 599 cc", "layout: {kind: v}", "its layout 'v' against 'inline'"),
    ],
)
def test_the_sheet_of_another_engine(triple: Bench, old: str, new: str, said: str) -> None:
    (triple.folder / "other.yaml").write_text(SHEET.replace(old, new), encoding="utf-8")
    refused = triple.refused("job", "add", "triple", "sheet", "other.yaml")
    assert "other.yaml: this is the sheet of another engine than the job's: " in refused
    assert said in refused
    assert "add --anyway if it is the same engine after all" in refused
    triple.ok("job", "add", "triple", "sheet", "other.yaml", "--anyway")


def test_what_is_struck_out_already(triple: Bench) -> None:
    triple.ok("job", "add", "triple", "note", "blue", "--id", "note-1")
    strike = ["job", "add", "triple", "strike", "note-1"]
    triple.ok(*strike, "--id", "s1")
    assert triple.ok(*strike, "--id", "s1") == "triple: s1 is there already\n"
    before = triple.ok("job", "export", "triple")
    assert triple.ok(*strike) == "triple: note-1 is struck out already; nothing was stored\n"
    assert triple.ok("job", "export", "triple") == before
    triple.ok("job", "add", "triple", "strike", "s1")
    assert "added" in triple.ok(*strike)


def test_rows_of_one_table_are_listed_by_their_number(triple: Bench) -> None:
    table = "place,entry,note\n" + "".join(f"main/1,note,row {n}\n" for n in range(2, 14))
    (triple.folder / "notes.csv").write_text(table, encoding="utf-8")
    triple.ok("job", "add", "triple", "notes.csv")
    told = [line.split()[-1] for line in triple.ok("job", "log", "triple").splitlines()[2:]]
    assert told == [str(n) for n in range(2, 14)]
    entries = triple.json("job", "log", "triple")["entries"]
    assert [entry["text"] for entry in entries[2:]] == [f"row {n}" for n in range(2, 14)]


def test_an_engine_without_a_name_leaves_no_loose_end(bench: Bench) -> None:
    (bench.folder / "blank.yaml").write_text(bench.ok("sheet", "new", "--shims-only"))
    assert bench.ok("job", "new", "tues", "--sheet", "blank.yaml") == "opened tues\n"
    assert bench.ok("job", "list") == "tues\n"


@pytest.mark.parametrize(
    "command",
    [
        ("findings", "triple"),
        ("picks", "triple"),
        ("order", "triple"),
        ("record", "triple", "-o", "x.pdf"),
        ("job", "log", "triple"),
        ("job", "export", "triple"),
        ("job", "form", "triple"),
        ("shop", "export"),
        ("shop", "check"),
        ("shop", "backup", "copy"),
    ],
    ids=" ".join,
)
def test_a_shop_that_is_read_must_be_there(triple: Bench, command: tuple[str, ...]) -> None:
    said = triple.refused(*command, "--shop", "nosuch/dir")
    assert said == "nosuch/dir: there is no such shop folder, check --shop or GUDGEON_SHOP\n"
    assert not (triple.folder / "nosuch").exists()
