"""What would decide an open verdict: carried out, it does decide."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.conformity import Rule, decide
from gudgeon.metrology.deciding import what_would_decide
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.base import Limits

UPPER = Limits.model_validate({"max": "58.100"})


def value(at: float, shared: float, own: float) -> Measured:
    return Measured(at, {"instrument:x/zero": shared, "reading:1": own})


@given(st.floats(58.085, 58.0999), st.floats(0.0001, 0.004), st.floats(0.001, 0.006))
def test_the_readings_it_asks_for_decide(at: float, shared: float, own: float) -> None:
    open_value = value(at, shared, own)
    if decide(at, open_value.u, None, 58.1).verdict != "not decided":
        return
    told = what_would_decide(open_value, UPPER, Rule())
    count = re.match(r"(\d) readings", told)
    if count is not None:
        repeated = value(at, shared, own / math.sqrt(int(count[1])))
        assert decide(at, repeated.u, None, 58.1).verdict == "conforms"
        fewer = value(at, shared, own / math.sqrt(int(count[1]) - 1))
        assert decide(at, fewer.u, None, 58.1).verdict == "not decided"
    wanted = re.search(r"uncertainty (\d\.\d+) or less", told)
    if wanted is not None:
        reached = (float(wanted[1]) - 0.00005) * 0.999
        assert decide(at, reached, None, 58.1).verdict == "conforms"


def test_on_the_limit_nothing_decides() -> None:
    assert "on the limit" in what_would_decide(value(58.1, 0.001, 0.001), UPPER, Rule())


@pytest.mark.parametrize("limit", [None, Limits.model_validate({})])
def test_without_a_limit_or_a_guard_band_there_is_nothing_to_say(limit: Limits | None) -> None:
    assert what_would_decide(value(58.1, 0.001, 0.001), limit, Rule()) == ""
    assert what_would_decide(value(58.1, 0.001, 0.001), UPPER, Rule("simple")) == ""
