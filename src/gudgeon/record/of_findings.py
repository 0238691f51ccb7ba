"""From findings to the parts of a record: rows, strips, bores in section, open questions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace

from gudgeon.log.job import Job
from gudgeon.metrology.findings import WORDS, Finding, Findings
from gudgeon.metrology.rules import WORDS as RULE_WORDS
from gudgeon.metrology.rules import across
from gudgeon.metrology.sizes import Size
from gudgeon.record.data import Figure, FindingRow, PartSection, Slip
from gudgeon.record.figures import Band, percent, verdict_strip
from gudgeon.record.marks import NO_LIMIT, NOT_DECIDED, NOT_MEASURED
from gudgeon.record.profile import Profile, bore_profile
from gudgeon.record.readings import reading_tables
from gudgeon.record.said import EPOCHS, every, limits, listed, mm, spoken, spoken_in
from gudgeon.sheet.base import Limits
from gudgeon.sheet.features import Feature
from gudgeon.sheet.model import Sheet

_OTHER = "other"


def part_sections(job: Job, found: Findings) -> tuple[PartSection, ...]:
    """The findings by part, in the order in which the sheet first names each part."""
    sheet = job.sheet
    by_part: dict[str, list[Finding]] = {}
    for item in found.items:
        by_part.setdefault(item.size.part or _OTHER, []).append(item)
    readings = reading_tables(sheet, found.table, {item.id: item for item in job.feelers})
    for part in readings:
        by_part.setdefault(part or _OTHER, [])
    return tuple(
        PartSection(
            name=part,
            findings=_grouped(
                [_row(sheet, item, found) for item in items if item.word != NOT_MEASURED]
            ),
            readings=readings.get("" if part == _OTHER else part, ()),
            figures=tuple(_profiles(sheet, found, items)),
            not_measured=_not_measured(items),
        )
        for part, items in by_part.items()
    )


def _grouped(rows: list[FindingRow]) -> tuple[FindingRow, ...]:
    """Rows of one size and one set of limits together; what all of them note is said once."""
    groups: dict[tuple[str, str, str, str], list[FindingRow]] = {}
    for row in rows:
        groups.setdefault((row.what, row.new, row.service, row.page), []).append(row)
    told: list[FindingRow] = []
    for group in groups.values():
        shared = tuple(note for note in group[0].notes if all(note in row.notes for row in group))
        if len(group) < 2:
            shared = ()
        told += [
            replace(
                row, notes=tuple(note for note in row.notes if note not in shared), shared=shared
            )
            for row in group
        ]
    return tuple(told)


def where(size: Size) -> str:
    """Place of a size, with the time of reading where that is not as found."""
    place = spoken(size.place)
    return place if size.epoch == "found" else f"{place}, {EPOCHS.get(size.epoch, size.epoch)}"


def _row(sheet: Sheet, item: Finding, found: Findings) -> FindingRow:
    size = item.size
    value = size.judged or size.value
    expanded = coverage(found) * value.u if value is not None else 0.0
    notes = [item.decides] if item.decides else []
    notes += [item.other] if item.other else []
    notes += item.notes
    if item.limits.elsewhere:
        notes = [note for note in notes if not note.endswith(f"{item.limits.elsewhere} decides")]
        notes.append(f"whether it may go back is told by {item.limits.elsewhere}")
    return FindingRow(
        place=spoken(size.place),
        what=_what(sheet, size),
        value=_value_text(size),
        u=mm(expanded, _u_decimals(size)) if value is not None else "",
        unit=size.unit,
        new=limits(item.limits.new),
        service=limits(item.limits.service),
        page=item.limits.source,
        word=item.word,
        chance=percent(item.probability) if item.probability is not None else "",
        strip=_strip(item, expanded),
        formula=_formula(size),
        notes=tuple(dict.fromkeys(note for note in notes if note)),
    )


def _formula(size: Size) -> str:
    """How a size came about, where its readings alone do not say so."""
    if size.formula == "nothing read" or size.formula.endswith((" mm", " g")):
        return ""
    if size.formula.startswith("mean of ") and ";" in size.formula:
        return f"mean of {size.formula.count(';') + 1} tries"
    return "" if size.formula == "read" else size.formula


def coverage(found: Findings) -> float:
    """The factor k by which a standard uncertainty is shown."""
    return found.rule.k if found.rule.kind == "expanded" else 2.0


def _value_text(size: Size) -> str:
    if size.value is not None:
        return mm(size.value.value, size.decimals)
    return f"< {mm(size.below, size.decimals)}" if size.below is not None else ""


def _u_decimals(size: Size) -> int:
    return max(size.decimals, 3) if size.unit == "mm" else size.decimals


def _what(sheet: Sheet, size: Size) -> str:
    """A size in words: its name, and how it comes from which readings."""
    if size.origin == "fit":
        fit = sheet.fits[size.name]
        return f"{size.name}: {fit.take} of {fit.hole} less {fit.less} of {fit.shaft}"
    if size.origin == "derive" and size.rule == "change":
        return f"{size.name}: {RULE_WORDS['change']}, of {size.feature}"
    name = size.name if size.epoch == "found" else f"{size.name}, {EPOCHS.get(size.epoch, '')}"
    if size.origin == "derive" and size.rule and size.planned > 1:
        return f"{name}: {RULE_WORDS.get(size.rule, size.rule)}, of {size.feature}"
    return name


def _band(given: Limits | None) -> Band:
    if given is None:
        return Band()
    return Band(
        None if given.min is None else float(given.min),
        None if given.max is None else float(given.max),
    )


def _strip(item: Finding, expanded: float) -> str:
    value = item.size.judged or item.size.value
    if value is None:
        return ""
    drawn = verdict_strip(value.value, expanded, _band(item.limits.new), _band(item.limits.service))
    return drawn or ""


def _not_measured(items: list[Finding]) -> str:
    """What was not measured, by name: all of it, or the places that are missing."""
    missing: dict[str, list[str]] = defaultdict(list)
    seen: dict[str, int] = defaultdict(int)
    for item in items:
        seen[item.size.name] += 1
        if item.word == NOT_MEASURED:
            missing[item.size.name].append(where(item.size))
    told = [
        name if len(places) == seen[name] else f"{name} at {listed(places)}"
        for name, places in missing.items()
    ]
    return "; ".join(told)


def _profiles(sheet: Sheet, found: Findings, items: list[Finding]) -> Iterator[Figure]:
    """A section for each bore whose taper has a limit."""
    done: set[tuple[str, str, str]] = set()
    for item in items:
        size = item.size
        spec = sheet.features.get(size.feature)
        key = (size.feature, size.place, size.epoch)
        if spec is None or key in done or not size.rule.startswith("taper"):
            continue
        done.add(key)
        profile = _profile(sheet, found, spec, items, size)
        if profile is not None:
            yield Figure(bore_profile(profile), f"{profile.title}, in section against its limits")


def _profile(
    sheet: Sheet, found: Findings, spec: Feature, items: list[Finding], size: Size
) -> Profile | None:
    axis = across(spec.plan)
    levels = [name for name in spec.plan if name != axis]
    if spec.wears != "larger" or axis is None or len(levels) != 1 or len(spec.plan[axis]) != 2:
        return None
    values = found.table.values(size.feature, size.place, size.epoch)
    if len(values) < 3:
        return None
    level_first = next(iter(spec.plan)) == levels[0]
    mine = [
        item
        for item in items
        if (item.size.feature, item.size.place, item.size.epoch)
        == (size.feature, size.place, size.epoch)
    ]
    sized = next((item for item in mine if item.size.rule == "max"), None)
    first, second = spec.plan[axis]
    return Profile(
        title=f"{where(size)}, {size.feature}",
        heights=tuple(spec.plan[levels[0]]),
        axes=(first, second),
        values={
            (spot[0], spot[1]) if level_first else (spot[1], spot[0]): value.value
            for spot, value in values.items()
        },
        expanded_u=coverage(found) * max(value.u for value in values.values()),
        new=_band(sized.limits.new if sized else spec.new),
        service=_band(sized.limits.service if sized else None),
        word=worst(item.word for item in mine) or "",
    )


def worst(words: Iterator[str]) -> str | None:
    """The word a person should look at first; what says nothing counts only if all say nothing."""
    order: tuple[str, ...] = WORDS
    return min(words, key=order.index, default=None)


def words_by_place(found: Findings) -> Mapping[str, str]:
    """Address -> the word of its size that should be looked at first."""
    by_place: dict[str, list[str]] = defaultdict(list)
    for item in found.standing:
        by_place[item.size.place].append(item.word)
    return {place: worst(iter(words)) or NO_LIMIT for place, words in by_place.items()}


def undecided(found: Findings) -> tuple[tuple[str, str], ...]:
    """What is not decided: where, against what, and what would decide it."""
    told = []
    for item in found.standing:
        if item.word != NOT_DECIDED:
            continue
        size, value = item.size, item.size.judged or item.size.value
        words = f"{size.name} {_value_text(size)}"
        if value is not None:
            words += f" ± {mm(coverage(found) * value.u, _u_decimals(size))}"
        if item.limit:
            words += f" against {item.limit}"
        told.append((where(size), f"{words}: {item.decides}" if item.decides else words))
    return tuple(told)


def slips(sheet: Sheet, found: Findings) -> tuple[Slip, ...]:
    """The open questions, likeliest first."""
    return tuple(
        Slip(
            place=spoken(item.place),
            as_read=item.as_read_text,
            question=spoken_in(item.question, sheet.layout),
            corrected=item.corrected_text,
            chance=percent(item.posterior),
            entry=item.entry,
        )
        for item in found.slips
    )


def stale(sheet: Sheet, found: Findings) -> tuple[str, ...]:
    """What no longer holds, and why, places of one kind together."""
    together: dict[tuple[str, str, str], list[str]] = {}
    for (feature, place, epoch), why in found.table.stale.items():
        if found.table.at(feature, place, epoch):
            together.setdefault((feature, epoch, why), []).append(place)
    return tuple(
        f"{feature}, {EPOCHS.get(epoch, epoch)}, at {every(places, sheet.layout)}: {why}."
        for (feature, epoch, why), places in together.items()
    )
