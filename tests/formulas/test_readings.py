"""Compression and leak-down readings: an invented engine, and what no gauge can read."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.formulas import readings
from gudgeon.metrology.measured import Measured


def test_an_engine_with_one_low_cylinder() -> None:
    """Invented: 1150, 1120, 980 and 1135 kPa; the third 1130 with oil, 497 held of 690."""
    dry = [1150.0, 1120.0, 980.0, 1135.0]
    assert readings.lowest_over_highest(dry) == pytest.approx(0.85, abs=5e-3)
    assert readings.wet_gain(980.0, 1130.0) / 980.0 == pytest.approx(0.15, abs=5e-3)
    assert readings.leak_down(690.0, 620.0) == pytest.approx(10.0, abs=0.2)
    assert readings.leak_down(690.0, 497.0) == pytest.approx(28.0, abs=0.05)
    assert readings.below_mean(dry).low == ()
    gain = readings.wet_gain(Measured.of(980.0, 10.0, "gauge"), Measured.of(1130.0, 10.0, "gauge"))
    assert gain.u == 0.0


@given(st.lists(st.floats(100.0, 2000.0), min_size=1, max_size=8), st.floats(0.5, 20.0))
def test_no_unit_changes_what_is_low(values: list[float], factor: float) -> None:
    found = readings.below_mean(values)
    scaled = readings.below_mean([factor * value for value in values])
    assert scaled.mean == pytest.approx(factor * found.mean)
    near = [i for i, value in enumerate(values) if abs(value / found.limit - 1.0) < 1e-8]
    assert set(found.low) ^ set(scaled.low) <= set(near)
    assert 0.0 < readings.lowest_over_highest(values) <= 1.0


@given(st.floats(100.0, 1000.0), st.floats(0.0, 1.0))
def test_leakage_lies_between_nothing_and_all(supply: float, share: float) -> None:
    leak = readings.leak_down(supply, share * supply)
    assert leak == pytest.approx(100.0 * (1.0 - share), abs=1e-9)
    assert readings.leaks_more_than(supply, share * supply, leak) is False


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: readings.leak_down(0.0, 0.0), "above 0"),
        (lambda: readings.lowest_over_highest([]), "at least one"),
        (lambda: readings.lowest_over_highest([1000.0, 0.0]), "above 0"),
        (lambda: readings.below_mean([1000.0], 1.0), "between 0 and 1"),
        (lambda: readings.orifice_for(0.0), "more than 0"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        call()
