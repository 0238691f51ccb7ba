"""`gudgeon calc`: each single calculation on its own, for someone with one question."""

from __future__ import annotations

from typing import Any

import click

from gudgeon.calc.calculation import Calculation, run
from gudgeon.calc.options import Option
from gudgeon.calc.registry import BY_NAME, CALCULATIONS
from gudgeon.calc.units import KINDS
from gudgeon.cli.common import json_option, say_json
from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

_METAVARS = {"name": "NAME", "count": "N"}


class Single(click.Command):
    """One calculation; options of several values take them one after another: --teeth 20 35 40."""

    several: frozenset[str] = frozenset()

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the arguments, the option's name written out before each of its values."""
        spread: list[str] = []
        option = ""
        for argument in args:
            if argument.startswith("--"):
                option = argument.partition("=")[0]
            elif option in self.several and spread[-1] != option:
                spread.append(option)
            spread.append(argument)
        return super().parse_args(ctx, spread)


class Calculations(click.Group):
    """The calculations of the registry as commands."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Their names, in the order of the job."""
        return list(BY_NAME)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The calculation of that name as a command, or None."""
        return _as_command(BY_NAME[cmd_name]) if cmd_name in BY_NAME else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called. Raises Unusable with the nearest names."""
        if args[0] not in BY_NAME and not args[0].startswith("-"):
            raise Unusable(_unknown(args[0]))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list, a line each, without building a command."""
        with formatter.section("Calculations"):
            formatter.write_dl([(item.name, item.line) for item in CALCULATIONS])


@click.group(cls=Calculations, invoke_without_command=True, subcommand_metavar="NAME [OPTIONS]")
@click.pass_context
def command(ctx: click.Context) -> None:
    """One calculation on its own.

    A quantity is a number with or without a unit: 0.05, "0.05 mm", "4 in", "300 lbf*in"; without
    one it is in mm, degrees, degC. An uncertainty may follow as "1.850 +- 0.003 mm" (one standard
    uncertainty); the answer then has one too. The maker's manual comes first.
    """
    if ctx.invoked_subcommand is None:
        for item in CALCULATIONS:
            click.echo(f"{item.name:<18}{item.line}")
        click.echo("\ngudgeon calc NAME --help shows what each one needs.")


def _unknown(name: str) -> Fault:
    from difflib import get_close_matches

    near = get_close_matches(name, BY_NAME, n=3, cutoff=0.5)
    right = f"did you mean {' or '.join(near)}?" if near else f"use one of {', '.join(BY_NAME)}"
    return Fault("calc", f"{shown(name)} is not a calculation", right)


def _as_command(calculation: Calculation) -> click.Command:
    def call(as_json: bool, unit: str, **typed: Any) -> None:
        options = {option.name: typed[option.name.replace("-", "_")]
                   for option in calculation.options}  # fmt: skip
        answer = run(calculation, options, unit)
        if as_json:
            say_json(answer.as_json())
        else:
            click.echo("\n".join(answer.lines()))

    answer_unit = click.option(
        "--in", "unit", default="", metavar="UNIT", help="Unit of the answer."
    )
    parameters = [_as_option(option) for option in calculation.options]
    made = Single(
        calculation.name,
        callback=json_option(answer_unit(call)),
        help=f"{calculation.line}\n\n{calculation.formula}\n\nSource: {calculation.source}.",
    )
    made.several = frozenset(option.where for option in calculation.options if option.several)
    made.params = [*parameters, *reversed(getattr(call, "__click_params__", []))]
    return made


def _as_option(option: Option) -> click.Option:
    # Every option may be repeated as far as click knows, so that our own count can refuse it.
    unit = KINDS[option.kind].core if option.kind in KINDS else ""
    kind = f" [{unit}]" if unit else ""
    need = "" if option.least else " May be left out."
    metavar = "N N ..." if option.several else _METAVARS.get(option.kind, "QUANTITY")
    return click.Option(
        [f"--{option.name}", option.name.replace("-", "_")],
        multiple=True,
        metavar="|".join(option.choices) or metavar,
        help=f"{option.what[0].upper()}{option.what[1:]}{kind}.{need}",
    )
