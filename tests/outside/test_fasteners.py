"""Threads, classes, torque and adapters against standards, a textbook and government manuals."""

from __future__ import annotations

import statistics

import pytest

from gudgeon.calc.calculation import run
from gudgeon.calc.registry import BY_NAME
from gudgeon.clamp.threads import class_named, proof_load, strengths, tensile_load, thread_named
from gudgeon.clamp.torque import (
    TORQUE_FACTORS,
    adapter_setting,
    clamp_load,
    proof_share,
    torque_for,
    torque_through,
)

INCH = 25.4
LBF = 4.4482216152605
LBF_IN = 0.1129848290276167


@pytest.mark.parametrize(
    ("name", "diameter", "expected"),
    [
        ("4.6", 10.0, (400, 240, 225)),
        ("4.8", 10.0, (420, 340, 310)),
        ("5.6", 10.0, (500, 300, 280)),
        ("5.8", 10.0, (520, 420, 380)),
        ("6.8", 10.0, (600, 480, 440)),
        ("8.8", 16.0, (800, 640, 580)),
        ("8.8", 18.0, (830, 660, 600)),
        ("9.8", 10.0, (900, 720, 650)),
        ("10.9", 10.0, (1040, 940, 830)),
        ("12.9", 10.0, (1220, 1100, 970)),
    ],
)
def test_property_classes(name: str, diameter: float, expected: tuple[float, float, float]) -> None:
    """EN ISO 898-1:2013, Table 3, by way of two suppliers' copies, which agree."""
    assert strengths(class_named(name), diameter) == expected


@pytest.mark.parametrize(
    ("name", "computed", "tabled"),
    [
        ("M6x1", 20.123, 20.1),
        ("M8x1.25", 36.609, 36.6),
        ("M10x1.5", 57.990, 58.0),
        ("M12x1.75", 84.266, 84.3),
        ("M8x1", 39.167, 39.2),
    ],
)
def test_stress_areas(name: str, computed: float, tabled: float) -> None:
    """ISO 898-1 nominal stress areas, by way of two public tables (one for M8x1)."""
    area = thread_named(name).stress_area
    assert area == pytest.approx(computed, abs=1e-3)
    assert float(f"{area:.3g}") == tabled


LOADS = {  # proof 8.8, 10.9, 12.9; ultimate 8.8, 10.9, 12.9
    "M6": (11_600, 16_700, 19_500, 16_100, 20_900, 24_500),
    "M8": (21_200, 30_400, 35_500, 29_200, 38_100, 44_600),
    "M10": (33_700, 48_100, 56_300, 46_400, 60_300, 70_800),
    "M12": (48_900, 70_000, 81_800, 67_400, 87_700, 103_000),
}


@pytest.mark.parametrize("name", LOADS)
def test_proof_and_ultimate_loads(name: str) -> None:
    """ISO 898-1, tables of proof and ultimate loads, coarse threads; three copies that agree.

    The tables are rounded down from areas of three figures: 0.6 % is as close as they go.
    """
    grades = [class_named(grade) for grade in ("8.8", "10.9", "12.9")]
    thread = thread_named(name)
    found = [proof_load(thread, grade) for grade in grades]
    found += [tensile_load(thread, grade) for grade in grades]
    rounding = float(f"{thread.stress_area:.3g}") / thread.stress_area
    assert [load * rounding for load in found] == pytest.approx(LOADS[name], rel=6e-3)
    assert found == pytest.approx(LOADS[name], rel=7e-3)


def test_torque_of_a_preload() -> None:
    """Shigley, 9th ed., Example 8-3(b): 25 000 lbf in a 3/4 in bolt, K 0.20, take 3750 lbf·in.

    Inputs from the page, the answer from memory.
    """
    moment = torque_for(25_000 * LBF, 0.75 * INCH, 0.20)
    assert moment / LBF_IN == pytest.approx(3750.0)
    typed = {"torque": ["3750 lbf*in"], "diameter": ["0.75 in"], "k": ["0.20"]}
    assert run(BY_NAME["clamp-load"], typed, "lbf").value == pytest.approx(25_000.0)


