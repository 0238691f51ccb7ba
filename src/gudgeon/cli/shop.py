"""gudgeon shop: what all engines share, and the safety of the whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from gudgeon.cli.common import json_option, read_text, say_json, shop_option
from gudgeon.cli.job_add import say_added
from gudgeon.cli.known import check_group, check_instrument_name, check_kind, check_setting
from gudgeon.cli.remarks import instruments_of, say_remarks
from gudgeon.cli.writing import give, out_option, out_path
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.store.folder import find_shop, restore
from gudgeon.store.interface import SHOP_LOG
from gudgeon.store.jobs import need_job

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry, Reserve
    from gudgeon.log.job import Piece
    from gudgeon.store.adding import Coming

_VALUES = {"ignore_unknown_options": True}


@click.group()
def command() -> None:
    """The shop: drawer stock, instruments, rates; check, back up and restore it."""


def _entry_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options that every entry of the shop has."""
    for option in (
        json_option,
        shop_option,
        click.option("--at", default=None, metavar="TIME", help="When; now if not given."),
        click.option("--id", "key", default=None, metavar="ID", help="Id; made if not given."),
    ):
        function = option(function)
    return function


def _add_one(
    kind: str,
    fields: dict[str, Any],
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
) -> None:
    """Make one entry of the fields that are given, and add it to the shop's log."""
    from gudgeon.log.codec import body_of, try_entry
    from gudgeon.log.entries import Reserve, StrikeOut
    from gudgeon.log.ordering import struck_already
    from gudgeon.log.tables import with_unit
    from gudgeon.store.adding import Coming, add_to_shop, device_name, new_id, now

    given = {field: value for field, value in fields.items() if value is not None}
    base = {"kind": kind, "id": key or new_id(), "at": at or now(), "device": device_name()}
    entry, problems = try_entry(with_unit(base | given), "shop")
    if entry is None:
        raise Unusable(Fault(f"{kind} {p.field}", p.wrong, p.right) for p in problems)
    bodies = [body_of(entry)]
    said: list[str] = []

    def make(there: tuple[Entry, ...]) -> Coming:
        if isinstance(entry, Reserve) and entry.id not in {other.id for other in there}:
            _check_free(entry, there)
        if isinstance(entry, StrikeOut) and struck_already(entry, there):
            said.append(f"{entry.target} is struck out already; nothing was stored")
            return Coming([])
        return Coming(bodies, {entry.id: kind})

    store = find_shop(shop)
    added = add_to_shop(store, make)
    if as_json:
        say_json({"id": base["id"], "added": added.stored, "already": added.already})
    else:
        plain = f"{base['id']} " + ("added" if added.stored else "is there already")
        click.echo(f"shop: {said[-1] if said else plain}")
    if added.stored and kind == "stock":
        say_remarks([entry], store)


def _check_free(entry: Reserve, there: tuple[Entry, ...]) -> None:
    """Refuse a reservation of what is not in the drawer, or spoken for.

    Raises:
        Unusable: there are not so many free.
    """
    from gudgeon.log.foldshop import free_of

    found = free_of(there, entry.stock)
    if found is None:
        raise Unusable(
            Fault(
                "STOCK",
                f"there is no piece {shown(entry.stock)} in the drawer",
                "gudgeon shop list shows each with its id",
            )
        )
    free, holders = found
    if free < entry.count:
        has = f", reserved for {', '.join(holders)}" if holders else ""
        raise Unusable(
            Fault(
                "STOCK",
                f"{free} of {shown(entry.stock)} are free{has}, and {entry.count} are wanted",
                "strike that reservation out, or take another piece",
            )
        )


