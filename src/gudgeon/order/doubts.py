"""What is open behind an order: picks that rest on a question, and what is beyond service besides.

An order is what leaves the workshop, so it must not look surer than the findings it came from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Final

from gudgeon.metrology.stale import roles
from gudgeon.sheet.places import ENGINE

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.fit.shells.report import ShellPick
    from gudgeon.metrology.findings import Finding, Findings
    from gudgeon.metrology.slips import Slip
    from gudgeon.sheet.model import Sheet

#: What has to be done before a shim can be chosen, by what is beyond service: a seat is cut to its
#: guide, and a valve in a seat cut anew sits elsewhere. Common practice, no source.
_FIRST: Final = {
    "guide": "replace the guide first: its seat must be recut and the valve measured again",
    "seat": "put the seat right first: the valve must be measured again",
}


def doubts(sheet: Sheet, picks: Picks, found: Findings) -> Iterator[str]:
    """What must be said with an order, worst first."""
    yield from _beyond(sheet, picks, found)
    for place, why in early(sheet, picks, found).items():
        yield f"Shim for {place}: {why}."
    yield from _questioned(sheet, picks, found)
    yield from _open(sheet, picks, found)


def early(sheet: Sheet, picks: Picks, found: Findings) -> Mapping[str, str]:
    """Valves whose shim is picked before its time -> what has to be done first."""
    picked = _shimmed(picks)
    worn: dict[str, dict[str, str]] = {}
    known = roles(sheet)
    for item in _worn(found):
        if item.size.origin == "fit" or item.size.place not in picked:
            continue
        for role in known.get(item.size.feature, frozenset()) & set(_FIRST):
            worn.setdefault(item.size.place, {})[role] = item.size.name
    told = {}
    for place, named in worn.items():
        first = _FIRST["guide" if "guide" in named else "seat"]
        told[place] = f"{' and '.join(dict.fromkeys(named.values()))} beyond service; {first}"
    return told


def _shimmed(picks: Picks) -> set[str]:
    return {pick.place for pick in picks.shims.choice.picks} if picks.shims else set()


def _worn(found: Findings) -> list[Finding]:
    return [item for item in found.standing if item.word == "beyond service"]


def _beyond(sheet: Sheet, picks: Picks, found: Findings) -> Iterator[str]:
    """Sizes beyond service that neither a shim nor a shell that was picked puts right."""
    shims, shimmed = sheet.select.shims, _shimmed(picks)
    shelled = {(pick.group, pick.place) for pick in picks.shells.picks if pick.pick}
    left = []
    for item in _worn(found):
        size = item.size
        if shims is not None and size.feature == shims.gap and size.place in shimmed:
            continue
        if any(
            (group, size.place) in shelled
            and (size.feature == spec.fitted or set(size.features) == {spec.housing, spec.journal})
            for group, spec in sheet.select.shells.items()
        ):
            continue
        left.append(f"{size.name} at {size.place}")
    if left:
        also = " See whether a part always renewed puts it right." if sheet.renew else ""
        yield f"Beyond service and not on this order: {', '.join(left)}.{also}"


def _questioned(sheet: Sheet, picks: Picks, found: Findings) -> Iterator[str]:
    """Each open question that picks rest on."""
    causes: dict[str, list[Slip]] = {}
    for slip in found.slips:
        causes.setdefault(slip.group or slip.entry, []).append(slip)
    for slips in causes.values():
        resting = dict.fromkeys(name for slip in slips for name in _resting(sheet, picks, slip))
        if resting:
            many = f" ({len(slips)} readings are questioned.)" if len(slips) > 1 else ""
            yield f"Open question under {', '.join(resting)}: {slips[0].question}{many}"


def _resting(sheet: Sheet, picks: Picks, slip: Slip) -> Iterator[str]:
    spec = sheet.select.shims
    if picks.shims is not None and spec is not None:
        for shim in picks.shims.choice.picks:
            sources = (shim.place, shim.taken.shim.source)
            own = slip.feature in (spec.gap, spec.tip) and slip.place == shim.place
            if own or (slip.feature == "shim" and slip.place in sources):
                yield f"the shim for {shim.place}"
    for pick in picks.shells.picks:
        if pick.pick is None:
            continue
        here = slip.place in (pick.place, ENGINE) and slip.feature in _read_for(sheet, pick)
        if here or (slip.kind == "string-end" and slip.feature == pick.group):
            yield f"{pick.group} for {pick.place}"


def _read_for(sheet: Sheet, pick: ShellPick) -> tuple[str | None, ...]:
    spec = sheet.select.shells[pick.group]
    return spec.housing, spec.journal, spec.fitted


def _open(sheet: Sheet, picks: Picks, found: Findings) -> Iterator[str]:
    """Shells whose housing or journal is not decided, or whose code says something else."""
    for pick in picks.shells.picks:
        if pick.pick is None:
            continue
        features = _read_for(sheet, pick)
        named = [
            item.size.name
            for item in found.standing
            if item.word == "not decided"
            and item.size.place == pick.place
            and item.size.feature in features
        ]
        if named:
            yield f"{pick.group} for {pick.place}: not decided is {', '.join(named)}."
        if pick.agreement.word == "disagree":
            yield f"{pick.group} for {pick.place}: {pick.agreement.text}."
