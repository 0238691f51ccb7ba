"""What must stand in no tracked file: paths and hosts of some machine, and unfinished work."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ANY = ""
PYTHON = ".py"

#: What it is, in which files (by the end of their name), and the pattern. Written so that no
#: pattern matches its own text.
FORBIDDEN = {
    "a path in somebody's home or work folder": (
        ANY,
        r"(?<![\w.~})\]*-])/(?:home|root|Users|work)/",
    ),
    "the host of a package index": (
        ANY,
        r"\b(?:pypi|pythonhosted|npmjs|conda|deb\.debian|security\.debian)\.(?:org|com|io)\b",
    ),
    "a mark of unfinished work": (ANY, r"\b(?:TO[D]O|FIX[M]E|X[X]X|HAC[K])\b"),
    "a silenced check": (PYTHON, r"#\s*(?:type:\s*ignor[e]|noq[a]|mypy:|ruff:|pragm[a]:)"),
    "a test that does not run": (
        PYTHON,
        r"\bmark\.(?:skip|skipif|xfail)\b|\bpytest\.(?:skip|xfail|importorskip)\(",
    ),
}

#: Places where one of these can't be avoided, with the reason.
ALLOWED: dict[tuple[str, str], str] = {
    ("tests/outside/test_assignment.py", "a test that does not run"): (
        "needs a published problem file that is not ours to hand on"
    ),
}


def offences(name: str, text: str) -> list[str]:
    """What is forbidden in a file's text, with line numbers."""
    return [
        f"{name}:{number}: {what}: {line.strip()[:80]}"
        for what, (ending, pattern) in FORBIDDEN.items()
        if name.endswith(ending) and (name, what) not in ALLOWED
        for number, line in enumerate(text.splitlines(), 1)
        if re.search(pattern, line)
    ]


def tracked() -> list[str]:
    """Names of the files under version control that are there, by path from the root."""
    command = ["git", "-c", f"safe.directory={ROOT}", "-C", str(ROOT), "ls-files", "-z"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    names = [name for name in done.stdout.split("\0") if name]
    return [name for name in names if (ROOT / name).is_file()]


def test_no_tracked_file_holds_what_is_forbidden() -> None:
    names = tracked()
    found = []
    for name in names:
        content = (ROOT / name).read_bytes()
        if b"\0" not in content:
            found += offences(name, content.decode("utf-8"))
    assert "pyproject.toml" in names
    assert found == []


def test_nothing_made_by_running_is_tracked() -> None:
    made = re.compile(
        r"(^|/)(__pycache__|\.venv[^/]*|demo-shop|\.\w+_cache)/|\.(pyc|db|db-wal|db-shm)$"
    )
    assert [name for name in tracked() if made.search(name)] == []


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("docs/a.md", "see /" + "work/main"),
        ("a.txt", "file:///" + "home/someone/x"),
        ("requirements/run.txt", "--index-url https://pypi" + ".org/simple"),
        ("a.md", "TO" + "DO later"),
        ("a.py", "x = 1  # type" + ": ignore[misc]"),
        ("a.py", "import x  # no" + "qa"),
        ("a.py", "@pytest.mark" + ".skip"),
    ],
)
def test_an_offence_is_seen(name: str, line: str) -> None:
    assert len(offences(name, line)) == 1


@pytest.mark.parametrize(
    "line", ["bench/wo" + "rk/order", "at the root/crest of a thread", "homework/"]
)
def test_an_innocent_line_is_let_through(line: str) -> None:
    assert offences("docs/a.md", line) == []
