"""gudgeon job: open jobs, add to them, read their logs, take them out and in."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from gudgeon.cli.common import json_option, read_text, say_json, shop_option
from gudgeon.cli.job_add import add, coming_log, say_added
from gudgeon.cli.job_entries import sheet_fields
from gudgeon.cli.writing import give, out_option
from gudgeon.faults import Fault, Unusable
from gudgeon.store.folder import find_shop
from gudgeon.store.jobs import check_name, engines, job_names, need_job, open_log

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry
    from gudgeon.log.exchange import Imported

_EPOCHS: Final = ("found", "seated", "dry", "built")


@click.group()
def command() -> None:
    """Open jobs, add readings, export and import.

    A job is one engine on the bench: a log of what was read and done, judged by its sheet.
    """


command.add_command(add)


@command.command("new")
@click.argument("name")
@click.option("--sheet", "sheet", required=True, metavar="FILE", help="Sheet of the engine.")
@click.option("--title", default="", help="What it is: machine, owner's complaint.")
@shop_option
@json_option
def new(name: str, sheet: str, title: str, shop: str | None, as_json: bool) -> None:
    """Open a job NAME, pinned to a sheet."""
    from gudgeon.log.codec import body_of, entry_from
    from gudgeon.log.merging import chained
    from gudgeon.sheet.load import load
    from gudgeon.store.adding import device_name, new_id, now

    store = find_shop(shop)
    check_name(name)
    loaded = load(read_text(sheet), sheet)
    common = {"at": now(), "device": device_name()}
    entries = [
        entry_from({"kind": "opened", "id": new_id(), "title": title} | common, "--title"),
        entry_from(sheet_fields(sheet) | {"id": new_id()} | common, sheet),
    ]
    bodies = chained((), [body_of(entry) for entry in entries], device_name())
    open_log(store, name, bodies)
    engine = loaded.sheet.engine.name
    if as_json:
        say_json({"job": name, "engine": engine})
    else:
        click.echo(f"opened {name}: {engine}" if engine else f"opened {name}")


@command.command("list")
@shop_option
@json_option
def list_jobs(shop: str | None, as_json: bool) -> None:
    """List the jobs of the shop."""
    found = engines(find_shop(shop))
    if as_json:
        say_json({"jobs": [{"job": name, "engine": engine} for name, engine in found]})
        return
    width = max((len(name) for name, _ in found), default=0)
    for name, engine in found:
        click.echo(f"{name:{width}}  {engine}".rstrip())
    if not found:
        click.echo("no jobs yet: open one with gudgeon job new NAME --sheet FILE")


@command.command("log")
@click.argument("name")
@shop_option
@json_option
def log(name: str, shop: str | None, as_json: bool) -> None:
    """Show every entry of a job, struck ones too."""
    from gudgeon.log.canon import reading_order
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.fold import fold
    from gudgeon.log.words import in_words

    job = fold(name, read_bodies(need_job(find_shop(shop, there=True), name), name))
    entries = sorted(job.entries, key=lambda entry: reading_order(entry.at, entry.id))
    if as_json:
        say_json(
            {
                "job": name,
                "entries": [
                    entry.model_dump(mode="json", exclude_none=True)
                    | {"struck": job.struck.get(entry.id)}
                    for entry in entries
                ],
                "faults": [
                    {"where": f.where, "wrong": f.wrong, "right": f.right} for f in job.faults
                ],
            }
        )
        return
    for entry in entries:
        click.echo(f"{_when(entry)}  {entry.id:16}  {_kind(entry):7}  {in_words(entry)}".rstrip())
        if entry.id in job.struck:
            reason = job.struck[entry.id]
            click.echo(f"{'':16}    struck out{f': {reason}' if reason else ''}")
    for fault in job.faults:
        click.echo(f"not used: {fault}")


def _when(entry: Entry) -> str:
    return entry.at[:16].replace("T", " ")


def _kind(entry: Entry) -> str:
    return str(type(entry).model_fields["kind"].default)


@command.command("export")
@click.argument("name")
@out_option
@shop_option
def export(name: str, out: str | None, shop: str | None) -> None:
    """Take a job's log out as JSON Lines."""
    from gudgeon.log.exchange import export_log

    give(export_log(name, need_job(find_shop(shop, there=True), name)), out)


