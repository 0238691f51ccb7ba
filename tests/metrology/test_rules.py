"""The makers' rules, on six readings of an invented bore and on grids of any size."""

from __future__ import annotations

from itertools import product
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.measured import Measured
from gudgeon.metrology.rules import OTHER, WORDS, Plan, Value, change, derive
from gudgeon.sheet.features import Rule

PLAN: Plan = {"height": ["top", "mid", "foot"], "axis": ["thrust", "pin"]}
SIX: dict[tuple[str, ...], float] = {
    ("top", "thrust"): 58.062,
    ("top", "pin"): 58.031,
    ("mid", "thrust"): 58.030,
    ("mid", "pin"): 58.019,
    ("foot", "thrust"): 58.010,
    ("foot", "pin"): 58.008,
}


def value(rule: Rule, six: dict[tuple[str, ...], float], plan: Plan = PLAN) -> float | None:
    found = derive(rule, plan, {s: Measured(v) for s, v in six.items()})
    return None if found.value is None else found.value.value


RULES: tuple[Rule, ...] = get_args(Rule)
LEVELLED: tuple[Rule, ...] = ("taper-of-pairs", "oval-over-all")
DIFFERENCES: tuple[Rule, ...] = (*LEVELLED, "range", "taper-down-an-axis", "oval-half")


def derived(rule: Rule, six: dict[tuple[str, ...], float]) -> Value:
    return derive(rule, PLAN, {s: Measured(v) for s, v in six.items()})


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ("max", 58.062),
        ("min", 58.008),
        ("mean", 58.026666667),
        ("range", 0.054),
        ("taper-of-pairs", 0.052),
        ("taper-down-an-axis", 0.052),
        ("oval-over-all", 0.054),
        ("oval-at-a-height", 0.031),
        ("oval-half", 0.0155),
    ],
)
def test_each_rule_on_a_worn_bore(rule: Rule, expected: float) -> None:
    assert value(rule, SIX) == pytest.approx(expected)


def test_formulas_show_their_numbers() -> None:
    found = {rule: derived(rule, SIX).formula for rule in RULES if rule != "change"}
    assert found["max"] == "max of 6 (top thrust 58.062)"
    assert found["taper-of-pairs"] == "max top 58.062 − max foot 58.010"
    assert found["taper-down-an-axis"] == "max 58.062 − min 58.010 (thrust)"
    assert found["oval-at-a-height"] == "max 58.062 − min 58.031 (top)"
    assert found["oval-half"] == "half of max 58.062 − min 58.031 (top)"
    assert found["range"] == "max 58.062 − min 58.008"


Six = st.lists(st.integers(58000, 58200), min_size=6, max_size=6).map(
    lambda microns: dict(zip(SIX, (m / 1000 for m in microns), strict=True))
)


@given(Six)
def test_rules_agree_with_their_words(six: dict[tuple[str, ...], float]) -> None:
    tops = [v for s, v in six.items() if s[0] == "top"]
    feet = [v for s, v in six.items() if s[0] == "foot"]
    thrust = [v for s, v in six.items() if s[1] == "thrust"]
    pin = [v for s, v in six.items() if s[1] == "pin"]
    assert value("taper-of-pairs", six) == pytest.approx(max(tops) - max(feet))
    assert value("oval-over-all", six) == pytest.approx(max(thrust) - min(pin))
    heights = [abs(a - b) for a, b in zip(thrust, pin, strict=True)]
    assert value("oval-at-a-height", six) == pytest.approx(max(heights))
    assert value("oval-half", six) == pytest.approx(max(heights) / 2)
    spans = [max(axis) - min(axis) for axis in (thrust, pin)]
    assert value("taper-down-an-axis", six) == pytest.approx(max(spans))
    assert value("range", six) == pytest.approx(max(six.values()) - min(six.values()))


@given(Six)
def test_a_value_below_zero_is_judged_by_its_amount(six: dict[tuple[str, ...], float]) -> None:
    for rule in LEVELLED:
        found = derived(rule, six)
        assert found.value is not None
        judged = found.judged or found.value
        assert judged.value >= 0.0
        assert (found.judged is not None) == (found.value.value < 0.0) == bool(found.notes)


@given(Six)
def test_an_added_zero_error_changes_no_difference(six: dict[tuple[str, ...], float]) -> None:
    for rule in DIFFERENCES:
        shared = {s: Measured(v, {"zero": 0.004}) for s, v in six.items()}
        found = derive(rule, PLAN, shared)
        assert found.value is not None
        assert found.value.u == pytest.approx(0.0, abs=1e-15)


def test_missing_readings_leave_a_rule_without_value_or_with_what_there_is() -> None:
    without_foot = {s: v for s, v in SIX.items() if s[0] != "foot"}
    assert value("taper-of-pairs", without_foot) is None
    assert value("max", without_foot) == 58.062
    one_axis = {s: v for s, v in SIX.items() if s[1] == "thrust"}
    assert value("oval-over-all", one_axis) is None
    assert value("oval-half", one_axis) is None
    assert value("max", {}) is None
    assert value("range", {("top", "thrust"): 58.0}) is None


def test_three_directions_are_held_against_each_other_at_each_depth() -> None:
    plan = {"angle": ["30", "90", "150"], "depth": ["front", "rear"]}
    spots = list(product(*plan.values()))
    sizes = dict(zip(spots, [36.001, 36.002, 36.009, 36.003, 36.004, 36.000], strict=True))
    at_front = max(sizes[a, "front"] for a in plan["angle"]) - min(
        sizes[a, "front"] for a in plan["angle"]
    )
    assert value("oval-at-a-height", sizes, plan) == pytest.approx(max(at_front, 0.003))
    rest = [v for s, v in sizes.items() if s[0] != "30"]
    first = [v for s, v in sizes.items() if s[0] == "30"]
    assert value("oval-over-all", sizes, plan) == pytest.approx(max(first) - min(rest))


def test_change_is_later_less_earlier_and_a_shared_zero_cancels() -> None:
    found = change(
        Measured(38.21, {"zero": 0.002, "a": 0.003}),
        Measured(38.32, {"zero": 0.002, "b": 0.003}),
        ("found", "seated"),
        2,
    )
    assert found.value is not None
    assert found.value.value == pytest.approx(0.11)
    assert found.value.u == pytest.approx(0.003 * 2**0.5)
    assert found.formula == "seated 38.32 − found 38.21"
    with pytest.raises(ValueError, match="two epochs"):
        derive("change", PLAN, {})


def test_every_rule_has_its_words() -> None:
    assert set(WORDS) == set(RULES)


def test_the_other_convention_is_of_the_same_family() -> None:
    for rule, other in OTHER.items():
        assert rule.split("-")[0] == other.split("-")[0]


@pytest.mark.parametrize("rule", ["range", "oval-at-a-height", "oval-half", "taper-down-an-axis"])
def test_equal_readings_still_carry_their_errors(rule: Rule) -> None:
    same = {
        spot: Measured(33.995, {f"reading:{spot}": 0.002, "instrument:a/zero": 0.001})
        for spot in SIX
    }
    found = derive(rule, PLAN, same).value
    assert found is not None
    assert found.value == 0.0
    assert found.u == pytest.approx(0.002 * 2**0.5 * (0.5 if rule == "oval-half" else 1.0))
