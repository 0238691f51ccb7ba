"""gudgeon sheet: exit status, words, JSON, files left alone, and speed of the whole process."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from gudgeon.cli import main
from gudgeon.sheet.load import load

ROOT = Path(__file__).parents[2]
GALLERY = ROOT / "tests" / "sheet" / "gallery"
Runner = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    """Run the command line in this process: exit status, standard output, standard error."""

    def go(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["gudgeon", "sheet", *arguments])
        with pytest.raises(SystemExit) as left:
            main()
        said = capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    return go


class TestCheck:
    """gudgeon sheet check."""

    def test_faults_in_json(self, run: Runner) -> None:
        status, out, _ = run("check", str(GALLERY / "grades.yaml"), "--json")
        told = json.loads(out)
        assert status == 1
        assert told["file"].endswith("grades.yaml")
        first = told["faults"][0]
        assert set(first) == {
            "where", "line", "column", "check", "severity", "wrong", "right", "sum"
        }  # fmt: skip
        assert first["where"] == f"{told['file']}:{first['line']}:{first['column']}"
        assert first["check"] == "grades"

    def test_only_looks_are_no_fault(self, run: Runner) -> None:
        status, out, _ = run("check", str(GALLERY / "sources.yaml"), "--json")
        assert status == 0
        assert [item["severity"] for item in json.loads(out)["faults"]] == ["look"]

    @pytest.mark.parametrize("name", ["triple.yaml", "twin.yaml"])
    def test_the_demo_sheets_are_clean(self, run: Runner, name: str) -> None:
        path = ROOT / "src" / "gudgeon" / "demo" / "sheets" / name
        status, out, _ = run("check", str(path))
        assert (status, out.count("\n")) == (0, 1)

    @pytest.mark.parametrize(
        ("content", "told"),
        [
            (None, "there is no such file"),
            (b"sheet: 1\nengine: {name: \xff\xfe}\n", "is not text in UTF-8"),
            (b"", "the sheet is empty"),
            (b"#" * (1024 * 1024 + 1), "larger than 1024 kB"),
            (b"%PDF-1.7\n%\xe2\xe3", "is not text in UTF-8"),
            (b"PK\x03\x04", "a character that no text holds"),
        ],
    )
    def test_unusable_files(
        self, run: Runner, tmp_path: Path, content: bytes | None, told: str
    ) -> None:
        path = tmp_path / "s.yaml"
        if content is not None:
            path.write_bytes(content)
        status, out, err = run("check", str(path))
        assert status == 2
        assert out == ""
        assert told in err
        assert err.startswith(str(path))

    def test_a_folder(self, run: Runner, tmp_path: Path) -> None:
        assert run("check", str(tmp_path))[0] == 2

    def test_50_mb_are_refused_unread(self, run: Runner, tmp_path: Path) -> None:
        path = tmp_path / "s.yaml"
        with path.open("wb") as stream:
            stream.truncate(50_000_000)
        started = time.process_time()
        status, _, err = run("check", str(path))
        assert status == 2
        assert "larger than 1024 kB" in err
        assert time.process_time() - started < 0.5

    def test_nothing_heavy_is_imported(self) -> None:
        path = ROOT / "src" / "gudgeon" / "demo" / "sheets" / "triple.yaml"
        code = (
            "import sys\nfrom gudgeon.cli import main\n"
            f"sys.argv = ['gudgeon', 'sheet', 'check', {str(path)!r}]\n"
            "try:\n    main()\nexcept SystemExit:\n    pass\n"
            "print(sorted({'numpy', 'scipy', 'pint', 'typst', 'sqlite3'} & set(sys.modules)))\n"
        )
        said = subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True
        )
        assert said.stdout.splitlines()[-1] == "[]"


class TestNew:
    """gudgeon sheet new."""

    def test_a_sheet_is_written_once(self, run: Runner, tmp_path: Path) -> None:
        path = tmp_path / "my.yaml"
        assert run("new", "--layout", "v2", "-o", str(path))[0] == 0
        written = path.read_text(encoding="utf-8")
        path.write_text("mine", encoding="utf-8")
        status, _, err = run("new", "--layout", "v2", "-o", str(path))
        assert status == 2
        assert "the file is there already, choose another name, or add --force" in err
        assert path.read_text(encoding="utf-8") == "mine"
        assert run("new", "--layout", "v2", "-o", str(path), "--force")[0] == 0
        assert path.read_text(encoding="utf-8") == written
        assert run("check", str(path))[0] == 0

    def test_figures_are_filled_in(self, run: Runner) -> None:
        _, out, _ = run(
            "new", "--shims-only", "--in", "0,10", "0.16", "--series", "1.2", "3.5", "0.05"
        )
        assert 'in: {min: "0,10", max: 0.16}' in out
        assert "- {from: 1.2, to: 3.5, step: 0.05," in out

    def test_decimal_commas_keep_their_value(self, run: Runner) -> None:
        """A comma ends an item between braces: unquoted, 1,2 would be read as 1."""
        for part in ((), ("--shims-only",)):
            _, out, _ = run(
                "new", *part, "--in", "0,10", "0,16", "--ex", "0,20", "0,26",
                "--series", "1,2", "3,5", "0,05",
            )  # fmt: skip
            shims = load(out, "x.yaml").sheet.select.shims
            assert shims is not None
            assert shims.window is not None
            assert shims.window.in_ is not None
            assert shims.window.ex is not None
            assert (shims.window.in_.min, shims.window.in_.max) == (0.10, 0.16)
            assert (shims.window.ex.min, shims.window.ex.max) == (0.20, 0.26)
            one = shims.series[0]
            assert (one.from_, one.to, one.step) == (1.2, 3.5, 0.05)
            assert one.from_.typed == "1,2"

    @pytest.mark.parametrize(
        ("arguments", "told"),
        [
            (("--layout", "inline9"), "there is no layout 'inline9'"),
            (("--valves", "6"), "6"),
            (("--gear", "hydraulic"), "hydraulic"),
            (("--in", "0.16", "0.10"), "the lower limit 0.16 is above the upper limit 0.10"),
            (("--in", "x", "0.10"), "--in: 'x' is not a number"),
            (("--ex", "0.1", "0.2}, a: {"), "--ex: '}, a: {' is not a unit of length"),
            (("--series", "1", "2", "-0.05"), "a series from 1 to 2 in steps of -0.05"),
            (("-o", "/no/such/folder/x.yaml"), "make it first"),
        ],
    )
    def test_what_can_t_be(self, run: Runner, arguments: tuple[str, ...], told: str) -> None:
        status, out, err = run("new", *arguments)
        assert status == 2
        assert told in err
        assert out == ""


class TestShow:
    """gudgeon sheet show and schema."""

    def test_in_words_and_in_json(self, run: Runner) -> None:
        path = str(ROOT / "src" / "gudgeon" / "demo" / "sheets" / "triple.yaml")
        status, out, _ = run("show", path)
        assert status == 0
        assert "(invented)" in out
        assert "12 valve: valve/1/in/L … valve/3/ex/R" in out
        told = json.loads(run("show", path, "--json")[1])
        assert told["invented"] is True
        assert len(told["places"]["valve"]) == 12
        bore = next(item for item in told["features"] if item["feature"] == "bore")
        assert (bore["readings"], bore["places"]) == (6, 3)

    def test_figures_are_shown_as_typed(self, run: Runner) -> None:
        _, out, _ = run("show", str(GALLERY / "shim-spread.yaml"))
        assert "in from 0.10 to 0.16" in out
        assert "1.20 to 2.20 by 0.05" in out

    def test_schema(self, run: Runner) -> None:
        told = json.loads(run("schema")[1])
        assert told["title"] == "gudgeon engine sheet"
        assert run("schema", "--page")[1].startswith("# The sheet, key by key")
