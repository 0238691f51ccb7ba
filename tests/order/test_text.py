"""The order as data and as a table that runs nothing."""

from __future__ import annotations

import csv
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.order.lines import Need, make_order
from gudgeon.order.text import COLUMNS, safe_cell, to_csv, to_json

DANGEROUS = [
    "=1+1",
    "+cmd",
    "-2",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "  =1",
    "＝1",
    "|calc",
    "%0A=1",
    '"=1"\n=2',
]


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_is_run_as_a_formula(text: str) -> None:
    told = make_order(text, text, [Need(text, text, text, 1.0, text)])
    table = list(csv.reader(io.StringIO(to_csv(told), newline="")))
    assert table[0] == list(COLUMNS)
    assert len(table) == 2
    for cell in table[1]:
        assert not cell.strip().startswith(("=", "+", "-", "@", "|", "%", "＝"))
        assert "\n" not in cell
        assert "\t" not in cell


@given(st.text(max_size=60))
def test_a_table_has_one_row_a_line_whatever_is_written(text: str) -> None:
    told = make_order("job", "EUR", [Need(text, text, text, 2.5, text, 2)])
    table = list(csv.reader(io.StringIO(to_csv(told), newline="")))
    assert len(table) == 2
    assert len(table[1]) == len(COLUMNS)
    assert table[1][2] == "2"
    assert table[1][5] == "5.00"


@given(st.text(max_size=60))
def test_a_safe_cell_stays_safe(text: str) -> None:
    assert safe_cell(safe_cell(text)) == safe_cell(text)


def test_places_and_prices_are_in_the_table() -> None:
    told = make_order(
        "job",
        "EUR",
        [
            Need("shim", "1.750", "valve/1/in/L", 9.0, "picked"),
            Need("shim", "1.750", "valve/2/in/R", 9.0, "picked"),
            Need("gasket", "", "", None, "renewed"),
        ],
    )
    rows = list(csv.DictReader(io.StringIO(to_csv(told), newline="")))
    assert rows[0] == {
        "what": "shim",
        "size": "1.750",
        "count": "2",
        "places": "valve/1/in/L; valve/2/in/R",
        "price": "9.00",
        "total": "18.00",
        "currency": "EUR",
        "why": "picked",
    }
    assert rows[1]["price"] == rows[1]["total"] == ""


def test_json_carries_everything() -> None:
    told = make_order(
        "job",
        "EUR",
        [Need("shim", "1.750", "valve/1/in/L", 9.0, "picked")],
        [Need("shim", "1.775", "valve/1/in/L", 9.0, "besides")],
        ["look here"],
    )
    answer = json.loads(json.dumps(to_json(told), allow_nan=False))
    assert answer["lines"][0] == {
        "what": "shim",
        "size": "1.750",
        "count": 1,
        "places": ["valve/1/in/L"],
        "price": 9.0,
        "total": 9.0,
        "why": ["picked"],
    }
    assert (answer["job"], answer["currency"], answer["total"], answer["unpriced"]) == (
        "job",
        "EUR",
        9.0,
        0,
    )
    assert answer["also"][0]["size"] == "1.775"
    assert answer["notes"] == ["look here"]
