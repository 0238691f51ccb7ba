"""Sheet and log become a job: what counts, what is left out, and why."""

from __future__ import annotations

import time
from itertools import product
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.log.helpers import SHA256, SHEET, bore, entry, opened

from gudgeon.log.entries import Entry
from gudgeon.log.fold import fold, fold_shop


def job_of(*entries: Entry) -> Any:
    return fold("triple", [*opened(), *entries])


def test_a_job_has_what_its_log_says() -> None:
    job = job_of(
        bore("r1"),
        entry("feeler", "f1", place="valve/1/in/L", feature="gap", goes="0.10", wont="0,13"),
        entry("shim", "h1", place="valve/1/in/L", mark="175", typed="1.748"),
        entry("code", "c1", group="main-shell", on="case", marks="ABBA"),
        entry("rise", "u1", place="valve/1/in/L", typed="0.05", spread="0.02"),
        entry("event", "e1", what="seat-cut", places=["valve/1/in/L"]),
        entry("note", "n1", text="blue", place="main/2"),
        entry("photo", "p1", sha256="0" * 64, place="main/2", words="blued", by="bench"),
        entry("setting", "t1", name="rate", value="60"),
        entry("reading", "m1", place="cylinder/1", feature="piston-mass", typed="142.5"),
    )
    assert (job.name, job.title) == ("triple", "A worn one")
    assert (job.sheet_hash, job.sheet_file) == (SHA256, "triple.yaml")
    assert job.sheet.engine.name == "Invented triple"
    assert job.faults == ()
    assert [item.id for item in job.readings] == ["m1", "r1"]
    found = (job.feelers, job.shims, job.codes, job.rises, job.events, job.notes, job.photos)
    assert [item.id for (item,) in found] == ["f1", "h1", "c1", "u1", "e1", "n1", "p1"]
    assert job.settings == {"rate": "60"}
    assert len(job.entries) == 12