def test_torque_factors() -> None:
    """Shigley, 9th ed., Table 8-15 (it also has special nuts, 0.09, which are not kept here)."""
    table = {row.condition: row.k for row in TORQUE_FACTORS if row.source.startswith("Shigley")}
    assert table == {
        "condition not stated": 0.20,
        "black finish, not plated": 0.30,
        "zinc plated": 0.20,
        "lubricated": 0.18,
        "cadmium plated": 0.16,
        "anti-seize": 0.12,
    }


def test_share_of_the_proof_load() -> None:
    """Derived from ISO 898-1: M8x1.25 of class 10.9 at 75 % of its proof load, K 0.20."""
    load = 0.75 * 830.0 * 36.6
    assert load == pytest.approx(22_783.5)
    assert torque_for(load, 8.0) == pytest.approx(36.454, abs=5e-4)
    thread, grade = thread_named("M8x1.25"), class_named("10.9")
    assert torque_for(0.75 * proof_load(thread, grade), 8.0) == pytest.approx(36.463, abs=1e-3)
    assert proof_share(36.463, thread, grade) == pytest.approx(0.75, abs=2e-5)
    typed = {"torque": ["36.463"], "thread": ["M8x1.25"], "class": ["10.9"]}
    assert run(BY_NAME["proof-share"], typed, "%").value == pytest.approx(75.0, abs=2e-3)


def test_one_torque_does_not_give_one_load() -> None:
    """Shigley, 9th ed., Table 8-14: ten lubricated bolts at 90 N·m; mean 34.18 kN, s 2.88.

    All lie within the scatter that is shown with any load: 25 % for lubricated bolts.
    """
    loads = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5]
    mean = statistics.mean(loads)
    assert mean == pytest.approx(34.18)
    assert statistics.stdev(loads) == pytest.approx(2.88, abs=0.01)
    low, high = 0.75 * mean, 1.25 * mean
    assert low < min(loads)
    assert max(loads) < high


def test_extension_straight_out() -> None:
    """US Army TM 1-1500-204-23-9, fig. 8-16: 300 in-lb, wrench 10 in, extension 4 in: 214 in-lb."""
    setting = adapter_setting(300 * LBF_IN, 10 * INCH, 4 * INCH)
    assert round(setting / LBF_IN) == 214
    assert setting / LBF_IN == pytest.approx(214.286, abs=1e-3)
    typed = {"torque": ["300 lbf*in"], "wrench": ["10 in"], "adapter": ["4 in"]}
    found = run(BY_NAME["torque-adapter"], typed, "lbf*in")
    assert found.value == pytest.approx(214.286, abs=1e-3)


def test_extension_the_other_way() -> None:
    """US Army TM 9-254, fig. 4-5: set to 60 in-lb, wrench 12 in, extension 2 in: 70 in-lb."""
    through = torque_through(60 * LBF_IN, 12 * INCH, 2 * INCH)
    assert through / LBF_IN == pytest.approx(70.0)


def test_adapter_square_to_the_wrench() -> None:
    """NAVEDTRA 14008, Aviation Machinist's Mate: at 90° to the handle no correction is needed."""
    assert adapter_setting(25.0, 254.0, 101.6, 90.0) == pytest.approx(25.0)
    typed = {"torque": ["25"], "wrench": ["254"], "adapter": ["101.6"], "angle": ["90"]}
    assert run(BY_NAME["torque-adapter"], typed).value == pytest.approx(25.0)


def test_scatter_is_shown_with_every_load() -> None:
    """NASA-STD-5020 (2012), Table 3, as quoted elsewhere: 35 % dry and 25 % lubricated."""
    answer = run(BY_NAME["clamp-load"], {"torque": ["25"], "diameter": ["8"]})
    load = clamp_load(25.0, 8.0)
    assert answer.extra.keys["load_low_N"] == pytest.approx(0.65 * load)
    assert answer.extra.keys["load_high_N"] == pytest.approx(1.35 * load)
    assert any("+-35 % dry, +-25 % lubricated" in note for note in answer.extra.notes)
