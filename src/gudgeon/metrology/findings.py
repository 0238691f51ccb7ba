"""Sizes against limits: a verdict each, by ISO 14253-1, and one summary word from a closed list.

*as new*: within the limits of a new part. *within service*: within the limits of wear. *beyond
service*: not. *not decided*: a limit lies inside the uncertainty, or readings are missing. *no
limit given*: the sheet has none that would tell. *not measured*: there is no value.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.conformity import Decision, Rule, decide
from gudgeon.metrology.deciding import what_would_decide
from gudgeon.metrology.limits import Kept, limits_of, told
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.ranges import SIZE_RULES
from gudgeon.metrology.readings import Table, read_all
from gudgeon.metrology.siblings import Sibling, among_siblings
from gudgeon.metrology.sizes import Size, sizes_of
from gudgeon.metrology.slips import Slip
from gudgeon.metrology.string_ends import Tested
from gudgeon.metrology.suspicions import Suspicions, suspicions
from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop
    from gudgeon.sheet.features import Feature

Word = Literal[
    "as new", "within service", "beyond service", "not decided", "no limit given", "not measured"
]
#: The summary words, in the order in which a person should look.
WORDS: Final[tuple[Word, ...]] = (
    "beyond service",
    "not decided",
    "within service",
    "as new",
    "no limit given",
    "not measured",
)
_NOT_AS_NEW: Final = "not as new: "


@dataclass(frozen=True, slots=True)
class Finding:
    """One size and what is to be said of it.

    Attributes:
        size: the size. word: the summary. limits: what it was held against.
        new, service: the decision against each, where there is one.
        probability: that it conforms to the limit the word rests on; none where it rests on none.
        limit: that limit, as people write it. decides: what would decide it, where it is open.
        other: the word by the other convention, where the two differ, with its formula.
        sibling: how it lies among the same size elsewhere.
        questioned: ids of readings under it that are questioned. notes: what should be known.
    """

    size: Size
    word: Word
    limits: Kept
    new: Decision | None
    service: Decision | None
    probability: float | None
    limit: str
    decides: str
    other: str
    sibling: Sibling | None
    questioned: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def not_as_new(self) -> str:
        """How it lies outside its new range where no limit of wear says more; else empty."""
        return next((note for note in self.notes if note.startswith(_NOT_AS_NEW)), "")


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything found of a job.

    Attributes:
        job: its name. items: one a size, in the order of the sheet.
        slips: the questions, likeliest first. strings: the tests of strings of marks.
        faults: what of the log can't be used. table: the readings behind it all.
        rule: the decision rule in force.
    """

    job: str
    items: tuple[Finding, ...]
    slips: tuple[Slip, ...]
    strings: tuple[Tested, ...]
    faults: tuple[Fault, ...]
    table: Table
    rule: Rule

    @property
    def standing(self) -> tuple[Finding, ...]:
        """The findings whose readings still hold: nothing was done since that changed the size."""
        return tuple(item for item in self.items if not item.size.stale)

    def counts(self) -> Mapping[Word, int]:
        """How many sizes that still stand have each word, in the order of `WORDS`."""
        counted = Counter(item.word for item in self.standing)
        return {word: counted[word] for word in WORDS if counted[word]}


def findings(job: Job, shop: Shop) -> Findings:
    """Sizes, verdicts and questions of a job. Nothing in the job is changed."""
    table = read_all(job, shop)
    sizes = sizes_of(job.sheet, table)
    asked = suspicions(job, table)
    beside = among_siblings(sizes, job.sheet.layout)
    rule = table.settings.rule
    items = tuple(
        found(
            size,
            limits_of(job.sheet, size),
            rule,
            beside.get(number),
            asked,
            tuple(job.sheet.features[name] for name in size.features),
        )
        for number, size in enumerate(sizes)
    )
    faults = (*job.faults, *table.faults, *asked.faults)
    return Findings(job.name, items, asked.slips, asked.strings, faults, table, rule)


def found(
    size: Size,
    limits: Kept,
    rule: Rule,
    sibling: Sibling | None = None,
    asked_about: Suspicions | None = None,
    read: Sequence[Feature] = (),
) -> Finding:
    """One size against its limits; `read` are the features it was made from."""
    doubts = asked_about or Suspicions()
    asked = tuple(entry for entry in size.readings if entry in doubts.questioned)
    notes = list(size.notes)
    if size.rule in SIZE_RULES:
        notes += [doubts.doubted[name] for name in size.features if name in doubts.doubted]
    if limits.unjudged:
        notes.append(limits.unjudged)
    if size.stale:
        notes.append(size.stale)
    if asked:
        notes.append(f"a reading under this is questioned: {', '.join(asked)}")
    if sibling is not None and sibling.stands_out:
        notes.append(
            f"stands out among its {sibling.others} siblings, which lie about"
            f" {size.text(sibling.middle)}"
        )
    value = size.judged or size.value
    if value is None:
        return _without_value(size, limits, rule, sibling, asked, notes)
    verdict = _judged(value, limits, rule, size.decimals)
    word = verdict.word
    notes += verdict.notes
    decides = ""
    if word == "not decided":
        limit = limits.new if verdict.on_new else limits.service
        difference = bool(size.rule) and size.rule not in (*SIZE_RULES, "fit")
        decides = what_would_decide(value, limit, rule, size.decimals, read, difference)
    if not size.complete and word in ("as new", "within service"):
        word, missing = "not decided", size.planned - size.read
        decides = f"take the other {missing} reading{'s' if missing > 1 else ''} of the plan"
    return Finding(
        size,
        word,
        limits,
        verdict.new,
        verdict.service,
        verdict.probability,
        verdict.wrong.limit
        if verdict.wrong
        else told(limits.new if verdict.on_new else limits.service),
        decides,
        _by_other(size, limits, rule, verdict.word),
        sibling,
        asked,
        tuple(notes),
    )


