"""What the commands share: which shop, JSON or words, and reading files within bounds."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import click

from gudgeon.faults import Fault, Unusable

#: Largest text file that is read [bytes]: a sheet or log above this is no sheet and no log.
LARGEST_FILE: Final = 16 * 1024 * 1024

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

shop_option: Decorator = click.option(
    "--shop",
    "shop",
    envvar="GUDGEON_SHOP",
    default=None,
    metavar="DIR",
    help="Folder of the shop; default: this folder if it is one, else your data folder.",
)
json_option: Decorator = click.option(
    "--json", "as_json", is_flag=True, help="Answer in JSON on standard output."
)


def say_json(answer: Any) -> None:
    """Print an answer as JSON, with nothing that JSON has no word for."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=1, allow_nan=False))


def percent(chance: float) -> str:
    """A chance in per cent, never rounded up to certainty.

    >>> percent(0.9561), percent(0.99997)
    ('95.6 %', 'over 99.9 %')
    """
    return "over 99.9 %" if chance >= 0.9995 else f"{100 * chance:.1f} %"


def read_text(path: str, largest: int = LARGEST_FILE) -> str:
    """The text of a file in UTF-8, within bounds.

    Raises:
        Unusable: no such file, too large, or not text.
    """
    file = Path(path)
    try:
        if file.is_dir():
            raise Unusable(Fault(path, "this is a folder", "name a file in it"))
        with file.open("rb") as stream:
            data = stream.read(largest + 1)
    except FileNotFoundError:
        raise Unusable(Fault(path, "there is no such file", "check the name")) from None
    except OSError as problem:
        raise Unusable(Fault(path, f"{problem.strerror}", "check the file")) from None
    if len(data) > largest:
        raise Unusable(
            Fault(path, f"the file is larger than {largest // 1024} kB", "check that it is the one")
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        raise Unusable(
            Fault(f"{path}:{line}", "the file is not text in UTF-8", "save it as UTF-8")
        ) from None
