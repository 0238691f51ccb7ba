"""The picks of bearing shells in words, for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import percent

if TYPE_CHECKING:
    from gudgeon.fit.shells.report import GroupPicks, ShellPick, ShellPicks


def show_shells(told: ShellPicks, currency: str) -> None:
    """Print the picks, group by group, with their sums and what to do where they are in doubt."""
    for group in told.groups:
        click.echo(click.style(f"Shells: {group.group.name}", bold=True))
        _show_strings(group)
        said: set[str] = set()
        for pick in group.picks:
            _show_pick(pick, said)
        for note in group.notes:
            click.echo(f"  {note}")
        mine = [item for item in told.buy if item.group == group.group.name]
        for item in mine:
            price = "" if item.price is None else f" at {currency} {item.price:.2f}"
            click.echo(
                f"  Buy {item.count} × {item.grade}, {item.half}{price}: {', '.join(item.places)}"
            )
        click.echo()


def _show_strings(group: GroupPicks) -> None:
    for role, test in group.group.tests.items():
        name = "case" if role == "housing" else "crank"
        click.echo(f"  Marks on the {name}: {test.text}")


def _show_pick(pick: ShellPick, said: set[str]) -> None:
    """One place; what was already said of the group is not said again."""
    by_code = pick.bearing.by_code or "–"
    measured = pick.measured.halves if pick.measured else "–"
    head = f"  {pick.place:<8} by code {by_code!s:<5} by measurement {measured!s:<5}"
    if pick.pick is None:
        click.echo(f"{head} no pick: {pick.refused}")
    else:
        taken = pick.pick
        chance = "" if taken.chance is None else f"  chance {percent(taken.chance)}"
        click.echo(
            f"{head} fit {taken.halves!s:<5} {pick.sum.text if pick.sum else ''}"
            f" ± {2 * taken.clearance.u:.3f}{chance}"
        )
        if pick.agreement.word != "agree" and pick.agreement.text not in said:
            said.add(pick.agreement.text)
            click.echo(f"  {'':<8} {pick.agreement.text}")
        if pick.expect:
            click.echo(f"  {'':<8} prove it with plastic strip: {pick.expect}")
    for number, line in enumerate(pick.advice, 1):
        click.echo(f"  {'':<8} {number}. {line}")
    if pick.cross:
        click.echo(f"  {'':<8} {pick.cross}")
