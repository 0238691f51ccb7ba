"""Shells by code, by measurement, and both weighed, on invented engines."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.fit.shells import ShellPick, ShellPicks, ShellSettings, shell_picks
from gudgeon.fit.shells.plain import to_json
from gudgeon.log.entries import Code, Departure, Reading
from gudgeon.log.job import Job, Piece, Shop
from gudgeon.metrology.instruments import cabinet
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.readings import AtSpot, Table, read_all
from gudgeon.metrology.settings import Settings
from gudgeon.metrology.suspicions import suspicions
from gudgeon.sheet.model import Sheet

AT = "2025-01-01T08:00:00Z"
#: The invented five-bearing engine of the worked example, with its spec of 0.020 to 0.044.
CASE = {"A": [36.000, 36.006], "B": [36.006, 36.012], "C": [36.012, 36.018]}
CRANK = {"1": [32.994, 33.000], "2": [32.988, 32.994], "3": [32.982, 32.988]}
WALLS = {"1": 1.487, "2": 1.490, "3": 1.493, "4": 1.496, "5": 1.499}
MAIN: dict[str, Any] = {
    "at": "main",
    "housing": "housing",
    "journal": "journal",
    "case": {"reads-from": "1", "marks": CASE},
    "crank": {"reads-from": "1", "marks": CRANK},
    "scheme": {"kind": "sum", "case-numbers": {"A": 0, "B": 1, "C": 2}},
    "grades": {name: {"wall": wall, "price": 11.5} for name, wall in WALLS.items()},
    "wall-tolerance": 0.0015,
    "window": [0.020, 0.044],
}
HOUSINGS = (36.003, 36.008, 36.013, 36.015, 36.004)
JOURNALS = (32.991, 32.996, 32.981, 32.992, 32.997)


def job_of(
    count: int = 5,
    marks: tuple[str, str] | None = ("ABBCA", "21321"),
    departures: Sequence[Departure] = (),
    extra: Mapping[str, Any] | None = None,
    **changes: Any,
) -> Job:
    """A job whose sheet is the worked example, with some keys of its shells changed."""
    spec = MAIN | {key.replace("_", "-"): value for key, value in changes.items()}
    sheet = {
        "sheet": 1,
        "engine": {"name": "Invented five-bearing engine", "invented": "yes"},
        "places": {"end": "1 = left", "main": count},
        "features": {
            "housing": {"at": "main", "wears": "larger"},
            "journal": {"at": "main", "wears": "smaller"},
            "fitted": {"at": "main"},
        },
        "derive": {"journal-size": {"from": "journal", "rule": "min", "service": {"min": 32.976}}},
        "oversizes": {"regrind": {"feature": "journal", "steps": [0.25, 0.50]}},
        "select": {"shells": {"main-shell": spec}},
    }
    codes = []
    if marks is not None:
        for on, text in zip(("case", "crank"), marks, strict=True):
            entry = {"id": on, "at": AT, "group": "main-shell", "on": on, "marks": text}
            codes.append(Code.model_validate(entry))
    return Job(
        "five",
        "",
        Sheet.model_validate(sheet | dict(extra or {})),
        "0" * 64,
        "five.yaml",
        codes=tuple(codes),
        departures=tuple(departures),
    )


def table_of(
    housings: Sequence[float | None] = HOUSINGS,
    journals: Sequence[float | None] = JOURNALS,
    u: tuple[float, float] = (0.0025, 0.0015),
    zero: float = 0.0,
    fitted: Sequence[float | None] = (),
    stale: Mapping[tuple[str, str, str], str] | None = None,
) -> Table:
    """Readings already brought together, with stated uncertainties."""
    spots: dict[tuple[str, str, str], dict[tuple[str, ...], AtSpot]] = {}
    rows = (("housing", housings, u[0]), ("journal", journals, u[1]), ("fitted", fitted, u[0]))
    for feature, values, own in rows:
        for number, value in enumerate(values, 1):
            if value is not None:
                parts = {f"{feature} {number}": own, f"zero of the {feature} gauge": zero}
                at = AtSpot((), (), Measured(value, parts))
                spots[(feature, f"main/{number}", "found")] = {(): at}
    return Table(spots, {}, frozenset(), stale or {}, Settings(), cabinet({}, ()))


def picks_of(job: Job, table: Table, shop: Shop | None = None) -> ShellPicks:
    return shell_picks(job, table, shop or Shop())


def grades(picks: ShellPicks) -> list[str | None]:
    return [str(pick.pick.halves) if pick.pick else None for pick in picks.picks]


def _draw(rng: np.random.Generator, limits: list[float]) -> float:
    return float(rng.uniform(limits[0], limits[1]))


def said(pick: ShellPick, text: str) -> bool:
    return any(text in step for step in pick.advice)


def test_the_worked_example_by_measurement_alone() -> None:
    """All five bearings: wanted wall, grade and clearance, U of about 0.006."""
    picks = picks_of(job_of(marks=None), table_of(u=(0.002, 0.001)))
    assert grades(picks) == ["2", "2", "5", "4", "1"]
    wanted = [pick.wanted.value for pick in picks.picks if pick.wanted]
    assert wanted == pytest.approx([1.4900, 1.4900, 1.5000, 1.4955, 1.4875], abs=1e-6)
    clearances = [pick.pick.clearance for pick in picks.picks if pick.pick]
    assert [c.value for c in clearances] == pytest.approx([0.032, 0.032, 0.034, 0.031, 0.033])
    assert [2 * c.u for c in clearances] == pytest.approx([0.0057] * 5, abs=1e-4)
    third = picks.picks[2]
    assert third.sum is not None
    assert third.sum.text == "36.013 − 32.981 − 2 × 1.499 = 0.034"
    assert third.expect == "expect 0.034 ± 0.008 at main/3"
    assert third.agreement.word == "by measurement alone"


def test_the_worked_example_by_code_and_measurement() -> None:
    picks = picks_of(job_of(), table_of())
    assert [str(pick.bearing.by_code) for pick in picks.picks] == ["2", "2", "4", "4", "1"]
    assert [str(p.measured.halves) for p in picks.picks if p.measured] == ["2", "2", "5", "4", "1"]
    assert grades(picks) == ["2", "2", "5", "4", "1"]
    third = picks.picks[2]
    by_code = next(option for option in third.options if str(option.halves) == "4")
    assert third.sum_measured is not None
    assert third.sum_measured.value == pytest.approx(0.034)
    assert by_code.clearance.value == pytest.approx(0.040, abs=0.003)
    assert by_code.chance is not None
    assert third.pick is not None
    assert third.pick.chance is not None
    assert third.pick.chance > by_code.chance
    assert third.agreement.word == "within measuring error"
    assert not third.advice
    tests = picks_of(job_of(), table_of(u=(0.004, 0.002))).groups[0].group.tests
    assert tests["journal"].verdict == "fits as read"
    assert tests["housing"].verdict == "too weak to tell"


def test_the_sum_adds_up_as_shown() -> None:
    for pick in picks_of(job_of(), table_of()).picks:
        assert pick.sum is not None
        assert pick.pick is not None
        left, _, right = pick.sum.text.partition(" = ")
        terms = left.replace(" − ", " -").split(" ")
        total, index = float(terms[0]), 1
        while index < len(terms):
            if index + 2 < len(terms) and terms[index + 1] == "×":
                total += float(terms[index]) * float(terms[index + 2])
                index += 3
            else:
                total += float(terms[index])
                index += 1
        assert total == pytest.approx(float(right), abs=1e-9)
        assert float(right) == pytest.approx(pick.pick.clearance.value, abs=6e-4)


def test_a_worn_journal_is_classed_by_what_it_measures() -> None:
    journals = (32.991, 32.9855, 32.985, 32.991, 32.997)
    job = job_of(marks=("ABBCA", "21321"))
    picks = picks_of(job, table_of(journals=journals, u=(0.0025, 0.001)))
    second = picks.picks[1]
    assert second.bearing.journal.status in ("worn", "contradicts")
    assert second.bearing.journal.taken == second.bearing.journal.read.measured
    assert second.bearing.journal.basis == "measurement"
    order = [
        next(i for i, step in enumerate(second.advice) if text in step)
        for text in (
            "measure the journal again, cold",
            "above its service limit 32.976: re-mark it 3",
            "do not correct by mixing",
            "prove it with plastic strip: expect 0.0",
        )
    ]
    assert order == sorted(order)


def test_a_journal_below_its_service_limit() -> None:
    journals = (32.991, 32.972, 32.985, 32.991, 32.997)
    job = job_of(undersizes=[0.25])
    second = picks_of(job, table_of(journals=journals)).picks[1]
    assert second.agreement.word == "disagree"
    assert said(second, "below its service limit 32.976")
    assert said(second, "for shells 0.25 undersize")


def test_a_housing_above_its_class() -> None:
    housings = (36.003, 36.022, 36.008, 36.015, 36.004)
    second = picks_of(job_of(), table_of(housings=housings)).picks[1]
    assert second.agreement.word == "disagree"
    assert second.agreement.text == (
        "the housing measures 0.010 above its class B (36.006 to 36.012)"
    )
    assert said(second, "suspect caps exchanged")
    assert said(second, "look again at which end the case string")


def test_one_turn_of_the_thimble() -> None:
    journals = (32.991, 32.496, 32.985, 32.992, 32.997)
    second = picks_of(job_of(), table_of(journals=journals)).picks[1]
    assert said(second, "one turn of the thimble more (0.50 mm) gives 32.996 mm, in class 1")
    assert second.pick is None
    assert second.refused == "no shell fits these readings: settle the journal first"


@pytest.mark.parametrize(
    ("readings", "basis", "said_first"),
    [
        ((32.996, 32.496), "code", "the readings of journal at main/2 lie more than 0.1 apart"),
        ((32.996, 32.996, 32.496), "code and measurement", "32.496 of journal at main/2 lies"),
        ((32.996, 32.496, 32.996, 32.496), "code", "the readings of journal at main/2"),
    ],
)
def test_readings_of_one_part_far_apart_do_not_count(
    readings: tuple[float, ...], basis: str, said_first: str
) -> None:
    table = table_of()
    key = ("journal", "main/2", "found")
    spots: dict[tuple[str, ...], AtSpot] = {
        (str(n),): AtSpot((str(n),), (), Measured.of(value, 0.001, f"r{n}"))
        for n, value in enumerate(readings)
    }
    table = replace(table, spots={**table.spots, key: spots})
    second = picks_of(job_of(), table).picks[1]
    assert second.bearing.journal.basis == basis
    assert second.advice[0].startswith(said_first)
    if second.bearing.journal.read.measured:
        assert second.bearing.journal.read.measured.value == pytest.approx(32.996)


def test_stale_readings_do_not_count() -> None:
    stale = {("journal", "main/1", "found"): "the crank was ground since"}
    first = picks_of(job_of(), table_of(stale=stale)).picks[0]
    assert first.bearing.journal.read.measured is None
    assert first.advice[0] == "journal at main/1 does not count: the crank was ground since"


def test_a_string_read_from_the_wrong_end() -> None:
    picks = picks_of(job_of(marks=("ABBCA", "12312")), table_of(u=(0.0025, 0.0015)))
    test = picks.groups[0].group.tests["journal"]
    assert test.verdict == "fits better from the other end"
    first = picks.picks[0]
    assert str(first.bearing.by_code) == "1"
    assert str(first.bearing.other_end) == "2"
    assert first.agreement.word == "string in doubt"
    assert first.agreement.text == "the crank string seems to be read from its wrong end"
    assert first.advice[0].startswith("the crank string fits better from the other end (odds ")
    assert first.bearing.journal.basis == "measurement"
    assert grades(picks) == ["2", "2", "5", "4", "1"]


def test_by_code_alone() -> None:
    nothing = [None] * 5
    picks = picks_of(job_of(), table_of(nothing, nothing))
    assert grades(picks) == ["2", "2", "4", "4", "1"]
    assert {pick.agreement.word for pick in picks.picks} == {"by code alone"}
    assert all(pick.pick and pick.pick.chance and pick.pick.chance > 0.95 for pick in picks.picks)


def test_nothing_known() -> None:
    picks = picks_of(job_of(marks=None), table_of([None] * 5, JOURNALS))
    assert grades(picks) == [None] * 5
    assert picks.picks[0].refused == "the housing neither measured nor known by a mark: measure it"
    assert picks.picks[0].agreement.word == "not known"
    assert picks.chance_all is None


def test_codes_that_cannot_be_used_are_faults_not_stops() -> None:
    picks = picks_of(job_of(marks=("ABBC", "2132X")), table_of())
    told = [str(fault) for fault in picks.faults]
    assert told[0].startswith("entry case, case marks of main-shell: 'ABBC' has 4 marks")
    assert told[1] == (
        "entry crank, crank marks of main-shell, main/5: the sheet has no crank mark 'X', it has"
        " 1, 2, 3; put - where a mark can't be read"
    )
    assert grades(picks) == ["2", "2", "5", "4", "1"]
    assert picks.picks[0].agreement.word == "by measurement alone"


def test_the_reading_end_of_each_string() -> None:
    crank = {"reads-from": "5", "marks": CRANK}
    picks = picks_of(job_of(marks=("ABBCA", "12312"), crank=crank), table_of())
    assert [str(pick.bearing.by_code) for pick in picks.picks] == ["2", "2", "4", "4", "1"]
    open_end = picks_of(job_of(crank={"marks": CRANK}), table_of())
    assert any("does not say which end the crank string" in n for n in open_end.groups[0].notes)


def test_shells_for_a_ground_crank() -> None:
    """The undersize is on the diameter; each wall grows by half of it."""
    ground = [d - 0.25 for d in JOURNALS]
    asked = picks_of(job_of(undersizes=[0.25]), table_of(journals=ground)).picks[0]
    assert asked.advice[0].startswith("the journal measures as if ground 0.25 under: was it?")
    assert asked.pick is None
    entry = {"id": "d1", "at": AT, "oversize": "regrind", "step": "0.25"}
    job = job_of(undersizes=[0.25], departures=[Departure.model_validate(entry)])
    picks = picks_of(job, table_of(journals=ground))
    assert grades(picks) == ["2", "2", "5", "4", "1"]
    first = picks.picks[0]
    assert first.pick is not None
    assert first.pick.walls == pytest.approx((1.615, 1.615))
    assert first.bearing.by_code is None
    assert "its marks no longer hold" in first.agreement.text
    assert "journal" not in picks.groups[0].group.tests
    assert to_json(picks)["buy"][0]["size"] == "1, 0.25 undersize"


def test_no_grade_thick_enough() -> None:
    worn = (32.955,) * 5
    without = picks_of(job_of(marks=None), table_of(journals=worn)).picks
    assert "the sheet lists no undersize shells" in without[3].refused
    picks = picks_of(job_of(marks=None, undersizes=[0.50, 0.25]), table_of(journals=worn)).picks
    assert picks[3].pick is None
    assert "even the thickest, 5, leaves 0.062 of at most 0.044" in picks[3].refused
    assert "grind the journal to 32.747 for shells 0.25 undersize (grade 3, wall 1.618)" in (
        picks[3].refused
    )


def test_no_grade_thin_enough_and_steps_too_coarse() -> None:
    tight = picks_of(job_of(marks=None), table_of(journals=(33.02,) * 5)).picks[0]
    assert "even the thinnest, 1, leaves 0.009 of at least 0.020" in tight.refused
    coarse = job_of(marks=None, window=[0.0345, 0.0355], grades={"1": 1.487, "2": 1.490})
    between = picks_of(coarse, table_of()).picks[0]
    assert "one step of wall is too coarse" in between.refused


def test_mixed_halves_where_the_sheet_allows() -> None:
    job = job_of(marks=None, mixing="adjacent", thicker_in="upper", window=[0.0275, 0.0305])
    first = picks_of(job, table_of()).picks[0]
    assert first.pick is not None
    assert tuple(first.pick.halves) == ("3", "2")
    assert first.sum is not None
    assert first.sum.text == "36.003 − 32.991 − 1.493 − 1.490 = 0.029"
    assert all(option.walls[0] >= option.walls[1] for option in first.options), (
        "the thicker half goes where the sheet says"
    )
    never = picks_of(job_of(marks=None, window=[0.0275, 0.0305]), table_of()).picks[0]
    assert never.pick is None


def test_upper_from_the_case_and_lower_from_the_crank() -> None:
    scheme = {
        "kind": "halves",
        "upper": {"A": "2", "B": "3", "C": "4"},
        "lower": {"1": "1", "2": "2", "3": "3"},
        "forbidden": [["4", "1"]],
    }
    picks = picks_of(job_of(scheme=scheme), table_of())
    assert str(picks.picks[1].bearing.by_code) == "upper 3, lower 1"
    for pick in picks.picks:
        assert all(tuple(option.halves) != ("4", "1") for option in pick.options)


def test_the_bore_with_shells_in() -> None:
    """Without the bare housing, the walls that are in there now come in."""
    fitted = [h - 2 * w for h, w in zip(HOUSINGS, (1.490, 1.490, 1.496, 1.496, 1.487), strict=True)]
    picks = picks_of(job_of(fitted="fitted"), table_of([None] * 5, fitted=fitted))
    first = picks.picks[0]
    assert first.bearing.route == "fitted"
    assert first.bearing.as_found is not None
    assert first.bearing.as_found.value == pytest.approx(0.032)
    assert first.sum_measured is not None
    assert first.sum_measured.text == "33.023 − 32.991 + 2 × 1.490 − 2 × 1.490 = 0.032"
    both = picks_of(job_of(fitted="fitted"), table_of(fitted=fitted)).picks[0]
    assert both.bearing.route == "housing"
    assert both.cross.endswith("the two routes agree")
    worn = picks_of(job_of(fitted="fitted"), table_of(fitted=[f + 0.02 for f in fitted])).picks[0]
    assert "0.020 apart, more than measuring explains" in worn.cross


def test_a_gauge_wrongly_set_shows_in_all_places() -> None:
    housings = [sum(CASE[mark]) / 2 + 0.009 for mark in "ABBCA"]
    picks = picks_of(job_of(), table_of(housings=housings, zero=0.002))
    assert picks.groups[0].notes[0].startswith("all 5 housings read about 0.009 above")
    bad = (32.980, 32.972, 32.985, 32.991, 32.997)
    assert not picks_of(job_of(), table_of(journals=bad)).groups[0].notes
    sound = [sum(CASE[mark]) / 2 for mark in "ABBCA"]
    assert not picks_of(job_of(), table_of(housings=sound)).groups[0].notes


def test_no_window_and_no_walls() -> None:
    no_window = picks_of(job_of(window=None), table_of()).picks[0]
    assert no_window.refused.startswith("no limit given")
    assert no_window.pick is None
    assert str(no_window.bearing.by_code) == "2"
    no_walls = picks_of(job_of(grades={}), table_of()).picks[0]
    assert no_walls.refused.startswith("the sheet gives no walls")
    assert str(no_walls.bearing.by_code) == "2"
    aim_only = picks_of(job_of(window=None, aim=0.032), table_of()).picks[0]
    assert aim_only.pick is not None
    assert aim_only.pick.chance is None


def test_what_to_buy_names_half_and_place() -> None:
    shop = Shop(
        drawer=(
            Piece("s1", "main-shell", "2", None, None, None, None, 3, "good"),
            Piece("s2", "main-shell", "5", None, None, None, None, 2, "chipped"),
        )
    )
    told = to_json(picks_of(job_of(), table_of(), shop))
    first, second = told["shells"][:2]
    assert (first["sources"], second["sources"]) == (
        {"upper": "drawer", "lower": "drawer"},
        {"upper": "drawer", "lower": "buy"},
    )
    lines = [(b["what"], b["size"], b["count"], b["places"], b["price"]) for b in told["buy"]]
    assert lines[1] == ("main-shell, lower", "1", 1, ["main/5"], 11.5)
    assert lines[2] == ("main-shell, lower", "2", 1, ["main/2"], 11.5)
    assert sum(line[2] for line in lines) == 7
    marked = to_json(picks_of(job_of(halves_marked="yes"), table_of(), shop))
    assert sum(line["count"] for line in marked["buy"]) == 10


def test_the_contract_of_the_plain_data() -> None:
    told = json.loads(json.dumps(to_json(picks_of(job_of(), table_of())), allow_nan=False))
    row = told["shells"][2]
    assert {"place", "by_code", "by_measurement", "pick", "clearance_mm", "u_mm"} < set(row)
    assert (row["place"], row["by_code"], row["by_measurement"]) == ("main/3", "4", "5")
    assert row["window_mm"] == [0.020, 0.044]
    assert (row["upper"], row["lower"]) == ("5", "5")
    assert 0.9 < row["chance"] < 1.0
    assert len(row["options"]) == 5
    assert told["strings"][1]["verdict"] == "fits as read"


def test_errors_in_common_count_once_for_all() -> None:
    """With one zero error the places miss together: likelier all right than independent."""
    nothing = None
    shared = picks_of(job_of(marks=nothing), table_of(u=(1e-4, 1e-4), zero=0.004))
    apart = picks_of(job_of(marks=nothing), table_of(u=(0.004, 0.004)))
    assert shared.chance_all is not None
    assert apart.chance_all is not None
    assert shared.chance_all > apart.chance_all + 0.005
    assert apart.chance_all == pytest.approx(
        float(np.prod([p.pick.chance for p in apart.picks if p.pick and p.pick.chance])), abs=1e-6
    )


def test_a_setting_that_cannot_be_used_is_said() -> None:
    picks = picks_of(job_of(), table_of(), Shop(settings={"strip-spread": "wide"}))
    assert str(picks.faults[0]).startswith("setting strip-spread: 'wide' is not a number")


def test_guarded_choice_keeps_off_the_ends() -> None:
    settings_in_force = ShellSettings(guarded=True)
    picks = shell_picks(job_of(marks=None), table_of(), Shop(), settings_in_force)
    for pick in picks.picks:
        for option in pick.options:
            low, high = 0.020 + 2 * option.clearance.u, 0.044 - 2 * option.clearance.u
            assert option.legal == (low <= option.clearance.value <= high)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(35.97, 36.05), min_size=2, max_size=4),
    st.lists(st.floats(32.95, 33.03), min_size=4, max_size=4),
    st.sampled_from([None, ("AB", "12"), ("CC", "33")]),
    st.sampled_from(["never", "adjacent", "table"]),
    st.booleans(),
)
def test_the_pick_is_legal_when_one_is(
    housings: list[float],
    journals: list[float],
    marks: tuple[str, str] | None,
    mixing: str,
    guarded: bool,
) -> None:
    job = job_of(2, marks, mixing=mixing)
    table = table_of(housings[:2], journals[:2])
    picks = shell_picks(job, table, Shop(), ShellSettings(guarded=guarded))
    json.dumps(to_json(picks), allow_nan=False)
    for pick in picks.picks:
        legal = [option for option in pick.options if option.legal]
        assert (pick.pick is not None) == bool(legal)
        assert bool(pick.refused) == (not legal)
        if pick.pick:
            assert pick.pick.legal
            best = max(option.chance or 0.0 for option in legal)
            assert (pick.pick.chance or 0.0) >= best - 0.02


@settings(max_examples=80, deadline=None)
@given(st.text(min_size=1, max_size=80), st.text("ABC123-, –", min_size=1, max_size=12))
def test_whatever_is_typed_as_marks(case: str, crank: str) -> None:
    """Marks that can't be used are faults; the picks by measurement stand."""
    picks = picks_of(job_of(marks=(case, crank)), table_of())
    assert len(picks.picks) == 5
    json.dumps(to_json(picks), allow_nan=False)
    if any(pick.bearing.by_code is None for pick in picks.picks):
        assert picks.faults
    else:
        assert picks.groups[0].group.tests


