"""gudgeon order: in words, JSON and CSV, on the screen and in a file."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from gudgeon.cli.demo import lay_out
from gudgeon.cli.order import command
from gudgeon.faults import Unusable


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("shop")
    lay_out(folder)
    return str(folder)


def run(*words: str) -> str:
    result = CliRunner().invoke(command, list(words))
    if isinstance(result.exception, Unusable):
        return str(result.exception)
    assert result.exit_code == 0, result.output
    return result.output


def test_words_json_and_csv_tell_the_same(shop: str) -> None:
    answer = json.loads(run("triple", "--shop", shop, "--json"))
    rows = list(csv.DictReader(io.StringIO(run("triple", "--shop", shop, "--csv"), newline="")))
    words = run("triple", "--shop", shop)
    assert [(r["what"], r["size"], int(r["count"])) for r in rows] == [
        (line["what"], line["size"], line["count"]) for line in answer["lines"]
    ]
    assert sum(float(r["total"]) for r in rows) == pytest.approx(answer["total"])
    assert f"Together EUR {answer['total']:.2f}" in words
    for line in answer["lines"]:
        assert line["what"] in words


def test_it_writes_a_file(shop: str, tmp_path: Path) -> None:
    out = tmp_path / "order.csv"
    assert run("triple", "--shop", shop, "-o", str(out)) == f"order written to {out}\n"
    assert out.read_text(encoding="utf-8").startswith("what,size,count,places")
    run("triple", "--shop", shop, "--json", "-o", str(out))
    assert json.loads(out.read_text(encoding="utf-8"))["job"] == "triple"


def test_two_forms_at_once_are_refused(shop: str) -> None:
    assert "ask for one of them" in run("triple", "--shop", shop, "--json", "--csv")


def test_what_is_missing_is_said(shop: str) -> None:
    assert "No shim on order for valve/2/in/L" in run("twin", "--shop", shop)
