"""The findings of a job in words, for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from gudgeon.log.job import Job
from gudgeon.metrology.conformity import Rule
from gudgeon.metrology.findings import WORDS, Finding, Findings, Word
from gudgeon.metrology.limits import told
from gudgeon.metrology.readings import Table
from gudgeon.metrology.taken import Taken

#: A mark beside each word, so that the eye finds it without colour.
MARKS: dict[Word, str] = {
    "beyond service": "!!",
    "not decided": " ?",
    "within service": " ~",
    "as new": " =",
    "no limit given": " o",
    "not measured": " -",
}
_WIDTH = 100
_QUIET: tuple[Word, ...] = ("no limit given", "not measured")
#: Notes that are told in the listing; the others stand under the numbers of their place.
_TOLD = ("questioned", "stands out", "judged", "no verdict", "no wear explains")
_ONE_BY_ONE: tuple[Word, ...] = ("beyond service", "not decided")


def all_lines(job: Job, found: Findings, part: str | None, everything: bool) -> Iterator[str]:
    """The whole view: parts with the worst first, the count per word, the questions."""
    items = [item for item in found.items if part is None or item.size.part == part]
    yield f"{job.name}: {job.sheet.engine.name or 'engine not named'}"
    yield f"{_rule(found.rule)} The maker's manual comes first."
    for name, mine in _by_part(items):
        shown = list(_part_lines(mine, everything))
        if shown:
            yield ""
            yield name.upper()
            yield from shown
    yield ""
    yield _count_line(items)
    yield from _question_lines(found)
    for fault in found.faults:
        yield f"not used: {fault}"


def _rule(rule: Rule) -> str:
    if rule.kind == "expanded":
        return f"Verdicts by ISO 14253-1: each limit moved by U = {rule.k:g} u."
    if rule.kind == "probability":
        return f"Verdicts by a conformance probability of {100 * rule.probability:g} %."
    return "Verdicts by the value alone, uncertainty left out, as this shop's settings ask."


def _by_part(items: Sequence[Finding]) -> list[tuple[str, list[Finding]]]:
    """Parts in the order of the sheet, those with something beyond service before the others."""
    parts: dict[str, list[Finding]] = {}
    for item in items:
        parts.setdefault(item.size.part, []).append(item)
    return sorted(parts.items(), key=lambda pair: min(WORDS.index(i.word) for i in pair[1]))


def _part_lines(items: Sequence[Finding], everything: bool) -> Iterator[str]:
    for word in WORDS:
        mine = [item for item in items if item.word == word]
        if everything or word in _ONE_BY_ONE:
            for item in mine:
                yield from _one(item)
        elif word in _QUIET:
            for item in mine:
                if item.not_as_new:
                    yield from _one(item)
            mine = [item for item in mine if not item.not_as_new]
            names = list(dict.fromkeys(item.size.name for item in mine))
            if names:
                yield from _wrapped(f"{MARKS[word]} {word:<15}", ", ".join(names))
        else:
            yield from _grouped(word, mine)


def _one(item: Finding) -> Iterator[str]:
    size = item.size
    name = size.name if size.epoch == "found" else f"{size.name} ({size.epoch})"
    value = _value(item)
    limit = f"{item.limit or 'no limit'}"
    if item.limits.source and item.limit:
        limit += f" ({item.limits.source})"
    chance = "" if item.probability is None else f", chance {_percent(item.probability)}"
    lead = f"{MARKS[item.word]} {item.word:<15} {size.place:<14} {name:<18} {value:<18}"
    yield f"{lead} {limit}{chance}"
    for line in _remarks(item):
        yield from _wrapped(" " * 19, line)


def _value(item: Finding) -> str:
    size = item.size
    if size.value is None:
        return f"below {size.below:.2f}" if size.below is not None else "-"
    unit = " g" if size.unit == "g" else ""
    return f"{size.text(size.value.value)} ±{2 * size.value.u:.3f}{unit}"


def _remarks(item: Finding) -> Iterator[str]:
    if item.decides:
        yield item.decides
    if item.other:
        yield item.other
    if item.size.stale:
        yield item.size.stale
    for note in item.notes:
        if note == item.not_as_new or any(word in note for word in _TOLD):
            yield note


def _grouped(word: Word, items: Sequence[Finding]) -> Iterator[str]:
    """One line a name: how many places, and from what to what."""
    names: dict[tuple[str, str, str], list[Finding]] = {}
    for item in items:
        names.setdefault((item.size.name, item.size.epoch, item.limit), []).append(item)
    for (name, epoch, limit), mine in names.items():
        values = sorted(item.size.value.value for item in mine if item.size.value is not None)
        called = name if epoch == "found" else f"{name} ({epoch})"
        where = mine[0].size.place if len(mine) == 1 else f"{len(mine)} places"
        ends = dict.fromkeys(mine[0].size.text(value) for value in (*values[:1], *values[-1:]))
        span = " to ".join(ends)
        yield f"{MARKS[word]} {word:<15} {where:<14} {called:<18} {span:<18} {limit}"


def _count_line(items: Iterable[Finding]) -> str:
    counts = dict.fromkeys(WORDS, 0)
    for item in items:
        counts[item.word] += 1
    told_counts = [f"{count} {word}" for word, count in counts.items() if count]
    return f"{sum(counts.values())} sizes: {', '.join(told_counts) or 'none'}"


def _question_lines(found: Findings) -> Iterator[str]:
    if not found.slips:
        yield "No reading looks like a slip."
    else:
        count = len(found.slips)
        yield f"{count} question{'s' if count > 1 else ''}; nothing was changed:"
    for slip in found.slips:
        yield from _wrapped("  * ", f"{slip.question} ({_percent(slip.posterior)}; {slip.entry})")


def open_lines(job: Job, found: Findings, items: Sequence[Finding]) -> Iterator[str]:
    """Everything under one number: readings, corrections, uncertainty, limit, page."""
    for item in items:
        yield from _opened(found.table, item)
        yield ""


def _opened(table: Table, item: Finding) -> Iterator[str]:
    size = item.size
    yield f"{size.name} at {size.place} ({size.epoch}): {_value(item)} -- {item.word}"
    yield from _wrapped("  from    ", f"{size.formula}; {size.read} of {size.planned} read")
    for entry in size.readings:
        taken = table.taken[entry]
        yield from _wrapped("  reading ", _reading(taken))
        for step in taken.steps:
            yield f"          {step.words}: {step.amount:+.4f}"
    if size.value is not None:
        yield f"  u       {size.value.u:.4f}, by source:"
        for source, part in sorted(size.value.parts.items(), key=lambda pair: -abs(pair[1])):
            if abs(part) >= 5e-6:
                yield f"          {abs(part):.5f}  {source}"
    for kind, limits, decision in (
        ("new", item.limits.new, item.new),
        ("service", item.limits.service, item.service),
    ):
        if limits is not None:
            verdict = ""
            if decision is not None:
                verdict = f": {decision.verdict}, chance {_percent(decision.probability)}"
            yield f"  {kind:<8}{told(limits)} ({item.limits.source or 'no source'}){verdict}"
    if item.sibling is not None:
        yield (
            f"  others  {item.sibling.others} of them lie about"
            f" {size.text(item.sibling.middle)}; robust z {item.sibling.z:+.1f}"
        )
    for line in dict.fromkeys((item.decides, item.other, *item.notes)):
        if line:
            yield from _wrapped("  note    ", line)


def _reading(taken: Taken) -> str:
    spot = f" {' '.join(taken.spot)}" if taken.spot else ""
    when = taken.when.date().isoformat()
    return f"{taken.typed}{spot}, {taken.instrument.name}, {when}, {taken.entry}"


def _percent(chance: float) -> str:
    """A chance in words that never round to certainty."""
    if chance >= 0.9995:
        return "over 99.9 %"
    if chance < 0.0005:
        return "under 0.1 %"
    return f"{100 * chance:.1f} %"


def _wrapped(lead: str, text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)) or [
        lead
    ]
