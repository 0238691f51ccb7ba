"""Which shop: its folder by option, by where you stand, or in the user's data folder."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from gudgeon.faults import Fault, Unusable
from gudgeon.store.copying import copy_file, sync, whole
from gudgeon.store.sqlite import FILE, SqliteStore


def find_shop(
    shop: str | None = None,
    here: Path | None = None,
    environment: Mapping[str, str] | None = None,
    *,
    there: bool = False,
) -> SqliteStore:
    """The shop named, else `GUDGEON_SHOP`, else the folder you stand in if it is one, else yours.

    Yours is `gudgeon` in the data folder (`XDG_DATA_HOME`, else `~/.local/share`), made when
    something is first written to it.

    Args:
        shop: as named. here: the folder you stand in. environment: its variables.
        there: whether the shop is to be read, so that a folder named must be there.

    Raises:
        Unusable: what was named is not a folder.
    """
    known = os.environ if environment is None else environment
    named = shop or known.get("GUDGEON_SHOP")
    if named:
        return SqliteStore(_named(named, there))
    here = here or Path.cwd()
    if (here / FILE).is_file():
        return SqliteStore(here)
    data = known.get("XDG_DATA_HOME") or ""
    home = Path(data) if Path(data).is_absolute() else Path("~/.local/share").expanduser()
    return SqliteStore(home / "gudgeon")


def _named(name: str, there: bool) -> Path:
    if "://" in name or "\0" in name:
        raise Unusable(Fault("--shop", "a shop is a folder", "give the path of one"))
    folder = Path(name).expanduser()
    if folder.is_file():
        raise Unusable(Fault(name, "this is a file", f"name the folder that holds {FILE}"))
    if there and not folder.is_dir():
        raise Unusable(Fault(name, "there is no such shop folder", "check --shop or GUDGEON_SHOP"))
    return folder


def restore(backup: Path, folder: Path) -> SqliteStore:
    """Make a shop from a backup, in a folder that is empty or not there yet.

    Raises:
        Unusable: the folder holds something, or the backup is damaged or no backup at all.
    """
    if not backup.is_file():
        raise Unusable(Fault(str(backup), "there is no such file", "name the backup"))
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Unusable(
            Fault(str(folder), "the folder is not empty", "restore into a new or empty folder")
        )
    made = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        _restore(backup, folder)
    except Unusable:
        if made:
            folder.rmdir()
        raise
    return SqliteStore(folder)


def _restore(backup: Path, folder: Path) -> None:
    with whole(folder / FILE) as part:
        copy_file(backup, part)
        try:
            faults = SqliteStore(folder, part.name).check()
        except Unusable as problem:
            faults = problem.faults
        if faults:
            raise Unusable(Fault(str(backup), f.wrong, "name another backup") for f in faults)
    sync(folder)
