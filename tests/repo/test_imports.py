"""The road has one direction, and the core is pure."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "gudgeon"
CORE = (
    "faults", "numbers", "sheet", "log", "metrology", "formulas", "clamp", "timing", "fit", "order",
)  # fmt: skip
SETTINGS = ROOT / "pyproject.toml"


#: In a process of its own, so that the planted copy of the package is the one that is read.
LINT = """
import sys
from importlinter.cli import lint_imports
sys.exit(lint_imports(sys.argv[1], no_cache=True))
"""


def core_files(room: str) -> list[Path]:
    """The modules of a room, or none where it has not been built yet."""
    return sorted([*SOURCE.glob(f"{room}.py"), *(SOURCE / room).rglob("*.py")])


def test_imports_keep_the_contracts(capsys: pytest.CaptureFixture[str]) -> None:
    status = lint_imports(str(SETTINGS), no_cache=True, no_logo=True)
    assert status == 0, capsys.readouterr().out


def test_the_contract_of_purity_names_every_room_of_the_core() -> None:
    contracts = tomllib.loads(SETTINGS.read_text(encoding="utf-8"))["tool"]["importlinter"]
    (pure,) = (c for c in contracts["contracts"] if c["id"] == "pure")
    there = {f"gudgeon.{room}" for room in CORE if core_files(room)}
    assert set(pure["source_modules"]) == there


@pytest.mark.parametrize(
    ("module", "planted", "contract"),
    [
        ("faults.py", "from gudgeon import numbers", "rooms below"),
        ("sheet/planted.py", "from gudgeon.metrology import conformity", "rooms below"),
        ("fit/planted.py", "import sqlite3", "no file system"),
        ("metrology/planted.py", "def f():\n    from pathlib import Path", "no file system"),
        ("cli/planted.py", "import scipy.stats", "compare with"),
        ("planted/__init__.py", "", "rooms below"),
    ],
)
def test_a_planted_import_breaks_its_contract(
    tmp_path: Path, module: str, planted: str, contract: str
) -> None:
    copy = tmp_path / "gudgeon"
    shutil.copytree(SOURCE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    target = copy / module
    target.parent.mkdir(exist_ok=True)
    with target.open("a", encoding="utf-8") as file:
        file.write(f"\n{planted}\n")
    done = subprocess.run(
        [sys.executable, "-c", LINT, str(SETTINGS)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path), "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )
    broken = [line for line in done.stdout.splitlines() if line.endswith("BROKEN")]
    assert done.returncode == 1
    assert any(contract in line for line in broken), done.stdout + done.stderr


#: Builtins and methods that reach outside, or whose answer is another one tomorrow.
FUNCTIONS = {"open", "print", "input", "breakpoint", "exec", "eval", "uuid1", "uuid4"}
METHODS = {"now", "utcnow", "today", "open", "read_text", "read_bytes", "write_text"}
SEEDED = {"Random", "default_rng", "Generator", "PCG64"}


def impurities(text: str) -> Iterator[str]:
    """Calls in a module that read the clock, a file or chance, or that print."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom) and node.module in {"random", "numpy.random"}:
            names = {alias.name for alias in node.names} - SEEDED
            yield from (f"line {node.lineno}: {name} of {node.module}" for name in sorted(names))
        if isinstance(node, ast.Call) and _impure(node):
            yield f"line {node.lineno}: {ast.unparse(node)}"


def _impure(call: ast.Call) -> bool:
    *path, name = ast.unparse(call.func).split(".")
    if name in SEEDED:
        return not (call.args or call.keywords)
    if path and path[-1] in {"random", "secrets", "time", "uuid"}:
        return True
    return name in (METHODS if path else FUNCTIONS)


@pytest.mark.parametrize(
    "path",
    [path for room in CORE for path in core_files(room)],
    ids=lambda path: path.relative_to(SOURCE).as_posix(),
)
def test_the_core_reads_no_clock_file_or_chance(path: Path) -> None:
    assert list(impurities(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    "line",
    [
        "open('sheet.yaml')",
        "print(1)",
        "datetime.now()",
        "datetime.datetime.now(tz)",
        "date.today()",
        "time.time()",
        "random.random()",
        "random.Random()",
        "np.random.default_rng()",
        "np.random.normal(0, 1)",
        "from random import shuffle",
        "uuid.uuid4()",
        "path.read_text()",
    ],
)
def test_an_impure_line_is_seen(line: str) -> None:
    assert list(impurities(line))


@pytest.mark.parametrize(
    "line",
    ["random.Random(7).random()", "rng = np.random.default_rng(seed)", "datetime(2020, 1, 1)"],
)
def test_a_pure_line_is_let_through(line: str) -> None:
    assert not list(impurities(line))
