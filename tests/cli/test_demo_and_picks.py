"""`gudgeon demo` and `gudgeon picks`, as a person types them."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    here = tmp_path_factory.mktemp("here")

    def call(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "gudgeon", *words],
            cwd=here,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )

    return call


@pytest.fixture(scope="module")
def demo(run: Run) -> subprocess.CompletedProcess[str]:
    return run("demo", "a shop", "--no-serve")


def where(demo: subprocess.CompletedProcess[str]) -> Path:
    line = next(line for line in demo.stdout.splitlines() if line.startswith("The record"))
    return Path(line.partition(": ")[2])


def test_the_demo_prints_findings_and_picks_and_says_where_the_record_is(
    demo: subprocess.CompletedProcess[str],
) -> None:
    assert demo.returncode == 0, demo.stderr
    for words in ("not decided", "Shims to fit", "Shells: main-shell", "invented"):
        assert words in demo.stdout
    assert where(demo).read_bytes().startswith(b"%PDF")


def test_a_second_time_says_the_same_and_changes_nothing(
    run: Run, demo: subprocess.CompletedProcess[str]
) -> None:
    record = where(demo).read_bytes()
    again = run("demo", "a shop", "--no-serve")
    assert (again.returncode, again.stdout) == (0, demo.stdout)
    assert where(demo).read_bytes() == record


def test_picks_of_the_demo_in_json(run: Run, demo: subprocess.CompletedProcess[str]) -> None:
    assert demo.returncode == 0
    done = run("picks", "triple", "--shop", "a shop", "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["job"] == "triple"
    assert len(answer["shims"]) == 12
    for pick in answer["shims"]:
        low, high = pick["window_mm"]
        assert low <= pick["clearance_mm"] <= high
    assert {shell["place"] for shell in answer["shells"]} == {
        *(f"main/{n}" for n in range(1, 5)),
        *(f"pin/{n}" for n in range(1, 4)),
    }
    counted = sum(item["count"] for item in answer["buy"] if item["what"] == "shim")
    assert counted == sum(pick["source"] == "buy" for pick in answer["shims"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("picks", "tripel", "--shop", "a shop"), "there is no job 'tripel', this shop has triple"),
        (("picks", "triple", "--shop", "nowhere"), "there is no such shop folder"),
        (("picks",), "Missing argument 'JOB'"),
        (("demo", "a shop/triple.pdf"), "this is a file"),
    ],
)
def test_what_can_not_be_used_is_said_with_exit_status_2(
    run: Run, demo: subprocess.CompletedProcess[str], words: tuple[str, ...], said: str
) -> None:
    assert demo.returncode == 0
    done = run(*words)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
