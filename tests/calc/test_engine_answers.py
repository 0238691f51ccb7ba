"""Answers on crank, cams, volumes and bolts: the sum by itself, the notes, the faults."""

from __future__ import annotations

import math
import re
import sys

import pytest

from gudgeon.calc.calculation import Answer, run
from gudgeon.calc.registry import BY_NAME
from gudgeon.cli import main
from gudgeon.faults import Unusable


def ask(line: str, unit: str = "") -> Answer:
    """Run a calculation from its line as typed, without quotes."""
    name, *options = re.split(r"\s+--", line)
    typed: dict[str, list[str]] = {}
    for option in options:
        key, _, text = option.partition(" ")
        several = BY_NAME[name].name == "mark-return"
        typed.setdefault(key, []).extend(text.split() if several else [text])
    return run(BY_NAME[name], typed, unit)


def reckoned(text: str) -> float:
    """A sum as shown, worked out from its text alone."""
    before = text.partition(" = ")[0]
    before = re.sub(r"(sin|cos) (\S+?) deg", r"\1(radians(\2))", before)
    for shown, python in ((" x ", " * "), ("^", "**"), ("pi/4", "(pi/4)")):
        before = before.replace(shown, python)
    names = {name: getattr(math, name) for name in ("pi", "sin", "cos", "radians", "sqrt", "lcm")}
    assert re.fullmatch(r"[\w\s.+*/(),-]+", before), before
    return float(eval(before, {"__builtins__": {}}, names))


@pytest.mark.parametrize(
    "line",
    [
        "piston-position --crank-radius 22.5 --rod 90 --angle 30",
        "piston-position --crank-radius 22.5 --rod 90 --angle -30",
        "compression-ratio --bore 76 --stroke 55 --chamber 22.0",
        "compression-ratio --bore 76 --stroke 55 --chamber 22.0 --dome -3.0 --deck -0.1",
        "compression-ratio --bore 76 --stroke 55 --chamber 22 --gasket 0.8 --gasket-bore 78",
        "compression-ratio --bore 76 --stroke 55 --chamber 22 --gasket 0.8",
        "skim-for-ratio --ratio 12.7 --swept 133.27 --chamber-volume 11.540 --area 2398.8",
        "lobe-centre --cam in --opens 18 --closes 46",
        "lobe-centre --cam ex --opens 50 --closes -2",
        "tooth-error --teeth 24 --turns-per-crank-turn 20/30",
        "mark-return --teeth 20 37 40",
        "torque-adapter --torque 25 --wrench 380 --adapter 45",
        "torque-adapter --torque 25 --wrench 380 --adapter 45 --angle 135",
        "clamp-load --torque 25 --diameter 8",
        "clamp-load --torque 25 --diameter 8 --k 0.15",
        "proof-share --torque 25 --thread M8 --class 8.8 --k 0.15",
        "leak-down --supply 690 --held 497",
    ],
)
def test_the_sum_shown_comes_to_the_answer(line: str) -> None:
    answer = ask(line)
    assert reckoned(answer.sum) == pytest.approx(answer.value, rel=3e-5)


def test_a_pin_offset_is_explained() -> None:
    answer = ask("piston-position --crank-radius 22.5 --rod 90 --angle 3 --pin-offset -0.5")
    assert "(-0.5)^2" in answer.sum
    told = " ".join(answer.extra.notes)
    assert "past the line of the bore" in told
    assert "a dial at its dwell can't find top dead centre" in told
    far = ask("piston-position --crank-radius 22.5 --rod 90 --angle 60")
    assert "dwell" not in " ".join(far.extra.notes)
    with pytest.raises(Unusable, match="the crank could not turn"):
        ask("piston-position --crank-radius 50 --rod 40 --angle 60")


def test_uncertainty_of_a_ratio() -> None:
    """A burette good to 0.2 cm³ is worth 0.2 in ratio on a small engine (invented)."""
    answer = ask(
        "compression-ratio --bore 58.255 --stroke 50 --chamber 11.2 +- 0.2 --dome 2.0 "
        "--gasket 0.65 --gasket-bore 59.5 --deck 0.20"
    )
    assert answer.u == pytest.approx(0.20, abs=0.005)
    assert answer.extra.keys["squish_mm"] == 0.85


def test_a_skim_that_is_none() -> None:
    answer = ask("skim-for-ratio --ratio 10 --swept 133.27 --chamber-volume 11.540 --area 2398.8")
    assert answer.value < 0
    assert "a thicker gasket" in " ".join(answer.extra.notes)
    skim = ask("skim-for-ratio --ratio 13 --swept 133.27 --chamber-volume 11.540 --area 2398.8")
    told = " ".join(skim.extra.notes)
    assert "exhaust valves lose room" in told
    assert "no substitute for clay or a dial" in told


def test_a_lobe_centre_says_which_side() -> None:
    inlet = ask("lobe-centre --cam in --opens 18 --closes 46 +- 1")
    assert inlet.value == 104.0
    assert inlet.u == pytest.approx(0.5)
    assert "104.0 deg after top dead centre; duration 244 deg" in inlet.extra.notes[0]
    exhaust = ask("lobe-centre --cam ex --opens 50 --closes 12")
    assert "109.0 deg before top dead centre; duration 242 deg" in exhaust.extra.notes[0]
    assert exhaust.as_json()["side_of_tdc"] == "before"


