"""Lobe centres and events: invented cams, and each way round."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.metrology.measured import Measured
from gudgeon.timing import events

centres = st.floats(90.0, 125.0)
lengths = st.floats(190.0, 320.0)


def test_two_cams() -> None:
    """Invented: inlet 18/46, exhaust 50/12, at 1.00 mm."""
    assert events.duration(18.0, 46.0) == 244.0
    assert events.lobe_centre("in", 18.0, 46.0) == 104.0
    assert events.duration(50.0, 12.0) == 242.0
    assert events.lobe_centre("ex", 50.0, 12.0) == 109.0
    assert events.centre_by_equal_lift(61.0, 147.5) == 104.25
    assert events.slot_arc(22.0, 3.0) == pytest.approx(0.576, abs=5e-4)


@given(st.sampled_from(events.CAMS), centres, lengths)
def test_events_and_centre_undo_each_other(cam: events.Cam, centre: float, length: float) -> None:
    opens, closes = events.events(cam, centre, length)
    assert events.duration(opens, closes) == pytest.approx(length)
    assert events.lobe_centre(cam, opens, closes) == pytest.approx(centre)


@settings(deadline=None)
@given(st.sampled_from(events.CAMS), centres, lengths)
def test_the_centre_is_where_a_symmetric_lift_is_highest(
    cam: events.Cam, centre: float, length: float
) -> None:
    """A lift curve sampled at 0.1°, its events read off at one lift, its peak by sampling."""
    sign = 1.0 if cam == "in" else -1.0
    angle = np.arange(-360.0, 360.0, 0.1)
    lift = 9.0 * np.exp(-(((angle - sign * centre) / (0.4 * length)) ** 2))
    open_ = angle[lift > 1.0]
    first, last = float(open_[0]), float(open_[-1])
    if cam == "in":
        opens, closes = -first, last - 180.0
    else:
        opens, closes = -180.0 - first, last
    found = events.lobe_centre(cam, opens, closes)
    assert found == pytest.approx(abs(float(angle[int(np.argmax(lift))])), abs=0.2)


@given(centres, centres, lengths, lengths)
def test_overlap_from_centres(inlet: float, exhaust: float, first: float, second: float) -> None:
    """Half of both durations, less twice the lobe separation."""
    opens, _ = events.events("in", inlet, first)
    _, closes = events.events("ex", exhaust, second)
    apart = events.lobe_separation(inlet, exhaust)
    assert events.overlap(opens, closes) == pytest.approx((first + second) / 2 - 2 * apart)


def test_errors_travel_through() -> None:
    """Both events move a duration fully, a centre by half."""
    opens, closes = Measured.of(18.0, 0.5, "eye 1"), Measured.of(46.0, 0.5, "eye 2")
    assert events.duration(opens, closes).u == pytest.approx(0.5 * math.sqrt(2))
    assert events.lobe_centre("in", opens, closes).u == pytest.approx(0.25 * math.sqrt(2))
    zero = Measured.of(0.0, 1.0, "disc zero")
    centre = events.lobe_centre("in", 18.0 - zero, 46.0 + zero)
    assert centre.u == pytest.approx(1.0)
    assert events.duration(18.0 - zero, 46.0 + zero).u == pytest.approx(0.0)
