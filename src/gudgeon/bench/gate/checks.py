"""What the gate looks at before any route is chosen: host, origin, kind of content, who asks."""

from __future__ import annotations

from ipaddress import ip_address
from typing import Final

from starlette.datastructures import Headers
from starlette.types import Scope

from gudgeon.bench.config import Config
from gudgeon.bench.errors import Refused
from gudgeon.bench.gate.cookies import token_of
from gudgeon.bench.gate.devices import Devices
from gudgeon.bench.gate.hosts import Host, host_allowed
from gudgeon.bench.gate.who import STRANGER, Rule, Who
from gudgeon.faults import Fault
from gudgeon.numbers import shown

SAFE: Final = ("GET", "HEAD")
METHODS: Final = (*SAFE, "POST", "PUT", "DELETE", "PATCH")
#: The header that scripts of the bench send; no form and no other site can.
OWN_HEADER: Final = "x-gudgeon"
#: What a proxy adds: behind one, no request is the main screen's.
_PROXIED: Final = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


def check_host(config: Config, scope: Scope, headers: Headers) -> Host:
    """The host asked for.

    Raises:
        Refused: it is none of ours.
    """
    local = (scope.get("server") or ("", 0))[0] or ""
    hosts = headers.getlist("host")
    host = host_allowed(config, hosts, local)
    if host is None:
        named = shown(hosts[0]) if len(hosts) == 1 else "no single host"
        raise Refused(
            421,
            Fault(
                "Host",
                f"the bench does not answer to {named}",
                "open the address that gudgeon serve printed, or name this host with --name",
            ),
        )
    return host


def check_origin(config: Config, scope: Scope, headers: Headers, host: Host) -> None:
    """Let through what changes nothing, and what a page of this bench sends.

    Raises:
        Refused: another site may have sent it, or it is no method of ours.
    """
    method = scope["method"]
    if method not in METHODS:
        raise Refused(405, Fault("method", f"{shown(method)} is not used here", "use GET or POST"))
    if method in SAFE:
        return
    origins = headers.getlist("origin")
    own = config.scheme + "://" + headers["host"].lower()
    site = headers.get("sec-fetch-site", "same-origin")
    if len(origins) != 1 or origins[0].lower() != own or site != "same-origin":
        raise Refused(
            403,
            Fault(
                "Origin",
                "this did not come from a page of the bench",
                f"open {config.scheme}://{headers['host']} and do it there",
            ),
        )
    if headers.get(OWN_HEADER) != "bench":
        raise Refused(
            403,
            Fault("X-Gudgeon", "the header X-Gudgeon is missing", "send X-Gudgeon: bench"),
        )


def check_content(headers: Headers, method: str, types: tuple[str, ...]) -> None:
    """Let through only the kinds of content that a route takes.

    Raises:
        Refused: another kind.
    """
    if method in SAFE:
        return
    kind = headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in types:
        raise Refused(
            415,
            Fault("Content-Type", f"{shown(kind)} is not taken here", f"send {', '.join(types)}"),
        )


def who_asks(config: Config, scope: Scope, headers: Headers, host: Host, devices: Devices) -> Who:
    """Who asks: the main screen is a browser on this machine, others are known by their token."""
    peer = (scope.get("client") or ("", 0))[0]
    proxied = any(name in headers for name in _PROXIED)
    if host.loopback and _is_loopback(peer) and not proxied:
        return Who("main", config.device, "write")
    if not config.lan:
        return STRANGER
    token = token_of(config, headers)
    return (devices.who(token) if token else None) or STRANGER


def check_rule(who: Who, rule: Rule) -> None:
    """Let through who may.

    Raises:
        Refused: this one may not.
    """
    if who.may(rule):
        return
    if who.kind == "stranger":
        raise Refused(
            401,
            Fault(
                "device",
                "this device has not been let in",
                "on the main screen open Devices, then scan the code or type it under /pair",
            ),
        )
    if rule == "main":
        raise Refused(
            403, Fault("device", "only the main screen may do this", "do it there, under Devices")
        )
    raise Refused(
        403,
        Fault(
            "device",
            f"{who.name} may look, not write",
            "let it write on the main screen, under Devices",
        ),
    )


def _is_loopback(peer: str) -> bool:
    try:
        return ip_address(peer).is_loopback
    except ValueError:
        return False