class _Wrong(NamedTuple):
    """A size beyond an end of the new range that no wear explains: the end, and the chance."""

    note: str
    limit: str
    decision: Decision


@dataclass(frozen=True, slots=True)
class _Verdict:
    word: Word
    new: Decision | None
    service: Decision | None
    on_new: bool
    notes: tuple[str, ...] = ()
    wrong: _Wrong | None = None

    @property
    def probability(self) -> float | None:
        if self.wrong is not None:
            return self.wrong.decision.probability
        decision = self.new if self.on_new else self.service
        return None if decision is None else decision.probability


def _judged(value: Measured, limits: Kept, rule: Rule, decimals: int) -> _Verdict:
    new = _decision(value, limits.new, rule)
    service = _decision(value, limits.service, rule)
    if new is None and service is None:
        return _Verdict("no limit given", None, None, False)
    wrong_side = _wrong_side(value, limits, rule)
    if service is None:
        return _by_new_alone(f"{value.value:.{decimals}f}", new, limits, wrong_side)
    if service.verdict == "does not conform":
        return _Verdict("beyond service", new, service, False)
    if wrong_side:
        return _Verdict("beyond service", new, service, True, (wrong_side.note,), wrong_side)
    if service.verdict == "not decided":
        return _Verdict("not decided", new, service, False)
    if new is not None and new.verdict == "conforms" and _covers(limits):
        return _Verdict("as new", new, service, True)
    return _Verdict("within service", new, service, False)


def _by_new_alone(
    value: str, new: Decision | None, limits: Kept, wrong_side: _Wrong | None
) -> _Verdict:
    if wrong_side:
        note = f"{_NOT_AS_NEW}{value} is {wrong_side.note}"
        return _Verdict("no limit given", new, None, True, (note,), wrong_side)
    if new is not None and new.verdict == "conforms":
        return _Verdict("as new", new, None, True)
    if limits.elsewhere:
        note = f"not plainly as new ({told(limits.new)}); {limits.elsewhere} decides"
        return _Verdict("no limit given", new, None, True, (note,))
    if new is not None and new.verdict == "not decided":
        return _Verdict("not decided", new, None, True)
    note = f"{_NOT_AS_NEW}{value} against {told(limits.new)}, and no limit of wear is given"
    return _Verdict("no limit given", new, None, True, (note,))


def _covers(limits: Kept) -> bool:
    """Whether the new range has an end wherever the service limit has one."""
    new, service = limits.new, limits.service
    if new is None or service is None:
        return new is not None
    low = service.min is None or new.min is not None
    return low and (service.max is None or new.max is not None)


def _wrong_side(value: Measured, limits: Kept, rule: Rule) -> _Wrong | None:
    """Beyond the new range on the side where no other limit says anything: tight, or no wear.

    With a limit of wear that is the side it leaves open; without one, the side that the size's own
    new range leaves open and that of its feature does not.
    """
    told_by = limits.service or limits.new
    if told_by is None:
        return None
    low, high = _new_end(limits, "min"), _new_end(limits, "max")
    if told_by.min is None and low is not None:
        below = decide(value.value, value.u, float(low), None, rule)
        if below.verdict == "does not conform":
            note = f"smaller than any new one ({low}), which no wear explains"
            return _Wrong(note, f"at least {low}", below)
    if told_by.max is None and high is not None:
        above = decide(value.value, value.u, None, float(high), rule)
        if above.verdict == "does not conform":
            note = f"larger than any new one ({high}), which no wear explains"
            return _Wrong(note, f"at most {high}", above)
    return None


def _new_end(limits: Kept, end: Literal["min", "max"]) -> Length | None:
    """One end of the new range: the size's own, else its feature's."""
    for item in (limits.new, limits.edge):
        value: Length | None = getattr(item, end, None)
        if value is not None:
            return value
    return None


def _decision(value: Measured, limits: Limits | None, rule: Rule) -> Decision | None:
    if limits is None:
        return None
    low = None if limits.min is None else float(limits.min)
    high = None if limits.max is None else float(limits.max)
    return decide(value.value, value.u, low, high, rule)


def _by_other(size: Size, limits: Kept, rule: Rule, word: Word) -> str:
    """The word by the other convention, where it is another one."""
    if size.other is None or not limits.given:
        return ""
    other = _judged(size.other.value, limits, rule, size.decimals).word
    if other == word:
        return ""
    return (
        f"by {size.other.rule} it would be {size.text(size.other.value.value)}"
        f" ({size.other.formula}): {other}"
    )


def _without_value(
    size: Size,
    limits: Kept,
    rule: Rule,
    sibling: Sibling | None,
    asked: tuple[str, ...],
    notes: list[str],
) -> Finding:
    """Not measured, or a gap no blade found: beyond its limits where they ask for a wider one."""
    word: Word = "not measured"
    decision, decides = None, ""
    asking = limits.service or limits.new
    if size.below is not None:
        word = "not decided" if limits.given else "no limit given"
        decides = "use thinner blades, or a thinner shim that leaves a gap to read"
        if asking is not None and asking.min is not None:
            decision = decide(size.below, 0.006, float(asking.min), None, rule)
            if decision.verdict == "does not conform" and limits.service is not None:
                word, decides = "beyond service", ""
    return Finding(
        size,
        word,
        limits,
        None,
        decision,
        decision.probability if decision is not None else None,
        told(asking),
        decides,
        "",
        sibling,
        asked,
        tuple(notes),
    )