@command.command("instrument", context_settings=_VALUES)
@click.argument("name")
@click.argument("kind")
@click.option("--u-read", default=None, help="Standard uncertainty of one reading.")
@click.option("--u-zero", default=None, help="Standard uncertainty that its readings share.")
@click.option("--unit", default=None, help="Unit of both; mm if not given.")
@click.option("--text", default="", help="More about it.")
@_entry_options
def instrument(
    name: str,
    kind: str,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """An instrument of the shop: NAME KIND, as mic-a micrometer-0.01."""
    from gudgeon.log.checks import amount

    check_kind(kind)
    for field in ("u_read", "u_zero"):
        for problem in amount(field, fields[field], fields["unit"]):
            raise Unusable(Fault(f"--{field.replace('_', '-')}", problem.wrong, problem.right))
    _add_one("instrument", fields | {"name": name, "of": kind}, shop, as_json, at, key)


@command.command("check-instrument", context_settings=_VALUES)
@click.argument("instrument")
@click.argument("reference")
@click.argument("read")
@click.option("--reference-u", default=None, help="Standard uncertainty of the reference.")
@click.option("--unit", default=None, help="Unit of all three; mm if not given.")
@_entry_options
def check_instrument(
    shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """An INSTRUMENT read on a REFERENCE of known size: its zero error from here on."""
    from gudgeon.log.checks import amount

    for field in ("reference", "read", "reference_u"):
        for problem in amount(field, fields[field], fields["unit"]):
            raise Unusable(Fault(field.replace("_", "-"), problem.wrong, problem.right))
    check_instrument_name(fields["instrument"], instruments_of(find_shop(shop)))
    _add_one("check", fields, shop, as_json, at, key)


@command.command("stock", context_settings=_VALUES)
@click.argument("group")
@click.option("--mark", default=None, help="Mark, as stamped.")
@click.option("--size", default=None, help="Thickness, as measured.")
@click.option("--diameter", default=None, help="Diameter of the family.")
@click.option("--count", default=None, type=int, help="How many; 1 if not given.")
@click.option("--condition", default=None, type=click.Choice(["good", "dished", "chipped"]))
@click.option("--instrument", default=None, help="Instrument, by its name.")
@click.option("--unit", default=None, help="Unit; mm if not given.")
@_entry_options
def stock(
    size: str | None,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
    **fields: Any,
) -> None:
    """Pieces put in the drawer: GROUP is shim, or the name of a group of shells."""
    check_group(fields["group"], find_shop(shop))
    _add_one("stock", fields | {"typed": size}, shop, as_json, at, key)


@command.command("reserve")
@click.argument("stock")
@click.argument("job")
@click.option("--count", default=None, type=int, help="How many; 1 if not given.")
@_entry_options
def reserve(
    job: str, shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any
) -> None:
    """Keep pieces of the drawer (STOCK, the id of their entry) for a JOB."""
    need_job(find_shop(shop), job)
    _add_one("reserve", fields | {"job": job}, shop, as_json, at, key)


@command.command("setting", context_settings=_VALUES)
@click.argument("name", required=False)
@click.argument("value", required=False)
@_entry_options
def setting(
    name: str | None,
    value: str | None,
    shop: str | None,
    as_json: bool,
    at: str | None,
    key: str | None,
) -> None:
    """A setting of the shop: NAME VALUE. Without them, every setting and what it means."""
    if name is None:
        _list_settings(shop, as_json)
        return
    if value is None:
        raise Unusable(Fault("VALUE", f"no value for {shown(name)}", "give one"))
    check_setting(name, value)
    _add_one("setting", {"name": name, "value": value}, shop, as_json, at, key)


def _list_settings(shop: str | None, as_json: bool) -> None:
    """Every setting, with what is in force in this shop."""
    from gudgeon.fit.settings import EVERY
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.foldshop import fold_shop
    from gudgeon.log.settings import in_force

    kinds = ("setting", "strike")
    values = fold_shop(read_bodies(find_shop(shop).read(SHOP_LOG, kinds), "the shop")).settings
    held = in_force(EVERY, {}, values)
    rows = [
        {
            "name": name,
            "value": held.typed[name],
            "default": known.default,
            "meaning": known.meaning,
            "right": known.right,
        }
        for name, known in EVERY.items()
    ]
    if as_json:
        say_json({"settings": rows, "faults": [asdict(fault) for fault in held.faults]})
        return
    for row in rows:
        own = f" (default {row['default']})" if row["value"] != row["default"] else ""
        click.echo(f"{row['name']} = {row['value']}{own}: {row['meaning']}; {row['right']}")
    for fault in held.faults:
        click.echo(f"not used: {fault}")


@command.command("strike")
@click.argument("target")
@click.option("--reason", default="", help="Why.")
@_entry_options
def strike(shop: str | None, as_json: bool, at: str | None, key: str | None, **fields: Any) -> None:
    """Strike out an entry of the shop's log by its id; striking a strike-out undoes it."""
    _add_one("strike", fields, shop, as_json, at, key)


@command.command("list")
@click.option("--job", default=None, help="As this job sees the drawer.")
@shop_option
@json_option
def list_shop(job: str | None, shop: str | None, as_json: bool) -> None:
    """List instruments, drawer and settings."""
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.foldshop import fold_shop, reserved

    entries = read_bodies(find_shop(shop).read(SHOP_LOG), "the shop")
    found, held = fold_shop(entries, job), reserved(entries)
    if as_json:
        say_json(
            {
                "instruments": [_plain(item) for item in found.instruments.values()],
                "checks": [_plain(item) for item in found.checks],
                "drawer": [asdict(piece) for piece in found.drawer],
                "reserved": [
                    {"id": item.entry, "job": item.job} | asdict(item.piece) for item in held
                ],
                "settings": dict(found.settings),
                "faults": [asdict(fault) for fault in found.faults],
            }
        )
        return
    from gudgeon.log.words import in_words

    for entry in (*found.instruments.values(), *found.checks):
        click.echo(f"{entry.id}  {in_words(entry)}")
    for piece in found.drawer:
        click.echo(f"{piece.stock}  {piece.count} free of {_words(piece)}")
    for item in held:
        what = f"{item.piece.count} of {_words(item.piece)}"
        click.echo(f"{item.entry}  {what}, reserved for {item.job}, from {item.piece.stock}")
    for name, value in found.settings.items():
        click.echo(f"{name} = {value}")
    for fault in found.faults:
        click.echo(f"not used: {fault}")


def _words(piece: Piece) -> str:
    """A piece of the drawer in words."""
    size = f" measured {piece.typed} {piece.unit or 'mm'}" if piece.typed else ""
    mark = f" marked {piece.mark}" if piece.mark else ""
    bad = f" {piece.condition}" if piece.condition != "good" else ""
    return f"{piece.group}{mark}{size}{bad}"


def _plain(entry: Entry) -> dict[str, Any]:
    return entry.model_dump(mode="json", exclude_none=True, exclude={"prev"})


@command.command("export")
@out_option
@shop_option
def export(out: str | None, shop: str | None) -> None:
    """Take the shop's log out as JSON Lines."""
    from gudgeon.log.exchange import export_log

    give(export_log(SHOP_LOG, find_shop(shop, there=True).read(SHOP_LOG)), out)


@command.command("import")
@click.argument("file")
@shop_option
@json_option
def import_(file: str, shop: str | None, as_json: bool) -> None:
    """Merge a log of a shop (JSON Lines) into this one."""
    from gudgeon.log.exchange import import_log
    from gudgeon.store.adding import Coming, add_to_shop

    found = import_log(read_text(file), file, "shop")
    lines = {key: f"{file}:{line}" for key, line in found.lines.items()}
    coming = Coming(found.bodies, lines, chain=False)
    say_added("shop", add_to_shop(find_shop(shop), lambda _: coming), as_json)


@command.command("check")
@shop_option
@json_option
def check(shop: str | None, as_json: bool) -> int:
    """Prove that nothing stored was lost or altered; exit status 1 if something was."""
    store = find_shop(shop, there=True)
    faults = store.check()
    logs = store.logs() if not faults else ()
    if as_json:
        say_json({"shop": str(store.folder), "faults": [asdict(fault) for fault in faults]})
    elif faults:
        for fault in faults:
            click.echo(str(fault))
    else:
        count = sum(name != SHOP_LOG for name in logs)
        click.echo(f"{store.folder}: all is well, {count} job{'' if count == 1 else 's'}")
    return 1 if faults else 0


@command.command("backup")
@click.argument("file")
@shop_option
def backup(file: str, shop: str | None) -> None:
    """Write the whole shop to a new FILE, while others may go on working."""
    find_shop(shop, there=True).backup(out_path(file))
    click.echo(f"wrote {file}")


@command.command("restore")
@click.argument("file")
@click.option("--into", "into", required=True, metavar="DIR", help="A new or empty folder.")
def restore_(file: str, into: str) -> None:
    """Make a shop from a backup FILE, in a new or empty folder."""
    store = restore(Path(file), Path(into))
    click.echo(f"restored into {store.folder}")
