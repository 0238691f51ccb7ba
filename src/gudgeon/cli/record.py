"""gudgeon record: the record of a job, and measuring sheets, as PDF."""

from __future__ import annotations

import re
from datetime import date as calendar_date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import read_text, shop_option
from gudgeon.faults import Fault, Unusable

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop
    from gudgeon.record.document import Paper

_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


@click.command()
@click.argument("job", metavar="JOB", required=False)
@click.option("-o", "out", metavar="FILE.pdf", required=True, help="Where to write it.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help="Paper.")
@click.option("--date", "day", metavar="YYYY-MM-DD", help="Date; default: of the last entry.")
@click.option("--form", is_flag=True, help="A measuring sheet for JOB, to write on by hand.")
@click.option("--sheet", "sheet_file", metavar="SHEET.yaml", help="A measuring sheet for a sheet.")
@shop_option
def command(
    job: str | None,
    out: str,
    paper: Paper,
    day: str | None,
    form: bool,
    sheet_file: str | None,
    shop: str | None,
) -> None:
    """The record of a job as a PDF, to be handed over: findings, readings, picks, order, cautions.

    With --form or --sheet: a measuring sheet to write readings on by hand.
    """
    if day is not None:
        _check_day(day)
    if (job is None) == (sheet_file is None):
        raise Unusable(Fault("JOB", "name a job, or a sheet with --sheet", "give one of the two"))
    from gudgeon.cli.writing import out_path

    path = out_path(out)
    if sheet_file is not None:
        written = _form_of_sheet(sheet_file, path, paper, day)
    else:
        from gudgeon.cli.opening import open_job

        opened, shared = open_job(str(job), shop)
        if form:
            written = _form_of_job(opened, path, paper, day)
        else:
            written = write_record(opened, shared, path, paper, day)
    click.echo(f"written: {written}")


def write_record(
    job: Job, shop: Shop, path: Path, paper: Paper = "a4", day: str | None = None
) -> Path:
    """Compute a job's record and write it, whole or not at all.

    Raises:
        Unusable: the path can't be written.
    """
    from gudgeon.cli.writing import write_file
    from gudgeon.fit.picks import picks
    from gudgeon.metrology.findings import findings
    from gudgeon.order.needs import order
    from gudgeon.record.assemble import record_data
    from gudgeon.record.document import record_pdf

    found = findings(job, shop)
    picked = picks(job, shop, found.table)
    data = record_data(job, found, picked, order(job, picked, found), day)
    return write_file(str(path), record_pdf(data, paper))


def _form_of_job(job: Job, path: Path, paper: Paper, day: str | None) -> Path:
    from gudgeon.cli.writing import write_file
    from gudgeon.record.measuring_sheet import UNDATED, measuring_sheet

    made = measuring_sheet(job.sheet, paper, job.sheet_file, job.name, day or UNDATED)
    return write_file(str(path), made)


def _form_of_sheet(name: str, path: Path, paper: Paper, day: str | None) -> Path:
    from gudgeon.cli.writing import write_file
    from gudgeon.record.measuring_sheet import UNDATED, measuring_sheet
    from gudgeon.sheet.load import load

    loaded = load(read_text(name), name)
    made = measuring_sheet(loaded.sheet, paper, Path(name).name, "", day or UNDATED)
    return write_file(str(path), made)


def _check_day(day: str) -> None:
    """Raises Unusable for what is no day of the calendar."""
    try:
        if not _DAY.fullmatch(day):
            raise ValueError
        calendar_date.fromisoformat(day)
    except ValueError:
        wrong = f"'{day[:20]}' is no date"
        raise Unusable(Fault("--date", wrong, "write it like 2026-11-25")) from None
