"""The command itself: list, help, JSON, exit status, and what it must not import."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from gudgeon.calc.registry import BY_NAME
from gudgeon.cli import main

SHIM = ["calc", "shim", "--old", "1.850", "--clearance", "0.14", "--rise", "0.11",
        "--target", "0.13"]  # fmt: skip


def gudgeon(arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> int:
    """Run the command line in this process; its exit status."""
    monkeypatch.setattr(sys, "argv", ["gudgeon", *arguments])
    with pytest.raises(SystemExit) as left:
        main()
    return int(left.value.code or 0)


def test_alone_it_lists_what_there_is(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert gudgeon(["calc"], monkeypatch) == 0
    told = capsys.readouterr().out
    for name, entry in BY_NAME.items():
        assert f"{name:<18}{entry.line}" in told


def test_an_answer_in_words_and_in_json(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert gudgeon(SHIM, monkeypatch) == 0
    assert "1.850 + (0.14 - 0.11) - 0.13 = 1.750 mm\n" in capsys.readouterr().out
    assert gudgeon([*SHIM, "--json"], monkeypatch) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["name"], answer["value"], answer["unit"]) == ("shim", 1.75, "mm")
    assert gudgeon([*SHIM, "--in", "in", "--json"], monkeypatch) == 0
    assert json.loads(capsys.readouterr().out)["value"] == pytest.approx(1.75 / 25.4)


@pytest.mark.parametrize("name", BY_NAME)
def test_help_names_every_option(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert gudgeon(["calc", name, "--help"], monkeypatch) == 0
    told = capsys.readouterr().out
    assert all(f"--{option.name} " in told for option in BY_NAME[name].options)
    assert "--json" in told
    assert "--in UNIT" in told


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["calc", "shmi"], "calc: 'shmi' is not a calculation, did you mean shim?"),
        (["calc", "zzz"], "calc: 'zzz' is not a calculation, use one of shim, recession"),
        (["calc", "shim", "--old", "-1.85", "--clearance", "0.1", "--target", "0.1"], "--old: "),
        (["calc", "shim", "--old", "1.85"], "--clearance: is missing, give the clearance read"),
        (["calc", "shim", "--odl", "1.85"], "--odl"),
        (["calc", "--jsn"], "--jsn"),
        (["calc", "shim", "1.85"], "1.85"),
    ],
)
def test_what_cannot_be_used_ends_with_2(
    arguments: list[str],
    told: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert gudgeon(arguments, monkeypatch) == 2
    streams = capsys.readouterr()
    assert told in streams.err
    assert streams.out == ""


def test_it_starts_without_the_heavy_libraries() -> None:
    heavy = {"numpy", "scipy", "pint", "pydantic", "yaml", "typst"}
    code = (
        f"import sys; sys.argv = ['gudgeon', *{SHIM!r}]\n"
        "from gudgeon.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        f"print(sorted({heavy!r} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.splitlines()[-1] == "[]"
