"""gudgeon serve: the bench, in a browser on this computer or on the shop's network."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import shop_option

if TYPE_CHECKING:
    from fastapi import FastAPI

    from gudgeon.bench.config import Config


@click.command()
@shop_option
@click.option("--port", type=click.IntRange(0, 65535), default=None, help="Port; default: 7340.")
@click.option("--lan", is_flag=True, help="Let tablets and phones of the shop in, by a code each.")
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="HOST",
    help="Answer to this host name as well, as bench.local; may be given more than once.",
)
@click.option("--no-browser", is_flag=True, help="Open no browser.")
def command(
    shop: str | None, port: int | None, lan: bool, names: tuple[str, ...], no_browser: bool
) -> None:
    """Open the bench: measure, see and decide next to the engine.

    It can be reached from this computer alone, unless opened with --lan; then each other device is
    let in by a code that this computer shows. Stop it with Ctrl-C.
    """
    serve(shop, port, lan, names, browser=not no_browser)


def serve(
    shop: str | None,
    port: int | None = None,
    lan: bool = False,
    names: tuple[str, ...] = (),
    browser: bool = True,
) -> None:
    """Serve a shop until stopped.

    Args:
        shop: its folder. port: the one wished for; the next free one is taken where it is in use.
        lan: whether other devices may come in. names: further host names to answer to.
        browser: whether to open one.

    Raises:
        Unusable: the shop can't be read, a name is none, or no port is free.
    """
    from gudgeon.bench.config import PORT, Config
    from gudgeon.bench.serving import check_names, listen, own_addresses, run
    from gudgeon.store.adding import device_name
    from gudgeon.store.folder import find_shop

    check_names(names)
    store = find_shop(shop)
    store.logs()
    wished = PORT if port is None else port
    sockets = listen(wished, lan)
    given = int(sockets[0].getsockname()[1])
    if wished not in (0, given):
        click.echo(f"port {wished} is in use by another program: taking {given}", err=True)
    config = Config(
        port=given,
        lan=lan,
        addresses=own_addresses() if lan else (),
        names=names,
        device=device_name(),
    )
    from gudgeon.bench.app import make_app

    app = make_app(store, config)
    _say(app, config, str(store.folder))
    if browser and has_browser():
        import webbrowser

        webbrowser.open(config.address("localhost"))
    with store.held_open():
        run(app, sockets, app.state.bench.watch.close)
    click.echo("\nThe bench is closed; everything entered is kept.")


def _say(app: FastAPI, config: Config, folder: str) -> None:
    """Print where the bench is, and how other devices come in."""
    click.echo(f"The bench of {folder} is open: {config.address('localhost')}")
    if not config.lan:
        click.echo("For this computer alone; --lan opens it to tablets and phones of the shop.")
    elif not config.addresses:
        click.echo("This computer is on no network: other devices can't reach it.")
    else:
        _say_code(app, config)
    click.echo("Stop it with Ctrl-C.")


def _say_code(app: FastAPI, config: Config) -> None:
    """Print a code for the first device, as a QR code and in digits."""
    import segno

    code = app.state.bench.pairing.issue("write")
    address = config.address(config.addresses[0])
    click.echo(f"For other devices: {address}\n")
    if sys.stdout.isatty() or "UTF" in (sys.stdout.encoding or "").upper():
        segno.make(f"{address}/pair/{code.link}", error="m", micro=False).terminal(
            sys.stdout, compact=True
        )
    click.echo(
        f"\nScan this with the first device, or open {address}/pair there and type"
        f" {code.digits[:4]} {code.digits[4:]}.\nThe code is good for ten minutes and one device;"
        " the page Devices on this computer shows new ones."
    )


def has_browser() -> bool:
    """Whether a browser can be opened here: not in automated runs, not without a display."""
    if os.environ.get("CI"):
        return False
    if sys.platform in ("darwin", "win32"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
