"""Oversizes, marks of shims, strings of marks: asked, never decided."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.metrology.engine import (
    AT,
    SHEET,
    check,
    code,
    job,
    measured,
    moved,
    reading,
    shim,
    shop,
    spots,
)

from gudgeon.log.entries import Departure
from gudgeon.log.job import Job
from gudgeon.log.oversize import oversize_step, with_oversize
from gudgeon.metrology.findings import findings
from gudgeon.metrology.readings import read_all
from gudgeon.metrology.shim_marks import fitted_thickness
from gudgeon.metrology.suspicions import Suspicions, suspicions


def asked(*entries: Any) -> Suspicions:
    made = job(*entries)
    return suspicions(made, read_all(made, shop()))


@pytest.mark.parametrize("step", [0.25, 0.50])
def test_bores_and_pistons_one_oversize_up_are_one_question(step: float) -> None:
    entries = [moved(e, step) if e.feature in ("bore", "piston") else e for e in measured(4)]
    found = asked(*entries)
    (slip,) = found.slips
    assert slip.kind == "oversize"
    assert slip.proposal == {"kind": "depart", "oversize": "rebore", "step": f"{step:.2f}"}
    assert slip.corrected is None
    assert slip.posterior > 0.95
    assert not found.questioned
    assert set(found.doubted) == {"bore", "piston"}
    result = findings(job(*entries), shop())
    size = next(item for item in result.items if item.size.name == "bore-size")
    assert any("already on rebore" in note for note in size.notes)


@pytest.mark.parametrize(
    ("entered", "really", "proposal"),
    [
        ("0.50", 0.0, {"kind": "strike", "target": "wrong"}),
        ("0.25", 0.0, {"kind": "strike", "target": "wrong"}),
        ("0.25", 0.50, {"kind": "depart", "oversize": "rebore", "step": "0.50"}),
        ("0.50", 0.25, {"kind": "depart", "oversize": "rebore", "step": "0.25"}),
    ],
)
def test_a_wrong_departure_is_one_question(
    entered: str, really: float, proposal: dict[str, str]
) -> None:
    entries = [moved(e, really) if e.feature in ("bore", "piston") else e for e in measured(4)]
    made = _departed(entered, *entries)
    found = suspicions(made, read_all(made, shop()))
    (slip,) = found.slips
    assert slip.kind == "oversize"
    assert slip.proposal == proposal
    assert "Was it entered by mistake?" in slip.question
    assert "others lie" not in slip.question
    assert not found.questioned
    assert set(found.doubted) == {"bore", "piston"}


def test_a_right_departure_raises_no_question() -> None:
    entries = [moved(e, 0.25) if e.feature in ("bore", "piston") else e for e in measured(4)]
    made = _departed("0.25", *entries)
    assert suspicions(made, read_all(made, shop())).slips == ()


def test_bores_smaller_than_any_new_one_are_not_as_new() -> None:
    """The new range of bore-size has no lower end of its own; that of its feature counts."""
    result = findings(_departed("0.50", *measured(4)), shop())
    bores = [item for item in result.items if item.size.name == "bore-size"]
    assert {item.word for item in bores} == {"beyond service"}
    assert all(any("smaller than any new one" in note for note in i.notes) for i in bores)
    assert {item.limit for item in bores} == {"at least 58.500"}
    assert all(item.probability is not None and item.probability < 1e-6 for item in bores)


def _departed(step: str, *entries: Any) -> Job:
    entry = Departure(kind="depart", id="wrong", at=AT, oversize="rebore", step=step)
    sheet = with_oversize(SHEET, "rebore", oversize_step(SHEET, "rebore", step, "wrong"))
    return replace(job(*entries, sheet=sheet), departures=(entry,))


def test_journals_ground_under_are_an_undersize() -> None:
    (slip,) = asked(*(moved(e, -0.25) if e.feature == "journal" else e for e in measured(4))).slips
    assert slip.proposal == {"kind": "depart", "oversize": "regrind", "step": "0.25"}
    assert "ground to −0.25 before" in slip.question


def test_bores_alone_half_a_millimetre_up_are_not_called_bored_when_the_pistons_are_not() -> None:
    """Pistons as new in bores 0.50 over can't run: every bore was read a turn out."""
    found = asked(*(moved(e, 0.5) if e.feature == "bore" else e for e in measured(4)))
    assert {slip.kind for slip in found.slips} == {"turn"}
    assert len(found.slips) == 24


