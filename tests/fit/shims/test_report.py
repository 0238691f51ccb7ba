"""The whole answer about shims, from log entries. The engine is invented."""

from __future__ import annotations

from typing import Any

import pytest

from gudgeon.fit.picks import Picks, of_job, to_json
from gudgeon.fit.shims.report import ShimReport
from gudgeon.log.codec import entry_from
from gudgeon.log.fold import fold, fold_shop
from gudgeon.sheet.load import load

SHEET = """
sheet: 1
engine: {name: invented single}
places: {cylinder: 1, valve: {each: cylinder, in: [L, R], ex: [L, R]}}
features:
  gap: {at: valve, kind: gap, by: feeler, epochs: [found, dry, built]}
  tip: {at: valve, kind: height, by: depth-micrometer, epochs: [found, seated]}
select:
  shims:
    tip: tip
    window: {in: [0.10, 0.18], ex: [0.20, 0.28]}
    series: [{from: 1.500, to: 2.500, step: 0.025, tolerance: 0.005, price: 8}]
    diameter: 9.5
    marking: quarters
"""
PLACES = ("valve/1/in/L", "valve/1/in/R", "valve/1/ex/L", "valve/1/ex/R")


class Log:
    """Builds a log, entry by entry, a minute apart."""

    def __init__(self, sheet: str = SHEET) -> None:
        self.entries: list[Any] = []
        loaded = load(sheet, "single.yaml")
        self.add("sheet", file="single.yaml", sha256=loaded.sha256, text=sheet)

    def add(self, kind: str, **body: Any) -> Log:
        number = len(self.entries)
        fields = {
            "id": f"e{number}",
            "at": f"2026-05-01T{8 + number // 60:02d}:{number % 60:02d}:00Z",
            "kind": kind,
            **body,
        }
        self.entries.append(entry_from(fields, f"e{number}"))
        return self

    def found(self, gap: str = "0.14", wont: str = "0.15", shim: str = "2.000") -> Log:
        for place in PLACES:
            self.add("feeler", place=place, feature="gap", goes=gap, wont=wont)
            self.add("shim", place=place, typed=shim)
        return self

    def picks(self, shop: tuple[Any, ...] = ()) -> Picks:
        job = fold("single", self.entries, shop)
        assert not job.faults, job.faults
        return of_job(job, fold_shop(shop, "single"))

    def shims(self, shop: tuple[Any, ...] = ()) -> ShimReport:
        told = self.picks(shop).shims
        assert told is not None
        return told


