"""The gallery: the smallest input for each problem, the exact words, and nothing written."""

from __future__ import annotations

import shlex
import shutil
import sys
from pathlib import Path

import pytest
from tests.log.gallery_page import GALLERY, names, page

from gudgeon.cli import main
from gudgeon.store.interface import SHOP_LOG
from gudgeon.store.sqlite import FILE, SqliteStore

PREPARED = (
    "job new triple --sheet triple.yaml",
    "job new twin --sheet triple.yaml",
    "job add triple note first --id used",
    "job add triple reading cylinder/3 bore 58.013 --spot 'top pin' --id r0",
    "shop stock shim --mark 178 --id taken",
    "shop reserve taken triple",
)


def command(line: str, monkeypatch: pytest.MonkeyPatch) -> int:
    """Run one command line in this process; its exit status."""
    monkeypatch.setattr(sys, "argv", ["gudgeon", *shlex.split(line)])
    with pytest.raises(SystemExit) as left:
        main()
    return int(left.value.code or 0)


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> SqliteStore:
    """The shop that every entry of the gallery finds."""
    store = SqliteStore(tmp_path_factory.mktemp("prepared"))
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(GALLERY)
        patch.setenv("GUDGEON_SHOP", str(store.folder))
        assert [command(line, patch) for line in PREPARED] == [0] * len(PREPARED)
    return store


@pytest.mark.parametrize("name", names())
def test_exact_words_and_nothing_written(
    name: str,
    prepared: SqliteStore,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(GALLERY)
    monkeypatch.setenv("GUDGEON_SHOP", str(tmp_path))
    shutil.copy(prepared.file, tmp_path)
    store = SqliteStore(tmp_path)
    before = [store.read(log) for log in ("triple", "twin", SHOP_LOG)]
    line = (GALLERY / f"{name}.args").read_text(encoding="utf-8").strip()
    if line.endswith("--as twin"):
        line = f"{line}-2"
    line = line.replace("--into new", f"--into {tmp_path / 'new'}")
    assert command(line, monkeypatch) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == (GALLERY / f"{name}.txt").read_text(encoding="utf-8")
    assert [store.read(log) for log in ("triple", "twin", SHOP_LOG)] == before
    assert store.logs() == (SHOP_LOG, "triple", "twin")
    assert [path.name for path in tmp_path.iterdir()] == [FILE]


def test_the_page_is_up_to_date() -> None:
    text = (GALLERY.parents[2] / "docs" / "errors-log.md").read_text(encoding="utf-8")
    assert text == page(), "python -m tests.log.gallery_page > docs/errors-log.md"
