"""The gallery: the smallest sheet for each problem, and the exact words about it."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from gudgeon.cli import main
from gudgeon.sheet.check import CHECKS

HERE = Path(__file__).parent
GALLERY = HERE / "gallery"
NAMES = sorted(path.stem for path in GALLERY.glob("*.yaml"))


def page_maker() -> ModuleType:
    """The script that makes the page."""
    spec = importlib.util.spec_from_file_location("gallery_page", HERE / "gallery_page.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", NAMES)
def test_exact_words(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(GALLERY)
    monkeypatch.setattr(sys, "argv", ["gudgeon", "sheet", "check", f"{name}.yaml"])
    with pytest.raises(SystemExit) as left:
        main()
    said = capsys.readouterr()
    assert said.out + said.err == (GALLERY / f"{name}.txt").read_text(encoding="utf-8")
    if not page_maker().checks_of(name):
        assert left.value.code == 2
        assert said.out == ""
    else:
        assert left.value.code == (0 if f"{name}.yaml: no faults" in said.out else 1)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.name)
def test_every_check_has_an_entry_that_only_it_answers(check: object) -> None:
    name = getattr(check, "name", "")
    entries = [entry for entry in NAMES if entry == name or entry.startswith(f"{name}-")]
    assert entries, "add tests/sheet/gallery/NAME.yaml and NAME.txt"


def test_the_page_is_up_to_date() -> None:
    page = (HERE.parent.parent / "docs" / "errors-sheet.md").read_text(encoding="utf-8")
    assert page == page_maker().page(), "python tests/sheet/gallery_page.py > docs/errors-sheet.md"
