"""Checks of a sheet: what each finds, and that sound sheets are left in peace."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.sheet.check import CHECKS, Found, check_sheet
from gudgeon.sheet.check.found import mm
from gudgeon.sheet.check.shims import sizes_of
from gudgeon.sheet.check.steps import ladder, odd_ones
from gudgeon.sheet.load import load
from gudgeon.sheet.select import Series

HEAD = "sheet: 1\nengine: {name: X}\n"


def found(text: str, check: str | None = None) -> list[Found]:
    """What the checks find in a sheet, of one check or of all."""
    return [
        item for item in check_sheet(load(text, "s.yaml")) if check is None or item.check == check
    ]


def words(text: str, check: str) -> str:
    """The same as one text."""
    return "\n".join(str(item) for item in found(text, check))


# ---------------------------------------------------------------- grade tables

SHELLS = """\
places: {{end: 1 = left, main: 5}}
features:
  housing: {{at: main}}
  journal: {{at: main}}
select:
  shells:
    main:
      at: main
      housing: housing
      journal: journal
      window: [{window}]
      wall-tolerance: {tolerance}
      source: p. 1
      case: {{marks: {{A: [36.000, 36.006], B: [36.006, 36.012], C: [36.012, 36.018]}}}}
      crank: {{marks: {{1: [32.994, 33.000], 2: [32.988, 32.994], 3: [32.982, 32.988]}}}}
      grades: {{1: 1.487, 2: 1.490, 3: 1.493, 4: 1.496, 5: 1.499}}
      scheme: {scheme}
