"""Letting devices in, naming them, turning them away."""

from __future__ import annotations

import io
from typing import Literal

import segno
from fastapi import Path
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from gudgeon.bench.described import answering
from gudgeon.bench.errors import Missing
from gudgeon.bench.gate.cookies import give_token
from gudgeon.bench.gate.pairing import LIFE
from gudgeon.bench.gate.routing import ruled
from gudgeon.bench.state import bench_of, who_of
from gudgeon.faults import Fault, Unusable


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")


class WishedRole(_Body):
    """What the next device will be allowed."""

    role: Literal["write", "look"] = "write"


class Change(_Body):
    """What is to be changed of a device."""

    name: str | None = Field(None, max_length=80)
    role: Literal["write", "look"] | None = None


class Name(_Body):
    """The name a device gives itself."""

    name: str = Field(max_length=80)


class Typed(_Body):
    """A code as typed."""

    code: str = Field(max_length=40)


class NewCode(BaseModel):
    """A code for one device.

    Attributes:
        digits: to be typed. address: to be scanned or opened. qr: the address as an SVG.
        seconds: how long it lives.
    """

    digits: str
    address: str
    qr: str
    role: str
    seconds: int


class Done(BaseModel):
    """It is done. go: the page to open next, if any."""

    ok: bool = True
    go: str = ""


DeviceId = Path(max_length=40, description="the device's id in the list")


@ruled("main")
def new_code(request: Request, wish: WishedRole) -> NewCode:
    """A new code that lets one device in; the one before is of no use any more."""
    bench = bench_of(request)
    config = bench.config
    if not config.lan or not config.addresses:
        raise Unusable(
            Fault(
                "bench",
                "other devices can't reach the bench as it was started",
                "start it with gudgeon serve --lan",
            )
        )
    code = bench.pairing.issue(wish.role)
    address = f"{config.address(config.addresses[0])}/pair/{code.link}"
    return NewCode(
        digits=f"{code.digits[:4]} {code.digits[4:]}",
        address=address,
        qr=qr_svg(address),
        role=code.role,
        seconds=int(LIFE),
    )


def qr_svg(text: str) -> str:
    """A QR code as SVG, dark on light whatever the page looks like."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out,
        kind="svg",
        border=4,
        dark="#000",
        light="#fff",
        xmldecl=False,
        svgns=True,
        omitsize=True,
        svgclass="qr",
        lineclass=None,
    )
    return out.getvalue().decode()


@ruled("main")
def drop_code(request: Request) -> Done:
    """No code is of use any more."""
    bench_of(request).pairing.withdraw()
    return Done()


@ruled("main")
def change_device(request: Request, change: Change, device: str = DeviceId) -> Done:
    """Give a device another name, or let it write, or only look."""
    devices = bench_of(request).devices
    if change.name is not None:
        devices.rename(device, " ".join(change.name.split()))
    if change.role is not None:
        devices.allow(device, change.role)
    return Done()


@ruled("main")
def turn_away(request: Request, device: str = DeviceId) -> Done:
    """Let a device in no more."""
    bench_of(request).devices.turn_away(device)
    return Done()


@ruled("look")
def name_myself(request: Request, name: Name) -> Done:
    """The name of the device that asks."""
    who = who_of(request)
    if not who.device:
        raise Missing(
            Fault("device", "the main screen has no name of its own", "start it with one")
        )
    bench_of(request).devices.rename(who.device, " ".join(name.name.split()))
    return Done(go="/")


@answering({200: Done}, refuses={429: "too many wrong codes, from there or in all"})
@ruled("anyone")
def spend_typed(request: Request, typed: Typed) -> Response:
    """Let this device in by a code as typed. The answer gives it its cookie."""
    response = JSONResponse(Done(go="/paired").model_dump())
    _let_in(request, response, typed.code)
    return response


@ruled("anyone")
def spend_scanned(request: Request, link: str = Path(max_length=80)) -> Response:
    """Let this device in by the address scanned, and leave that address at once."""
    response = RedirectResponse("/paired", 303, {"Cache-Control": "no-store"})
    _let_in(request, response, link)
    return response


def _let_in(request: Request, response: Response, code: str) -> None:
    bench = bench_of(request)
    peer = request.client.host if request.client else ""
    role = bench.pairing.spend(code, peer)
    _, token = bench.devices.let_in(role)
    give_token(response, bench.config, token)
