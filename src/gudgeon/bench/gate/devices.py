"""The devices that were let in, in a small file of the shop's folder; tokens only as hashes."""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Final

from gudgeon.bench.errors import Missing
from gudgeon.bench.gate.who import Role, Who
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.store.copying import sync

FILE: Final = "devices.json"
#: Bytes of a token: 256 bits.
TOKEN_BYTES: Final = 32
MOST: Final = 200
_NAME: Final = re.compile(r"[^\W_](?:[\w .+-]{0,38}[\w.+-])?")


@dataclass(frozen=True, slots=True)
class Device:
    """A device that was let in.

    Attributes:
        id: for the list. name: in the log. role: what it may do.
        token: SHA-256 of its token. since: when it was let in, ISO 8601.
    """

    id: str
    name: str
    role: Role
    token: str
    since: str


class Devices:
    """The list of devices, kept in a file that is replaced whole.

    Attributes:
        file: where it is. taken: names that no device may have, such as the main screen's.
    """

    def __init__(self, file: Path, taken: tuple[str, ...] = ()) -> None:
        self.file = file
        self.taken = taken
        self._lock = Lock()
        self._all = _read(file)
        self._by_token = {device.token: device for device in self._all}

    def all(self) -> tuple[Device, ...]:
        """The devices, in the order in which they came."""
        return self._all

    def who(self, token: str) -> Who | None:
        """The device that holds a token."""
        device = self._by_token.get(_hash(token)) if len(token) <= 200 else None
        return Who("device", device.name, device.role, device.id) if device else None

    def let_in(self, role: Role, name: str = "") -> tuple[Device, str]:
        """A new device, and the token it is known by from now on.

        Raises:
            Unusable: the name can't be used, there are too many, or the file can't be written.
        """
        token = secrets.token_urlsafe(TOKEN_BYTES)
        since = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
        with self._lock:
            if len(self._all) >= MOST:
                raise Unusable(Fault("devices", f"there are {MOST} already", "turn some away"))
            free = name or next(n for i in range(1, 999) if not self._used(n := f"device {i}", ""))
            self._check(free, "")
            device = Device(secrets.token_hex(6), free, role, _hash(token), since)
            self._keep((*self._all, device))
        return device, token

    def rename(self, key: str, name: str) -> Device:
        """Give a device another name.

        Raises:
            Missing: there is no such device.
            Unusable: the name can't be used, or the file can't be written.
        """
        with self._lock:
            self._check(name, key)
            return self._change(replace(self._of(key), name=name))

    def allow(self, key: str, role: Role) -> Device:
        """Let a device write, or only look.

        Raises:
            Missing: there is no such device.
            Unusable: the file can't be written.
        """
        with self._lock:
            return self._change(replace(self._of(key), role=role))

    def turn_away(self, key: str) -> None:
        """Let a device in no more.

        Raises:
            Missing: there is no such device.
            Unusable: the file can't be written.
        """
        with self._lock:
            gone = self._of(key)
            self._keep(tuple(device for device in self._all if device is not gone))

    def _of(self, key: str) -> Device:
        for device in self._all:
            if device.id == key:
                return device
        raise Missing(
            Fault("device", "there is no such device any more", "look at the list of devices again")
        )

    def _used(self, name: str, but: str) -> bool:
        names = {device.name.casefold() for device in self._all if device.id != but}
        return name.casefold() in names | {taken.casefold() for taken in self.taken}

    def _check(self, name: str, but: str) -> None:
        if not _NAME.fullmatch(name):
            raise Unusable(
                Fault(
                    "name",
                    f"{shown(name)} can't be the name of a device",
                    "use up to 40 letters, digits and spaces, like tablet at the lathe",
                )
            )
        if self._used(name, but):
            raise Unusable(
                Fault("name", f"{shown(name)} is the name of another device", "choose another")
            )

    def _change(self, device: Device) -> Device:
        self._keep(tuple(device if old.id == device.id else old for old in self._all))
        return device

    def _keep(self, devices: tuple[Device, ...]) -> None:
        """Write the file, then believe it."""
        _write(self.file, devices)
        self._all = devices
        self._by_token = {device.token: device for device in devices}


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def _read(file: Path) -> tuple[Device, ...]:
    """The devices of a file; none where it is not there yet.

    Raises:
        Unusable: the file is damaged. Nobody is let in on a guess.
    """
    try:
        rows = json.loads(file.read_text(encoding="utf-8"))["devices"]
        devices = tuple(Device(**row) for row in rows)
        if not all(
            device.role in ("write", "look") and re.fullmatch("[0-9a-f]{64}", device.token)
            for device in devices
        ):
            raise ValueError(file)
    except FileNotFoundError:
        return ()
    except OSError as problem:
        raise Unusable(Fault(str(file), f"{problem.strerror}", "make it readable")) from None
    except (ValueError, TypeError, KeyError):
        raise Unusable(
            Fault(
                str(file),
                "the list of devices is damaged",
                "delete it, then pair each device again",
            )
        ) from None
    return devices


def _write(file: Path, devices: tuple[Device, ...]) -> None:
    text = json.dumps({"devices": [asdict(device) for device in devices]}, indent=1)
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        part.replace(file)
        sync(file.parent)
    except OSError as problem:
        raise Unusable(
            Fault(str(file), f"{problem.strerror}", "make room and let gudgeon write there")
        ) from None
    finally:
        part.unlink(missing_ok=True)