@command.command("import")
@click.argument("file")
@click.option("--as", "name", default=None, metavar="NAME", help="Name of the job; else its own.")
@shop_option
@json_option
def import_(file: str, name: str | None, shop: str | None, as_json: bool) -> None:
    """Take a job's log in, or merge it into the copy that is here."""
    from gudgeon.log.exchange import import_log
    from gudgeon.store.adding import Added, add_to_job

    found = import_log(read_text(file), file)
    name = name or found.job or ""
    check_name(name)
    store = find_shop(shop)
    if name in job_names(store):
        added = add_to_job(store, name, lambda job: coming_log(found, file, job))
    else:
        _check_whole(found, file, name)
        open_log(store, name, list(found.bodies))
        added = Added(len(found.bodies), 0)
    say_added(name, added, as_json)
    missing = 0 if as_json else _missing_photos(store.folder, found.bodies)
    if missing:
        files = (
            "file of one photograph is" if missing == 1 else f"files of {missing} photographs are"
        )
        click.echo(f"the {files} not in this shop: copy the folder photos of the other one")


def _missing_photos(folder: Path, bodies: Sequence[str]) -> int:
    """How many photographs a log names whose files are not here."""
    from gudgeon.store.photos import PhotoBox

    box = PhotoBox(folder)
    entries = (json.loads(body) for body in bodies if '"photo"' in body)
    named = {entry["sha256"] for entry in entries if entry["kind"] == "photo"}
    return sum(box.original(sha) is None for sha in named)


def _check_whole(found: Imported, file: str, name: str) -> None:
    """Refuse to open a job from a log that makes no sense on its own.

    An export is taken as it was, with whatever its job could not use.

    Raises:
        Unusable: no sheet is pinned, or a line makes no sense for the sheet's engine.
    """
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.fold import fold

    job = fold(name, read_bodies(found.bodies, name, "job"))
    if not job.sheet_hash:
        raise Unusable(
            Fault(file, "the log pins no sheet that can be used", "add it to a job that has one")
        )
    if job.faults and not found.sealed:
        raise Unusable(
            Fault(f"{file}:{found.lines.get(f.where, 1)}", f.wrong, f.right) for f in job.faults
        )


@command.command("form")
@click.argument("name", required=False)
@click.option("--sheet", "sheet", default=None, metavar="FILE", help="Sheet, if there is no job.")
@click.option("--epoch", default="found", type=click.Choice(_EPOCHS), help="When it is measured.")
@click.option("--semicolon", is_flag=True, help="; between the cells, for decimal commas.")
@out_option
@shop_option
def form(
    name: str | None,
    sheet: str | None,
    epoch: str,
    semicolon: bool,
    out: str | None,
    shop: str | None,
) -> None:
    """Print a blank table (CSV) of everything the sheet asks to be read.

    Fill in the value column (goes and wont for feeler blades, mark for shims and codes), then add
    the file to the job. Rows left empty are skipped.
    """
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.fold import fold
    from gudgeon.log.form import blank_form
    from gudgeon.sheet.load import load

    if (name is None) == (sheet is None):
        raise Unusable(Fault("form", "neither a job nor a sheet, or both", "name one of them"))
    if sheet is not None:
        wanted = load(read_text(sheet), sheet).sheet
    else:
        job = str(name)
        wanted = fold(job, read_bodies(need_job(find_shop(shop, there=True), job), job)).sheet
    give(blank_form(wanted, epoch, ";" if semicolon else ","), out)
