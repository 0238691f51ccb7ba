"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from gudgeon.faults import Fault, Unusable


def write_file(path: str, data: bytes) -> Path:
    """Write a file whole: beside it first, then into its place; an old one stays until then.

    Raises:
        Unusable: the path is a folder, its folder is not there, or the disk refuses.
    """
    file = Path(path)
    if file.is_dir():
        raise Unusable(Fault(path, "this is a folder", "name a file in it"))
    if not file.parent.is_dir():
        raise Unusable(Fault(path, f"there is no folder '{file.parent}'", "make it first"))
    if file.exists() and not file.is_file():
        raise Unusable(Fault(path, "this is not an ordinary file", "name another one"))
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{file.name[:40]}.", dir=file.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        mask = os.umask(0)
        os.umask(mask)
        Path(temporary).chmod(0o666 & ~mask)
        os.replace(temporary, file)
    except OSError as problem:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        raise Unusable(
            Fault(path, f"it can't be written ({problem.strerror})", "check the name and the disk")
        ) from None
    _sync_folder(file.parent)
    return file


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last; not every system lets a folder be opened for that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
