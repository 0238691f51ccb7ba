"""What a job needs bought: from its picks, and from the parts its sheet always renews."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from gudgeon.order.lines import Need, Order, make_order

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.fit.shells.report import ShellPicks
    from gudgeon.fit.shims.report import ShimReport
    from gudgeon.log.job import Job
    from gudgeon.sheet.model import Sheet


def order(job: Job, picks: Picks) -> Order:
    """What to buy for a job: shims and shells picked, and parts always renewed.

    A place without a pick is named in the notes, so that a short order does not pass for a whole
    one.
    """
    needs = [
        *(shim_needs(picks.shims) if picks.shims else ()),
        *shell_needs(job.sheet, picks.shells),
        *renewals(job.sheet),
    ]
    also = brackets(picks.shims) if picks.shims else ()
    return make_order(job.name, job.sheet.currency, needs, also, _missing(picks))


def shim_needs(shims: ShimReport) -> Iterator[Need]:
    """The shims to buy, one need for each valve."""
    for shim, _, places in shims.buy:
        for place in places:
            yield Need("shim", shim.label, place, shim.price, "picked by clearance")


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
                "picked by clearance",
                1,
                source,
                True,
            )


def renewals(sheet: Sheet) -> Iterator[Need]:
    """The parts the sheet always renews."""
    for part in sheet.renew:
        if part.count > 0:
            reason = "always renewed" + (f" ({part.source})" if part.source else "")
            yield Need(
                part.what, "", part.where or "", part.price, reason, part.count, part.source or ""
            )


def _missing(picks: Picks) -> Iterator[str]:
    if picks.shims is not None:
        for left in picks.shims.choice.left_out:
            yield f"No shim is ordered for {left.place}: {left.why}."
    for pick in picks.shells.picks:
        if pick.pick is None:
            why = pick.refused or "nothing can be said yet"
            yield f"No shells are ordered for {pick.place}: {why}."
