"""The command line: one file a command, each loaded only when it is called."""

from __future__ import annotations

import importlib
import os
import sys
from typing import Final

import click

from gudgeon import __version__
from gudgeon.faults import Unusable

#: Command -> what it does, in the order of the job. Each lives in a module of its name.
COMMANDS: Final[dict[str, str]] = {
    "demo": "Lay out a demo shop and run the main job on it.",
    "serve": "Open the bench in a browser, here or on the shop's network.",
    "sheet": "Start, check and show engine sheets.",
    "job": "Open jobs, add readings, export and import.",
    "findings": "Sizes, verdicts and slips of a job.",
    "picks": "Shims and shells to fit, and the chance of right first time.",
    "order": "What to buy for a job.",
    "record": "The record of a job as a PDF.",
    "calc": "One calculation on its own.",
    "shop": "The shop: drawer stock, instruments, rates.",
}


class Commands(click.Group):
    """The commands, found by name and imported when used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the job."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"gudgeon.cli.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="gudgeon")
def root() -> None:
    """Measure a worn engine, decide part by part, and choose what makes it right first time.

    The maker's manual and local codes come first. Machining and structural welding are for
    qualified people.
    """


def main() -> None:
    """Run a command: exit status 0 done, 1 the answer is no, 2 input that can't be used."""
    # Small matrices only: threads for them cost more at start-up than they ever give back.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        status = root.main(prog_name="gudgeon", standalone_mode=False)
    except Unusable as problem:
        for fault in problem.faults:
            click.echo(str(fault), err=True)
        sys.exit(2)
    except click.exceptions.Abort:
        click.echo("stopped; nothing more was written", err=True)
        sys.exit(130)
    except click.ClickException as problem:
        problem.show()
        sys.exit(2)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as problem:
        name = problem.filename or "a file"
        click.echo(f"{name}: {problem.strerror or problem}, check the path and the disk", err=True)
        sys.exit(2)
    sys.exit(status if isinstance(status, int) else 0)
