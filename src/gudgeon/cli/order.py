"""gudgeon order: what to buy for a job."""

from __future__ import annotations

import json
import textwrap
from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import json_option, say_json, shop_option
from gudgeon.cli.opening import open_job
from gudgeon.faults import Fault, Unusable

if TYPE_CHECKING:
    from gudgeon.order.lines import Order, OrderLine


_WIDTH = 100


@click.command()
@click.argument("job", metavar="JOB")
@shop_option
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="Answer as CSV.")
@click.option("-o", "out", metavar="FILE", help="Write to a file instead (CSV unless --json).")
def command(job: str, shop: str | None, as_json: bool, as_csv: bool, out: str | None) -> None:
    """What to buy for a job: what, size, how many, for which places, price."""
    if as_json and as_csv:
        raise Unusable(Fault("--csv", "CSV and JSON were both asked for", "ask for one of them"))
    if out is not None:
        from gudgeon.cli.writing import out_path, write_file

        out_path(out)
    opened, shared = open_job(job, shop)
    from gudgeon.fit.picks import picks
    from gudgeon.metrology.findings import findings
    from gudgeon.order.needs import order
    from gudgeon.order.text import to_csv, to_json

    found = findings(opened, shared)
    told = order(opened, picks(opened, shared, found.table), found)
    if out is not None:
        text = (
            json.dumps(to_json(told), ensure_ascii=False, indent=1, allow_nan=False) + "\n"
            if as_json
            else to_csv(told)
        )
        click.echo(f"order written to {write_file(out, text.encode('utf-8'))}")
    elif as_json:
        say_json(to_json(told))
    elif as_csv:
        click.echo(to_csv(told), nl=False)
    else:
        show(told)


def show(told: Order) -> None:
    """Print an order in words."""
    from gudgeon.order.text import together

    if not told.lines:
        click.echo("Nothing to buy.")
    for line in told.lines:
        click.echo(_words(line))
    if told.lines:
        click.echo(f"Together {together(told)}")
    if told.also:
        click.echo("\nWorth having besides, not in the sum:")
        for line in told.also:
            click.echo(_words(line))
    for note in told.notes:
        click.echo(
            "\n".join(textwrap.wrap(note, _WIDTH, subsequent_indent="  ", break_on_hyphens=False))
        )


def _words(line: OrderLine) -> str:
    from gudgeon.order.text import counted

    price = "no price" if line.price is None else "?" if line.total is None else f"{line.total:.2f}"
    where = f"  {', '.join(line.places)}" if line.places else ""
    why = f"  · {'; '.join(line.reasons)}" if line.reasons else ""
    return f"{counted(line.count):>3} × {line.named:<34} {price:>9}{where}{why}"
