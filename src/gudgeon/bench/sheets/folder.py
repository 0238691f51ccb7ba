"""The shop's folder of sheets. A file is replaced as a whole or not at all."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import threading
from pathlib import Path
from typing import Final, NamedTuple

from gudgeon.bench.errors import Missing
from gudgeon.faults import Conflict, Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.sheet.yamltext import LARGEST_TEXT
from gudgeon.store.copying import sync, whole

#: Name of the folder in the shop's.
FOLDER: Final = "sheets"
ENDING: Final = ".yaml"
_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}\.yaml")
_LOCK: Final = threading.Lock()


class SheetText(NamedTuple):
    """A sheet as it stands in its file. sha256: of the text."""

    name: str
    text: str
    sha256: str


class SheetFolder:
    """The sheets of a shop."""

    def __init__(self, shop: Path) -> None:
        self.folder = shop / FOLDER

    def names(self) -> tuple[str, ...]:
        """The files, sorted; what is no plain file of a sheet's name is left out."""
        if not self.folder.is_dir():
            return ()
        found = (item for item in self.folder.iterdir() if _NAME.fullmatch(item.name))
        return tuple(sorted(item.name for item in found if _plain_file(item)))

    def read(self, name: str) -> SheetText:
        """One sheet.

        Raises:
            Missing: there is no such file.
            Unusable: it can't be read, or is no text.
        """
        file = self._file(name)
        try:
            if file.stat().st_size > LARGEST_TEXT * 4:
                raise Unusable(Fault(name, "the file is too large for a sheet", "look what it is"))
            text = file.read_bytes().decode("utf-8")
        except OSError as problem:
            raise Unusable(
                Fault(name, f"the file can't be read ({problem.strerror})", "check its permissions")
            ) from None
        except UnicodeDecodeError:
            raise Unusable(
                Fault(name, "the file is not text in UTF-8", "save it as UTF-8")
            ) from None
        return SheetText(name, text, digest(text))

    def create(self, name: str, text: str) -> SheetText:
        """A new sheet, on the disk when this returns.

        Raises:
            Conflict: there is one of that name.
            Unusable: the name can't be a file's, or the folder can't be written.
        """
        check_file_name(name)
        with _LOCK:
            self.folder.mkdir(parents=True, exist_ok=True)
            if (self.folder / name).exists():
                raise Conflict(
                    Fault(name, "there is a sheet of this name already", "choose another name")
                )
            with whole(self.folder / name) as part:
                part.write_bytes(text.encode())
        return SheetText(name, text, digest(text))

    def replace(self, name: str, text: str, seen: str) -> SheetText:
        """A sheet's new text in place of the one that was seen; on the disk when this returns.

        Raises:
            Missing: there is no such file.
            Conflict: it is another text by now.
            Unusable: it can't be written.
        """
        with _LOCK:
            now = self.read(name)
            if now.sha256 != seen:
                raise Conflict(
                    Fault(
                        name,
                        "this sheet was changed elsewhere since this page was opened",
                        "open it again, then type once more what is not saved",
                    )
                )
            if text != now.text:
                _write_over(self.folder / name, text.encode())
        return SheetText(name, text, digest(text))

    def _file(self, name: str) -> Path:
        file = self.folder / name
        if not _NAME.fullmatch(name) or not _plain_file(file):
            raise Missing(
                Fault(shown(name, 80), "there is no such sheet", "look at the list of sheets")
            )
        return file


def digest(text: str) -> str:
    """What a text is known by."""
    return hashlib.sha256(text.encode()).hexdigest()


def check_file_name(name: str) -> None:
    """Refuse what can't be the name of a sheet's file.

    Raises:
        Unusable: too long, or with characters that file names have trouble with.
    """
    if not _NAME.fullmatch(name):
        raise Unusable(
            Fault(
                "name",
                f"{shown(name.removesuffix(ENDING))} can't be the name of a sheet",
                "begin with a letter or digit, then up to 59 letters, digits and . _ -",
            )
        )


def _plain_file(file: Path) -> bool:
    return file.is_file() and not file.is_symlink()


def _write_over(file: Path, data: bytes) -> None:
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
    try:
        with part.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        part.replace(file)
        sync(file.parent)
    except OSError as problem:
        raise Unusable(
            Fault(
                file.name,
                f"the file can't be written ({problem.strerror})",
                "check the folder and the disk; the sheet is as it was",
            )
        ) from None
    finally:
        part.unlink(missing_ok=True)
