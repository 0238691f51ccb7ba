"""Every file that a command writes: whole or not at all, and refused in the same words."""

from __future__ import annotations

from pathlib import Path

import click

from gudgeon.faults import Fault, Unusable
from gudgeon.store.copying import check_target, whole

out_option = click.option(
    "-o", "--out", "out", default=None, metavar="FILE", help="Write to a new file, not the screen."
)


def out_path(name: str) -> Path:
    """The path that was named on the command line, proved before anything is computed for it.

    Raises:
        Unusable: nothing was named, or a path that no file can have.
    """
    if not name.strip():
        raise Unusable(Fault("FILE", "no file is named", "name one to write"))
    check_target(Path(name))
    return Path(name)


def write_file(path: str, data: bytes, *, new: bool = False, taken: str = "") -> Path:
    """Write a file whole: beside it first, then into its place; an old one stays until then.

    Args:
        path: as named on the command line.
        data: the bytes.
        new: whether a file that is there is left alone, and refused.
        taken: what would be right then, if there is more to say than to choose a new name.

    Raises:
        Unusable: the path is a folder, its folder is not there, it is taken, or the disk refuses.
    """
    file = out_path(path)
    with whole(file, replace=not new, taken=taken or "choose a new name") as part:
        part.write_bytes(data)
    return file


def give(text: str, out: str | None) -> None:
    """Write a text to a new file, or to standard output.

    Raises:
        Unusable: as `write_file`.
    """
    if out is None:
        click.echo(text, nl=False)
        return
    click.echo(f"wrote {write_file(out, text.encode('utf-8'), new=True)}")