@pytest.mark.parametrize(
    ("kind", "fields", "wrong"),
    [
        ("reading", {"place": "cylinder/4"}, "there is no place 'cylinder/4' on this engine"),
        ("reading", {"feature": "boar"}, "the sheet has no feature 'boar'"),
        ("reading", {"place": "main/1"}, "'bore' is not measured at a main"),
        ("reading", {"spot": {"height": "top"}}, "the spot names no axis"),
        (
            "reading",
            {"spot": {"height": "top", "axis": "side"}},
            "axis 'side' is not in the sheet's plan",
        ),
        (
            "reading",
            {"spot": {"height": "top", "axis": "pin", "end": "a"}},
            "the plan has no 'end'",
        ),
        ("reading", {"epoch": "built"}, "this feature is not measured at epoch 'built'"),
        ("reading", {"typed": "abc"}, "'abc' is not a number"),
        ("reading", {"typed": "nan"}, "'nan' is not a number"),
        ("reading", {"typed": "1e308"}, "'1e308' is far too large"),
        ("reading", {"typed": "99999999"}, "'99999999' is far too large"),
        ("reading", {"typed": "-58.0"}, "a size of '-58.0' is below nothing"),
        ("reading", {"typed": "0.00"}, "a size of '0.00' is nothing"),
        ("reading", {"unit": "furlong"}, "'furlong' is not a unit of length"),
        (
            "reading",
            {"typed": "2.28 in", "unit": "mm"},
            "'2.28 in' has a unit of its own, and 'mm' is given as well",
        ),
        ("reading", {"part_temp": "warm"}, "temperature 'warm' is not a number"),
        ("reading", {"gauge_temp": "2000"}, "a part at '2000' °C"),
        (
            "reading",
            {"feature": "piston-mass", "spot": {}, "typed": "1 mm"},
            "'mm' is not a unit of mass",
        ),
        ("feeler", {}, "no blade is named"),
        ("feeler", {"goes": "-0.1"}, "a gap of '-0.1' is below nothing"),
        (
            "feeler",
            {"goes": "0.13", "wont": "0.10"},
            "the blade that goes (0.13) is not thinner than the one that won't (0.10)",
        ),
        ("code", {"group": "rod"}, "the sheet has no shells 'rod'"),
        ("code", {"marks": "ABB"}, "'ABB' has 3 marks for 4 places"),
        ("code", {"marks": "ABBAA"}, "'ABBAA' has 5 marks for 4 places"),
        ("code", {"marks": "ABBQ"}, "the sheet has no case mark 'Q'"),
        ("shim", {"typed": "-1.8"}, "a size of '-1.8' is below nothing"),
        ("shim", {}, "neither mark nor thickness is given"),
        ("shim", {"place": "main/1", "mark": "178"}, "no shim sits at main/1"),
        ("rise", {"spread": "-0.02"}, "a spread of '-0.02'"),
        ("rise", {"typed": "much"}, "'much' is not a number"),
        ("event", {"places": ["main/9"]}, "there is no place 'main/9' on this engine"),
        ("event", {"typed": "deep"}, "'deep' is not a number"),
        ("note", {"place": "rod/1"}, "there is no place 'rod/1' on this engine"),
        ("photo", {"place": "rod/1"}, "there is no place 'rod/1' on this engine"),
        ("strike", {}, "there is no entry 'nothing' to strike out"),
        ("depart", {}, "neither path nor oversize, or both"),
        ("depart", {"path": "derive.siez", "value": "1"}, "'derive.siez': the sheet has no 'siez'"),
        ("depart", {"oversize": "third"}, "the sheet has no oversize 'third'"),
        ("depart", {"oversize": "first"}, "the oversize 'first' comes without its step"),
        (
            "depart",
            {"oversize": "first", "step": "0.75"},
            "the oversize 'first' has no step '0.75'",
        ),
    ],
)
def test_what_makes_no_sense_is_left_out_and_named(
    kind: str, fields: dict[str, Any], wrong: str
) -> None:
    usual: dict[str, dict[str, Any]] = {
        "reading": {
            "place": "cylinder/1",
            "feature": "bore",
            "spot": {"height": "top", "axis": "pin"},
            "typed": "58.0",
        },
        "feeler": {"place": "valve/1/in/L", "feature": "gap"},
        "code": {"group": "main-shell", "on": "case", "marks": "ABBA"},
        "shim": {"place": "valve/1/in/L"},
        "rise": {"place": "valve/1/in/L", "typed": "0.05", "spread": "0.02"},
        "event": {"what": "seat-cut"},
        "note": {"text": "x"},
        "photo": {"sha256": "0" * 64},
        "strike": {"target": "nothing"},
    }
    job = job_of(entry(kind, "bad", **(usual.get(kind, {}) | fields)), bore("good"))
    assert [(fault.where, fault.wrong) for fault in job.faults] == [("bad", wrong)]
    assert all(fault.right for fault in job.faults)
    assert [item.id for item in job.readings] == ["good"]
    used = (job.feelers, job.codes, job.shims, job.rises, job.events, job.notes, job.photos)
    assert not any(used)
    assert len(job.entries) == 4


def test_a_mark_that_cannot_be_read_is_a_dash() -> None:
    job = job_of(entry("code", "c", group="main-shell", on="crank", marks="1 - 2 1"))
    assert job.faults == ()
    assert len(job.codes) == 1


def test_a_height_may_be_below_its_datum_and_a_gap_may_be_nothing() -> None:
    job = job_of(
        entry("reading", "t", place="valve/1/in/L", feature="tip", typed="-0.42"),
        entry("reading", "g", place="valve/1/in/L", feature="gap", typed="0"),
    )
    assert job.faults == ()


