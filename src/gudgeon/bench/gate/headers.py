"""Headers of every answer."""

from __future__ import annotations

from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.types import Message, Send

POLICY: Final = (
    "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none';"
    " frame-ancestors 'none'; form-action 'self'"
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}


def with_headers(send: Send) -> Send:
    """A `send` that adds the headers to whatever answer goes out."""

    async def adding(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(raw=list(message.get("headers", [])))
            for name, value in HEADERS.items():
                headers[name] = value
            if "cache-control" not in headers:
                headers["Cache-Control"] = "no-store"
            message = {**message, "headers": headers.raw}
        await send(message)

    return adding