def test_from_readings_as_typed() -> None:
    """The whole way from what was typed at two mains, in two units, to the pick."""
    plan = {"plan": {"axis": ["0", "90"]}}
    features = {
        "housing": {"at": "main", "of": "aluminium", "by": "bore-gauge"} | plan,
        "journal": {"at": "main", "of": "steel", "by": "micrometer-0.001"} | plan,
    }
    job = job_of(2, ("AB", "21"), extra={"features": features})
    typed = {
        ("housing", "1"): ("36.003", "36.005"),
        ("housing", "2"): ("36.008", "36.009"),
        ("journal", "1"): ("32.991", "32.990"),
        ("journal", "2"): ("1.29905 in", "32.996"),
    }
    readings = tuple(
        Reading.model_validate(
            {
                "id": f"{feature}{place}{axis}",
                "at": AT,
                "place": f"main/{place}",
                "feature": feature,
                "spot": {"axis": axis},
                "typed": text,
            }
        )
        for (feature, place), texts in typed.items()
        for axis, text in zip(("0", "90"), texts, strict=True)
    )
    job = replace(job, readings=readings)
    shop = Shop()
    table = read_all(job, shop)
    picks = shell_picks(job, table, shop)
    assert not table.faults
    assert grades(picks) == ["2", "2"]
    first = picks.picks[0]
    assert first.bearing.journal.read.measured is not None
    assert first.bearing.journal.read.measured.value == pytest.approx(32.9905, abs=2e-5)
    assert first.pick is not None
    assert 0.001 < first.pick.clearance.u < 0.006


