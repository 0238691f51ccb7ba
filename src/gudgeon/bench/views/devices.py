"""The devices that were let in, and letting in another. On the main screen alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask


@dataclass(frozen=True, slots=True)
class Known:
    """A device that was let in."""

    id: str
    name: str
    role: str
    since: str


@dataclass(frozen=True, slots=True)
class DeviceList:
    """The page.

    Attributes:
        lan: whether other devices can reach the bench at all. address: where they find it.
    """

    lan: bool
    address: str
    devices: tuple[Known, ...]


def view(ask: Ask) -> DeviceList:
    """The list of devices."""
    config = ask.bench.config
    return DeviceList(
        config.lan and bool(config.addresses),
        config.address(config.addresses[0]) if config.addresses else "",
        tuple(
            Known(device.id, device.name, device.role, device.since[:10])
            for device in ask.bench.devices.all()
        ),
    )


PAGE: Final = Page("devices", "/devices", view, rule="main", script=True, tab="main")