def test_a_struck_reading_stays_readable_and_comes_back() -> None:
    struck = [bore("r1"), entry("strike", "x1", target="r1", reason="one turn out")]
    job = job_of(*struck)
    assert job.readings == ()
    assert job.struck == {"r1": "one turn out"}
    assert len(job.entries) == 4
    back = job_of(*struck, entry("strike", "x2", target="x1"))
    assert [item.id for item in back.readings] == ["r1"]
    assert back.struck == {"x1": ""}


def test_a_struck_entry_has_no_fault() -> None:
    job = job_of(bore("bad", "abc"), entry("strike", "x", target="bad"))
    assert job.faults == ()


def test_the_sheet_pinned_last_holds_and_a_struck_one_does_not() -> None:
    text = SHEET.replace("58.100", "58.080")
    from hashlib import sha256

    second = entry(
        "sheet",
        "s2",
        at="2026-03-02T08:00:00+02:00",
        file="triple-2.yaml",
        sha256=sha256(text.encode()).hexdigest(),
        text=text,
    )
    job = job_of(second)
    assert job.sheet_file == "triple-2.yaml"
    assert str(job.sheet.derive["size"].service.max) == "58.080"
    assert job_of(second, entry("strike", "x", target="s2")).sheet_file == "triple.yaml"


def test_times_of_any_offset_are_ordered_as_moments() -> None:
    early = entry("setting", "a", at="2026-03-01T09:00:00+09:00", name="rate", value="50")
    late = entry("setting", "b", at="2026-03-01T01:00:00Z", name="rate", value="60")
    assert job_of(late, early).settings == {"rate": "60"}


@pytest.mark.parametrize(
    ("pinned", "fault"),
    [
        ([], "sheet: the job has no sheet that can be used, pin one to it"),
        (["sheet: 2"], "t.yaml:1:8"),
        (["[a"], "t.yaml:1:1"),
    ],
)
def test_without_a_sheet_there_is_one_clear_fault(pinned: list[str], fault: str) -> None:
    from hashlib import sha256

    sheets = [
        entry("sheet", "s", file="t.yaml", sha256=sha256(t.encode()).hexdigest(), text=t)
        for t in pinned
    ]
    job = fold("j", [*sheets, bore("r1"), bore("r2", "x")])
    assert str(job.faults[0]).startswith(fault)
    assert job.readings == ()
    assert job.sheet.features == {}


def test_a_sheet_altered_after_pinning_is_not_used() -> None:
    altered = entry("sheet", "s2", file="t.yaml", sha256=SHA256, text=SHEET + " ")
    job = fold("j", [*opened(), altered])
    assert [fault.where for fault in job.faults] == ["s2"]
    assert job.sheet_file == "triple.yaml"


class TestDepartures:
    def test_a_value_of_the_sheet_is_set(self) -> None:
        job = job_of(entry("depart", "d", path="derive.size.service.max", value="58.150"))
        assert str(job.sheet.derive["size"].service.max) == "58.150"
        assert [item.id for item in job.departures] == ["d"]
        assert job.sheet_hash == SHA256

    def test_an_oversize_moves_sizes_and_leaves_differences(self) -> None:
        job = job_of(entry("depart", "d", oversize="first", step="0,50"))
        sheet = job.sheet
        assert str(sheet.features["bore"].new) == "min=58.5 max=58.51"
        assert sheet.features["bore"].new.max.typed == "58.510"
        assert float(sheet.features["piston"].new.min) == pytest.approx(58.465)
        assert sheet.derive["size"].service.max.typed == "58.600"
        assert sheet.derive["size"].new.max.typed == "58.510"
        assert sheet.derive["piston-size"].service.min.typed == "58.400"
        assert sheet.derive["taper"].service.max.typed == "0.05"
        assert job.faults == ()

    def test_a_ground_journal_gets_smaller(self) -> None:
        for step in ("0.25", "-0.25", "0.25 mm"):
            new = job_of(entry("depart", "d", oversize="grind", step=step)).sheet.features
            assert new["journal"].new.max.typed == "32.750"

    def test_what_is_stated_itself_does_not_move(self) -> None:
        job = job_of(
            entry("depart", "d1", oversize="first", step="0.50"),
            entry("depart", "d2", path="derive.size.service.max", value="58.580"),
        )
        assert job.sheet.derive["size"].service.max.typed == "58.580"
        assert job.sheet.derive["size"].new.max.typed == "58.510"

    def test_the_last_step_of_an_oversize_holds(self) -> None:
        job = job_of(
            entry("depart", "d1", oversize="first", step="0.25"),
            entry("depart", "d2", oversize="first", step="0.50", at="2026-03-01T15:00:00Z"),
        )
        assert job.sheet.features["bore"].new.max.typed == "58.510"

    def test_inches_are_added_as_millimetres(self) -> None:
        job = job_of(entry("depart", "d", oversize="first", step="0.25 mm"))
        assert job.faults == ()


