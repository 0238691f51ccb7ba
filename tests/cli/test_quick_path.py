"""docs/quick-shims.md as it stands: its files, its commands in order, what it says comes out."""

from __future__ import annotations

import json
import re
import shlex
import sys
import time
from pathlib import Path

import pytest

from gudgeon.cli import main

PAGE = (Path(__file__).parents[2] / "docs" / "quick-shims.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"```(\w+) ?(\S*)\n(.*?)```", re.DOTALL)


def gudgeon(
    line: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> tuple[int, str]:
    """Run one line of the page; its exit status and what it printed."""
    monkeypatch.setattr(sys, "argv", shlex.split(line))
    with pytest.raises(SystemExit) as left:
        main()
    said = capsys.readouterr()
    return int(left.value.code or 0), said.out + said.err


def test_the_page_does_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GUDGEON_SHOP", str(tmp_path / "shop"))
    started = time.perf_counter()
    said = ""
    for language, file, text in BLOCK.findall(PAGE):
        if language == "csv":
            (tmp_path / file).write_text(text, encoding="utf-8")
        elif language == "sh":
            for line in text.strip().splitlines():
                status, said = gudgeon(line, monkeypatch, capsys)
                assert status == 0, said
        else:
            plain = re.sub(r"\s+", " ", said)
            for line in text.strip().splitlines():
                assert re.sub(r"\s+", " ", line) in plain, line
    assert time.perf_counter() - started < 20, "three minutes are for the person, not for us"
    status, said = gudgeon("gudgeon picks monday --json", monkeypatch, capsys)
    shims = json.loads(said)["shims"]
    assert len(shims) == 4
    for pick in shims:
        low, high = pick["window_mm"]
        assert low <= pick["clearance_mm"] <= high


def test_the_shelf_line_of_the_page_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("GUDGEON_SHOP", str(tmp_path / "shop"))
    found = re.search(r"`(gudgeon shop stock [^`]*)`", PAGE)
    assert found is not None
    status, said = gudgeon(found[1], monkeypatch, capsys)
    assert status == 0, said
