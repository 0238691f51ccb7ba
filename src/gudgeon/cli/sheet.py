"""gudgeon sheet: start, check and show engine sheets."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import click

from gudgeon.cli.common import json_option, read_text, say_json
from gudgeon.faults import Fault, Unusable

#: Largest sheet that is read [bytes], as the reader itself bounds it.
_LARGEST: Final = 1024 * 1024


@click.group()
def command() -> None:
    """Start, check and show engine sheets.

    A sheet says what an engine of one type should be: what to measure, and the limits of its
    manual. It is a text file; write in it whatever your manual gives, and leave the rest blank.
    """


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
