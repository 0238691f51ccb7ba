"""Whole files or none: written beside, synced, then given their name."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from gudgeon.faults import Fault, Unusable


def sync(path: Path) -> None:
    """Make sure that a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def whole(file: Path) -> Iterator[Path]:
    """A path to write to, which becomes `file` when all went well, and never replaces one.

    Raises:
        Unusable: the file is there already, or can't be written.
    """
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
    try:
        if file.exists():
            raise FileExistsError(file)
        yield part
        sync(part)
        _name(part, file)
        sync(file.parent)
    except FileExistsError:
        raise Unusable(Fault(str(file), "the file is there already", "choose a new name")) from None
    except (OSError, sqlite3.Error) as problem:
        said = getattr(problem, "strerror", None) or str(problem)
        raise Unusable(
            Fault(str(file), f"the file can't be written ({said})", "check the folder and the disk")
        ) from None
    finally:
        for ending in ("", "-journal", "-wal", "-shm"):
            part.with_name(part.name + ending).unlink(missing_ok=True)


def _name(part: Path, file: Path) -> None:
    """Give a file its name unless that is taken; a memory stick knows no links, so it is moved."""
    try:
        os.link(part, file)
    except FileExistsError:
        raise
    except OSError:
        if file.exists():
            raise FileExistsError(file) from None
        part.rename(file)


def copy_base(base: sqlite3.Connection, file: Path) -> None:
    """Copy a database in use to a new file, in one piece.

    Raises:
        Unusable: the file is there already, or can't be written.
    """
    with whole(file) as part, closing(sqlite3.connect(part, isolation_level=None)) as copy:
        base.backup(copy)
        # Without this the copy would want a -wal file beside it.
        copy.execute("PRAGMA journal_mode = DELETE")


def copy_file(source: Path, target: Path) -> None:
    """Copy a file's bytes to another, and see them onto the disk."""
    shutil.copyfile(source, target)
    sync(target)
