"""Files, the description of the API, and a sign of life."""

from __future__ import annotations

from typing import Any

from fastapi import Path
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from gudgeon import __version__
from gudgeon.bench.errors import Missing
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.state import bench_of
from gudgeon.faults import Fault


@ruled("anyone")
async def static_file(
    request: Request, digest: str = Path(max_length=20), name: str = Path(max_length=200)
) -> Response:
    """A script, style or font."""
    statics = bench_of(request).statics
    file = statics.files.get(name)
    if file is None:
        raise Missing(Fault(name, "there is no such file", "reload the page"))
    current = digest == statics.digest
    keep = "public, max-age=31536000, immutable" if current else "no-cache"
    headers = {"Cache-Control": keep, "Vary": "Accept-Encoding"}
    body = file.plain
    if file.packed is not None and "gzip" in request.headers.get("accept-encoding", ""):
        body, headers["Content-Encoding"] = file.packed, "gzip"
    return Response(body, 200, headers, media_type=file.type)


@ruled("look")
async def openapi(request: Request) -> Response:
    """This API, described as OpenAPI."""
    described: dict[str, Any] = request.app.openapi()
    return JSONResponse(described)


@ruled("anyone")
async def alive() -> dict[str, Any]:
    """A sign of life, so that a device knows whether the bench hears it."""
    return {"ok": True, "gudgeon": __version__}
