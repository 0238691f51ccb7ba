"""What would decide an open verdict: carried out, it does decide."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.blades import Blades, blades
from gudgeon.metrology.conformity import Rule, decide
from gudgeon.metrology.deciding import what_would_decide
from gudgeon.metrology.instruments import Owned
from gudgeon.metrology.kinds import KINDS
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.base import Limits
from gudgeon.sheet.features import Feature

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


def feature(**more: Any) -> Feature:
    return Feature.model_validate({"at": "cylinder", **more})


BORE = feature(by="telescopic", wears="larger", new=["58.000", "58.010"])
SHAFT = feature(wears="smaller", new=["57.960", "57.975"])


@pytest.mark.parametrize(
    ("read", "at", "told"),
    [
        (
            BORE,
            58.0885,
            "a dial bore gauge set to a micrometer would decide it, if the value stays",
        ),
        (BORE, 58.0950, "it lies 0.005 from the limit: no instrument of the list decides that"),
        (SHAFT, 58.0915, "a micrometer 0.01 thimble would decide it, if the value stays"),
        (SHAFT, 58.0930, "a micrometer 0.001 would decide it, if the value stays"),
        (SHAFT, 58.0950, "it lies 0.005 from the limit: no instrument of the list decides that"),
    ],
)
def test_the_plainest_instrument_that_decides_is_named(read: Feature, at: float, told: str) -> None:
    """Checked by hand: with U 0.010, 0.008 and 0.006 at 58 mm, the limit at 58.100."""
    rough = Measured(at, {"instrument:x/zero": 0.0125, "reading:1": 0.0005})
    assert what_would_decide(rough, UPPER, Rule(), 3, [read]) == told


@pytest.mark.parametrize("at", [58.080, 58.0905, 58.0915, 58.0949, 58.0951, 58.0975])
def test_the_kind_named_is_the_plainest_that_decides(at: float) -> None:
    """Read with a telescopic gauge of U 0.025: either kind for a hole, or none, by its own U."""
    rough = Measured(at, {"instrument:x/zero": 0.0125})
    words = what_would_decide(rough, UPPER, Rule(), 3, [BORE])
    decides = [
        kind.words
        for kind in (KINDS["telescopic"], KINDS["bore-gauge"])
        if decide(at, kind.expanded(at) / 2.0, None, 58.1).verdict == "conforms"
    ]
    assert (decides[0] in words) if decides else ("no instrument of the list" in words)


def test_for_a_clearance_both_instruments_are_named() -> None:
    limit = Limits.model_validate({"max": "0.120"})
    rough = Measured(0.105, {"instrument:x/zero": 0.0125, "instrument:y/zero": 0.004})
    assert what_would_decide(rough, limit, Rule(), 3, [BORE, SHAFT]) == (
        "a dial bore gauge set to a micrometer for hole and a micrometer 0.01 thimble for shaft"
        " would decide it, if the value stays"
    )


def test_a_difference_loses_the_zero_error() -> None:
    """A taper of 0.0415 against 0.050: of a micrometer only what is each reading's own counts."""
    limit = Limits.model_validate({"max": "0.050"})
    rough = Measured(0.0415, {"instrument:x/zero": 0.0050})
    told = what_would_decide(rough, limit, Rule(), 3, [SHAFT], difference=True)
    assert told == "a micrometer 0.001 would decide it, if the value stays"
    own = KINDS["micrometer-0.001"].figures(58.0).reading
    assert decide(0.0415, math.sqrt(2.0) * own, None, 0.050).verdict == "conforms"


@pytest.mark.parametrize(
    ("goes", "wont", "limit", "told"),
    [
        ("0.15", "0.20", "0.190", "read again with blades in 0.01 steps: they would decide it"),
        ("0.20", "0.21", "0.200", "nearer than blades can tell: their feel alone is ±0.008"),
    ],
)
def test_a_gap_is_told_what_blades_can_do(goes: str, wont: str, limit: str, told: str) -> None:
    read = blades(goes, wont, None, "mm", Owned("feeler", KINDS["feeler"]), "e1")
    assert isinstance(read, Blades)
    assert read.value is not None
    ends = Limits.model_validate({"max": limit})
    words = what_would_decide(read.value, ends, Rule(), 3, [feature(kind="gap")])
    assert told in words
    assert "uncertainty" not in words
    if "steps" in told:
        again = blades("0.17", "0.18", None, "mm", Owned("feeler", KINDS["feeler"]), "e2")
        assert isinstance(again, Blades)
        assert again.value is not None
        at = read.value.value
        assert decide(at, again.value.u, None, float(limit)).verdict == "conforms"


def test_on_the_limit_nothing_decides() -> None:
    assert "on the limit" in what_would_decide(value(58.1, 0.001, 0.001), UPPER, Rule())


@pytest.mark.parametrize("limit", [None, Limits.model_validate({})])
def test_without_a_limit_or_a_guard_band_there_is_nothing_to_say(limit: Limits | None) -> None:
    assert what_would_decide(value(58.1, 0.001, 0.001), limit, Rule()) == ""
    assert what_would_decide(value(58.1, 0.001, 0.001), UPPER, Rule("simple")) == ""
