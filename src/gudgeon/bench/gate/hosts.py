"""Which hosts the bench answers to. A web page elsewhere can only come under a name of its own
(DNS rebinding), so a name is answered only if it is configured, and a number only if it is ours."""

from __future__ import annotations

import re
from collections.abc import Sequence
from ipaddress import ip_address
from typing import Final, NamedTuple

from gudgeon.bench.config import Config

LOOPBACK: Final = ("localhost", "127.0.0.1", "::1")
_HOST: Final = re.compile(
    r"(?:\[(?P<six>[0-9a-f:.]{2,45})\]|(?P<name>[a-z0-9](?:[a-z0-9.-]{0,251}[a-z0-9])?))"
    r"(?::(?P<port>[0-9]{1,5}))?"
)


class Host(NamedTuple):
    """A host as asked for: name or address in lower case, and the port."""

    name: str
    port: int

    @property
    def loopback(self) -> bool:
        """Whether it is this machine speaking to itself."""
        return self.name in LOOPBACK


def read_host(text: str, tls: bool = False) -> Host | None:
    """The host of a `Host` header; none where it is not well formed.

    >>> read_host("Localhost:7340"), read_host("[::1]:80"), read_host("me@localhost")
    (Host(name='localhost', port=7340), Host(name='::1', port=80), None)
    """
    match = _HOST.fullmatch(text.lower())
    if match is None:
        return None
    port = int(match["port"]) if match["port"] else (443 if tls else 80)
    if match["six"] is None:
        return Host(match["name"], port)
    try:
        return Host(str(ip_address(match["six"])), port)
    except ValueError:
        return None


def host_allowed(config: Config, headers: Sequence[str], local: str) -> Host | None:
    """The host of a request, if it is one of ours.

    Args:
        config: how the bench was started. headers: every `Host` header of the request.
        local: the address at which this connection came in.
    """
    if len(headers) != 1:
        return None
    host = read_host(headers[0], config.tls)
    if host is None:
        return None
    for name in config.names:
        own = read_host(name, config.tls)
        port = own.port if own and ":" in name else config.port
        if own and (own.name, port) == host:
            return host
    if host.port != config.port:
        return None
    if host.loopback:
        return host
    if config.lan and _is_address(host.name) and host.name in (local, *config.addresses):
        return host
    return None


def _is_address(name: str) -> bool:
    try:
        return not ip_address(name).is_unspecified
    except ValueError:
        return False
