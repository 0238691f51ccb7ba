"""gudgeon job add NAME KIND: the kinds of single entry, each a command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from gudgeon.cli.common import json_option, read_text, say_json, shop_option
from gudgeon.cli.job_add import add, say_added
from gudgeon.cli.known import check_event, check_same_engine, check_setting
from gudgeon.cli.remarks import say_remarks
from gudgeon.faults import Fault, Unusable
from gudgeon.store.folder import find_shop

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry
    from gudgeon.log.job import Job
    from gudgeon.sheet.model import Sheet
    from gudgeon.store.adding import Coming

_EPOCH = click.Choice(["found", "seated", "dry", "built"])
_CONDITION = click.Choice(["good", "dished", "chipped"])
#: Values such as -0.02 are no options.
_VALUES: Final = {"ignore_unknown_options": True}


def entry_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options that every single entry has."""
    for option in (
        click.pass_obj,
        json_option,
        shop_option,
        click.option("--at", default=None, metavar="TIME", help="When; now if not given."),
        click.option("--id", "key", default=None, metavar="ID", help="Id; made if not given."),
    ):
        function = option(function)
    return function


def add_one(
    kind: str,
    name: str,
    fields: dict[str, Any],
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    spot: str = "",
) -> None:
    """Make one entry of the fields that are given, and add it.

    Raises:
        Unusable: a field is not what it should be, or makes no sense for the job's engine.
    """
    from gudgeon.log.checks import problems_with
    from gudgeon.log.codec import Problem, body_of, try_entry
    from gudgeon.log.entries import StrikeOut
    from gudgeon.log.ordering import struck_already
    from gudgeon.log.spots import read_spot
    from gudgeon.log.tables import with_unit
    from gudgeon.store.adding import Coming, add_to_job, device_name, new_id, now

    given = {field: value for field, value in fields.items() if value is not None}
    base = {"kind": kind, "id": key or new_id(), "at": at or now(), "device": device_name()}

    made: list[tuple[Entry, Sheet]] = []
    said: list[str] = []

    def make(job: Job) -> Coming:
        data = with_unit(base | given)
        problems: list[Problem] = []
        if kind == "strike":
            data["target"] = _full_id(job, data["target"])
        if spot:
            data["spot"], problems = read_spot(spot, job.sheet.features.get(data["feature"]))
        entry, wrong = try_entry(data, "job")
        problems += wrong
        if entry is not None:
            named = {problem.field for problem in problems}
            problems += [p for p in problems_with(entry, job.sheet) if p.field not in named]
        if entry is None or problems:
            raise Unusable(Fault(_label(p.field, kind), p.wrong, p.right) for p in problems)
        made[:] = [(entry, job.sheet)]
        if isinstance(entry, StrikeOut) and struck_already(entry, job.entries):
            said.append(f"{entry.target} is struck out already; nothing was stored")
            return Coming([])
        return Coming([body_of(entry)], {entry.id: kind})

    store = find_shop(shop)
    added = add_to_job(store, name, make)
    if as_json:
        say_json({"job": name, "id": base["id"], "added": added.stored, "already": added.already})
    else:
        plain = f"{base['id']} " + ("added" if added.stored else "is there already")
        click.echo(f"{name}: {said[-1] if said else plain}")
    for entry, sheet in made if added.stored else ():
        say_remarks([entry], store, name, sheet)


def _full_id(job: Job, start: str) -> str:
    """The id of the entry that begins so, if there is one alone."""
    ids = [entry.id for entry in job.entries if entry.id.startswith(start)]
    return ids[0] if len(ids) == 1 and len(start) >= 4 else start


def _label(field: str, kind: str) -> str:
    """A field as the command line calls it."""
    names = {"typed": "value", "basis": "--basis", "part_temp": "--part-temp"}
    names |= {"gauge_temp": "--gauge-temp", "spot": "--spot", "unit": "unit", "key": "--id"}
    return f"{kind} {names.get(field, field)}"


_instrument = click.option("--instrument", default=None, help="Instrument, by its name.")
_unit = click.option("--unit", default=None, help="Unit; the sheet's if not given.")
_part_temp = click.option("--part-temp", default=None, help="Temperature of the part, °C.")
_epoch = click.option("--epoch", default="found", type=_EPOCH, help="When it is measured.")
_attempt = click.option("--attempt", default=1, help="2 for a second reading at the same spot.")


