"""`gudgeon findings`: sizes, verdicts and questions of a job."""

from __future__ import annotations

from typing import Any

import click

from gudgeon.cli.common import json_option, say_json, shop_option
from gudgeon.cli.findings_words import all_lines, open_lines
from gudgeon.faults import Fault, Unusable
from gudgeon.log.job import Job, Shop
from gudgeon.metrology.conformity import Decision
from gudgeon.metrology.findings import Finding, Findings, findings
from gudgeon.metrology.limits import told
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.slips import Slip
from gudgeon.numbers import shown
from gudgeon.sheet.base import Limits


@click.command()
@click.argument("job")
@shop_option
@json_option
@click.option("--part", metavar="PART", help="Only the sizes of this part, as the sheet calls it.")
@click.option("--all", "everything", is_flag=True, help="Every size on a line of its own.")
@click.option(
    "--open",
    "opened",
    metavar="PLACE[:NAME]",
    help="Everything under the numbers of one place: readings, corrections, uncertainty, limit.",
)
def command(
    job: str,
    shop: str | None,
    as_json: bool,
    part: str | None,
    everything: bool,
    opened: str | None,
) -> None:
    """Sizes, verdicts and slips of JOB.

    A size is as new, within service, beyond service, or not decided where its limit lies inside
    the uncertainty. Slips are questions; nothing typed is changed. The maker's manual comes first.
    """
    from gudgeon.cli.opening import open_job

    folded, shared = open_job(job, shop)
    found = findings(folded, shared)
    if part is not None:
        part = _part(part, found)
    if opened is not None:
        items = _opened(opened, found)
        if as_json:
            say_json({"job": found.job, "sizes": [_size(item) for item in items]})
        else:
            click.echo("\n".join(open_lines(folded, found, items)).rstrip())
    elif as_json:
        say_json(as_answer(found, part))
    else:
        click.echo("\n".join(all_lines(folded, found, part, everything)))


def show(job: Job, shop: Shop) -> None:
    """Print the findings of a job in words."""
    click.echo("\n".join(all_lines(job, findings(job, shop), None, False)))


def _part(name: str, found: Findings) -> str:
    parts = list(dict.fromkeys(item.size.part for item in found.items))
    match = next((part for part in parts if part.lower() == name.strip().lower()), None)
    if match is None:
        right = f"this job has {', '.join(parts)}" if parts else "this job has no sizes yet"
        raise Unusable(Fault("--part", f"there is no part {shown(name)}", right))
    return match


def _opened(text: str, found: Findings) -> list[Finding]:
    from difflib import get_close_matches

    place, _, name = text.partition(":")
    there = [item for item in found.items if item.size.place == place]
    if not there:
        places = list(dict.fromkeys(item.size.place for item in found.items))
        near = get_close_matches(place, places, 3) or places[:3]
        right = f"this job has {', '.join(near)}" if near else "this job has no sizes yet"
        raise Unusable(Fault("--open", f"nothing is measured at {shown(place)}", right))
    chosen = [item for item in there if not name or item.size.name == name]
    if not chosen:
        names = ", ".join(dict.fromkeys(item.size.name for item in there))
        wrong = f"{place} has no size {shown(name)}"
        raise Unusable(Fault("--open", wrong, f"it has {names}"))
    return chosen


def as_answer(found: Findings, part: str | None = None) -> dict[str, Any]:
    """The findings as JSON knows them; of one part, or of all."""
    items = [item for item in found.items if part is None or item.size.part == part]
    counts = {word: sum(item.word == word for item in items) for word in found.counts()}
    return {
        "job": found.job,
        "rule": {
            "kind": found.rule.kind,
            "k": found.rule.k,
            "probability": found.rule.probability,
        },
        "counts": {word: count for word, count in counts.items() if count},
        "sizes": [_size(item) for item in items],
        "slips": [_slip(slip) for slip in found.slips],
        "strings": [
            {
                "entry": item.entry,
                "group": item.group,
                "on": item.on,
                "marks": item.marks,
                "backward": item.backward,
                "verdict": item.test.verdict,
                "odds": float(f"{item.test.odds:.4g}"),
                "used": item.test.used,
                "chance_wrong_end": item.test.posterior,
                "text": item.test.text,
            }
            for item in found.strings
        ],
        "stale": [
            {"place": i.size.place, "name": i.size.name, "epoch": i.size.epoch, "why": i.size.stale}
            for i in items
            if i.size.stale
        ],
        "faults": [
            {"where": fault.where, "wrong": fault.wrong, "right": fault.right}
            for fault in found.faults
        ],
    }


def _size(item: Finding) -> dict[str, Any]:
    size = item.size
    unit = size.unit
    return {
        "place": size.place,
        "feature": size.feature,
        "name": size.name,
        "part": size.part,
        "epoch": size.epoch,
        f"value_{unit}": _number(size.value),
        f"u_{unit}": None if size.value is None else round(size.value.u, 7),
        f"below_{unit}": size.below,
        "unit": unit,
        "decimals": size.decimals,
        "verdict": item.word,
        "probability": item.probability,
        "limit": item.limit,
        "source": item.limits.source,
        "new": _decision(item.limits.new, item.new),
        "service": _decision(item.limits.service, item.service),
        "rule": size.rule,
        "formula": size.formula,
        "readings": list(size.readings),
        "read": size.read,
        "planned": size.planned,
        "decides": item.decides,
        "other_convention": item.other,
        "sibling_z": None if item.sibling is None else round(item.sibling.z, 2),
        "stands_out": item.sibling is not None and item.sibling.stands_out,
        "questioned": list(item.questioned),
        "stale": size.stale,
        "notes": list(item.notes),
        "u_by_source": {}
        if size.value is None
        else {source: round(abs(part), 7) for source, part in size.value.parts.items()},
    }


def _number(value: Measured | None) -> float | None:
    return None if value is None else round(value.value, 6)


def _decision(limits: Limits | None, decision: Decision | None) -> dict[str, Any] | None:
    if limits is None:
        return None
    return {
        "min": None if limits.min is None else float(limits.min),
        "max": None if limits.max is None else float(limits.max),
        "limits": told(limits),
        "verdict": None if decision is None else decision.verdict,
        "probability": None if decision is None else decision.probability,
    }


def _slip(slip: Slip) -> dict[str, Any]:
    return {
        "entry": slip.entry,
        "place": slip.place,
        "feature": slip.feature,
        "kind": slip.kind,
        f"as_read_{slip.unit}": slip.as_read,
        f"corrected_{slip.unit}": slip.corrected,
        "as_read": slip.as_read_text,
        "corrected": slip.corrected_text,
        "explanation": slip.explanation,
        "posterior": slip.posterior,
        "question": slip.question,
        "group": slip.group,
        "proposal": dict(slip.proposal) if slip.proposal is not None else None,
    }