@pytest.mark.parametrize(
    ("journals", "said_of_it"),
    [
        (("32.991", "32.990", "32.491", "32.992"), "Until that is settled it does not count"),
        (("32.491", "32.490", "32.491", "32.492"), "The same of 3 more there. Until that is"),
    ],
)
def test_what_the_findings_question_does_not_count(
    journals: tuple[str, ...], said_of_it: str
) -> None:
    """One reading a turn out, or all of one journal: the question leads the advice."""
    plan = {"plan": {"axis": ["0", "90"], "end": ["front", "rear"]}}
    journal = {"at": "main", "wears": "smaller", "by": "micrometer-0.001", "new": [32.982, 33.0]}
    features = {"housing": {"at": "main", "wears": "larger"}, "journal": journal | plan}
    job = job_of(3, ("ABB", "221"), extra={"features": features})
    typed = {1: journals, 2: ("32.990", "32.991", "32.990", "32.992"), 3: ("32.997",) * 4}
    spots = [(axis, end) for axis in ("0", "90") for end in ("front", "rear")]
    readings = [
        Reading(
            kind="reading",
            id=f"m{number}-{axis}-{end}",
            at=AT,
            place=f"main/{number}",
            feature="journal",
            spot={"axis": axis, "end": end},
            typed=text,
        )
        for number, texts in typed.items()
        for (axis, end), text in zip(spots, texts, strict=True)
    ]
    job = replace(job, readings=tuple(readings))
    table = read_all(job, Shop())
    slips = suspicions(job, table).slips
    assert {slip.kind for slip in slips} == {"turn"}
    first, *others = shell_picks(job, table, Shop()).picks
    assert first.advice[0].startswith(next(s.question for s in slips if s.place == "main/1"))
    assert said_of_it in first.advice[0]
    measured = first.bearing.journal.read.measured
    if len(slips) == 1:
        assert measured is not None
        assert measured.value == pytest.approx(32.991, abs=1e-5)
    else:
        assert measured is None
        assert first.bearing.journal.basis == "code"
    assert all(not pick.bearing.journal.read.unused for pick in others)


