"""Answers: the sum shown, the unit asked for, the errors carried, the remarks."""

from __future__ import annotations

import math

import pytest

from gudgeon.calc.calculation import Answer, run
from gudgeon.calc.registry import BY_NAME
from gudgeon.faults import Unusable


def ask(name: str, unit: str = "", /, **typed: str | list[str]) -> Answer:
    """Run a calculation; a trailing underscore keeps a keyword of Python free."""
    options = {
        key.strip("_").replace("_", "-"): [text] if isinstance(text, str) else text
        for key, text in typed.items()
    }
    return run(BY_NAME[name], options, unit)


def test_the_sum_is_shown_with_the_numbers_put_in() -> None:
    answer = ask("shim", old="1.850", clearance="0.14", rise="0.11", target="0.13")
    assert answer.sum == "1.850 + (0.14 - 0.11) - 0.13 = 1.750 mm"
    assert answer.as_json()["value"] == 1.75
    answer = ask("shim", old="1,850", clearance="0,14", target="0,13")
    assert answer.sum == "1.850 + 0.14 - 0.13 = 1.860 mm"
    answer = ask("shim", old="2.50", clearance="0.09", target="0.15", lever="1.45", rise="0.02")
    assert answer.sum == "2.50 + (0.09 - 0.15) x 1.45 - 0.02 = 2.393 mm"
    answer = ask("end-float", depth=["41.83", "39.42"], gasket="0.35", shaft="81.12", shim="0.30")
    assert answer.sum == "41.83 + 39.42 + 0.35 - 81.12 - 0.30 = 0.180 mm"


def test_a_lever_read_at_the_stem_changes_nothing() -> None:
    direct = ask("shim", old="2.50", clearance="0.09", target="0.15")
    stem = ask("shim", old="2.50", clearance="0.09", target="0.15", lever="1.4", read_at="stem")
    assert stem.value == direct.value
    with pytest.raises(Unusable, match="give --lever"):
        ask("shim", old="2.50", clearance="0.09", target="0.15", read_at="cam")


def test_inches_in_and_inches_out() -> None:
    answer = ask("ring-gap-growth", "in", bore_growth="0.001 in")
    assert answer.value == pytest.approx(0.001 * math.pi)
    assert answer.sum == "pi x 0.0254 = 0.0798 mm = 0.003142 in"
    assert answer.as_json()["unit"] == "in"


def test_what_two_walls_share_does_not_average_out() -> None:
    alike = ask("oil-clearance", housing="36.003", journal="32.991", wall="1.490 +- 0.001")
    apart = ask(
        "oil-clearance",
        housing="36.003",
        journal="32.991",
        wall=["1.490 +- 0.001", "1.490 +- 0.001"],
    )
    assert alike.u == pytest.approx(0.002)
    assert apart.u == pytest.approx(0.001 * math.sqrt(2))
    mixed = ask("oil-clearance", housing="36.003", journal="32.991", wall=["1.490", "1.493"])
    assert mixed.value == pytest.approx(0.029)


def test_uncertainty_through_a_formula_that_is_no_sum() -> None:
    answer = ask("displacement", bore="58 +- 0.01", stroke="50", cylinders="4")
    assert answer.u == pytest.approx(2 * answer.value * 0.01 / 58)
    answer = ask("displacement", "l", bore="58 +- 0.01", stroke="50", cylinders="4")
    assert answer.u == pytest.approx(2 * answer.value * 0.01 / 58)


def test_a_shim_that_holds_the_valve_open_is_called_out() -> None:
    answer = ask("shim", old="1.900", clearance="0.10", rise="0.12", target="0.14")
    assert answer.value == pytest.approx(1.740)
    assert any("holds the valve open (-0.020 mm)" in note for note in answer.extra.notes)
    assert answer.extra.keys["clearance_with_old_mm"] == -0.02
    thin = ask("shim", old="0.100", clearance="0.00", rise="0.12", target="0.14")
    assert any("no shim is that thin" in note for note in thin.extra.notes)


def test_the_naming_trap_of_seat_angles_is_spelt_out() -> None:
    by_face = ask("recession", normal="0.050", seat_angle="30")
    by_axis = ask("recession", normal="0.050", seat_angle="30", from_="axis")
    assert by_face.value == pytest.approx(0.057735, abs=1e-6)
    assert by_axis.value == pytest.approx(0.1)
    assert by_face.extra.keys["half_angle_deg"] == 60.0
    note = "the seat stands 30 deg from the head face, 60 deg from the valve axis"
    assert note in by_face.lines()
    assert "the seat stands 60 deg from the head face, 30 deg from the valve axis" in str(by_axis)


def test_conformity_gives_probability_and_verdict() -> None:
    answer = ask("conformity", value="10.010", u="0.01", lower="10.00", upper="10.10")
    assert answer.value == pytest.approx(0.8413, abs=1e-4)
    assert answer.as_json()["verdict"] == "not decided"
    assert ask("conformity", value="10", u="0", upper="10").as_json()["verdict"] == "conforms"
    share = ask("conformity", "%", value="10.010", u="0.01", lower="10.00", upper="10.10")
    assert share.value == pytest.approx(84.13, abs=0.01)
    with pytest.raises(Unusable, match="there is no limit"):
        ask("conformity", value="10", u="0.1")
    with pytest.raises(Unusable, match="lies above the upper limit"):
        ask("conformity", value="10", u="0.1", lower="2", upper="1")


def test_expansion_gives_growth_and_the_new_size() -> None:
    answer = ask(
        "expansion", size="75.0200", alpha="23.1 um/m/K", from_temp="30", to_temp="68 degF"
    )
    assert answer.value == pytest.approx(75.002674 - 75.0200, abs=5e-7)
    assert answer.extra.keys["size_mm"] == pytest.approx(75.002674, abs=5e-7)


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ({"old": "-1.85"}, "--old: '-1.85' can't be the thickness of the shim that is in, "
                           "give more than 0 mm, as in 1.850"),
        ({"old": "0"}, "give more than 0 mm"),
        ({"old": "1850"}, "give at most 50 mm"),
        ({"old": "300 lbf*in"}, "--old: 'lbf*in' measures a torque where a length belongs, "
                                "use mm, um, in or thou"),
        ({"old": "1.85 smoot"}, "--old: 'smoot' is not a known unit"),
        ({"old": "nan"}, "--old: 'nan' is not a number"),
        ({"clearance": "-0.1"}, "no less than 0 mm"),
        ({"old": ["1.8", "1.9"]}, "--old: is given twice, give it once at most"),
        ({"read_at": "moon", "lever": "1.2"}, "give cam or stem"),
        ({"lever": "1.2 mm"}, "'mm' measures a length where a plain number belongs"),
    ],
)  # fmt: skip
def test_faults_name_option_fault_and_remedy(typed: dict[str, str | list[str]], text: str) -> None:
    given: dict[str, str | list[str]] = {"old": "1.85", "clearance": "0.14", "target": "0.13"}
    with pytest.raises(Unusable) as caught:
        ask("shim", "", **(given | typed))
    assert text in str(caught.value)


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(Unusable) as caught:
        ask("end-float", depth="1", gasket="x", shaft="-1")
    assert [fault.where for fault in caught.value.faults] == [
        "--depth", "--gasket", "--shaft", "--shim",
    ]  # fmt: skip
    assert "twice" in str(caught.value.faults[0])
    with pytest.raises(Unusable, match="--in: 'degC' measures a temperature"):
        ask("ring-gap-growth", "degC", bore_growth="0.05")
