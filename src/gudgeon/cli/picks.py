"""gudgeon picks: shims and shells to fit, and the chance of right first time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from gudgeon.cli.common import json_option, percent, say_json, shop_option
from gudgeon.cli.opening import open_job

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.fit.shims.report import ShimReport
    from gudgeon.log.job import Job, Shop
    from gudgeon.sheet.layout import Turning


@click.command()
@click.argument("job", metavar="JOB")
@shop_option
@json_option
def command(job: str, shop: str | None, as_json: bool) -> None:
    """Which shim and which shells go where, the chance that all is right first time, and what to
    buy or measure again."""
    opened, shared = open_job(job, shop)
    if as_json:
        from gudgeon.fit.picks import of_job, to_json

        say_json(to_json(of_job(opened, shared)))
        return
    show(opened, shared)


def show(job: Job, shop: Shop) -> None:
    """Print the picks of a job in words."""
    from gudgeon.cli.shell_words import show_shells
    from gudgeon.fit.picks import of_job

    told = of_job(job, shop)
    if told.shims is not None:
        _show_shims(told.shims, job.sheet.currency, job.sheet.turning)
    show_shells(told.shells, job.sheet.currency)
    _show_faults(told)


def _heading(words: str) -> None:
    click.echo(click.style(words, bold=True))


def _show_shims(told: ShimReport, currency: str, turning: Turning) -> None:
    from gudgeon.fit.shims.advice import sum_text

    _heading("Shims to fit")
    for pick in told.choice.picks:
        taken, (low, high) = pick.taken, pick.valve.window
        where = {"buy": "buy", "drawer": "drawer"}.get(
            taken.shim.source, "stays" if taken.shim.source == pick.place else taken.shim.source
        )
        click.echo(
            f"  {pick.place:<13} {taken.shim.label}  {where:<13}"
            f" clearance {taken.clearance.value:.3f} ± {2 * taken.clearance.u:.3f}"
            f"  window {low:.2f}–{high:.2f}  chance {percent(taken.chance)}"
        )
        bedded = f"; bedded in {taken.bedded.value:.3f}" if pick.valve.beds else ""
        click.echo(f"  {'':<13} {sum_text(pick)[0]}{bedded}")
    for left in told.choice.left_out:
        click.echo(f"  {left.place:<13} no pick: {left.why}")
    for screw in told.screws:
        click.echo(f"  {screw.place:<13} {_screw(screw.turns, screw.why)}")
    _show_chance(told, currency)
    _show_advice(told, currency)
    _show_stops(told, turning)
    _show_built(told)
    click.echo()


def _screw(turns: float | None, why: str) -> str:
    if turns is None:
        return why
    return f"turn the screw {'out' if turns >= 0 else 'in'} by {abs(turns):.2f} turns"


def _show_chance(told: ShimReport, currency: str) -> None:
    plan = told.choice.plan
    if plan is None:
        return
    whole = "all of these" if told.choice.left_out else "the whole head"
    click.echo(f"\n  Chance that {whole} is right first time: {percent(told.choice.joint.all)}")
    cost = next((step.cost for step in told.frontier if step.chosen), plan.cost)
    click.echo(
        f"  Expected cost {_money(cost, currency)}, with reopening at"
        f" {_money(told.money.reopen, currency)}. Errors taken as independent it is"
        f" {_money(plan.cost, currency)}, and no plan costs less (proven)."
    )
    if any(pick.valve.beds for pick in told.choice.picks):
        low, high = (abs(end) for end in sorted(told.bedding, reverse=True))
        click.echo(
            f"  Where seats were worked on they bed in by {low:.2f} to {high:.2f} (the sheet's"
            " figure, else common practice); too tight is judged after that."
        )
    for shim, count, places in told.buy:
        click.echo(f"  Buy {count} × {shim.label} {_at(shim.price, currency)}: {', '.join(places)}")
    if len(told.frontier) > 1:
        click.echo("  What other numbers of purchases would do (* picked):")
        for step in told.frontier:
            click.echo(
                f"    buy {step.bought:>2} for {_money(step.price, currency):>10}:"
                f" chance {percent(step.chance_all):>11}, expected cost"
                f" {_money(step.cost, currency):>10}{' *' if step.chosen else ''}"
            )


def _show_advice(told: ShimReport, currency: str) -> None:
    for item in told.checking:
        if item.old is None:
            said = "no gap could be read, the valve is held open or nearly so"
        elif item.old <= 0:
            said = f"the old shim would hold this valve open ({_signed(item.old)})"
        else:
            said = f"the old shim would leave {item.old:.3f}, too little to read"
        thin = "" if item.thickness is None else f", {item.thickness:.3f} or thinner"
        click.echo(f"  {item.place}: {said}: build dry with a checking shim{thin}")
    for again in told.again[:6]:
        click.echo(
            f"  {again.place}: {again.what}; the whole head's chance would rise to"
            f" {percent(again.chance_all_after)}"
        )
    for bracket in told.brackets[:6]:
        click.echo(
            f"  {bracket.place}: order {bracket.label} as well"
            f" ({_at(bracket.price, currency)}); one of the two fits with"
            f" {percent(bracket.chance_with)} instead of {percent(bracket.chance)}"
        )
    for valve in told.valves:
        if valve.shim is not None and valve.shim.note:
            click.echo(f"  {valve.place}: shim {valve.shim.note}")
    for barred in told.shelf.barred:
        click.echo(f"  Barred: {barred.label} ({barred.source}), {barred.why}")


def _show_stops(told: ShimReport, turning: Turning) -> None:
    if not told.stops:
        return
    way = turning.direction or "its own way"
    mark = f"; mark: {turning.mark}" if turning.mark else ""
    click.echo(f"  To read the clearances, turn the crank {way}{mark}:")
    for stop in told.stops:
        click.echo(
            f"    {stop.angle:g}° (cylinder {stop.cylinder} at compression TDC): read"
            f" {', '.join(place.removeprefix('valve/') for place in stop.valves)}"
        )
    if turning.max_temperature is not None:
        click.echo(f"    not above {turning.max_temperature:g} °C")


def _show_built(told: ShimReport) -> None:
    for item in told.built:
        low, high = item.window
        read = "no gap" if item.read is None else f"{item.read.value:.3f}"
        verdict = item.decision.verdict if item.decision else "does not conform"
        forecast = (
            f"; forecast was {item.forecast.value:.3f} ± {2 * item.forecast.u:.3f}"
            if item.forecast
            else ""
        )
        click.echo(
            f"  {item.place:<13} as built {read} with {item.shim.thickness.value:.3f}"
            f"  window {low:.2f}–{high:.2f}: {verdict}{forecast}"
        )


def _show_faults(told: Picks) -> None:
    for fault in told.faults:
        click.echo(f"  {fault}")


def _money(amount: float, currency: str) -> str:
    return f"{currency} {amount:.2f}".strip()


def _at(price: float | None, currency: str) -> str:
    return "at a price not given" if price is None else f"at {_money(price, currency)}"


def _signed(value: float) -> str:
    return f"{value:.3f}".replace("-", "−")