def test_a_slip_in_an_oversized_engine_is_still_found() -> None:
    entries = [moved(e, 0.25) if e.feature in ("bore", "piston") else e for e in measured(4)]
    at = next(n for n, e in enumerate(entries) if e.id == "bore.cylinder-2.mid.pin")
    entries[at] = moved(entries[at], 0.5)
    assert {(slip.kind, slip.entry) for slip in asked(*entries).slips} >= {
        ("turn", "bore.cylinder-2.mid.pin")
    }


@pytest.mark.parametrize(
    ("mark", "typed", "kind", "corrected"),
    [
        ("185", "1.822", "mark", 1.822),
        ("185", "1.880", "mark", 1.880),
        ("185", "1.350", "turn", 1.850),
        ("185", "2.351", "turn", 1.851),
        ("185", "1.848", None, None),
        ("185", "1.858", None, None),
        ("177", "1.775", None, None),
        (None, "1.775", None, None),
        ("185", None, None, None),
    ],
)
def test_a_shims_mark_against_the_micrometer(
    mark: str | None, typed: str | None, kind: str | None, corrected: float | None
) -> None:
    found = asked(shim("valve/1/in/L", mark, typed))
    if kind is None:
        assert found.slips == ()
        return
    (slip,) = found.slips
    assert (slip.kind, slip.entry) == (kind, "shim.valve-1-in-L")
    assert slip.corrected == pytest.approx(corrected)
    assert slip.posterior >= 0.5


def test_a_mark_without_meaning_and_a_reading_that_is_none_are_told() -> None:
    found = asked(shim("valve/1/in/L", "177", None), shim("valve/1/in/R", "185", "1.8.5"))
    assert [fault.where for fault in found.faults] == [
        "entry shim.valve-1-in-L",
        "entry shim.valve-1-in-R",
    ]
    assert "no meaning by the rule 'quarters'" in found.faults[0].wrong


def test_a_shims_thickness_is_the_micrometers_else_the_marks() -> None:
    made = job(shim("valve/1/in/L", "185", "1.822"), shim("valve/1/in/R", "185", None))
    owned = shop(check("micrometer-0.001", "25.000", "25.002"))
    table = read_all(made, owned)
    read, by_mark = (fitted_thickness(made, table, entry) for entry in made.shims)
    assert read is not None
    assert by_mark is not None
    assert (read.measured, by_mark.measured) == (True, False)
    assert read.value.value == pytest.approx(1.822)  # the check is later than the reading
    assert by_mark.value.value == 1.85
    assert by_mark.value.u == pytest.approx(0.010 / 3**0.5)


#: Journals by their class: 33.000 to 32.994 is 1, and so on down.
SIZES = (32.9968, 32.9951, 32.9895, 32.9901, 32.9845)


def crank(marks: str) -> list[Any]:
    read = [
        reading("journal", f"main/{n + 1}", f"{size:.3f}", spot=spot)
        for n, size in enumerate(SIZES)
        for spot in spots("journal")
    ]
    return [*read, code("main-shell", "crank", marks)]


def test_a_string_from_its_wrong_end_is_asked_about() -> None:
    """The sheet reads the crank from main 5: 3 2 2 1 1 is right, 1 1 2 2 3 was read from main 1."""
    (slip,) = asked(*crank("11223")).slips
    assert slip.kind == "string-end"
    assert (slip.as_read_text, slip.corrected_text) == ("11223", "32211")
    assert slip.posterior > 0.9
    assert asked(*crank("32211")).slips == ()


def test_a_palindrome_and_a_string_of_the_wrong_length_cannot_be_tested() -> None:
    (tested,) = asked(*crank("12221")).strings
    assert tested.test.verdict == "can't be told"
    assert "both ends" in tested.test.text
    assert asked(*crank("123")).strings == ()
    (unmeasured,) = asked(code("main-shell", "crank", "11223")).strings
    assert unmeasured.test.verdict == "too weak to tell"


def test_a_questioned_reading_does_not_decide_a_string() -> None:
    entries = crank("32211")
    entries[0] = moved(entries[0], 0.5)
    found = asked(*entries)
    assert {slip.kind for slip in found.slips} == {"turn"}
