"""`gudgeon findings` on the demo shop: the planted troubles, the JSON twin, what is refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from tests.metrology import engine

from gudgeon.cli import root
from gudgeon.cli.demo import lay_out
from gudgeon.cli.findings_words import all_lines
from gudgeon.faults import Unusable
from gudgeon.metrology.findings import findings
from gudgeon.sheet.load import load


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    lay_out(folder)
    return folder


def run(shop: Path, *arguments: str) -> Result:
    return CliRunner().invoke(root, ["findings", *arguments, "--shop", str(shop)])


def answer(shop: Path, *arguments: str) -> Any:
    result = run(shop, *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_the_contract_of_the_json(shop: Path) -> None:
    found = answer(shop, "triple")
    assert found["job"] == "triple"
    assert len(found["sizes"]) > 200
    for size in found["sizes"]:
        assert {"place", "feature", "name", "verdict", "probability", "readings"} <= set(size)
        assert {"value_mm", "u_mm"} <= set(size)
        total = sum(part**2 for part in size["u_by_source"].values())
        assert size["u_mm"] is None or total**0.5 == pytest.approx(size["u_mm"], abs=1e-5)
    for slip in found["slips"]:
        assert {"entry", "place", "explanation", "posterior", "question"} <= set(slip)
        assert {"as_read_mm", "corrected_mm"} <= set(slip)
    assert sum(found["counts"].values()) == len(found["sizes"])
    assert found["faults"] == []


def test_the_planted_troubles_of_the_triple_are_found_and_nothing_else(shop: Path) -> None:
    found = answer(shop, "triple")
    kinds = {slip["kind"]: slip for slip in found["slips"]}
    assert sorted(kinds) == ["mark", "string-end", "turn"]
    assert len(found["slips"]) == 3
    turn = kinds["turn"]
    assert turn["place"] == "main/3"
    assert turn["corrected_mm"] - turn["as_read_mm"] == pytest.approx(0.5)
    assert kinds["mark"]["place"] == "valve/2/in/R"
    assert kinds["string-end"]["as_read"] == "1123"
    assert kinds["string-end"]["corrected"] == "3211"
    bore = next(
        size
        for size in found["sizes"]
        if size["name"] == "bore-size" and size["place"] == "cylinder/2"
    )
    assert bore["verdict"] == "not decided"
    assert 0.05 < bore["probability"] < 0.95
    assert bore["decides"]


def test_the_engine_that_is_not_as_its_sheet_says(shop: Path) -> None:
    (slip,) = answer(shop, "twin")["slips"]
    assert slip["kind"] == "oversize"
    assert slip["proposal"]["step"] == "0.25"
    assert slip["corrected_mm"] is None


def test_words_end_with_the_count_and_the_questions(shop: Path) -> None:
    found = answer(shop, "triple")
    lines = run(shop, "triple").output.splitlines()
    count = next(n for n, line in enumerate(lines) if " sizes: " in line)
    words = ", ".join(f"{number} {word}" for word, number in found["counts"].items())
    assert lines[count] == f"{len(found['sizes'])} sizes: {words}"
    assert lines[count + 1] == "3 questions; nothing was changed:"
    assert lines[count + 2].startswith("  * ")
    worst = next(size for size in found["sizes"] if size["verdict"] == "beyond service")
    assert any(
        line.startswith("!! beyond service") and worst["place"] in line and worst["limit"] in line
        for line in lines
    )


def test_every_line_marks_its_word_by_a_sign_and_not_by_colour_alone(shop: Path) -> None:
    result = run(shop, "triple", "--all")
    assert "\x1b[" not in result.output
    signs = {"!!", " ?", " ~", " =", " o"}
    assert {line[:2] for line in result.output.splitlines() if line[:2] in signs} == signs
    found = answer(shop, "triple")
    assert sum(line[:2] in signs for line in result.output.splitlines()) == len(found["sizes"])


def test_one_part_alone(shop: Path) -> None:
    found = answer(shop, "triple", "--part", "Crankshaft")
    assert {size["part"] for size in found["sizes"]} == {"crankshaft"}
    assert "CYLINDERS" not in run(shop, "triple", "--part", "crankshaft").output


def test_a_number_opened_up_shows_all_that_is_under_it(shop: Path) -> None:
    shown = run(shop, "triple", "--open", "cylinder/2:bore-size").output
    assert shown.count("reading 78.0") == 6
    assert "to 20 °C (iron at 21.3, gauge at 21)" in shown
    assert "setting master" in shown
    assert "at most 78.070 (p. 4-12): not decided" in shown
    assert "gap at valve/1/in/L (found)" in run(shop, "triple", "--open", "valve/1/in/L").output
    found = answer(shop, "triple", "--open", "cylinder/2:bore-size")
    assert len(found["sizes"]) == 1


@pytest.mark.parametrize(
    ("arguments", "wrong", "right"),
    [
        (["tripel"], "there is no job 'tripel'", "this shop has triple"),
        (["triple", "--part", "wings"], "there is no part 'wings'", "cylinders"),
        (["triple", "--open", "cylinder/9"], "nothing is measured at 'cylinder/9'", "cylinder/"),
        (["triple", "--open", "cylinder/2:width"], "has no size 'width'", "bore-size"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(
    shop: Path, arguments: list[str], wrong: str, right: str
) -> None:
    result = run(shop, *arguments)
    assert isinstance(result.exception, Unusable)
    (fault,) = result.exception.faults
    assert wrong in fault.wrong
    assert right in fault.right


def test_what_is_not_as_new_without_a_limit_of_wear_is_on_a_line_of_its_own() -> None:
    text = engine.TEXT.replace("rule: min, service: {min: 36.30}", "rule: min")
    made = engine.job(
        engine.reading("lobe", "valve/1/in/L", "36.20"),
        engine.reading("lobe", "valve/1/in/R", "36.50"),
        sheet=load(text, "engine.yaml").sheet,
    )
    lines = list(all_lines(made, findings(made, engine.shop()), None, False))
    (at,) = [number for number, line in enumerate(lines) if "36.20 ±" in line]
    assert lines[at].startswith(" o no limit given  valve/1/in/L")
    assert "not as new: 36.20 against 36.40 to 36.56" in lines[at + 1]
    assert not any("valve/1/in/R" in line and "no limit" in line for line in lines)
