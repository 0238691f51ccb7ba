"""gudgeon sheet: start, check and show engine sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from gudgeon.cli.common import json_option, read_text, say_json
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

if TYPE_CHECKING:
    from gudgeon.sheet.starters import Choice

#: Largest sheet that is read [bytes], as the reader itself bounds it.
_LARGEST: Final = 1024 * 1024
_MARKINGS: Final = ("quarters", "hundredths", "thousandths", "millimetres")
_GEARS: Final = ("under-bucket", "over-bucket", "finger", "rocker-screw")


@click.group()
def command() -> None:
    """Start, check and show engine sheets.

    A sheet says what an engine of one type should be: what to measure, and the limits of its
    manual. It is a text file; write in it whatever your manual gives, and leave the rest blank.
    """


@command.command()
@click.option("--layout", default="inline4", show_default=True, help="inline1 to 6, v2, flat2.")
@click.option("--valves", type=click.IntRange(2, 5), default=4, show_default=True)
@click.option("--gear", type=click.Choice(_GEARS), default="under-bucket", show_default=True)
@click.option(
    "--big-ends", type=click.Choice(("plain", "roller")), default="plain", show_default=True
)
@click.option("--bores", type=click.Choice(("iron", "plated")), default="iron", show_default=True)
@click.option(
    "--cooling", type=click.Choice(("liquid", "air")), default="liquid", show_default=True
)
@click.option("--unit", type=click.Choice(("mm", "in")), default="mm", show_default=True)
@click.option("--shims-only", is_flag=True, help="Only what is needed to choose valve shims.")
@click.option("--in", "inlet", nargs=2, metavar="LEAST MOST", help="Inlet clearance window.")
@click.option("--ex", "exhaust", nargs=2, metavar="LEAST MOST", help="Exhaust clearance window.")
@click.option("--series", nargs=3, metavar="FROM TO STEP", help="Shims that can be bought.")
@click.option("--marking", type=click.Choice(_MARKINGS), help="What the mark on a shim means.")
@click.option("-o", "--out", type=click.Path(), help="File to write; default: the screen.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def new(
    layout: str,
    valves: int,
    gear: str,
    big_ends: str,
    bores: str,
    cooling: str,
    unit: str,
    shims_only: bool,
    inlet: tuple[str, str] | None,
    exhaust: tuple[str, str] | None,
    series: tuple[str, str, str] | None,
    marking: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Start a sheet: every feature present and blank, each with a line on what to look up."""
    from gudgeon.cli.writing import write_file
    from gudgeon.sheet import starters
    from gudgeon.sheet.load import load

    if layout not in starters.LAYOUTS:
        raise Unusable(
            Fault(
                "--layout",
                f"there is no layout {shown(layout, 20)}",
                f"use one of {', '.join(starters.LAYOUTS)}",
            )
        )
    choice = starters.Choice(layout, valves, gear, big_ends, bores, cooling, unit)
    choice = choice._replace(marking=marking or "")
    choice = _with_figures(choice, inlet, exhaust, series)
    text = starters.shims_only(choice) if shims_only else starters.starter(choice)
    # A sheet that the figures given would make unusable is not written.
    starters.prove(load(text, out or "the new sheet").sheet, choice)
    if out is None:
        click.echo(text, nl=False)
        return
    taken = "choose another name, or add --force"
    write_file(out, text.encode("utf-8"), new=not force, taken=taken)
    click.echo(f"{out}: written; fill it in from the manual, then: gudgeon sheet check {out}")


def _with_figures(
    choice: Choice,
    inlet: tuple[str, str] | None,
    exhaust: tuple[str, str] | None,
    series: tuple[str, str, str] | None,
) -> Choice:
    """The choice with the figures that were given on the command line."""
    from gudgeon.sheet.starters import checked

    unit = choice.unit
    if inlet:
        low, high = (checked(text, unit, "--in") for text in inlet)
        choice = choice._replace(inlet=(low, high))
    if exhaust:
        low, high = (checked(text, unit, "--ex") for text in exhaust)
        choice = choice._replace(exhaust=(low, high))
    if series:
        thin, thick, step = (checked(text, unit, "--series") for text in series)
        choice = choice._replace(series=(thin, thick, step))
    return choice


@command.command()
@click.argument("file", type=click.Path())
@json_option
def show(file: str, as_json: bool) -> None:
    """Say in words what a sheet says: places, readings, limits, windows."""
    from gudgeon.sheet.describe import describe, lines_of
    from gudgeon.sheet.load import load

    sheet = load(read_text(file, _LARGEST), file).sheet
    if as_json:
        say_json({"file": file, **describe(sheet)})
        return
    for line in lines_of(sheet):
        click.echo(line)


@command.command()
@click.option("--page", is_flag=True, help="The reference page in Markdown instead.")
def schema(page: bool) -> None:
    """Print the format of sheets as JSON Schema, for editors to complete and check by."""
    from gudgeon.sheet.published import json_schema, reference_page

    if page:
        click.echo(reference_page(), nl=False)
    else:
        say_json(json_schema())


@command.command()
@click.argument("file", type=click.Path())
@json_option
def check(file: str, as_json: bool) -> int:
    """Prove a sheet against itself: grade tables, limits, sizes, units.

    Exit status 0 where no fault was found, 1 where there is one, 2 where it can't be read.
    What is only worth a look does not count as a fault.
    """
    from gudgeon.sheet.check import check_sheet
    from gudgeon.sheet.load import load

    found = check_sheet(load(read_text(file, _LARGEST), file))
    faults = [item for item in found if item.severity == "fault"]
    looks = [item for item in found if item.severity == "look"]
    if as_json:
        keys = ("where", "line", "column", "check", "severity", "wrong", "right", "sum")
        say_json({"file": file, "faults": [{k: getattr(i, k) for k in keys} for i in found]})
        return 1 if faults else 0
    for item in faults:
        click.echo(str(item))
    if looks:
        click.echo("\nWorth a look:" if faults else "Worth a look:")
        for item in looks:
            click.echo(str(item))
    count = "1 fault" if len(faults) == 1 else f"{len(faults) or 'no'} faults"
    click.echo(f"{file}: {count}, {len(looks) or 'nothing'} worth a look")
    return 1 if faults else 0
