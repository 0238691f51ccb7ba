"""The set-up scripts: which Python they take, and what they refuse, without installing anything."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCRIPTS = ("bin/setup", "bin/demo", "bin/test", "bin/lock", ".ci/run")
TOOLS = ("bash", "basename", "cat", "cmp", "dirname", "env", "grep", "ls")


def interpreter(path: Path, version: str) -> Path:
    """A stand-in that answers as a Python of that version would, whatever it is asked."""
    too_old = int(tuple(int(part) for part in version.split(".")) < (3, 11))
    path.write_text(
        f'#!/bin/sh\ncase "$2" in *sys.exit*) exit {too_old} ;; *) echo {version} ;; esac\n'
    )
    path.chmod(0o755)
    return path


@pytest.fixture
def tools(tmp_path: Path) -> Path:
    """A folder to stand for PATH: the few tools that the script uses, and no Python."""
    folder = tmp_path / "tools"
    folder.mkdir()
    for tool in TOOLS:
        found = shutil.which(tool)
        assert found is not None
        (folder / tool).symlink_to(found)
    return folder


def setup(kind: str, path: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """Run bin/setup with a PATH and variables of its own, from another folder."""
    kept = {k: v for k, v in os.environ.items() if k not in {"PYTHON", "GUDGEON_VENV"}}
    return subprocess.run(
        [str(ROOT / "bin" / "setup"), kind],
        cwd="/",
        env={**kept, "PATH": path, **variables},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("script", SCRIPTS)
def test_scripts_are_executable_and_parse(script: str) -> None:
    assert os.access(ROOT / script, os.X_OK)
    subprocess.run(["bash", "-n", str(ROOT / script)], check=True)


def test_an_older_python_is_refused_by_version(tools: Path, tmp_path: Path) -> None:
    interpreter(tools / "python3", "3.9")
    done = setup("run", str(tools), GUDGEON_VENV=str(tmp_path / "venv"))
    assert done.returncode == 2
    assert done.stderr == (
        "setup: no Python 3.11, 3.12 or 3.13 on PATH (python3 is 3.9); "
        "install one, or name it: PYTHON=/path/to/python3.12\n"
    )


def test_no_python_at_all_is_said(tools: Path, tmp_path: Path) -> None:
    done = setup("run", str(tools), GUDGEON_VENV=str(tmp_path / "venv"))
    assert done.returncode == 2
    assert "(python3 is missing)" in done.stderr


def test_an_older_python_by_name_is_refused(tools: Path, tmp_path: Path) -> None:
    old = interpreter(tmp_path / "my python", "3.10")
    done = setup("run", str(tools), PYTHON=str(old), GUDGEON_VENV=str(tmp_path / "venv"))
    assert done.returncode == 2
    assert done.stderr == (
        f"setup: PYTHON={old} is Python 3.10, gudgeon needs 3.11, 3.12 or 3.13\n"
    )


def test_the_newest_supported_python_is_taken(tools: Path, tmp_path: Path) -> None:
    for version in ("3.11", "3.12"):
        interpreter(tools / f"python{version}", version)
    interpreter(tools / "python3", "3.10")
    interpreter(tools / "python3.13", "3.13").write_text("#!/bin/sh\nexit 127\n")
    venv = tmp_path / "a venv"
    done = setup("run", str(tools), GUDGEON_VENV=str(venv))
    assert done.stderr.splitlines()[0] == f"Making {venv} with Python 3.12 ..."


def test_a_folder_that_is_no_environment_is_left_alone(tmp_path: Path) -> None:
    precious = tmp_path / "notes.txt"
    precious.write_text("kept")
    path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    done = setup("run", path, GUDGEON_VENV=str(tmp_path))
    assert done.returncode == 2
    assert "holds something else than a virtual environment" in done.stderr
    assert precious.read_text() == "kept"


def test_an_unknown_set_is_refused(tmp_path: Path) -> None:
    done = setup("everything", os.environ["PATH"], GUDGEON_VENV=str(tmp_path / "venv"))
    assert done.returncode == 2
    assert done.stderr == "setup: 'everything' is not a set of packages, write run or dev\n"
