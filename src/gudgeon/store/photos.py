"""Photographs of a shop: each file under its hash, and smaller copies of it to be shown."""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import subprocess
import sys
from pathlib import Path
from typing import Final, Literal, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.store.copying import sync
from gudgeon.store.picture import SECONDS

#: Name of the folder in the shop's, and of that with the copies, which can be made again.
FOLDER: Final = "photos"
COPIES: Final = "shown"
#: Largest file [bytes].
LARGEST: Final = 15 * 1024 * 1024
#: How a file begins -> its kind.
_BEGINS: Final = (
    (re.compile(rb"\xff\xd8\xff"), "image/jpeg"),
    (re.compile(rb"\x89PNG\r\n\x1a\n"), "image/png"),
    (re.compile(rb"RIFF....WEBP", re.DOTALL), "image/webp"),
)
_SHA: Final = re.compile(r"[0-9a-f]{64}")
Size = Literal["shown", "small"]


class Photograph(NamedTuple):
    """A photograph that was kept. sha256: of its file."""

    sha256: str
    already: bool


class PhotoBox:
    """The photographs of one shop."""

    def __init__(self, shop: Path) -> None:
        self.folder = shop / FOLDER

    def keep(self, data: bytes) -> Photograph:
        """Keep a photograph as it came, and make the copies; on the disk when this returns.

        Raises:
            Unusable: too large, no image that is read here, or the disk does not take it.
        """
        kind_of(data)
        sha = hashlib.sha256(data).hexdigest()
        file = self.folder / sha
        if file.is_file() and self._copy(sha, "shown").is_file():
            return Photograph(sha, True)
        try:
            (self.folder / COPIES).mkdir(parents=True, exist_ok=True)
            part = self.folder / f".{sha}.{secrets.token_hex(4)}.part"
            try:
                _write(part, data)
                self._make_copies(part, sha)
                part.replace(file)
                sync(self.folder)
            finally:
                part.unlink(missing_ok=True)
        except OSError as problem:
            raise Unusable(
                Fault(
                    "photo",
                    f"the shop's folder does not take it ({problem.strerror})",
                    "check the folder and the disk",
                )
            ) from None
        return Photograph(sha, False)

    def original(self, sha: str) -> Path | None:
        """The file as it came, if it is there."""
        file = self.folder / sha
        return file if _SHA.fullmatch(sha) and file.is_file() else None

    def copy(self, sha: str, size: Size) -> Path | None:
        """A copy to be shown, made again where it is missing; nothing where there is no file.

        Raises:
            Unusable: the file can't be read any more.
        """
        source = self.original(sha)
        if source is None:
            return None
        file = self._copy(sha, size)
        if not file.is_file():
            (self.folder / COPIES).mkdir(exist_ok=True)
            self._make_copies(source, sha)
        return file

    def _copy(self, sha: str, size: Size) -> Path:
        return self.folder / COPIES / f"{sha}-{size}.jpg"

    def _make_copies(self, source: Path, sha: str) -> None:
        token = secrets.token_hex(4)
        stem = self.folder / COPIES / f".{sha}-{token}"
        parts: dict[Size, Path] = {
            "shown": stem.with_suffix(".shown.part"),
            "small": stem.with_suffix(".small.part"),
        }
        try:
            _run(source, parts["shown"], parts["small"])
            for size, part in parts.items():
                part.replace(self._copy(sha, size))
        finally:
            for part in parts.values():
                part.unlink(missing_ok=True)


def kind_of(data: bytes) -> str:
    """The kind of an image by its first bytes, as in `image/jpeg`.

    Raises:
        Unusable: it is too large, or begins like none that is read here.
    """
    if len(data) > LARGEST:
        raise Unusable(Fault("photo", "the file has more than 15 MB", "take it in a smaller size"))
    for begins, kind in _BEGINS:
        if begins.match(data):
            return kind
    raise Unusable(Fault("photo", "this file is no JPEG, PNG or WebP image", "choose a photograph"))


def _run(source: Path, shown: Path, small: Path) -> None:
    """Make the copies in a process of its own.

    Raises:
        Unusable: it can't be done.
    """
    command = [sys.executable, "-m", "gudgeon.store.picture"]
    try:
        done = subprocess.run(
            [*command, str(source), str(shown), str(small)],
            capture_output=True,
            timeout=SECONDS * 2,
            check=False,
            stdin=subprocess.DEVNULL,
        )
        said = json.loads(done.stdout or b"{}")
    except (subprocess.TimeoutExpired, ValueError):
        said, done = {}, None
    if done is None or done.returncode:
        wrong = said.get("wrong") or "it takes more time or memory than a photograph needs"
        raise Unusable(Fault("photo", wrong, "choose another photograph, or take it anew"))


def _write(file: Path, data: bytes) -> None:
    with file.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