class TestShop:
    def test_the_drawer_less_what_others_reserved(self) -> None:
        log = [
            entry("stock", "a", group="shim", mark="178", count=3, diameter="9.48"),
            entry("stock", "b", group="shim", typed="1.800"),
            entry("reserve", "x", stock="a", job="one", count=2),
            entry("reserve", "y", stock="b", job="two"),
        ]

        def free(job: str | None) -> dict[str, int]:
            return {piece.stock: piece.count for piece in fold_shop(log, job).drawer}

        assert free(None) == {"a": 1}
        assert free("one") == {"a": 3}
        assert free("two") == {"a": 1, "b": 1}
        assert free("three") == {"a": 1}
        assert fold_shop(log).drawer[0].diameter_mm == 9.48

    def test_the_second_who_reserves_the_last_piece_gets_none(self) -> None:
        log = [
            entry("stock", "a", group="shim", mark="178", count=1),
            entry("reserve", "y", stock="a", job="two", at="2026-03-01T15:00:00Z"),
            entry("reserve", "x", stock="a", job="one"),
            entry("reserve", "z", stock="gone", job="two"),
        ]
        assert [fault.where for fault in fold_shop(log).faults] == ["z", "y"]
        assert [p.count for p in fold_shop(log, "one").drawer] == [1]
        assert fold_shop(log, "two").drawer == ()
        assert [f.where for f in fold("two", opened(), log).faults] == ["z", "y"]
        assert fold("one", opened(), log).faults == ()

    def test_struck_stock_and_reservations_do_not_count(self) -> None:
        log = [
            entry("stock", "a", group="shim", mark="178"),
            entry("reserve", "x", stock="a", job="one"),
        ]
        freed = [*log, entry("strike", "s", target="x")]
        assert [p.count for p in fold_shop(freed, "two").drawer] == [1]
        assert fold_shop([*freed, entry("strike", "t", target="a")], "two").drawer == ()

    @pytest.mark.parametrize(
        ("fields", "wrong"),
        [
            ({}, "neither mark nor size is given"),
            ({"typed": "-1.8"}, "a size of '-1.8' is below nothing"),
            ({"typed": "1.8", "unit": "ell"}, "'ell' is not a unit of length"),
            ({"mark": "178", "diameter": "wide"}, "'wide' is not a number"),
        ],
    )
    def test_a_piece_that_cannot_be_is_left_out(self, fields: dict[str, Any], wrong: str) -> None:
        shop = fold_shop([entry("stock", "a", group="shim", **fields)])
        assert [(fault.where, fault.wrong) for fault in shop.faults] == [("a", wrong)]
        assert shop.drawer == ()

    def test_the_latest_instrument_setting_and_every_check(self) -> None:
        log = [
            entry("instrument", "i1", name="mic", of="micrometer-0.01"),
            entry("instrument", "i2", name="mic", of="micrometer-0.001", at="2026-04-01T00:00:00Z"),
            entry("check", "k2", instrument="mic", reference="25", read="25.002"),
            entry("check", "k1", instrument="mic", reference="25", read="25.001"),
            entry("setting", "t", name="rate", value="60"),
        ]
        shop = fold_shop(log)
        assert shop.instruments["mic"].of == "micrometer-0.001"
        assert [check.id for check in shop.checks] == ["k1", "k2"]
        assert shop.settings == {"rate": "60"}