@add.command("reading", context_settings=_VALUES)
@click.argument("place")
@click.argument("feature")
@click.argument("value")
@click.option("--spot", default="", help='Spot of the plan, as "top thrust".')
@click.option("--gauge-temp", default=None, help="Temperature of the gauge, °C.")
@_part_temp
@_instrument
@_unit
@_attempt
@_epoch
@entry_options
def reading(
    name: str,
    value: str,
    spot: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """A reading: PLACE FEATURE VALUE, as cylinder/1 bore 58.013."""
    add_one("reading", name, fields | {"typed": value}, shop, as_json, at, key, spot)


@add.command("feeler", context_settings=_VALUES)
@click.argument("place")
@click.argument("feature")
@click.option("--goes", default=None, help="Largest blade that goes.")
@click.option("--wont", default=None, help="Smallest blade that won't.")
@click.option("--feel", default=None, type=click.Choice(["free", "drag", "tight"]))
@_part_temp
@_instrument
@_unit
@_attempt
@_epoch
@entry_options
def feeler(
    name: str, shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """A gap between two blades: PLACE FEATURE --goes 0.10 --wont 0.13."""
    add_one("feeler", name, fields, shop, as_json, at, key)


@add.command("shim", context_settings=_VALUES)
@click.argument("place")
@click.option("--mark", default=None, help="Mark, as stamped.")
@click.option("--thickness", default=None, help="Thickness, as measured.")
@click.option("--condition", default="good", type=_CONDITION)
@_instrument
@_unit
@_epoch
@entry_options
def shim(
    name: str,
    thickness: str | None,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """The shim at a PLACE, by its mark, its thickness or both."""
    add_one("shim", name, fields | {"typed": thickness}, shop, as_json, at, key)


@add.command("code", context_settings=_VALUES)
@click.argument("group")
@click.argument("on", type=click.Choice(["case", "crank"]))
@click.argument("marks")
@entry_options
def code(
    name: str, shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """A string of marks in the order stamped: GROUP case|crank MARKS, as main-shell case ABBA."""
    add_one("code", name, fields, shop, as_json, at, key)


@add.command("rise", context_settings=_VALUES)
@click.argument("place")
@click.argument("value")
@click.argument("spread")
@click.option("--basis", default="", help="What the estimate rests on.")
@_unit
@entry_options
def rise(
    name: str,
    value: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """How far a valve is thought to sit further up: PLACE VALUE SPREAD."""
    add_one("rise", name, fields | {"typed": value}, shop, as_json, at, key)


@add.command("note")
@click.argument("text")
@click.option("--place", default=None, help="Place it belongs to.")
@entry_options
def note(
    name: str, shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """A remark."""
    add_one("note", name, fields, shop, as_json, at, key)


@add.command("photo")
@click.argument("place")
@click.argument("file", type=click.Path())
@click.option("--words", default=None, help="What it shows.")
@click.option("--by", default=None, help="Who took it.")
@entry_options
def photo(
    name: str,
    place: str,
    file: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """A photograph: PLACE FILE, as valve/1/in/L seat.jpg; the place engine for the whole.

    JPEG, PNG or WebP, 15 MB and 50 million pixels at the most. The file is kept as it is.
    """
    from gudgeon.store.jobs import need_job
    from gudgeon.store.photos import LARGEST, PhotoBox

    store = find_shop(shop)
    need_job(store, name)
    try:
        with Path(file).open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as problem:
        raise Unusable(
            Fault(file, f"the file can't be read ({problem.strerror})", "name a photograph")
        ) from None
    given = fields | {"place": place, "sha256": PhotoBox(store.folder).keep(data).sha256}
    add_one("photo", name, given, shop, as_json, at, key)


@add.command("strike")
@click.argument("entry")
@click.option("--reason", default="", help="Why.")
@entry_options
def strike(
    name: str,
    entry: str,
    reason: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
) -> None:
    """Strike out an ENTRY by its id; striking out a strike-out undoes it."""
    add_one("strike", name, {"target": entry, "reason": reason}, shop, as_json, at, key)


@add.command("depart", context_settings=_VALUES)
@click.argument("path", required=False)
@click.argument("value", required=False)
@click.option("--oversize", default=None, help="Oversize of the sheet that is fitted already.")
@click.option("--step", default=None, help="Which of its steps.")
@click.option("--reason", default="", help="Why.")
@entry_options
def depart(
    name: str, shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """This engine is not as its sheet says: PATH VALUE, or --oversize NAME --step 0.50.

    A path is a value of the sheet, as derive.bore-size.service.max.
    """
    add_one("depart", name, fields, shop, as_json, at, key)


@add.command("event", context_settings=_VALUES)
@click.argument("what")
@click.argument("places", nargs=-1)
@click.option("--size", default=None, help="By how much, where that can be said.")
@click.option("--text", default="", help="More about it.")
@_unit
@entry_options
def event(
    name: str,
    size: str | None,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """Something was done that changes what rests on it: WHAT [PLACE ...]."""
    check_event(fields["what"])
    add_one("event", name, fields | {"typed": size}, shop, as_json, at, key)


@add.command("setting", context_settings=_VALUES)
@click.argument("setting")
@click.argument("value")
@entry_options
def setting(
    name: str,
    setting: str,
    value: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
) -> None:
    """A setting of this job alone: SETTING VALUE; gudgeon shop setting lists them."""
    check_setting(setting, value, job=True)
    add_one("setting", name, {"name": setting, "value": value}, shop, as_json, at, key)


def sheet_fields(sheet: str) -> dict[str, str]:
    """The fields of an entry that pins a sheet's file.

    Raises:
        Unusable: the file can't be read.
    """
    import hashlib

    text = read_text(sheet)
    digest = hashlib.sha256(text.encode()).hexdigest()
    return {"kind": "sheet", "file": Path(sheet).name[-200:], "sha256": digest, "text": text}


@add.command("sheet")
@click.argument("file")
@click.option(
    "--anyway",
    is_flag=True,
    help="Even if it is another engine's, or entries no longer make sense by it.",
)
@entry_options
def sheet(
    name: str,
    file: str,
    anyway: bool,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
) -> None:
    """Pin the job to a new version of its sheet; one of another engine is refused."""
    from gudgeon.log.codec import body_of, entry_from
    from gudgeon.log.fold import fold
    from gudgeon.sheet.load import load
    from gudgeon.store.adding import Coming, add_to_job, device_name, new_id, now

    loaded = load(read_text(file), file)
    base = {"id": key or new_id(), "at": at or now(), "device": device_name()}
    entry = entry_from(sheet_fields(file) | base, file)

    def make(job: Job) -> Coming:
        if not anyway:
            check_same_engine(job.sheet, loaded.sheet, file)
        after = fold(name, [*job.entries, entry]).faults if anyway else ()
        excused = frozenset((fault.where, fault.wrong) for fault in after)
        return Coming([body_of(entry)], {entry.id: file}, excused=excused)

    say_added(name, add_to_job(find_shop(shop), name, make), as_json)
