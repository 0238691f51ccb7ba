"""The record of the demo's jobs carries what was found, chosen and left open."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.record.pdftext import pages

from gudgeon.cli.demo import JOBS, sheet_texts
from gudgeon.demo.triple_job import shop_entries, triple_job
from gudgeon.demo.twin_job import twin_job
from gudgeon.fit.picks import Picks, picks
from gudgeon.log.codec import entry_from
from gudgeon.log.fold import fold, fold_shop
from gudgeon.log.job import Job
from gudgeon.metrology.findings import Findings, findings
from gudgeon.order.needs import order
from gudgeon.record.assemble import last_day, record_data
from gudgeon.record.data import RecordData
from gudgeon.record.document import record_pdf
from gudgeon.record.of_picks import _once
from gudgeon.record.readings import felt
from gudgeon.record.said import spoken
from gudgeon.sheet.load import load

MAKERS = {"triple": triple_job, "twin": twin_job}


def folded(name: str, more: tuple[dict[str, Any], ...] = ()) -> tuple[Job, Findings, Picks]:
    file, title = JOBS[name]
    text = sheet_texts()[file]
    loaded = load(text, file)
    at = "2026-09-01T00:00:00Z"
    bodies = [
        {"id": "opened", "at": at, "kind": "opened", "title": title},
        {
            "id": "sheet",
            "at": at,
            "kind": "sheet",
            "file": file,
            "sha256": loaded.sha256,
            "text": text,
        },
        *MAKERS[name](loaded.sheet),
        *more,
    ]
    shared = [entry_from(body, "demo", "shop") for body in shop_entries()]
    job = fold(name, [entry_from(body, "demo", "job") for body in bodies], shared)
    shop = fold_shop(shared, name)
    found = findings(job, shop)
    return job, found, picks(job, shop, found.table)


@cache
def made(name: str) -> tuple[Job, RecordData]:
    job, found, picked = folded(name)
    return job, record_data(job, found, picked, order(job, picked))


@pytest.mark.parametrize("name", MAKERS)
def test_every_size_is_either_a_row_or_named_as_not_measured(name: str) -> None:
    _, found, picked = folded(name)
    job, data = made(name)
    rows = sum(len(part.findings) for part in data.parts)
    missing = sum(item.word == "not measured" for item in found.items)
    assert rows + missing == len(found.items)
    assert dict(data.counts) == dict(found.counts())
    assert sum(dict(data.counts).values()) == len(found.standing)
    assert len(data.shims.rows if data.shims else ()) == len(job.sheet.layout.of("valve"))
    assert {row.place for part in data.shells for row in part.rows} == {
        spoken(pick.place) for pick in picked.shells.picks
    }


@pytest.mark.parametrize("name", MAKERS)
def test_every_reading_is_printed_as_typed(name: str) -> None:
    job, data = made(name)
    cells = [
        cell
        for part in data.parts
        for table in part.readings
        for _, row in table.rows
        for cell in row
    ]
    printed = [piece for cell in cells for piece in cell.split(" · ")]
    for reading in job.readings:
        assert reading.typed in printed, reading.id
    for entry in job.feelers:
        assert felt(entry) in printed, entry.id
    whole = " ".join(cells)
    for shim in job.shims:
        assert (shim.typed or "") in whole
    for code in job.codes:
        assert code.marks in whole


def test_the_planted_troubles_stand_on_page_one_or_beside_it() -> None:
    _, data = made("triple")
    told = " ".join(data.exceptions)
    assert "Open questions: 3" in told
    assert "bore-size cylinder 2" in told
    assert "held open: valve 3 ex L." in told
    assert "too little gap to read: valve 2 in R, valve 3 in L." in told
    assert {slip.corrected for slip in data.slips} >= {"3211"}
    assert any("recut" in line for line in data.stale)


def test_the_shim_table_says_what_the_old_shim_would_do_and_what_comes_first() -> None:
    job, found, picked = folded("triple")
    data = record_data(job, found, picked, order(job, picked, found))
    assert data.shims is not None
    notes = {row.place: " ".join(row.notes) for row in data.shims.rows}
    assert "would hold this valve open (−0.045 mm)" in notes["valve 3 ex L"]
    for place in ("valve 2 in R", "valve 3 in L"):
        assert "would leave too little gap to read (0.015 mm)" in notes[place]
        assert "hold this valve open" not in notes[place]
    assert "replace the guide first" in notes["valve 2 ex R"]
    assert any("not on this order: guide-size at valve 2 ex R" in n for n in data.order.notes)


def test_how_to_turn_the_crank_is_printed_where_its_positions_are() -> None:
    job, data = made("triple")
    turning = job.sheet.turning
    assert data.shims is not None
    told = " ".join(data.shims.turning)
    assert turning.direction is not None
    assert turning.mark is not None
    assert turning.direction in told
    assert turning.mark in told
    assert f"no warmer than {turning.max_temperature:g} °C" in told
    whole = " ".join(pages(record_pdf(data)))
    assert "Turn the crank" in whole


def test_one_expected_cost_is_told() -> None:
    _, _, picked = folded("triple")
    _, data = made("triple")
    assert data.shims is not None
    assert picked.shims is not None
    (line,) = [line for line in data.shims.words if "Expected cost" in line]
    (chosen,) = [step for step in picked.shims.frontier if step.chosen]
    assert f"EUR {chosen.cost:.2f}, errors that readings share counted" in line


def test_the_mark_at_a_figure_is_that_of_the_figure() -> None:
    """Main 3 is beyond service by its oval; what is printed there is a forecast, not judged."""
    _, found, _ = folded("triple")
    _, data = made("triple")
    drawn = "".join(figure.svg for row in data.drawings for figure in row)
    assert drawn
    worse = data.drawing_key.partition("Worse at these places: ")[2]
    words = {f"{i.size.name} {spoken(i.size.place)}": i.word for i in found.standing}
    assert words["main-oval main 3"] == "beyond service"
    assert "main-oval main 3 (beyond service)" in worse
    assert "guide-size valve 2 ex R (beyond service)" in worse
    assert "bore-size" not in worse


def test_a_sentence_is_said_once_a_place() -> None:
    notes = ["a = b", "no marks", "1. no marks", "no shell picked: no marks", "2. measure"]
    assert _once(notes) == ("a = b", "no marks", "2. measure")


def test_what_was_built_stands_beside_its_forecast() -> None:
    _, data = made("twin")
    assert data.shims is not None
    assert [row.place for row in data.shims.built] == [
        "valve 1 in L",
        "valve 1 in R",
        "valve 1 ex L",
        "valve 1 ex R",
    ]
    assert all("±" in row.forecast and "±" in row.read for row in data.shims.built)
    assert any("4 read, 4 not yet" in line for line in data.exceptions)


def test_strikes_departures_and_settings_are_said() -> None:
    job, found, picked = folded(
        "triple",
        (
            {
                "id": "s1",
                "at": "2026-10-01T08:00:00Z",
                "kind": "strike",
                "target": "triple-0456",
                "reason": "one turn out",
            },
            {
                "id": "d1",
                "at": "2026-10-01T08:01:00Z",
                "kind": "depart",
                "path": "derive.bore-size.service.max",
                "value": "78.080",
                "reason": "letter from the maker",
            },
            {
                "id": "b1",
                "at": "2026-10-01T08:02:00Z",
                "kind": "reading",
                "place": "main/9",
                "feature": "journal",
                "typed": "33.9",
            },
            {
                "id": "c1",
                "at": "2026-10-01T08:03:00Z",
                "kind": "setting",
                "name": "coverage",
                "value": "3",
            },
        ),
    )
    data = record_data(job, found, picked, order(job, picked))
    ((entry, why),) = data.struck
    assert entry.endswith("journal main 3 90 rear: 33.492")
    assert why == "one turn out"
    assert data.departures == (("derive.bore-size.service.max = 78.080", "letter from the maker"),)
    assert any("main/9" in line for line in data.unusable)
    assert any("not as its sheet says in 1 point" in line for line in data.exceptions)
    assert "k = 3" in data.rules[0]
    assert last_day(job) == "2026-10-01"
    assert data.title.date == "2026-10-01"


def test_a_date_can_be_given() -> None:
    job, found, picked = folded("twin")
    data = record_data(job, found, picked, order(job, picked), "2027-01-02")
    assert data.title.date == "2027-01-02"


@pytest.mark.parametrize("name", MAKERS)
def test_limits_stand_with_their_page(name: str) -> None:
    _, data = made(name)
    for part in data.parts:
        for row in part.findings:
            if row.new or row.service:
                assert row.page.startswith("p. "), row


def test_the_whole_triple_is_set_and_carries_every_place() -> None:
    job, data = made("triple")
    text = " ".join(pages(record_pdf(data)))
    for kind in job.sheet.layout.kinds:
        for place in job.sheet.layout.of(kind):
            assert spoken(place) in text, place
    assert "1.849 + (0.135 − 0.11) − 0.14 = 1.734" in text
    assert job.sheet_hash[:12] in text
    for caution in job.sheet.cautions:
        assert caution in text


def test_a_job_without_readings_makes_a_record() -> None:
    text = sheet_texts()["twin.yaml"]
    loaded = load(text, "twin.yaml")
    at = "2026-09-01T00:00:00Z"
    bodies = [
        {
            "id": "sheet",
            "at": at,
            "kind": "sheet",
            "file": "twin.yaml",
            "sha256": loaded.sha256,
            "text": text,
        }
    ]
    job = fold("new", [entry_from(body, "demo", "job") for body in bodies], [])
    shop = fold_shop([], "new")
    found = findings(job, shop)
    picked = picks(job, shop, found.table)
    data = record_data(job, found, picked, order(job, picked))
    assert pages(record_pdf(data, "letter"))
    assert set(dict(data.counts)) == {"not measured"}


def test_a_job_without_a_sheet_makes_a_record() -> None:
    job = fold("lost", [], [])
    shop = fold_shop([], "lost")
    found = findings(job, shop)
    picked = picks(job, shop, found.table)
    data = record_data(job, found, picked, order(job, picked))
    assert data.unusable
    assert pages(record_pdf(data))


def test_nothing_of_this_machine_is_in_the_record() -> None:
    _, data = made("twin")
    assert str(Path(__file__).parents[2]).encode() not in record_pdf(data)
