"""Tables: every way people write them, every bad row named, and forms that read back."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.log.helpers import AT, SHEET

from gudgeon.faults import Unusable
from gudgeon.log.codec import body_of
from gudgeon.log.form import FORM, blank_form
from gudgeon.log.spots import read_spot, spot_words, spots
from gudgeon.log.tables import COLUMNS, read_table
from gudgeon.sheet.load import load

TRIPLE = load(SHEET, "triple.yaml").sheet


def read(text: str) -> list[dict[str, Any]]:
    """What the rows of a table say, without what every entry has."""
    entries, lines = read_table(text, "t.csv", TRIPLE, AT)
    assert set(lines) == {entry.id for entry in entries}
    drop = ("id", "at", "device")
    return [
        {key: value for key, value in json.loads(body_of(entry)).items() if key not in drop}
        for entry in entries
    ]


BORE = {
    "kind": "reading",
    "place": "cylinder/1",
    "feature": "bore",
    "spot": {"height": "top", "axis": "pin"},
    "epoch": "found",
    "attempt": 1,
    "typed": "58.013",
}


@pytest.mark.parametrize(
    "text",
    [
        "place,feature,spot,value\ncylinder/1,bore,top pin,58.013\n",
        "place,feature,spot,value\r\ncylinder/1,bore,top pin,58.013\r\n",
        "\ufeffplace,feature,spot,value\ncylinder/1,bore,top pin,58.013",
        "place;feature;spot;value\ncylinder/1;bore;top pin;58.013\n",
        "place\tfeature\tspot\tvalue\ncylinder/1\tbore\ttop pin\t58.013\n",
        "\n\nPlace , FEATURE,Spot,Typed\n ,,,\n cylinder/1 ,bore,top  pin, 58.013 ,,\n\n",
        'place,feature,spot,value\n"cylinder/1","bore","axis=pin, height=top","58.013"\n',
        "value,spot,feature,place\n58.013,Pin TOP,bore,cylinder/1\n",
        "entry,place,feature,spot,value\nReading,cylinder/1,bore,height=top axis=pin,58.013\n",
    ],
)
def test_the_ways_people_write_a_table(text: str) -> None:
    assert read(text) == [BORE]


def test_decimal_commas_stay_as_typed() -> None:
    semicolons = "place;feature;spot;value\ncylinder/1;bore;top pin;58,013\n"
    quoted = 'place,feature,spot,value\ncylinder/1,bore,top pin,"58,013"\n'
    assert read(semicolons) == read(quoted) == [BORE | {"typed": "58,013"}]


def test_a_unit_typed_behind_the_number_or_in_its_column() -> None:
    inside = "place,feature,spot,value\ncylinder/1,bore,top pin,2.284 in\n"
    beside = "place,feature,spot,value,unit\ncylinder/1,bore,top pin,2.284,in\n"
    assert read(inside) == read(beside) == [BORE | {"typed": "2.284", "unit": "in"}]


def test_every_kind_of_row() -> None:
    text = (
        "entry,place,feature,spot,epoch,attempt,value,goes,wont,feel,mark,condition,spread,unit,"
        "instrument,part temp,gauge_temp,note\n"
        ",cylinder/1,bore,top pin,,2,58.013,,,,,,,,mic-a,21,20.5,blue\n"
        ',valve/1/in/L,gap,,built,,,0.10,"0,13",drag,,,,,blades,,,\n'
        "shim,valve/1/in/L,,,,,1.775,,,,178,dished,,,mic-a,,,\n"
        "code,main-shell/crank,,,,,,,,,1 - 2 1,,,,,,,\n"
        "rise,valve/1/in/L,,,,,0.05,,,,,,0.02,,,,,half a turn of the stone\n"
        "note,main/2,,,,,,,,,,,,,,,,scored\n"
        ",,,,,,,,,,,,,,,,,for all\n"
    )
    found = read(text)
    assert [item["kind"] for item in found] == [
        *("note", "reading", "feeler", "shim", "code", "rise", "note", "note")
    ]
    assert found[0] == {"kind": "note", "place": "cylinder/1", "text": "blue"}
    assert found[1] == BORE | {
        "attempt": 2,
        "instrument": "mic-a",
        "part_temp": "21",
        "gauge_temp": "20.5",
    }
    assert (found[2]["goes"], found[2]["wont"], found[2]["feel"]) == ("0.10", "0,13", "drag")
    assert (found[3]["mark"], found[3]["typed"], found[3]["condition"]) == (
        *("178", "1.775", "dished"),
    )
    assert (found[4]["group"], found[4]["on"], found[4]["marks"]) == (
        *("main-shell", "crank", "1 - 2 1"),
    )
    assert found[5]["basis"] == "half a turn of the stone"
    assert found[7] == {"kind": "note", "text": "for all"}


def test_the_same_file_gives_the_same_ids_and_another_file_others() -> None:
    text = "place,feature,spot,value\ncylinder/1,bore,top pin,58.013\n"

    def ids(text: str, at: str = AT) -> list[str]:
        return [entry.id for entry in read_table(text, "x", TRIPLE, at)[0]]

    assert ids(text) == ids(text, "2027-01-01T00:00:00Z")
    assert ids(text)[0].endswith("-2")
    assert ids(text) != ids(text.replace("013", "014"))


def test_every_bad_row_is_named_and_none_is_read() -> None:
    rows = ["cylinder/1,bore,top pin,58.013"] * 3
    rows[1:1] = ["cylinder/9,bore,top pin,x", "cylinder/1,bore,,58.013"]
    with pytest.raises(Unusable) as refused:
        read("place,feature,spot,value\n" + "\n".join(rows))
    assert [fault.where for fault in refused.value.faults] == [
        *("t.csv:3:1", "t.csv:3:4", "t.csv:4:3", "t.csv:4:3")
    ]


def test_too_many_rows_and_faults_have_an_end() -> None:
    head = "place,feature,spot,value\n"
    with pytest.raises(Unusable) as refused:
        read(head + "cylinder/9,bore,top pin,58\n" * 500)
    assert len(refused.value.faults) <= 60
    with pytest.raises(Unusable, match="more than 20,000 rows"):
        read(head + "cylinder/1,bore,top pin,\n" * 20_001)


class TestForm:
    def test_a_blank_form_adds_nothing(self) -> None:
        for delimiter in ",;\t":
            assert read(blank_form(TRIPLE, delimiter=delimiter)) == []

    def test_it_asks_for_every_reading_of_the_plan_once(self) -> None:
        rows = list(csv.DictReader(io.StringIO(blank_form(TRIPLE))))
        asked = [(row["entry"], row["place"], row["feature"], row["spot"]) for row in rows]
        assert len(set(asked)) == len(asked)
        assert list(rows[0]) == list(FORM)
        assert set(FORM) <= set(COLUMNS)
        counts = {kind: sum(row[0] == kind for row in asked) for kind in {a[0] for a in asked}}
        # 3 bores of 6, 3 pistons, 4 journals of 4, 12 tips, 3 masses; 12 gaps; 12 shims; 2 codes
        assert counts == {"reading": 18 + 3 + 16 + 12 + 3, "feeler": 12, "shim": 12, "code": 2}

    def test_filled_in_it_is_all_read(self) -> None:
        rows = list(csv.DictReader(io.StringIO(blank_form(TRIPLE))))
        for row in rows:
            if row["entry"] == "feeler":
                row |= {"goes": "0.10", "wont": "0.13"}
            elif row["entry"] == "code":
                row["mark"] = "ABBA" if row["place"].endswith("case") else "1221"
            elif row["entry"] == "shim":
                row["mark"] = "178"
            else:
                row["value"] = "58,01"
        out = io.StringIO()
        writer = csv.DictWriter(out, FORM, delimiter=";")
        writer.writeheader()
        writer.writerows(rows)
        assert len(read(out.getvalue())) == len(rows)

    def test_other_epochs_ask_for_less(self) -> None:
        built = list(csv.DictReader(io.StringIO(blank_form(TRIPLE, "built"))))
        assert {(row["entry"], row["feature"]) for row in built} == {
            ("shim", ""),
            ("feeler", "gap"),
        }
        assert {row["epoch"] for row in built} == {"built"}
        seated = list(csv.DictReader(io.StringIO(blank_form(TRIPLE, "seated"))))
        assert {row["feature"] for row in seated} == {"tip"}


@given(st.sampled_from(list(spots(TRIPLE.features["journal"]))), st.booleans())
@settings(max_examples=20)
def test_spots_read_as_they_are_written(spot: dict[str, str], long: bool) -> None:
    text = " ".join(f"{a}={b}" for a, b in spot.items()) if long else spot_words(spot)
    assert read_spot(text, TRIPLE.features["journal"]) == (spot, [])


def test_a_word_that_two_axes_have_goes_to_the_next_free_one() -> None:
    feature = TRIPLE.features["journal"].model_copy(update={"plan": {"a": ["1"], "b": ["1", "2"]}})
    assert read_spot("1 1", feature) == ({"a": "1", "b": "1"}, [])
    assert read_spot("2 1", feature) == ({"b": "2", "a": "1"}, [])
    assert read_spot("1 1 1", feature)[1][0].wrong == "'1' is not in the sheet's plan"