def test_sound_engines_raise_no_alarm() -> None:
    """Unworn parts, honest measurements: naive comparison differs often, a call is rare."""
    rng = np.random.default_rng(11)
    called = naive = total = turned = 0
    for _ in range(150):
        case = [str(mark) for mark in rng.choice(list("ABC"), 5)]
        crank = [str(mark) for mark in rng.choice(list("123"), 5)]
        housings = [float(_draw(rng, CASE[m]) + rng.normal(0, 0.0025)) for m in case]
        journals = [float(_draw(rng, CRANK[m]) + rng.normal(0, 0.0015)) for m in crank]
        picks = picks_of(
            job_of(marks=("".join(case), "".join(crank))), table_of(housings, journals)
        )
        turned += any(
            test.verdict == "fits better from the other end"
            for test in picks.groups[0].group.tests.values()
        )
        for pick in picks.picks:
            total += 1
            called += pick.agreement.word in ("disagree", "worn")
            if pick.measured is not None and pick.measured.halves == pick.bearing.by_code:
                assert pick.pick is pick.measured
            naive += pick.measured is not None and pick.measured.halves != pick.bearing.by_code
            assert pick.pick is not None
    assert naive / total > 0.3
    assert called / total < 0.04, "two parts at each place, each below 2 %"
    assert turned <= 2


def test_weighing_beats_either_alone() -> None:
    """Mean square error of the clearance: code and measurement together against each alone."""
    rng = np.random.default_rng(12)
    errors: dict[str, list[float]] = {"both": [], "measured": [], "code": []}
    for _ in range(120):
        true_h = [float(_draw(rng, CASE[m])) for m in "ABBCA"]
        true_j = [float(_draw(rng, CRANK[m]) - rng.exponential(0.002)) for m in "21321"]
        table = table_of(
            [h + float(rng.normal(0, 0.0025)) for h in true_h],
            [j + float(rng.normal(0, 0.0015)) for j in true_j],
        )
        bare = {
            "both": picks_of(job_of(), table).picks,
            "measured": picks_of(job_of(marks=None), table).picks,
            "code": picks_of(job_of(), table_of([None] * 5, [None] * 5)).picks,
        }
        for name, picks in bare.items():
            for pick, h, j in zip(picks, true_h, true_j, strict=True):
                room = pick.bearing.bare()
                assert room is not None
                errors[name].append((room.value - (h - j)) ** 2)
    mean = {name: float(np.mean(values)) for name, values in errors.items()}
    assert mean["both"] < 0.75 * min(mean["measured"], mean["code"])
