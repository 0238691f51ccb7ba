"""Scripts, styles and fonts: read once, addressed by their hash, kept long by browsers."""

from __future__ import annotations

import gzip
import hashlib
import re
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Final

#: What is served, by ending; anything else in the folder is not.
TYPES: Final = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wav": "audio/wav",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
}
_PACKED: Final = (".css", ".js", ".svg", ".txt", ".webmanifest")
#: A line of a script that is comment alone: a whole one, not the beginning of a longer one.
_COMMENT: Final = re.compile(rb"\s*(//.*|/\*\*?.*\*/\s*)$")


@dataclass(frozen=True, slots=True)
class StaticFile:
    """One file as it is sent: plain, and packed where that makes it smaller."""

    plain: bytes
    packed: bytes | None
    type: str


class Statics:
    """All static files.

    Attributes:
        digest: hash of them all. In the address, it lets browsers keep them for good: modules that
            import each other by relative names stay within one version.
        files: by their path below the folder.
    """

    def __init__(self, folder: Traversable | None = None) -> None:
        root = folder or files("gudgeon.bench") / "static"
        self.files = dict(sorted(_read(root, "")))
        whole = hashlib.sha256()
        for name, file in self.files.items():
            whole.update(name.encode() + b"\0" + file.plain)
        self.digest = whole.hexdigest()[:12]

    def address(self, name: str) -> str:
        """The address of a file.

        Raises:
            KeyError: there is no such file.
        """
        if name not in self.files:
            raise KeyError(name)
        return f"/static/{self.digest}/{name}"


def _read(folder: Traversable, prefix: str) -> list[tuple[str, StaticFile]]:
    found: list[tuple[str, StaticFile]] = []
    for item in folder.iterdir():
        name = f"{prefix}{item.name}"
        if item.is_dir():
            found += _read(item, f"{name}/")
            continue
        ending = f".{item.name.rpartition('.')[2]}"
        if ending in TYPES:
            plain = item.read_bytes()
            packed = _pack(plain, ending) if ending in _PACKED else None
            found.append((name, StaticFile(plain, packed, TYPES[ending])))
    return found


def _pack(plain: bytes, ending: str) -> bytes:
    """A file packed for sending; of a script without the lines that are comment alone.

    What is asked for unpacked is sent as it was written.
    """
    if ending == ".js":
        plain = b"\n".join(line for line in plain.split(b"\n") if not _COMMENT.match(line))
    return gzip.compress(plain, 9, mtime=0)