KINDS: list[Entry] = [
    bore("r1"),
    bore("r2", "58.02", at="2026-03-01T14:06:00Z"),
    bore("r3", "x"),
    entry("strike", "x1", target="r1"),
    entry("strike", "x2", target="x1"),
    entry("strike", "x3", target="x2"),
    entry("setting", "t1", name="rate", value="50"),
    entry("setting", "t2", name="rate", value="60"),
    entry("depart", "d1", oversize="first", step="0.25"),
    entry("depart", "d2", oversize="first", step="0.50"),
    entry("note", "n1", text="a", at="2026-03-01T16:05:00+02:00"),
    entry("shim", "h1", place="valve/1/in/L", mark="178"),
]
SOME = st.lists(st.sampled_from(KINDS), max_size=12)


@given(SOME, st.randoms(use_true_random=False))
@settings(deadline=None)
def test_order_and_repetition_make_no_difference(some: list[Entry], chance: Random) -> None:
    log = [*opened(), *some]
    assert fold("j", chance.sample(log, len(log)) + some) == fold("j", log)


@given(SOME, SOME)
@settings(deadline=None)
def test_merging_commutes_and_repeats_nothing(one: list[Entry], two: list[Entry]) -> None:
    log = opened()
    assert fold("j", [*log, *one, *two]) == fold("j", [*two, *one, *log])
    assert fold("j", [*log, *one, *one, *log]) == fold("j", [*log, *one])


@given(SOME)
@settings(deadline=None)
def test_a_strike_out_undoes(some: list[Entry]) -> None:
    log = [*opened(), *some]
    more = [bore("new", "58.03"), entry("strike", "undo", target="new")]
    before, after = fold("j", log), fold("j", log + more)
    assert after.readings == before.readings
    assert after.faults == before.faults
    assert after.struck == {**before.struck, "new": ""}


def test_one_id_for_two_things_is_a_fault_and_order_does_not_choose() -> None:
    one, two = bore("r", "58.01"), bore("r", "58.02")
    assert job_of(one, two) == job_of(two, one)
    assert [fault.where for fault in job_of(one, two).faults] == ["r"]


def test_five_hundred_readings_fold_in_time() -> None:
    log = opened()
    spots = list(product("123", ("top", "mid", "foot"), ("thrust", "pin")))
    for number in range(500):
        cylinder, height, axis = spots[number % len(spots)]
        log.append(
            bore(
                f"r{number}",
                place=f"cylinder/{cylinder}",
                spot={"height": height, "axis": axis},
                attempt=1 + number // len(spots),
            )
        )
    taken = []
    for _ in range(5):
        start = time.perf_counter()
        job = fold("j", log)
        taken.append(time.perf_counter() - start)
    assert len(job.readings) == 500
    assert min(taken) < 0.060


@pytest.mark.parametrize(("typed", "fits"), [("185", False), ("0.0728", False), ("1.850", True)])
def test_a_mark_or_an_inch_in_place_of_a_thickness_is_refused(typed: str, fits: bool) -> None:
    from gudgeon.log.checks import problems_with
    from gudgeon.log.entries import ShimFitted
    from gudgeon.sheet.load import load

    sheet = load(
        "sheet: 1\nengine: {name: X}\n"
        "places: {cylinder: 1, valve: {each: cylinder, in: [L], ex: [L]}}\n"
        "features: {gap: {at: valve, kind: gap}}\n"
        "select: {shims: {series: [{from: 1.200, to: 2.200, step: 0.025}]}}\n",
        "x.yaml",
    ).sheet
    entry = ShimFitted(id="s", at="2026-03-01T14:05:00Z", place="valve/1/in/L", typed=typed)
    assert (not problems_with(entry, sheet)) is fits
