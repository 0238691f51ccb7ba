"""docs/log.md says what the code does."""

from __future__ import annotations

import re
import shlex
import sys
from pathlib import Path

import pytest
from tests.log.helpers import SHEET
from tests.log.log_page import PAGE, page

from gudgeon.cli import main
from gudgeon.log.exchange import import_log

TEXT = PAGE.read_text(encoding="utf-8")
COMMANDS = [
    re.split(r"\s{3,}", line.strip())[0]
    for line in TEXT.splitlines()
    if line.startswith("    gudgeon ")
]
PREPARE = [
    "gudgeon job new NAME --sheet FILE",
    "gudgeon job export NAME -o log.jsonl",
    "gudgeon job add NAME note first --id ENTRY",
    "gudgeon job add NAME reading cylinder/1 piston 57.97",
]


def test_its_tables_are_up_to_date() -> None:
    assert page(TEXT) == TEXT, "python -m tests.log.log_page"


def test_its_commands_work_in_the_order_of_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a name for NAME, a sheet for FILE; what they read is what others of them wrote."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GUDGEON_SHOP", str(tmp_path / "shop"))
    (tmp_path / "FILE").write_text(SHEET, encoding="utf-8")

    def run(line: str) -> None:
        words = shlex.split(line)[1:]
        if words[:2] == ["job", "export"] and (tmp_path / "log.jsonl").exists():
            (tmp_path / "log.jsonl").unlink()
        monkeypatch.setattr(sys, "argv", ["gudgeon", *words])
        with pytest.raises(SystemExit) as left:
            main()
        assert left.value.code == 0, line

    for line in PREPARE:
        run(line)
    assert len(COMMANDS) > 20
    for line in COMMANDS:
        if line.startswith("gudgeon job new"):
            continue
        if line.startswith("gudgeon shop stock"):
            line = f"{line} --id ENTRY"
        line = line.replace("ENTRY JOB", "ENTRY NAME")
        if line.startswith("gudgeon shop strike"):
            run("gudgeon shop stock shim --mark 180 --id OTHER")
            line = line.replace("ENTRY", "OTHER")
        if line.startswith(("gudgeon shop backup", "gudgeon shop restore")):
            line = line.replace("FILE", "COPY")
        run(line)


def test_its_header_by_hand_is_one() -> None:
    (header,) = re.findall(r"`(\{\"gudgeon\".*?\})`", TEXT)
    assert import_log(header + "\n", "x").bodies == ()
