"""Files that commands write: refused in the same words whichever command it is, whole or not."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.test_job import Bench

#: Each command that writes a file, up to the name of the file.
WRITERS = (
    ("job", "export", "one", "-o"),
    ("job", "form", "one", "-o"),
    ("order", "one", "-o"),
    ("record", "one", "-o"),
    ("sheet", "new", "-o"),
    ("sheet", "new", "--force", "-o"),
    ("shop", "backup"),
    ("shop", "export", "-o"),
)


@pytest.fixture
def bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Bench:
    made = Bench(tmp_path, monkeypatch, capsys)
    made.ok("job", "new", "one", "--sheet", "triple.yaml")
    return made


@pytest.mark.parametrize("writer", WRITERS, ids=" ".join)
@pytest.mark.parametrize(
    ("name", "said"),
    [
        (".", ".: this is a folder, name a file in it\n"),
        ("/", "/: this is a folder, name a file in it\n"),
        ("..", "..: this is a folder, name a file in it\n"),
        ("", "FILE: no file is named, name one to write\n"),
        ("nodir/x.out", "nodir/x.out: there is no folder 'nodir', make it first\n"),
        ("triple.yaml/x", "triple.yaml/x: there is no folder 'triple.yaml', make it first\n"),
        ("/dev/null", "/dev/null: this is not an ordinary file, name another one\n"),
        ("x" * 300, f"{'x' * 300}: it can't be written (File name too long), check the name and"),
    ],
)
def test_a_name_that_no_file_can_have(
    bench: Bench, tmp_path: Path, writer: tuple[str, ...], name: str, said: str
) -> None:
    before = sorted(tmp_path.rglob("*"))
    assert bench.refused(*writer, name).startswith(said)
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("writer", WRITERS, ids=" ".join)
def test_a_file_that_is_there(bench: Bench, tmp_path: Path, writer: tuple[str, ...]) -> None:
    """The order and the record are computed, so a new one takes the place of the old."""
    (tmp_path / "there").write_text("mine")
    if writer[0] in ("order", "record") or "--force" in writer:
        bench.ok(*writer, "there")
        assert (tmp_path / "there").read_bytes() != b"mine"
    else:
        assert "there: the file is there already, choose " in bench.refused(*writer, "there")
        assert (tmp_path / "there").read_text() == "mine"
    assert not list(tmp_path.glob(".there*"))