"""
TABLE = (
    "{kind: table, cells: {A: {1: 1, 2: 2, 3: 3}, B: {1: 2, 2: 3, 3: 4}, C: {1: 3, 2: 4, 3: 5}}}"
)
SUM = "{kind: sum, case-numbers: {A: 0, B: 1, C: 2}}"
DIFFERENCE = (
    "{kind: difference, case-numbers: {A: 1, B: 2, C: 3},"
    " crank-numbers: {1: 2, 2: 1, 3: 0}, constant: -2}"
)
HALVES = "{kind: halves, upper: {A: 1, B: 3, C: 5}, lower: {1: 1, 2: 3, 3: 5}}"


def shells(scheme: str = TABLE, window: str = "0.020, 0.044", tolerance: str = "0.0015") -> str:
    """A sheet with one group of shells (worked example W3 of the trade notes)."""
    return HEAD + SHELLS.format(scheme=scheme, window=window, tolerance=tolerance)


@pytest.mark.parametrize("scheme", [TABLE, SUM, DIFFERENCE], ids=["table", "sum", "difference"])
def test_a_sound_table_passes_whichever_way_it_is_written(scheme: str) -> None:
    assert found(shells(scheme)) == []


def test_the_extremes_are_those_of_the_tolerances() -> None:
    """Every pair gives 0.023 to 0.041: a window that just holds it passes, a tighter one fails."""
    assert found(shells(window="0.023, 0.041"), "grades") == []
    for window in ("0.0235, 0.041", "0.023, 0.0405"):
        assert [item.wrong[:12] for item in found(shells(window=window), "grades")] == [
            "9 of 9 cells"
        ]
    assert found(shells(window="0.026, 0.038", tolerance="0"), "grades") == []


def test_half_and_half_is_counted_with_both_walls() -> None:
    told = found(shells(HALVES), "grades")
    assert told == []
    worse = HALVES.replace("C: 5", "C: 1")
    assert "case C with crank 3 takes 1 over 5: oil clearance 0.035..0.053" in words(
        shells(worse), "grades"
    )


@given(cell=st.sampled_from([(a, b) for a in "ABC" for b in "123"]), grade=st.integers(1, 5))
def test_any_mistyped_cell_is_found_and_the_right_grade_named(
    cell: tuple[str, str], grade: int
) -> None:
    """One step of wall is 6 µm of clearance and the window spares 3, so any wrong cell shows."""
    rows = {a: {b: "ABC".index(a) + "123".index(b) + 1 for b in "123"} for a in "ABC"}
    right = rows[cell[0]][cell[1]]
    rows[cell[0]][cell[1]] = grade
    cells = ", ".join(
        f"{a}: {{{', '.join(f'{b}: {g}' for b, g in row.items())}}}" for a, row in rows.items()
    )
    told = found(shells(f"{{kind: table, cells: {{{cells}}}}}"), "grades")
    if grade == right:
        assert told == []
    else:
        assert [item.right for item in told] == [f"grade {right} would stay inside"]
        assert told[0].wrong.startswith(f"case {cell[0]} with crank {cell[1]} takes {grade}:")


@given(place=st.integers(0, 4), wrong=st.sampled_from([1.389, 1.94, 1.52, 1.47]))
def test_any_mistyped_wall_is_found_at_the_wall(place: int, wrong: float) -> None:
    walls = [1.487, 1.490, 1.493, 1.496, 1.499]
    text = shells().replace(f"{place + 1}: {walls[place]:.3f}", f"{place + 1}: {wrong}")
    told = found(text, "grades")
    assert len(told) == 1
    assert told[0].right == f"{walls[place]:.3f} would keep it"
    assert f"grade {place + 1}" in told[0].wrong


def test_a_mistyped_class_is_found_at_the_class() -> None:
    text = (
        shells()
        .replace("C: [36.012, 36.018]}", "C: [36.012, 36.081], D: [36.018, 36.024]}")
        .replace("C: {1: 3, 2: 4, 3: 5}", "C: {1: 3, 2: 4, 3: 5}, D: {1: 4, 2: 5, 3: 5}")
    )
    told = [item for item in found(text, "grades") if "mark C" in item.wrong]
    assert len(told) == 1
    assert told[0].right == "36.018 would keep it"
    assert "it spoils C 1, C 2, C 3" in told[0].sum


def test_a_window_too_narrow_is_one_fault_at_the_window() -> None:
    (told,) = found(shells(window="0.030, 0.040"), "grades")
    assert told.wrong == (
        "9 of 9 cells leave the window 0.030..0.040, and no grade would keep them inside"
    )
    assert told.right == (
        "the cells give 0.023..0.041 together, check the window and the wall-tolerance"
    )
    assert "A 1, A 2, A 3, B 1, B 2, B 3, C 1, C 2, C 3: 36.000..36.006 − " in told.sum
    assert shells(window="0.030, 0.040").splitlines()[told.line - 1].strip().startswith("window")


@pytest.mark.parametrize(
    ("old", "new", "where", "room"),
    [
        ("C: [36.012, 36.018]", "C: [36.021, 36.027]", "case mark C", "36.009..36.021"),
        ("B: [36.006, 36.012]", "B: [36.000, 36.006]", "case mark B", "36.003..36.015"),
        ("3: [32.982, 32.988]", "3: [32.928, 32.934]", "crank mark 3", "32.979..32.991"),
        ("2: [32.988, 32.994]", "2: [32.980, 32.986]", "crank mark 2", "32.985..32.997"),
    ],
)
def test_a_range_mistyped_is_one_fault_at_the_range(
    old: str, new: str, where: str, room: str
) -> None:
    """Three ranges are too few for a ladder; their cells tell all the same."""
    (told,) = found(shells().replace(old, new), "grades")
    assert told.wrong.startswith(f"the range of {where}, ")
    assert "makes 3 cells leave the window 0.020..0.044" in told.wrong
    assert told.right == f"a range inside {room} would clear them all"


def test_a_wall_mistyped_among_three_is_one_fault_at_the_wall() -> None:
    text = (
        shells("{kind: table, cells: {A: {1: 1, 2: 2}, B: {1: 2, 2: 3}}}")
        .replace(", C: [36.012, 36.018]", "")
        .replace(", 3: [32.982, 32.988]", "")
        .replace("2: 1.490, 3: 1.493, 4: 1.496, 5: 1.499", "2: 1.4965, 3: 1.493")
    )
    told = found(text, "grades")
    assert [item.sum.partition(":")[0] for item in told] == ["it spoils A 2, B 1"]


@pytest.mark.parametrize(
    ("row", "cell", "grade"),
    [("B: {1: 2, 2: 3, 3: 4}", "B: {1: 2, 2: 4, 3: 4}", "3"), ("A: {1: 1,", "A: {1: 2,", "1")],
)
def test_one_grade_off_that_still_fits_is_worth_a_look(row: str, cell: str, grade: str) -> None:
    wide = shells(window="0.015, 0.050").replace(row, cell)
    assert found(wide, "grades") == []
    (look,) = found(wide, "even-steps")
    assert look.severity == "look"
    assert look.right == f"grade {grade} would continue the step, compare with the manual"
    assert "breaks the even step of the table, though it stays inside the window" in look.wrong
    assert "wall of A 1 by the steps 1.487; " in look.sum
    assert found(shells(window="0.015, 0.050"), "even-steps") == []
    assert found(shells().replace(row, cell), "even-steps") == [], "the window says so already"


@given(st.lists(st.lists(st.integers(1, 5), min_size=3, max_size=3), min_size=3, max_size=3))
def test_tables_that_do_not_step_evenly_are_left_in_peace(rows: list[list[int]]) -> None:
    """Whatever the table: at most one cell in eight is doubted, never one that keeps the step."""
    cells = ", ".join(
        f"{a}: {{{', '.join(f'{b}: {g}' for b, g in zip('123', row, strict=True))}}}"
        for a, row in zip("ABC", rows, strict=True)
    )
    text = shells(f"{{kind: table, cells: {{{cells}}}}}", window="0.000, 0.090")
    assert len(found(text, "even-steps")) <= 1


def test_without_ranges_or_walls_there_is_nothing_to_prove() -> None:
    text = shells().replace("[36.000, 36.006]", "").replace("[36.006, 36.012]", "")
    assert found(text.replace("[36.012, 36.018]", ""), "grades") == []


def test_many_failing_cells_are_counted_not_listed() -> None:
    marks = ", ".join(f"m{i}: [36.000, 36.006]" for i in range(20))
    cells = ", ".join(f"m{i}: {{1: 5}}" for i in range(20))
    text = shells(f"{{kind: table, cells: {{{cells}}}}}").replace(
        "A: [36.000, 36.006], B: [36.006, 36.012], C: [36.012, 36.018]", marks
    )
    told = found(text, "grades")
    assert len(told) == 13
    assert "8 more cells leave the window" in words(text, "grades")


# ---------------------------------------------------------------- even steps


@given(
    start=st.floats(0.5, 100),
    step=st.sampled_from([0.003, -0.006, 0.025, 0.1]),
    count=st.integers(4, 9),
    data=st.data(),
)
def test_one_wrong_rung_is_named(
    start: float, step: float, count: int, data: st.DataObject
) -> None:
    rungs = [start + step * place for place in range(count)]
    assert odd_ones(rungs, ladder(rungs) or []) == []
    place = data.draw(st.integers(0, count - 1))
    off = data.draw(st.floats(0.7, 50)) * step
    wrong = [*rungs[:place], rungs[place] + off, *rungs[place + 1 :]]
    if count >= 5:
        found_rungs = ladder(wrong)
        assert found_rungs is not None
        assert odd_ones(wrong, found_rungs) == [place]
        assert found_rungs[place] == pytest.approx(rungs[place], abs=abs(step) / 100)


@pytest.mark.parametrize(
    "values", [[], [1.0], [1.0, 2.0], [1.0] * 5, [float(i) for i in range(99)]]
)
def test_where_there_is_no_ladder(values: list[float]) -> None:
    assert ladder(values) is None


# ---------------------------------------------------------------- shims

VALVES = (
    HEAD
    + "places: {end: 1 = left, cylinder: 2, valve: {each: cylinder, in: [L], ex: [L]}}\n"
    + "features: {gap: {at: valve, kind: gap}}\nselect:\n  shims:\n    source: p. 1\n"
)


@pytest.mark.parametrize(
    ("extra", "fails"),
    [
        ("    window: [0.10, 0.15]\n    series: [{from: 1, to: 2, step: 0.05}]", False),
        ("    window: [0.10, 0.149]\n    series: [{from: 1, to: 2, step: 0.05}]", True),
        # A finger read at the cam: 0.06 of shim moves the clearance there by 0.04.
        (
            "    gear: finger\n    ratio: 1.5\n    window: [0.10, 0.14]\n"
            "    series: [{from: 1, to: 2, step: 0.06}]",
            False,
        ),
        (
            "    gear: finger\n    ratio: 1.5\n    read-at: stem\n    window: [0.10, 0.14]\n"
            "    series: [{from: 1, to: 2, step: 0.06}]",
            True,
        ),
        # Two families leave a hole between them.
        (
            "    window: [0.10, 0.16]\n"
            "    series: [{from: 1, to: 1.5, step: 0.05}, {from: 1.7, to: 2, step: 0.05}]",
            True,
        ),
        # Two families in between each other halve the step.
        (
            "    window: [0.10, 0.125]\n"
            "    series: [{from: 1, to: 2, step: 0.05}, {from: 1.025, to: 2, step: 0.05}]",
            False,
        ),
        ("    gear: rocker-screw\n    window: [0.10, 0.12]", False),
    ],
)
def test_shims_cover_the_window(extra: str, fails: bool) -> None:
    assert bool(found(VALVES + extra, "shim-steps")) is fails


@given(
    start=st.integers(800, 2000),
    count=st.integers(1, 80),
    step=st.sampled_from([5, 10, 20, 25, 50]),
)
def test_sizes_of_a_series_are_all_its_steps(start: int, count: int, step: int) -> None:
    series = Series.model_validate(
        {"from": start / 1000, "to": (start + count * step) / 1000, "step": step / 1000}
    )
    sizes = sizes_of(series)
    assert len(sizes) == count + 1
    assert sizes[-1] == pytest.approx(series.to)


@pytest.mark.parametrize(
    ("marking", "start", "step", "fits"),
    [
        ("quarters", "1.200", "0.025", True),
        ("quarters", "1.200", "0.020", False),
        ("hundredths", "1.20", "0.05", True),
        ("hundredths", "1.200", "0.025", False),
        ("thousandths", "1.200", "0.025", True),
        ("millimetres", "1.2345", "0.0125", True),
    ],
)
def test_markings_express_the_sizes(marking: str, start: str, step: str, fits: bool) -> None:
    text = f"    marking: {marking}\n    series: [{{from: {start}, to: 2.2, step: {step}}}]"
    assert ("can't express" in words(VALVES + text, "shim-series")) is not fits


# ---------------------------------------------------------------- engine, limits, units


@pytest.mark.parametrize(
    ("engine", "right"),
    [
        ("bore: 81.0, stroke: 51.6, capacity: 798 cc", None),
        ("bore: 81.0, stroke: 51.6, capacity: 0.798 l", None),
        ("bore: 81.0, stroke: 51.6, capacity: 48.7 cu in", None),
        ("bore: 81.0, stroke: 51.6, capacity: 790 cc", None),
        ("bore: 81.0, stroke: 51.6, capacity: 789 cc", "check bore, stroke"),
        ("bore: 81.0, stroke: 51.6, capacity: 1064 cc", "4 cylinders would give 1063.6 cc"),
        ("bore: 3.189, stroke: 51.6, capacity: 798 cc", "a bore of 3.189 in would give"),
        ("bore: 81.0, stroke: 2.031, capacity: 798 cc", "a stroke of 2.031 in would give"),
        ("bore: 3.189, stroke: 2.031, capacity: 798 cc", "bore and stroke in inches would give"),
        ("bore: 0, stroke: 51.6, capacity: 798 cc", None),
        ("bore: 81.0, stroke: 51.6", None),
    ],
)
def test_capacity(engine: str, right: str | None) -> None:
    told = found(f"sheet: 1\nengine: {{{engine}}}\nplaces: {{cylinder: 3}}", "capacity")
    assert [item.right[: len(right or "")] for item in told] == ([] if right is None else [right])


@pytest.mark.parametrize(
    ("unit", "new", "service", "odd"),
    [
        ("mm", "[36.000, 36.018]", "{max: 36.050}", None),
        ("mm", "[36.000, 36.018]", "{max: 1.4193}", "write 1.4193 in"),
        ("in", "[1.4173, 1.4180]", "{max: 36.05}", "write 36.05 mm"),
        ("in", "[1.4173, 1.4180]", "{max: 1.4193}", None),
        ("mm", "{max: 36.018}", "{max: 1.4193}", "write 1.4193 in"),
    ],
)
def test_a_figure_in_the_other_unit(unit: str, new: str, service: str, odd: str | None) -> None:
    text = (
        f"{HEAD}unit: {unit}\nplaces: {{main: 4}}\n"
        f"features: {{housing: {{at: main, new: {new}}}}}\n"
        f"derive: {{size: {{from: housing, rule: max, service: {service}}}}}"
    )
    told = found(text, "units")
    assert bool(told) is (odd is not None)
    assert all(item.right.startswith(odd or "") for item in told)


def test_clearances_in_the_other_unit() -> None:
    text = VALVES + "    window: {in: [0.11, 0.17], ex: [0.0075, 0.0098]}"
    assert [item.line for item in found(text, "units")] == [8, 8]


def test_service_against_the_new_range_of_the_part() -> None:
    text = (
        HEAD + "places: {main: 4}\nfeatures: {housing: {at: main, new: [36.000, 36.018]}}\n"
        "derive: {size: {from: housing, rule: max, service: {max: 36.010}}}"
    )
    assert "the service limit max 36.010 is tighter than new, 36.018" in words(text, "wear-limits")
    assert found(text.replace("rule: max", "rule: range"), "wear-limits") == []


def test_a_graded_fit_may_be_narrower_than_its_parts() -> None:
    text = (
        HEAD + "places: {cylinder: 3}\nfeatures:\n  bore: {at: cylinder, new: [81.000, 81.012]}\n"
        "  piston: {at: cylinder, new: [80.960, 80.975]}\n"
        "fits: {clearance: {hole: bore, shaft: piston, new: [WINDOW], source: p. 1}}"
    )
    assert found(text.replace("WINDOW", "0.030, 0.042"), "fit-arithmetic") == []
    assert found(text.replace("WINDOW", "0.025, 0.052"), "fit-arithmetic") == []
    wider = found(text.replace("WINDOW", "0.025, 0.055"), "fit-arithmetic")
    assert [item.severity for item in wider] == ["look"]
    other = found(text.replace("WINDOW", "0.055, 0.070"), "fit-arithmetic")
    assert [item.severity for item in other] == ["fault"]


def test_a_journal_is_ground_down_not_up() -> None:
    text = (
        HEAD + "places: {main: 4}\n"
        "features: {journal: {at: main, wears: smaller, new: [32.984, 33.000], source: p. 1}}\n"
        "oversizes: {grind: {feature: journal, steps: [0.25, 0.50], largest: 32.600, source: p. 1}}"
    )
    told = found(text)
    assert [item.wrong for item in told] == [
        "the step 0.50 gives 32.484, beyond the smallest size 32.600"
    ]


# ---------------------------------------------------------------- the table of checks


def test_the_names_of_checks_are_their_own() -> None:
    names = [check.name for check in CHECKS]
    assert len(set(names)) == len(names)
    assert all(check.proves.endswith(".") for check in CHECKS)


def test_findings_come_in_the_order_of_the_file() -> None:
    text = shells().replace("source: p. 1", "source:").replace("3: 1.493", "3: 1.439")
    lines = [(item.line, item.column) for item in found(text)]
    assert lines == sorted(lines)
    assert len(lines) > 1


@pytest.mark.parametrize(
    ("value", "text"), [(0.0, "0.000"), (1.49, "1.490"), (1.4955, "1.4955"), (-0.5, "−0.500")]
)
def test_lengths_in_words(value: float, text: str) -> None:
    assert mm(value) == text


def test_every_pair_of_kinds_of_scheme_agrees_on_the_worked_example() -> None:
    sheets = [load(shells(scheme), "s").sheet for scheme in (TABLE, SUM, DIFFERENCE)]
    from gudgeon.sheet.scheme import cells_of

    forms = [dict(cells_of(sheet.select.shells["main"]).grades) for sheet in sheets]
    for one, two in itertools.pairwise(forms):
        assert one == two


def test_a_clearance_is_read_as_a_gap() -> None:
    text = VALVES.replace(", kind: gap", "") + "    window: [0.10, 0.16]"
    assert "'gap' holds the valve clearance, but is read as a size" in words(text, "shim-window")