def test_trains() -> None:
    assert ask("tooth-error --teeth 24 --turns-per-crank-turn 20/30").as_json()["value"] == 22.5
    answer = ask("mark-return --teeth 20 35 40")
    assert answer.extra.keys == {"turns_of_each": [14, 8, 7], "teeth_off_after_2": [0, 5, 0]}
    assert any("35 teeth: 5 past" in note for note in answer.extra.notes)
    assert any("every mark is back" in n for n in ask("mark-return --teeth 20 40").extra.notes)
    with pytest.raises(Unusable, match=r"give the teeth of each wheel .*, 2 of them or more"):
        ask("mark-return --teeth 20")
    with pytest.raises(Unusable, match="12 times at most"):
        ask("mark-return --teeth " + "20 " * 13)
    with pytest.raises(Unusable, match="divides by 0"):
        ask("tooth-error --teeth 24 --turns-per-crank-turn 1/0")


@pytest.mark.parametrize(
    ("angle", "told"),
    [("", "assumed: no --angle given"), (" --angle 0", "straight out"), (" --angle 90", "square"),
     (" --angle 180", "folded back"), (" --angle 45", "outward"), (" --angle 120", "backward")],
)  # fmt: skip
def test_an_adapters_angle_is_said_in_words(angle: str, told: str) -> None:
    answer = ask(f"torque-adapter --torque 25 --wrench 380 --adapter 45{angle}")
    assert told in answer.extra.notes[0]
    assert "0 deg is straight out (set less), 90 square to the wrench" in answer.extra.notes[0]


def test_an_angle_of_its_own_uncertainty() -> None:
    """Square to the wrench, five degrees are worth one per cent; straight out, nothing."""
    square = ask("torque-adapter --torque 25 --wrench 380 --adapter 45 --angle 90 +- 5")
    assert square.u == pytest.approx(25 * 45 / 380 * math.radians(5), rel=1e-3)
    straight = ask("torque-adapter --torque 25 --wrench 380 --adapter 45 --angle 0 +- 5")
    assert straight.u == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("line", [
    "clamp-load --torque 25 --diameter 8", "proof-share --torque 25 --thread M8 --class 8.8",
])  # fmt: skip
def test_a_load_never_stands_alone(line: str) -> None:
    answer = ask(line)
    told = " ".join(answer.extra.notes)
    assert "K = 0.2 is assumed" in told
    assert "+-35 % dry" in told
    assert "to yield are never judged or tightened by torque alone" in told
    assert answer.extra.keys["k_assumed"] is True
    assert ask(f"{line} --k 0.15").extra.keys["k_assumed"] is False


def test_a_share_of_proof_is_the_bolts() -> None:
    told = " ".join(ask("proof-share --torque 25 --thread M8 --class 8.8").extra.notes)
    assert "a thread in an aluminium boss usually gives way first" in told
    over = " ".join(ask("proof-share --torque 40 --thread M8 --class 8.8").extra.notes)
    assert "more than its proof load" in over
    near = " ".join(ask("proof-share --torque 30 --thread M8 --class 8.8").extra.notes)
    assert "some bolts would pass their proof load" in near


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("proof-share --torque 25 --thread M6x1.1 --class 8.8", "--thread: .* use M6x1 or M6x0.75"),
        ("proof-share --torque 25 --thread M8 --class 10.8", "--class: .* use 10.9"),
        ("proof-share --torque 25 --thread M20 --class 9.8", "class 9.8 ends at M16"),
        ("leak-down --supply 497 --held 690", "--held: .* exchange them"),
        ("compression-ratio --bore 58 --stroke 50 --chamber 11 --gasket-bore 59", "give --gasket"),
        ("compression-ratio --bore 58 --stroke 50 --chamber 2 --dome 3", "check dome and chamber"),
        ("torque-adapter --torque 25 --wrench 40 --adapter 45 --angle 180", "under the hand"),
        ("torque-adapter --torque 25 --wrench 380 --adapter 45 --angle 270", "at most 180 deg"),
    ],
)
def test_faults_name_option_and_remedy(line: str, told: str) -> None:
    with pytest.raises(Unusable, match=told):
        ask(line)


def test_a_cylinder_that_holds_everything_may_have_an_uncertainty() -> None:
    answer = ask("leak-down --supply 690 --held 690 +- 5")
    assert answer.value == 0.0
    assert answer.u == pytest.approx(500 / 690)
    assert any("the air can spin it" in note for note in answer.extra.notes)


@pytest.mark.parametrize("words", [
    ["--teeth", "20", "37", "40"], ["--teeth", "20", "--teeth", "37", "40"],
    ["--teeth=20", "37", "40"], ["--teeth", "20", "37", "40", "--json"],
])  # fmt: skip
def test_several_values_after_one_option(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["gudgeon", "calc", "mark-return", *words])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 0
    assert "lcm(20, 37, 40) / 20 = 74" in capsys.readouterr().out
