"""The decision: every side, every rule, and the edges between them."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.conformity import KINDS, Limit, Rule, decide

EXPANDED = Rule("expanded")
PROBABILITY = Rule("probability")
SIMPLE = Rule("simple")


@pytest.mark.parametrize("rule", [EXPANDED, PROBABILITY, SIMPLE])
@pytest.mark.parametrize(
    ("value", "verdict"),
    [(9.999999, "does not conform"), (10.0, "conforms"), (10.1, "conforms"),
     (10.100001, "does not conform")],
)  # fmt: skip
def test_an_exact_value_is_judged_by_the_limits_themselves(
    rule: Rule, value: float, verdict: str
) -> None:
    decision = decide(value, 0.0, 10.0, 10.1, rule)
    assert decision.verdict == verdict
    assert decision.probability == (1.0 if verdict == "conforms" else 0.0)
    assert decision.guard_band == 0.0


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(58.079, "conforms"), (58.080, "conforms"), (58.0801, "not decided"),
     (58.120, "not decided"), (58.1201, "does not conform")],
)  # fmt: skip
def test_one_sided_upper(value: float, verdict: str) -> None:
    assert decide(value, 0.01, upper=58.100).verdict == verdict


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(33.021, "conforms"), (33.02, "conforms"), (33.0, "not decided"), (32.98, "not decided"),
     (32.9799, "does not conform")],
)  # fmt: skip
def test_one_sided_lower(value: float, verdict: str) -> None:
    assert decide(value, 0.01, lower=33.0).verdict == verdict


def test_the_probability_rule_moves_a_lone_limit_by_1_645_u() -> None:
    guard = PROBABILITY.guard_band(0.01)
    assert guard == pytest.approx(0.0164485, abs=1e-6)
    assert decide(58.1 - guard, 0.01, upper=58.1, rule=PROBABILITY).verdict == "conforms"
    assert decide(58.1 - 0.99 * guard, 0.01, upper=58.1, rule=PROBABILITY).verdict == "not decided"
    assert decide(58.1 + guard, 0.01, upper=58.1, rule=PROBABILITY).verdict == "does not conform"


def test_a_spread_wider_than_the_window_never_conforms() -> None:
    for rule in (EXPANDED, PROBABILITY):
        assert decide(10.05, 0.06, 10.0, 10.1, rule).verdict == "not decided"
    assert decide(10.05, 0.06, 10.0, 10.1, SIMPLE).verdict == "conforms"


def test_k_is_a_setting() -> None:
    assert decide(10.02, 0.01, 10.0, 10.1, Rule("expanded", k=3.0)).verdict == "not decided"
    assert decide(10.03, 0.01, 10.0, 10.1, Rule("expanded", k=3.0)).verdict == "conforms"


@given(
    st.floats(-100, 100), st.floats(0, 5), st.floats(-100, 100), st.floats(0, 50),
    st.sampled_from(KINDS),
)  # fmt: skip
def test_a_verdict_agrees_with_its_probability(
    value: float, u: float, lower: float, width: float, kind: str
) -> None:
    rule = next(rule for rule in (EXPANDED, PROBABILITY, SIMPLE) if rule.kind == kind)
    decision = decide(value, u, lower, lower + width, rule)
    assert 0.0 <= decision.probability <= 1.0
    if u > 1e-6 and kind != "simple":
        if decision.verdict == "conforms":
            assert decision.probability > 0.94
        if decision.verdict == "does not conform":
            assert decision.probability < 0.06
    if kind == "simple":
        assert decision.verdict != "not decided"


@given(st.floats(-50, 50), st.floats(0, 5), st.sampled_from(KINDS))
def test_mirrored_limits_give_mirrored_verdicts(value: float, u: float, kind: str) -> None:
    rule = next(rule for rule in (EXPANDED, PROBABILITY, SIMPLE) if rule.kind == kind)
    assert decide(value, u, lower=3.0, rule=rule) == decide(-value, u, upper=-3.0, rule=rule)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1.0, 0.1, None, None), "no limit"),
        ((1.0, 0.1, 2.0, 1.0), "lies above"),
        ((1.0, -0.1, 0.0, 1.0), "0 or more"),
        ((math.nan, 0.1, 0.0, 1.0), "value must be a finite number"),
        ((1.0, math.inf, 0.0, 1.0), "u must be a finite number"),
        ((1.0, 0.1, math.nan, 1.0), "lower must be a finite number"),
    ],
)
def test_nonsense_is_refused(
    arguments: tuple[float, float, float | None, float | None], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        decide(*arguments)


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"kind": "sideways"}, "a rule is one of"),
        ({"k": 0.0}, "above 0"),
        ({"k": math.nan}, "above 0"),
        ({"probability": 1.0}, "between 0.5 and 1"),
        ({"probability": 0.5}, "between 0.5 and 1"),
    ],
)
def test_a_rule_outside_the_list_is_refused(settings: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Rule(**settings)


def test_limit_holds_an_open_side() -> None:
    assert Limit(None, 58.1).lower is None


@pytest.mark.parametrize("hundredths", range(1, 200))
def test_a_size_on_the_moved_limit_is_not_lost_to_binary_fractions(hundredths: int) -> None:
    """Sizes as typed, against 1.10 + 0.10 and its like, which are no exact floats."""
    limit, u = Decimal(hundredths) / 100, Decimal("0.05")
    for moved in (limit + 2 * u, limit - 2 * u):
        low = decide(float(moved), float(u), lower=float(limit)).verdict
        high = decide(float(moved), float(u), upper=float(limit)).verdict
        assert {low, high} == {"conforms", "not decided"}
