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
    if os.name != "posix" and path.is_dir():
        return  # not every system lets a folder be opened for that
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def check_target(file: Path) -> None:
    """Refuse a path that no file can be written to.

    Raises:
        Unusable: it is a folder, its folder is not there, or it is a device or the like.
    """
    try:
        folder, there, ordinary = file.is_dir(), file.parent.is_dir(), file.is_file()
        exists = file.exists()
    except OSError as problem:  # such as a name that is too long, or a folder that may not be read
        raise _refused(file, problem) from None
    if folder:
        raise Unusable(Fault(str(file), "this is a folder", "name a file in it"))
    if not there:
        raise Unusable(Fault(str(file), f"there is no folder '{file.parent}'", "make it first"))
    if exists and not ordinary:
        raise Unusable(Fault(str(file), "this is not an ordinary file", "name another one"))


@contextmanager
def whole(file: Path, *, replace: bool = False, taken: str = "choose a new name") -> Iterator[Path]:
    """A path to write to, which becomes `file` when all went well.

    Args:
        file: what to write.
        replace: whether a file that is there gives way; else it is never touched.
        taken: what would be right where it is there and may not be replaced.

    Raises:
        Unusable: no file can have that path, one is there already, or the disk refuses.
    """
    check_target(file)
    part = file.with_name(f".{file.name[:40]}.{secrets.token_hex(4)}.part")
    try:
        if not replace and file.exists():
            raise FileExistsError(file)
        yield part
        sync(part)
        if replace:
            os.replace(part, file)
        else:
            _name(part, file)
        sync(file.parent)
    except FileExistsError:
        raise Unusable(Fault(str(file), "the file is there already", taken)) from None
    except (OSError, sqlite3.Error) as problem:
        raise _refused(file, problem) from None
    finally:
        for ending in ("", "-journal", "-wal", "-shm"):
            part.with_name(part.name + ending).unlink(missing_ok=True)


def _refused(file: Path, problem: OSError | sqlite3.Error) -> Unusable:
    said = getattr(problem, "strerror", None) or str(problem)
    return Unusable(
        Fault(str(file), f"it can't be written ({said})", "check the name and the disk")
    )


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
