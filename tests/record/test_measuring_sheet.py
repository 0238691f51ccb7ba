"""The measuring sheet has a box for every reading the sheet plans, and nothing filled in."""

from __future__ import annotations

import io
import re
from math import prod

import pikepdf
import pytest
from tests.record.made_up import sheet
from tests.record.pdftext import pages, squashed

from gudgeon.cli.demo import sheet_texts
from gudgeon.record.document import Paper
from gudgeon.record.measuring_sheet import code_boxes, measuring_sheet, stages
from gudgeon.record.said import spoken
from gudgeon.sheet.load import load
from gudgeon.sheet.model import Sheet

TRIPLE = load(sheet_texts()["triple.yaml"], "triple.yaml").sheet
TWIN = load(sheet_texts()["twin.yaml"], "twin.yaml").sheet


def boxes(engine: Sheet) -> int:
    return sum(
        len(table.rows) * sum(len(column.spots) for column in table.columns)
        for stage in stages(engine)
        for table in stage.tables
    )


@pytest.mark.parametrize("engine", [TRIPLE, TWIN], ids=["triple", "twin"])
def test_there_is_a_box_for_every_reading_of_every_plan(engine: Sheet) -> None:
    planned = sum(
        len(engine.layout.of(f.at))
        * prod(len(names) for names in f.plan.values())
        * len(f.epochs)
        * (2 if f.by == "feeler" else 1)
        for f in engine.features.values()
    )
    shims = engine.select.shims
    assert shims is not None
    assert boxes(engine) == planned + 4 * len(engine.layout.of(shims.at))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_place_and_feature_is_on_the_paper(paper: Paper) -> None:
    made = measuring_sheet(TRIPLE, paper, "triple.yaml", "job-7")
    text = " ".join(pages(made))
    for kind in TRIPLE.layout.kinds:
        for place in TRIPLE.layout.of(kind):
            assert spoken(place) in text
    for words in (
        *TRIPLE.features,
        "instrument",
        "gauge, °C",
        "Springs under load",
        "job-7",
        "INVENTED",
    ):
        assert squashed(words) in squashed(text)
    with pikepdf.open(io.BytesIO(made)) as pdf:
        assert pdf.open_metadata()["pdfaid:part"] == "2"
        assert pdf.check_pdf_syntax() == []


def test_no_limit_is_shown_to_the_person_who_reads() -> None:
    text = " ".join(pages(measuring_sheet(TRIPLE)))
    assert "78.015" not in text
    assert "p. 4-12" not in text


def test_strings_have_a_box_a_place_and_say_where_to_begin() -> None:
    told = code_boxes(TRIPLE)
    assert [(box.title, box.count) for box in told][:2] == [
        ("main-shell, marks on the case", 4),
        ("main-shell, marks on the crank", 4),
    ]
    assert "main 4" in told[1].note


def test_where_the_end_is_not_known_there_is_room_to_note_it() -> None:
    assert not any(box.ask for box in code_boxes(TRIPLE))
    text = sheet_texts()["triple.yaml"]
    blank = re.sub(r"reads-from: *'?[^,}\s]+'?", "reads-from: null", text)
    engine = load(blank, "triple.yaml").sheet
    assert all(box.ask for box in code_boxes(engine))
    whole = "".join(pages(measuring_sheet(engine)))
    assert squashed("first mark belongs to") in squashed(whole)


def test_where_to_measure_is_printed_over_the_boxes() -> None:
    whole = squashed("".join(pages(measuring_sheet(TRIPLE))))
    for feature in TRIPLE.features.values():
        for words in (feature.state, feature.look_up):
            assert squashed(words or "") in whole


def test_the_same_sheet_gives_the_same_paper() -> None:
    assert measuring_sheet(TWIN) == measuring_sheet(TWIN)


def test_a_sheet_with_nothing_in_it_still_makes_a_paper() -> None:
    bare = Sheet.model_validate({"sheet": "1", "engine": {"name": "bare"}})
    assert "Remarks" in " ".join(pages(measuring_sheet(bare)))
    assert stages(bare) == ()
    assert pages(measuring_sheet(sheet(6, inlets=("L", "C", "R"))))
