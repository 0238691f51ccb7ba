"""The gate round the whole app: nothing is routed before it has looked, and nothing gets out
without its headers or as a traceback."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable
from typing import Final

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from gudgeon.bench.config import Config
from gudgeon.bench.errors import Refused, Trouble, trouble_of
from gudgeon.bench.gate.checks import check_host, check_origin, who_asks
from gudgeon.bench.gate.devices import Devices
from gudgeon.bench.gate.headers import with_headers
from gudgeon.faults import Fault

LOG: Final = logging.getLogger("gudgeon.bench")
Show = Callable[[Request, Trouble], Response]


class Gate:
    """The gate, as ASGI.

    Attributes:
        app: what is behind it. config: how the bench was started. devices: those let in.
        show: makes the answer that says what is wrong.
    """

    def __init__(self, app: ASGIApp, config: Config, devices: Devices, show: Show) -> None:
        self.app = app
        self.config = config
        self.devices = devices
        self.show = show

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Look at a request, then pass it on or refuse it."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        else:
            await self._http(scope, receive, with_headers(send))

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        started = False

        async def noting(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            try:
                self._look(scope)
                await self.app(scope, receive, noting)
            except Refused as refused:
                answer = self.show(Request(scope), trouble_of(refused))
                await answer(scope, receive, noting)
        except Exception:
            key = secrets.token_hex(4)
            LOG.exception("unexpected error %s at %s", key, ascii(scope.get("path", ""))[:200])
            if started:
                raise
            answer = self.show(Request(scope), _unexpected(key))
            await answer(scope, receive, send)

    def _look(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        host = check_host(self.config, scope, headers)
        check_origin(self.config, scope, headers, host)
        scope["gudgeon.who"] = who_asks(self.config, scope, headers, host, self.devices)


def _unexpected(key: str) -> Trouble:
    fault = Fault(
        "bench",
        f"something went wrong that should not have (number {key})",
        "try once more; if it stays, the console of gudgeon serve says more under this number",
    )
    return Trouble(500, (fault,), {"id": key})
