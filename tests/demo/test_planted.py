"""Every trouble planted in the demo is found, and nothing else is called one."""

from __future__ import annotations

from pathlib import Path

import pytest

from gudgeon.cli.demo import lay_out, sheet_texts
from gudgeon.cli.opening import open_job
from gudgeon.fit.picks import of_job
from gudgeon.metrology.findings import Findings, findings
from gudgeon.sheet.check import check_sheet
from gudgeon.sheet.load import load


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    lay_out(folder)
    return folder


@pytest.fixture(scope="module")
def triple(shop: Path) -> Findings:
    return findings(*open_job("triple", str(shop)))


def word(found: Findings, place: str, name: str) -> str:
    return next(i.word for i in found.items if (i.size.place, i.size.name) == (place, name))


def test_the_job_has_some_five_hundred_readings_that_can_all_be_used(shop: Path) -> None:
    job, shared = open_job("triple", str(shop))
    assert 450 <= len(job.readings) + len(job.feelers) + len(job.shims) <= 550
    assert not job.faults
    assert not shared.faults


def test_three_slips_are_asked_about_and_no_others(triple: Findings) -> None:
    assert {(slip.kind, slip.place) for slip in triple.slips} == {
        ("turn", "main/3"),
        ("string-end", "main-shell"),
        ("mark", "valve/2/in/R"),
    }
    turn = next(slip for slip in triple.slips if slip.kind == "turn")
    assert turn.as_read is not None
    assert turn.corrected == pytest.approx(turn.as_read + 0.5)


def test_the_picks_say_what_the_findings_say(shop: Path, triple: Findings) -> None:
    """The turned string and the thimble's turn: one test, one question, the same words."""
    job, shared = open_job("triple", str(shop))
    (main, pins) = of_job(job, shared).shells.groups
    tested = {(item.group, item.on): item.test for item in triple.strings}
    for group in (main, pins):
        assert group.group.tests == {
            "housing": tested[group.group.name, "case"],
            "journal": tested[group.group.name, "crank"],
        }
    assert main.group.tests["journal"].verdict == "fits better from the other end"
    turn = next(slip for slip in triple.slips if slip.kind == "turn")
    advice = next(pick.advice for pick in main.picks if pick.place == "main/3")
    assert advice[0].startswith(turn.question)
    assert "gives 33.992 mm" in advice[0]
    assert advice[0].endswith("Until that is settled it does not count")


def test_the_bore_at_its_limit_is_not_decided(triple: Findings) -> None:
    assert word(triple, "cylinder/2", "bore-size") == "not decided"
    assert word(triple, "cylinder/1", "bore-size") == "within service"
    assert word(triple, "cylinder/2", "bore-taper") == "within service"


def test_the_worn_guide_is_beyond_service(triple: Findings) -> None:
    beyond = {i.size.place for i in triple.items if i.word == "beyond service"}
    assert beyond == {"valve/2/ex/R", "main/3"}


def test_the_shim_that_would_hold_its_valve_open_is_called_out(shop: Path) -> None:
    told = of_job(*open_job("triple", str(shop)))
    assert told.shims is not None
    negative = [item.place for item in told.shims.checking if (item.old or 0) < 0]
    assert negative == ["valve/3/ex/L"]
    assert not told.shims.choice.left_out


def test_the_engine_that_is_not_as_its_sheet_says_is_asked_about(shop: Path) -> None:
    twin = findings(*open_job("twin", str(shop)))
    (slip,) = twin.slips
    assert slip.kind == "oversize"
    assert slip.proposal == {"kind": "depart", "oversize": "rebore", "step": "0.25"}


def test_the_mistyped_cell_is_found_and_the_right_sheet_is_clean() -> None:
    texts = sheet_texts()
    for name in ("triple.yaml", "twin.yaml"):
        assert not list(check_sheet(load(texts[name], name)))
    faults = [
        f
        for f in check_sheet(load(texts["triple-faulty.yaml"], "triple-faulty.yaml"))
        if f.severity == "fault"
    ]
    assert faults
    assert any("g5" in f.wrong or "g5" in f.right for f in faults)


def test_laying_it_out_twice_changes_nothing(shop: Path) -> None:
    before = open_job("triple", str(shop))[0]
    lay_out(shop)
    assert open_job("triple", str(shop))[0].entries == before.entries
