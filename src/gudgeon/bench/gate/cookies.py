"""The cookie that a device is known by."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import Response

from gudgeon.bench.config import Config

#: How long a browser keeps it [s]: 400 days, the most that browsers allow.
_AGE = 400 * 24 * 3600


def cookie_name(config: Config) -> str:
    """Its name: over https one that no other host and no plain http can set."""
    return "__Host-gudgeon-device" if config.tls else "gudgeon-device"


def token_of(config: Config, headers: Headers) -> str:
    """The token of a request; empty where there is none."""
    found = ""
    for line in headers.getlist("cookie"):
        found = cookie_parser(line[:8192]).get(cookie_name(config), found)
    return found


def give_token(response: Response, config: Config, token: str) -> None:
    """Let a device keep its token."""
    response.set_cookie(
        cookie_name(config),
        token,
        max_age=_AGE,
        path="/",
        secure=config.tls,
        httponly=True,
        samesite="strict",
    )
