"""What a job needs bought: from its picks, and from the parts its sheet always renews."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from gudgeon.order.doubts import doubts
from gudgeon.order.lines import Need, Order, make_order

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.fit.shells.report import ShellPicks
    from gudgeon.fit.shims.report import ShimReport
    from gudgeon.log.job import Job
    from gudgeon.metrology.findings import Findings
    from gudgeon.sheet.model import Sheet

#: Why a shim or a shell is bought.
PICKED: Final = "picked by clearance"


def order(job: Job, picks: Picks, found: Findings | None = None) -> Order:
    """What to buy for a job: shims and shells picked, and parts always renewed.

    A place without a pick is named in the notes, so that a short order does not pass for a whole
    one; with the findings, so is what they leave open and what is beyond service besides.
    """
    needs = [
        *(shim_needs(picks.shims) if picks.shims else ()),
        *shell_needs(job.sheet, picks.shells),
        *renewals(job.sheet),
    ]
    notes = [*(doubts(job.sheet, picks, found) if found is not None else ()), *_missing(picks)]
    also = brackets(picks.shims) if picks.shims else ()
    return make_order(job.name, job.sheet.currency, needs, also, notes)


def shim_needs(shims: ShimReport) -> Iterator[Need]:
    """The shims to buy, one need for each valve."""
    for shim, _, places in shims.buy:
        for place in places:
            yield Need("shim", shim.label, place, shim.price, PICKED)


def brackets(shims: ShimReport) -> Iterator[Need]:
    """Neighbouring sizes worth having at hand for doubtful valves."""
    for item in shims.brackets:
        reason = "beside the one picked, should the forecast be a little off"
        yield Need("shim", item.label, item.place, item.price, reason)


def shell_needs(sheet: Sheet, shells: ShellPicks) -> Iterator[Need]:
    """The shells to buy, one need for each half, never without its position.

    Where upper and lower halves are the same part, they are ordered as one.
    """
    for item in shells.buy:
        spec = sheet.select.shells.get(item.group)
        marked = spec is not None and spec.halves_marked
        what = f"{item.group}, {item.half} half" if marked else f"{item.group}, half"
        size = item.grade + (f", undersize {item.undersize:g}" if item.undersize else "")
        source = (spec.source or "") if spec is not None else ""
        for place in item.places:
            yield Need(
                what,
                size,
                f"{place} {item.half}",
                item.price,
                PICKED,
                1,
                source,
                True,
            )


def renewals(sheet: Sheet) -> Iterator[Need]:
    """The parts the sheet always renews; without a count where it states none."""
    for part in sheet.renew:
        if part.count != 0:
            reason = "always renewed" + (f" ({part.source})" if part.source else "")
            yield Need(
                part.what, "", part.where or "", part.price, reason, part.count, part.source or ""
            )


def _missing(picks: Picks) -> Iterator[str]:
    """Places without a pick, those with the same reason together."""
    if picks.shims is not None:
        left = ((item.place, item.why) for item in picks.shims.choice.left_out)
        yield from _without("shim", left)
    none = (
        (pick.place, pick.refused or "nothing can be said yet")
        for pick in picks.shells.picks
        if pick.pick is None
    )
    yield from _without("shells", none)


def _without(what: str, left: Iterable[tuple[str, str]]) -> Iterator[str]:
    by_reason: dict[str, list[str]] = {}
    for place, why in left:
        by_reason.setdefault(why, []).append(place)
    for why, places in by_reason.items():
        yield f"No {what} on order for {', '.join(places)}: {why}."
