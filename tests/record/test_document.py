"""The record as a PDF: archivable, tagged, the same twice, and whole."""

from __future__ import annotations

import dataclasses
import io
import re

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.record.made_up import record
from tests.record.pdftext import pages, squashed

from gudgeon.record.cautions import CAUTIONS, INVENTED
from gudgeon.record.data import RecordData, Title
from gudgeon.record.document import Paper, record_pdf

PAPERS: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
EMPTY = RecordData(Title("Bare", "job", "", "", "2026-01-02"))


def text_of(data: RecordData, paper: Paper = "a4") -> str:
    return " ".join(pages(record_pdf(data, paper)))


@pytest.mark.parametrize("paper", PAPERS)
def test_it_opens_on_the_paper_asked_for_and_counts_its_pages(paper: Paper) -> None:
    made = record_pdf(record(), paper)
    with pikepdf.open(io.BytesIO(made)) as pdf:
        assert pdf.check_pdf_syntax() == []
        for page in pdf.pages:
            box = [float(v) for v in page.mediabox]
            assert box[2:] == pytest.approx(PAPERS[paper], abs=0.1)
        count = len(pdf.pages)
    assert count >= 3
    for number, text in enumerate(pages(made), 1):
        assert f"page {number} of {count}" in text


def test_it_says_that_it_is_archivable_and_accessible() -> None:
    with pikepdf.open(io.BytesIO(record_pdf(record()))) as pdf:
        meta = pdf.open_metadata()
        assert meta["pdfaid:part"] == "2"
        assert meta["pdfaid:conformance"] == "A"
        assert meta["pdfuaid:part"] == "1"
        assert "Invented triple" in meta["dc:title"]
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-GB"
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20261120")
        fonts = [
            o
            for o in pdf.objects
            if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/FontDescriptor"
        ]
        assert fonts
        assert all({"/FontFile2", "/FontFile3"} & set(font.keys()) for font in fonts)


def test_only_our_own_faces_are_used() -> None:
    with pikepdf.open(io.BytesIO(record_pdf(record()))) as pdf:
        names = {
            str(o["/BaseFont"]).split("+")[-1]
            for o in pdf.objects
            if isinstance(o, pikepdf.Dictionary) and "/BaseFont" in o
        }
    assert {re.split("-", name)[0] for name in names} <= {"B612", "RoutedGothic", "DejaVuSansMono"}


@pytest.mark.parametrize("paper", PAPERS)
def test_the_same_data_gives_the_same_bytes(paper: Paper) -> None:
    assert record_pdf(record(), paper) == record_pdf(record(), paper)


def test_everything_handed_in_is_printed() -> None:
    data = record()
    text = squashed(text_of(data))
    shims, slip = data.shims, data.slips[0]
    assert shims is not None
    wanted = [
        data.title.job_title,
        INVENTED,
        *data.exceptions,
        *data.stale,
        slip.question,
        slip.corrected,
        *(row.place for row in shims.rows),
        shims.rows[0].total,
        shims.rows[0].leaves,
        shims.chance_all,
        *shims.words,
        *shims.measure_again[0],
        data.struck[0][0],
        data.departures[0][0],
        data.departures[0][1],
        data.order.total,
        data.cautions[0],
        *(caution.words for caution in CAUTIONS),
        *(f"{row.place}" for part in data.parts for row in part.findings),
        *(row.page for part in data.parts for row in part.findings),
        *(row.service for part in data.parts for row in part.findings),
        *(
            cell
            for part in data.parts
            for table in part.readings
            for _, cells in table.rows
            for cell in cells
        ),
        *(row.pick for part in data.shells for row in part.rows),
    ]
    for words in wanted:
        assert squashed(words) in text, words


def test_exceptions_and_the_invented_notice_stand_on_page_one() -> None:
    first = pages(record_pdf(record()))[0]
    for line in record().exceptions:
        assert line in first
    assert INVENTED in first
    assert "1 = left, sitting on the machine" in first


def test_a_real_engine_has_no_invented_notice() -> None:
    data = record()
    real = dataclasses.replace(data, title=dataclasses.replace(data.title, invented=False))
    assert "INVENTED" not in text_of(real)


def test_an_empty_record_is_still_a_record() -> None:
    text = text_of(EMPTY)
    assert "Nothing has been measured yet." in text
    assert CAUTIONS[0].about in text


HOSTILE = [
    "<script>alert(1)</script>",
    '#include "/etc/passwd"',
    '#read("record.typ")',
    "$x^2$ *bold* _it_ `raw` @ref <label> // no /* no */ \\u{41} = heading",
    "]]> & \" ' </svg>",
    "x" * 3000,
    "wide " * 700,
    "中文 \U0001f3c1 \u202e\u200d e\u0301 \ufffd \x00\x07",
    "",
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_any_text_is_printed_as_it_stands(text: str) -> None:
    data = record()
    row = dataclasses.replace(
        data.parts[0].findings[0], place=text, what=text, page=text, notes=(text,)
    )
    part = dataclasses.replace(data.parts[0], name=text or "part", findings=(row,))
    hostile = dataclasses.replace(
        data,
        title=dataclasses.replace(
            data.title, engine=text or "e", job=text, sheet_file=text, job_title=text[:200]
        ),
        exceptions=(text,),
        notes=((text, text),),
        parts=(part,),
        departures=((text, text),),
        struck=((text, text),),
        stale=(text,),
    )
    printed = text_of(hostile)
    if text.startswith(("<script>", "#")):
        assert squashed(text) in squashed(printed)
    assert "root:" not in printed
    assert pages(record_pdf(hostile, "letter"))


@settings(max_examples=25, deadline=None)
@given(st.text(max_size=80))
def test_no_text_stops_the_record(text: str) -> None:
    assert record_pdf(dataclasses.replace(EMPTY, notes=((text, text),), exceptions=(text,)))


def test_a_letter_that_cannot_be_printed_is_owned_up_to() -> None:
    assert "lack" not in text_of(EMPTY)
    assert "stands for a letter" in text_of(dataclasses.replace(EMPTY, notes=(("engine", "中"),)))
