"""What the tests of the bench share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi.testclient import TestClient

#: The address of this bench on its network.
LAN = "192.0.2.7"
#: What scripts of the bench send with whatever changes something.
OWN = {"X-Gudgeon": "bench", "Content-Type": "application/json"}
Come = Callable[..., TestClient]


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 1_790_000_000.0

    def __call__(self) -> float:
        return self.now


def note(key: str, text: str = "seen", **more: Any) -> dict[str, Any]:
    """An entry as a device sends it."""
    return {"id": key, "at": "2026-11-01T08:00:00Z", "kind": "note", "text": text, **more}
