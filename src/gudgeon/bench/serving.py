"""Running the bench: a port that is free, the addresses of this machine, the server itself."""

from __future__ import annotations

import contextlib
import socket
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from gudgeon.bench.gate.hosts import read_host
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

if TYPE_CHECKING:
    from starlette.types import ASGIApp

#: How many ports are tried after the one wished for.
TRIES: Final = 20
#: How long a thread that computes may keep the others waiting [s]. An entry changes threads some
#: twenty times on its way to the disk; at Python's 5 ms it would wait longer for a page that is
#: being worked out than for the disk.
TURN: Final = 0.0005
#: How long a connection may rest [s]: longer than one reading takes, so that the next entry need
#: not make a new one first.
REST: Final = 75
#: An address kept for documentation (RFC 5737): nothing is sent there, it only makes the system
#: say from which of our own addresses it would be.
_ELSEWHERE: Final = ("192.0.2.1", 9)


def listen(port: int, lan: bool) -> tuple[socket.socket, ...]:
    """Sockets that listen on a port, or on the next one that is free.

    Args:
        port: the one wished for; 0 for any. lan: on all addresses, not on loopback alone.

    Raises:
        Unusable: none of them is free, or the port may not be used.
    """
    host = "0.0.0.0" if lan else "127.0.0.1"
    for tried in range(port, port + TRIES if port else 1):
        if tried > 65535:
            break
        try:
            return (_bound(host, tried),)
        except PermissionError:
            raise Unusable(
                Fault("--port", f"port {tried} may not be used", "choose one above 1023")
            ) from None
        except OSError:
            continue
    raise Unusable(
        Fault("--port", f"port {port} and the {TRIES - 1} after it are taken", "choose another")
    )


def _bound(host: str, port: int) -> socket.socket:
    # Only where the protocol is named does asyncio send small answers at once; else the body waits
    # for the other side to acknowledge the head, 40 ms.
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(128)
    except OSError:
        made.close()
        raise
    return made


def own_addresses() -> tuple[str, ...]:
    """Addresses at which other devices can reach this machine, the likeliest first."""
    found: list[str] = []
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(_ELSEWHERE)
        found.append(str(probe.getsockname()[0]))
    with contextlib.suppress(OSError):
        for row in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            found.append(str(row[4][0]))
    return tuple(a for a in dict.fromkeys(found) if not a.startswith(("127.", "0.")))


def run(app: ASGIApp, sockets: tuple[socket.socket, ...], closing: Callable[[], None]) -> None:
    """Serve until the person stops it with Ctrl-C.

    Args:
        app: what to serve. sockets: where. closing: called when it begins to end, so that streams
            of news end too and hold nothing up.
    """
    import uvicorn

    class Server(uvicorn.Server):
        """A server that says when it begins to end."""

        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            """End the streams, then the rest."""
            closing()
            await super().shutdown(sockets)

    settings = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=2,
        timeout_keep_alive=REST,
        lifespan="on",
    )
    sys.setswitchinterval(TURN)
    with contextlib.suppress(KeyboardInterrupt):
        Server(settings).run(sockets=list(sockets))


def check_names(names: tuple[str, ...]) -> None:
    """Refuse host names that no browser could ask for.

    Raises:
        Unusable: one that is none.
    """
    for name in names:
        if read_host(name) is None:
            raise Unusable(
                Fault("--name", f"{shown(name)} is not a host", "write it like bench.local")
            )