def shop(*bodies: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(
        entry_from({"id": f"s{n}", "at": f"2026-04-01T08:{n:02d}:00Z", **body}, f"s{n}", "shop")
        for n, body in enumerate(bodies)
    )


def test_nothing_done_and_in_the_window_the_shims_stay() -> None:
    told = Log().found().shims()
    inlet = [pick for pick in told.choice.picks if pick.valve.side == "in"]
    assert all(pick.taken.shim.source == pick.place for pick in inlet)
    assert all(pick.valve.base == "found" for pick in told.choice.picks)


def test_seat_work_without_a_rise_leaves_the_valve_out_with_what_to_do() -> None:
    told = Log().found().add("event", what="seat-recut", places=list(PLACES[:1])).shims()
    (left,) = told.choice.left_out
    assert left.place == PLACES[0]
    assert "measure the stem tip again" in left.why
    assert told.chance_all is None


def test_an_estimate_of_the_rise_will_do_and_widens_the_forecast() -> None:
    log = Log().found().add("event", what="seat-recut", places=list(PLACES))
    for place in PLACES:
        log.add("rise", place=place, typed="0.10", spread="0.04")
    told = log.shims()
    assert {pick.valve.base for pick in told.choice.picks} == {"estimate"}
    pick = told.choice.picks[0]
    assert pick.wanted == pytest.approx(2.000 + 0.145 - 0.10 - 0.14)
    assert pick.taken.clearance.u > 0.02
    assert told.again


def test_a_dry_build_goes_before_the_estimate() -> None:
    log = Log().found().add("event", what="seat-recut", places=list(PLACES))
    for place in PLACES:
        log.add("rise", place=place, typed="0.10", spread="0.04")
        log.add("shim", place=place, epoch="dry", typed="1.600")
        log.add("feeler", place=place, feature="gap", epoch="dry", goes="0.44", wont="0.45")
    told = log.shims()
    assert {pick.valve.base for pick in told.choice.picks} == {"dry"}
    pick = told.choice.picks[0]
    assert pick.wanted == pytest.approx(1.600 + 0.445 - 0.14)
    assert pick.valve.beds


def test_the_shim_of_another_diameter_and_the_dished_one_are_not_offered() -> None:
    stock = shop(
        {"kind": "stock", "group": "shim", "typed": "1.975", "diameter": "7.5"},
        {"kind": "stock", "group": "shim", "typed": "1.976", "condition": "dished"},
        {"kind": "stock", "group": "shim", "typed": "1.977", "diameter": "9.5", "count": 2},
    )
    told = Log().found().shims(stock)
    drawer = [shim.label for shim in told.shelf.pieces if shim.source == "drawer"]
    assert drawer == ["1.977", "1.977"]
    assert [barred.label for barred in told.shelf.barred] == ["1.976"]


def test_a_piece_another_job_has_reserved_is_not_offered() -> None:
    stock = shop(
        {"kind": "stock", "group": "shim", "typed": "1.975"},
        {"kind": "reserve", "stock": "s0", "job": "other"},
    )
    assert not [s for s in Log().found().shims(stock).shelf.pieces if s.source == "drawer"]


def test_a_mark_that_disagrees_with_the_micrometer_is_told_and_the_micrometer_counts() -> None:
    log = Log()
    log.add("feeler", place=PLACES[0], feature="gap", goes="0.14", wont="0.15")
    log.add("shim", place=PLACES[0], mark="205", typed="2.000")
    valve = next(v for v in log.shims().valves if v.place == PLACES[0])
    assert valve.shim is not None
    assert valve.shim.thickness.value == pytest.approx(2.000)
    assert "marked 205, which means 2.050" in valve.shim.note


def test_the_built_clearance_stands_beside_its_forecast() -> None:
    log = Log().found().add("event", what="seat-recut", places=list(PLACES))
    for place in PLACES:
        log.add("rise", place=place, typed="0.10", spread="0.02")
        log.add("shim", place=place, epoch="built", typed="1.900")
        log.add("feeler", place=place, feature="gap", epoch="built", goes="0.15", wont="0.16")
    told = log.shims()
    assert len(told.built) == 4
    inlet, exhaust = told.built[0], told.built[2]
    assert inlet.forecast is not None
    assert inlet.forecast.value == pytest.approx(2.000 + 0.145 - 0.10 - 1.900)
    assert inlet.decision is not None
    assert inlet.decision.verdict == "conforms"
    assert exhaust.decision is not None
    assert exhaust.decision.verdict == "does not conform"
    picked = {pick.place: pick for pick in told.choice.picks}
    assert picked[PLACES[0]].taken.shim.source == PLACES[0]
    assert picked[PLACES[2]].taken.shim.thickness.value < 1.900


def test_a_valve_held_open_in_the_dry_build_asks_for_a_thinner_shim() -> None:
    log = Log().found()
    log.add("shim", place=PLACES[0], epoch="dry", typed="2.000")
    log.add("feeler", place=PLACES[0], feature="gap", epoch="dry", wont="0.03")
    told = log.shims()
    assert [item.place for item in told.checking] == [PLACES[0]]
    assert "held open" in told.choice.left_out[0].why


def test_a_lever_read_at_the_cam_moves_the_shim_by_its_ratio() -> None:
    """The worked lever of the trade notes: ratio 1.45, 0.09 read, 0.15 wanted: 0.087 thinner."""
    sheet = SHEET.replace("    tip: tip\n", "    tip: tip\n    gear: finger\n    ratio: 1.45\n")
    sheet = sheet.replace("in: [0.10, 0.18]", "in: [0.12, 0.18]")
    told = Log(sheet).found(gap="0.085", wont="0.095").shims()
    pick = told.choice.picks[0]
    assert pick.wanted == pytest.approx(2.000 - 1.45 * 0.06)


def test_a_rocker_with_a_screw_is_told_in_turns() -> None:
    sheet = SHEET.replace(
        "    tip: tip\n", "    tip: tip\n    gear: rocker-screw\n    screw-pitch: 0.5\n"
    )
    told = Log(sheet).found().shims()
    assert not told.choice.picks
    assert not told.choice.left_out
    turns = {screw.place: screw.turns for screw in told.screws}
    assert turns["valve/1/in/L"] == pytest.approx((0.14 - 0.145) / 0.5)
    assert turns["valve/1/ex/L"] == pytest.approx((0.24 - 0.145) / 0.5)


def test_a_bad_setting_is_told_and_its_default_stands() -> None:
    plain = Log().found().picks()
    told = Log().found().add("setting", name="tight-extra", value="a lot").picks()
    assert any("tight-extra" in fault.where for fault in told.faults)
    assert to_json(told)["shims"] == to_json(plain)["shims"]


def test_the_answer_has_the_keys_of_the_contract() -> None:
    answer = to_json(Log().found().picks())
    assert {"job", "chance_all", "shims", "shells", "buy", "measure_again"} <= set(answer)
    assert {
        "place",
        "clearance_before_mm",
        "shim_before_mm",
        "rise_mm",
        "shim_mm",
        "source",
        "clearance_mm",
        "u_mm",
        "window_mm",
        "chance",
    } <= set(answer["shims"][0])


def test_a_dry_build_without_seat_work_does_not_bed_in() -> None:
    log = Log().found()
    for place in PLACES:
        log.add("shim", place=place, epoch="dry", typed="1.600")
        log.add("feeler", place=place, feature="gap", epoch="dry", goes="0.54", wont="0.55")
    told = log.shims()
    assert {pick.valve.base for pick in told.choice.picks} == {"dry"}
    assert not any(pick.valve.beds for pick in told.choice.picks)
    assert all(pick.taken.bedded == pick.taken.clearance for pick in told.choice.picks)


def test_a_shim_without_a_price_is_reckoned_with_and_told_as_not_given() -> None:
    sheet = SHEET.replace(", price: 8", "")
    told = Log(sheet).found(gap="0.30", wont="0.31").shims()
    assert told.buy
    assert all(shim.price is None for shim, _, _ in told.buy)
    cost = told.frontier[-1].price
    assert cost == pytest.approx(10 * told.frontier[-1].bought)


def test_a_mark_the_sheet_gives_no_meaning_is_named_and_the_remedy_with_it() -> None:
    log = Log(SHEET.replace("    marking: quarters\n", ""))
    log.add("feeler", place=PLACES[0], feature="gap", goes="0.14", wont="0.15")
    log.add("shim", place=PLACES[0], mark="205")
    left = next(item for item in log.shims().choice.left_out if item.place == PLACES[0])
    assert "'205' has no meaning by the sheet" in left.why
    assert "marking" in left.why


def test_the_square_loss_agrees_with_sampling() -> None:
    """Independent check by numerical integration over the normal density."""
    from gudgeon.fit.shims.choose import square_short_of
    from gudgeon.metrology.measured import Measured

    for mean in (0.08, 0.105, 0.11, 0.118, 0.15):
        steps = 20000
        total = 0.0
        for number in range(steps):
            z = -8 + 16 * (number + 0.5) / steps
            short = max(0.0, 0.11 - (mean + 0.009 * z))
            total += short**2 * 2.718281828459045 ** (-z * z / 2) * 16 / steps
        expected = total / (2 * 3.141592653589793) ** 0.5
        assert square_short_of(Measured(mean, {"u": 0.009}), 0.11) == pytest.approx(
            expected, rel=1e-5, abs=1e-12
        )
