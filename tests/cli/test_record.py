"""gudgeon record: written whole or not at all, and quick."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.record.pdftext import pages

from gudgeon.cli.demo import lay_out, sheet_texts
from gudgeon.cli.record import command
from gudgeon.cli.writing import write_file
from gudgeon.faults import Unusable


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    lay_out(folder)
    return folder


def run(*words: str | Path) -> str:
    """What the command says; its error where it refuses."""
    result = CliRunner().invoke(command, [str(word) for word in words])
    if isinstance(result.exception, Unusable):
        return str(result.exception)
    return result.output


def test_it_writes_the_record_and_says_where(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "triple.pdf"
    assert run("triple", "-o", out, "--shop", shop) == f"written: {out}\n"
    assert "Invented triple 798" in " ".join(pages(out.read_bytes()))
    assert [file.name for file in tmp_path.iterdir()] == ["triple.pdf"]


def test_the_same_job_gives_the_same_file(shop: Path, tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        run("twin", "-o", tmp_path / name, "--shop", shop, "--paper", "letter")
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_the_date_is_the_one_asked_for(shop: Path, tmp_path: Path) -> None:
    run("twin", "-o", tmp_path / "a.pdf", "--shop", shop, "--date", "2027-03-04")
    assert "2027-03-04" in pages((tmp_path / "a.pdf").read_bytes())[0]


@pytest.mark.parametrize("day", ["2026-13-01", "yesterday", "20260101", "2026-02-30", "٢٠٢٦-٠١-٠١"])
def test_what_is_no_day_is_refused(shop: Path, tmp_path: Path, day: str) -> None:
    told = run("twin", "-o", tmp_path / "a.pdf", "--shop", shop, "--date", day)
    assert told.endswith("is no date, write it like 2026-11-25")
    assert not list(tmp_path.iterdir())


def test_a_folder_is_refused(shop: Path, tmp_path: Path) -> None:
    told = run("twin", "-o", tmp_path, "--shop", shop)
    assert told == f"{tmp_path}: this is a folder, name a file in it"
    told = run("twin", "-o", tmp_path / "no" / "a.pdf", "--shop", shop)
    assert "there is no folder" in told


def test_a_job_that_is_not_there_is_refused(shop: Path, tmp_path: Path) -> None:
    assert "triple" in run("tripel", "-o", tmp_path / "a.pdf", "--shop", shop)
    assert not list(tmp_path.iterdir())


def test_a_measuring_sheet_for_a_job_and_for_a_sheet(shop: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "mine.yaml"
    sheet.write_text(sheet_texts()["twin.yaml"], encoding="utf-8")
    run("--form", "twin", "-o", tmp_path / "a.pdf", "--shop", shop)
    run("--sheet", sheet, "-o", tmp_path / "b.pdf")
    for name, also in (("a.pdf", "twin.yaml"), ("b.pdf", "mine.yaml")):
        text = " ".join(pages((tmp_path / name).read_bytes()))
        assert "Measuring sheet" in text
        assert also in text


@pytest.mark.parametrize("words", [[], ["twin", "--sheet", "x.yaml"]])
def test_one_of_job_and_sheet_is_needed(words: list[str], tmp_path: Path) -> None:
    assert "give one of the two" in run(*words, "-o", tmp_path / "a.pdf")


def test_a_faulty_sheet_is_refused_with_its_line(tmp_path: Path) -> None:
    sheet = tmp_path / "bad.yaml"
    sheet.write_text("sheet: 1\nengine: {name: x, bore: wide}\n", encoding="utf-8")
    told = run("--sheet", sheet, "-o", tmp_path / "a.pdf")
    assert told.startswith(f"{sheet}:2:")
    assert not (tmp_path / "a.pdf").exists()


def test_an_old_file_stays_until_the_new_one_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "a.pdf"
    out.write_bytes(b"old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Unusable, match="No space left"):
        write_file(str(out), b"new")
    assert out.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["a.pdf"]


def test_a_written_file_has_the_usual_permissions(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    made = write_file(str(tmp_path / "made"), b"")
    assert made.stat().st_mode == plain.stat().st_mode
