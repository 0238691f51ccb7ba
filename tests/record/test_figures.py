"""Figures say what the numbers say, for any numbers."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.record.figures import Band, Strip, chance_strips, percent, verdict_strip
from gudgeon.record.marks import WORDS
from gudgeon.record.profile import Profile, bore_profile

SVG = "{http://www.w3.org/2000/svg}"
sizes = st.floats(-5.0, 500.0, allow_nan=False)
ends = st.none() | sizes


def finite(svg: str) -> bool:
    root = ET.fromstring(svg)
    return all(
        math.isfinite(float(value))
        for item in root.iter()
        for key, value in item.attrib.items()
        if key in ("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height")
        and not value.endswith("mm")
    )


@given(value=ends, u=st.floats(0.0, 5.0), new=st.tuples(ends, ends), service=st.tuples(ends, ends))
def test_a_strip_is_drawn_for_any_value_and_limits(
    value: float | None,
    u: float,
    new: tuple[float | None, float | None],
    service: tuple[float | None, float | None],
) -> None:
    svg = verdict_strip(value, u, Band(*new), Band(*service))
    limited = any(end is not None for end in (*new, *service))
    assert (svg is not None) == (value is not None and limited)
    assert svg is None or finite(svg)


def dot_and_walls(value: float, new: Band, service: Band) -> tuple[float, list[float]]:
    root = ET.fromstring(verdict_strip(value, 0.004, new, service) or "")
    dots = [float(c.attrib["cx"]) for c in root.iter(f"{SVG}circle")]
    walls = [
        float(line.attrib["x1"])
        for line in root.iter(f"{SVG}line")
        if line.attrib["stroke-width"] == "0.42"
    ]
    return dots[0], walls


@pytest.mark.parametrize(("value", "beyond"), [(81.05, False), (81.099, False), (81.104, True)])
def test_the_dot_lies_on_its_side_of_the_limit(value: float, beyond: bool) -> None:
    dot, (wall,) = dot_and_walls(value, Band(81.0, 81.02), Band(None, 81.1))
    assert (dot > wall) == beyond


def test_far_off_values_become_an_arrow() -> None:
    svg = verdict_strip(90.0, 0.004, Band(81.0, 81.02), Band(None, 81.1)) or ""
    assert "<circle" not in svg
    assert "<path" in svg


@given(
    st.lists(
        st.builds(
            Strip,
            st.text(max_size=30),
            st.floats(0.0, 0.2),
            st.floats(0.21, 0.5),
            ends,
            ends,
            st.floats(0.0, 1.0),
            st.none() | st.floats(0.0, 1.0),
            ends,
        ),
        min_size=1,
        max_size=4,
    )
)
def test_any_strips_can_be_drawn(rows: list[Strip]) -> None:
    assert finite(chance_strips(rows))


@given(st.floats(0.0, 1.0))
def test_a_chance_is_never_printed_as_certain(chance: float) -> None:
    told = percent(chance)
    assert told not in ("100 %", "100.0 %", "0 %", "0.0 %")
    number = float(told.strip("<>% "))
    if not told.startswith(("<", ">")):
        assert abs(number - 100 * chance) <= 0.5000001


def profile(**values: float) -> Profile:
    readings = {tuple(key.split("_")): size for key, size in values.items()}
    return Profile(
        "cylinder 1, bore",
        ("top", "foot"),
        ("thrust", "pin"),
        {(k[0], k[1]): v for k, v in readings.items()},
        0.004,
        Band(None, 78.015),
        Band(None, 78.07),
        WORDS[1],
    )


def test_a_profile_prints_its_readings_and_limits() -> None:
    text = "".join(
        ET.fromstring(bore_profile(profile(top_thrust=78.061, foot_pin=78.01))).itertext()
    )
    for word in ("78.061", "78.010", "new ≤ 78.015", "service ≤ 78.070", "thrust", "foot"):
        assert word in text


def test_a_worn_wall_lies_further_out() -> None:
    root = ET.fromstring(
        bore_profile(profile(top_thrust=78.061, foot_thrust=78.02, top_pin=78.03, foot_pin=78.02))
    )
    dots = [
        (float(c.attrib["cx"]), float(c.attrib["cy"]))
        for c in root.iter(f"{SVG}circle")
        if c.attrib["r"] == "0.6"
    ]
    (top_thrust, _), (foot_thrust, _), (top_pin, _), (foot_pin, _) = dots
    assert top_thrust < foot_thrust < foot_pin < top_pin


@given(
    st.dictionaries(
        st.sampled_from(["top_thrust", "foot_thrust", "top_pin", "foot_pin"]), sizes, min_size=1
    )
)
def test_any_profile_can_be_drawn(values: dict[str, float]) -> None:
    assert finite(bore_profile(profile(**values)))
