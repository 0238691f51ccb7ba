"""gudgeon job add: whole files, tables and logs. Single entries are in `job_entries`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import json_option, read_text, say_json, shop_option
from gudgeon.cli.remarks import say_remarks
from gudgeon.faults import Fault, Unusable
from gudgeon.store.folder import find_shop

if TYPE_CHECKING:
    from gudgeon.log.exchange import Imported
    from gudgeon.log.job import Job
    from gudgeon.sheet.model import Sheet
    from gudgeon.store.adding import Added, Coming


class _AddGroup(click.Group):
    """`add NAME KIND ...`; what is no kind of entry is a file."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command of that name, else `files` with every argument."""
        if args and args[0] in self.commands:
            return super().resolve_command(ctx, args)
        return "files", self.commands["files"], args


@click.group("add", cls=_AddGroup, subcommand_metavar="FILE... | KIND ...")
@click.argument("name")
@click.pass_context
def add(ctx: click.Context, name: str) -> None:
    """Add files, or one entry, to the job NAME.

    A file is a table (CSV; print a blank one with gudgeon job form) or a log (JSON Lines). An
    entry is one of the kinds below: gudgeon job add NAME reading cylinder/1 bore 58.013 --spot
    "top thrust". All of it is added, or none.
    """
    ctx.obj = name


def say_added(name: str, added: Added, as_json: bool) -> None:
    """Say what was added, and what was there already."""
    if as_json:
        say_json(
            {
                "job": name,
                "added": added.stored,
                "already": added.already,
                "repeated": added.repeated,
            }
        )
        return
    said = f"{name}: {added.stored} added"
    if added.already:
        said += f", {added.already} there already"
    if added.repeated:
        said += f", {added.repeated} left out that say what another entry says"
    click.echo(said)


@add.command("files")
@click.argument("files", nargs=-1, required=True)
@shop_option
@json_option
@click.pass_obj
def files(name: str, files: tuple[str, ...], shop: str | None, as_json: bool) -> None:
    """Tables (CSV) and logs (JSON Lines); the word files may be left out."""
    from gudgeon.log.codec import read_bodies
    from gudgeon.store.adding import add_to_job, now

    texts = [(file, read_text(file)) for file in files]
    at = now()

    made: list[tuple[Coming, Sheet]] = []

    def make(job: Job) -> Coming:
        made[:] = [(_together([_coming(file, text, job, at) for file, text in texts]), job.sheet)]
        return made[0][0]

    store = find_shop(shop)
    added = add_to_job(store, name, make)
    say_added(name, added, as_json)
    for coming, sheet in made if added.stored else ():
        say_remarks(read_bodies(coming.bodies, name, "job"), store, name, sheet)


def _coming(file: str, text: str, job: Job, at: str) -> Coming:
    """The entries of one file, table or log."""
    from gudgeon.log.codec import body_of
    from gudgeon.log.exchange import import_log
    from gudgeon.log.tables import read_table
    from gudgeon.store.adding import Coming

    if text.lstrip()[:1] == "{" or file.endswith(".jsonl"):
        return coming_log(import_log(text, file), file, job)
    entries, lines = read_table(text, file, job.sheet, at)
    where = {key: f"{file}:{line}" for key, line in lines.items()}
    return Coming([body_of(entry) for entry in entries], where, chain=False, once=True)


def coming_log(found: Imported, file: str, job: Job) -> Coming:
    """The entries of a log that is to be merged into a job.

    Raises:
        Unusable: it is another job's log.
    """
    from gudgeon.log.codec import body_of, read_bodies
    from gudgeon.log.fold import fold
    from gudgeon.log.merging import same_job
    from gudgeon.store.adding import Coming

    if not same_job([body_of(entry) for entry in job.entries], found.bodies):
        raise Unusable(
            Fault(
                file,
                f"this is the log of another job than {job.name}",
                "import it under another name, with --as",
            )
        )
    excused: frozenset[tuple[str, str]] = frozenset()
    if found.sealed:
        alone = fold(job.name, read_bodies(found.bodies, file, "job"))
        excused = frozenset((fault.where, fault.wrong) for fault in alone.faults)
    where = {key: f"{file}:{line}" for key, line in found.lines.items()}
    return Coming(found.bodies, where, chain=False, excused=excused)


def _together(parts: Sequence[Coming]) -> Coming:
    """Several files as one: all or none."""
    from gudgeon.store.adding import Coming

    return Coming(
        [body for part in parts for body in part.bodies],
        {key: where for part in parts for key, where in part.lines.items()},
        chain=False,
        once=all(part.once for part in parts),
        excused=frozenset().union(*(part.excused for part in parts)),
    )
