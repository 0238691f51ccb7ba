"""gudgeon demo: lay out a demo shop of invented engines, and run the main job on it."""

from __future__ import annotations

import os
import shlex
import shutil
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import click

from gudgeon.faults import Fault, Unusable

#: Job -> its sheet and a title.
JOBS = {
    "triple": ("triple.yaml", "Invented triple, whole job, measured; seats recut"),
    "twin": ("twin.yaml", "Invented V-twin, half done: front built, rear head away"),
}
_OPENED = {"triple": "2026-09-07T07:50:00Z", "twin": "2026-10-12T07:50:00Z"}


@click.command()
@click.argument("folder", default="demo-shop", metavar="[DIR]")
@click.option(
    "--serve/--no-serve",
    "serving",
    default=None,
    help="Open the bench afterwards, or not; default: where a person watches the terminal.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=None, help="Port of the bench.")
@click.option("--lan", is_flag=True, help="Let tablets and phones of the shop in, by a code each.")
@click.option("--no-browser", is_flag=True, help="Open no browser.")
def command(
    folder: str, serving: bool | None, port: int | None, lan: bool, no_browser: bool
) -> None:
    """Lay out a demo shop in DIR (default: demo-shop here), run the main job on it, and serve it.

    The engines are invented, and every figure in them. Running it again changes nothing.
    """
    shop = Path(folder)
    if shop.is_file():
        raise Unusable(Fault(folder, "this is a file", "name a folder, or one to be made"))
    lay_out(shop)
    _main_job(shop, folder)
    if serving is None:
        serving = sys.stdout.isatty() and not os.environ.get("CI")
    if serving:
        from gudgeon.cli.serve import serve

        click.echo()
        serve(folder, port, lan, browser=not no_browser)


def _main_job(shop: Path, folder: str) -> None:
    """Print the findings and picks of the whole engine, and write its record."""
    click.echo(f"Demo shop in {shop.resolve()}: invented engines, invented figures.\n")
    from gudgeon.cli.findings import show as show_findings
    from gudgeon.cli.opening import open_job
    from gudgeon.cli.picks import show as show_picks
    from gudgeon.cli.record import write_record

    job, shared = open_job("triple", str(shop))
    show_findings(job, shared)
    click.echo()
    show_picks(job, shared)
    record = write_record(job, shared, shop / "triple.pdf")
    click.echo(f"\nThe record of this engine: {record.resolve()}")
    called = shlex.quote(_called())
    click.echo(
        "Look further, for example:\n"
        f"  {called} findings twin --shop {shlex.quote(folder)}\n"
        f"  {called} sheet check {shlex.quote(str(shop / 'sheets' / 'triple-faulty.yaml'))}\n"
        f"  {called} order triple --shop {shlex.quote(folder)}\n"
        f"  {called} serve --shop {shlex.quote(folder)}"
    )


def _called() -> str:
    """The command as this person can type it: by its name where that is found, else by its path."""
    if shutil.which("gudgeon"):
        return "gudgeon"
    program = Path(sys.argv[0]).resolve()
    try:
        return str(program.relative_to(Path.cwd()))
    except ValueError:
        return str(program)


def lay_out(shop: Path) -> None:
    """Write the sheets and the logs of the demo; what is there already stays as it is.

    Raises:
        Unusable: the folder holds another shop's jobs under these names, or can't be written.
    """
    from gudgeon.demo.triple_job import shop_entries, triple_job
    from gudgeon.demo.twin_job import twin_job
    from gudgeon.log.codec import body_of, entry_from
    from gudgeon.sheet.load import load
    from gudgeon.store.folder import find_shop
    from gudgeon.store.interface import SHOP_LOG

    sheets = shop / "sheets"
    sheets.mkdir(parents=True, exist_ok=True)
    texts = sheet_texts()
    for name, text in texts.items():
        file = sheets / name
        if not file.exists():
            file.write_text(text, encoding="utf-8")
    store = find_shop(str(shop))

    def append(log: str, entries: list[dict[str, Any]], of: str) -> None:
        store.append(log, [body_of(entry_from(entry, "demo", of)) for entry in entries])

    append(SHOP_LOG, shop_entries(), "shop")
    makers = {"triple": triple_job, "twin": twin_job}
    for job, (name, title) in JOBS.items():
        loaded = load(texts[name], name)
        opening = [
            {"id": f"{job}-opened", "at": _OPENED[job], "kind": "opened", "title": title},
            {
                "id": f"{job}-sheet",
                "at": _OPENED[job],
                "kind": "sheet",
                "file": name,
                "sha256": loaded.sha256,
                "text": texts[name],
            },
        ]
        append(job, [*opening, *makers[job](loaded.sheet)], "job")


def sheet_texts() -> dict[str, str]:
    """The demo's sheets by file name; the faulty one is the triple's with one cell mistyped."""
    folder = files("gudgeon.demo") / "sheets"
    texts = {
        name: (folder / name).read_text(encoding="utf-8") for name in ("triple.yaml", "twin.yaml")
    }
    right, wrong = "B: {1: g2, 2: g3, 3: g4}", "B: {1: g2, 2: g5, 3: g4}"
    if right not in texts["triple.yaml"]:
        raise LookupError(f"the demo's sheet no longer has the cell {right}")
    texts["triple-faulty.yaml"] = texts["triple.yaml"].replace(right, wrong)
    return texts
