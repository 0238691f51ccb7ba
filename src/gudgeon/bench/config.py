"""How the bench was started."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

#: The port that is tried first.
PORT = 7340


@dataclass(frozen=True, slots=True)
class Config:
    """How the bench was started.

    Attributes:
        port: the one it listens on.
        lan: whether other devices may come in, after pairing.
        addresses: addresses of this machine to print for other devices.
        names: further host names it answers to, as `bench.local` or `bench.local:8080`.
        tls: whether the browser speaks https to it.
        device: name of the main screen in the log.
        clock: seconds since 1970.
    """

    port: int = PORT
    lan: bool = False
    addresses: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    tls: bool = False
    device: str = "bench"
    clock: Callable[[], float] = time.time

    @property
    def scheme(self) -> str:
        """`http`, or `https`."""
        return "https" if self.tls else "http"

    def address(self, host: str) -> str:
        """The address to open in a browser.

        >>> Config(port=7340).address("localhost")
        'http://localhost:7340'
        """
        usual = 443 if self.tls else 80
        shown = f"[{host}]" if ":" in host else host
        return f"{self.scheme}://{shown}" + ("" if self.port == usual else f":{self.port}")
