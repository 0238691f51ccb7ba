"""What one calculation is, and how it runs: options as typed in, an answer that explains itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from gudgeon.calc.options import Option, Value
from gudgeon.calc.quantities import Quantity
from gudgeon.calc.units import KINDS, from_core, unit_of_kind
from gudgeon.faults import Fault, Unusable
from gudgeon.metrology.measured import Measured, propagate

Given = Mapping[str, Any]
"""Parameter -> core value, for the options that were given."""
Typed = Mapping[str, Any]
"""Option -> the text to show for it, or a list of texts, for the options that were given."""


@dataclass(frozen=True, slots=True)
class Extra:
    """What an answer says besides its value: more keys for JSON, and remarks in words."""

    keys: Mapping[str, object] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def inner(text: str) -> str:
    """A number's text as it stands inside a sum: in brackets where it has a sign of its own."""
    return f"({text})" if text[:1] in "+-" else text


def _nothing_more(given: Given, value: float) -> Extra:
    return Extra()


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation: its options, the formula that does it, and how to show the sum.

    Attributes:
        name, line: the command and what it answers. options: its inputs.
        function: the formula, called with the options' parameters.
        kind: of the answer. places: decimals shown in the core unit, None for as many as typed but
            3 at the least.
        formula, source: in words. shown: the sum with the texts put in.
        extra: more to say, from the core values and the answer.
        check: a fault in the options taken together, or None.
        spreads: whether inputs may carry an uncertainty.
    """

    name: str
    line: str
    options: tuple[Option, ...]
    function: Callable[..., float]
    kind: str
    places: int | None
    formula: str
    source: str
    shown: Callable[[Typed], str]
    extra: Callable[[Given, float], Extra] = _nothing_more
    check: Callable[[Given], Fault | None] = lambda given: None
    spreads: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer of a calculation, in the unit that was asked for."""

    calculation: Calculation
    inputs: Mapping[str, object]
    value: float
    unit: str
    u: float | None
    sum: str
    extra: Extra

    def as_json(self) -> dict[str, object]:
        """The shape of the command contract, and the sum in words."""
        answer: dict[str, object] = {
            "name": self.calculation.name,
            "inputs": dict(self.inputs),
            "value": _rounded(self.value),
            "unit": self.unit,
        }
        if self.u is not None:
            answer["u"] = _rounded(self.u)
        answer |= {"formula": self.calculation.formula, "source": self.calculation.source}
        answer |= {"sum": self.sum, **self.extra.keys}
        return answer | ({"notes": list(self.extra.notes)} if self.extra.notes else {})

    def lines(self) -> list[str]:
        """The answer in words: the sum, then where it comes from."""
        spread = [] if self.u is None else [f"u = {self.u:.2g} {self.unit}".strip()]
        return [
            self.sum,
            *spread,
            *self.extra.notes,
            f"formula: {self.calculation.formula}",
            f"source: {self.calculation.source}",
        ]


def run(calculation: Calculation, typed: Mapping[str, Sequence[str]], unit: str = "") -> Answer:
    """Work a calculation out from its options as typed, the answer in `unit` (core if empty).

    Raises Unusable with every fault found in the options.
    """
    read = _read_all(calculation, typed)
    wanted = unit or KINDS[calculation.kind].core
    target = unit_of_kind(wanted, calculation.kind, "--in")
    measured = _by_parameter(calculation, read)
    given = {key: x.value if isinstance(x, Measured) else x for key, x in measured.items()}
    fault = calculation.check(given)
    if fault:
        raise Unusable(fault)
    where = f"calc {calculation.name}"
    try:
        result = _work_out(calculation.function, measured)
    except (ValueError, OverflowError, ZeroDivisionError) as problem:
        raise Unusable(Fault(where, str(problem), "check the numbers given")) from None
    asked = any(isinstance(x, Quantity) and x.u is not None for xs in read.values() for x in xs)
    u = from_core(result.u, target, calculation.kind, step=True) if asked else None
    texts = {name: [str(x) for x in xs] for name, xs in read.items()}
    return Answer(
        calculation,
        {name: _for_json(calculation, name, xs) for name, xs in read.items()},
        from_core(result.value, target, calculation.kind),
        wanted,
        u,
        _sum(calculation, read, texts, result.value, wanted),
        calculation.extra(given, result.value),
    )


def _read_all(
    calculation: Calculation, typed: Mapping[str, Sequence[str]]
) -> dict[str, list[Value]]:
    """Every option read, with all their faults at once."""
    read: dict[str, list[Value]] = {}
    faults: list[Fault] = []
    for option in calculation.options:
        texts = typed.get(option.name, ())
        if not option.least <= len(texts) <= option.most:
            faults.append(option.wrong_count(len(texts)))
            continue
        try:
            values = [option.read(text) for text in texts]
        except Unusable as problem:
            faults += problem.faults
            continue
        spread = any(isinstance(x, Quantity) and x.u is not None for x in values)
        if spread and not calculation.spreads:
            faults.append(Fault(option.where, "an uncertainty has no place here", "use --u"))
        elif values:
            read[option.name] = values
    if faults:
        raise Unusable(faults)
    return read


def _by_parameter(
    calculation: Calculation, read: Mapping[str, Sequence[Value]]
) -> dict[str, Measured | Value]:
    """Parameter -> value; one wall given stands for both, with one and the same error."""
    found: dict[str, Measured | Value] = {}
    for option in calculation.options:
        values = read.get(option.name, ())
        if option.several and values:
            found[option.keys[0]] = tuple(values)
            continue
        for place, key in enumerate(option.keys if values else ()):
            index = min(place, len(values) - 1)
            value = values[index]
            if isinstance(value, Quantity):
                found[key] = Measured.of(value.value, value.u or 0.0, f"{option.name} {index}")
            else:
                found[key] = value
    return found


def _work_out(function: Callable[..., float], inputs: Mapping[str, Measured | Value]) -> Measured:
    numbers = {key: x for key, x in inputs.items() if isinstance(x, Measured)}
    rest = {key: x for key, x in inputs.items() if not isinstance(x, Measured)}

    def of_numbers(*values: float) -> float:
        return function(**dict(zip(numbers, values, strict=True)), **rest)

    return propagate(of_numbers, list(numbers.values()))


def _for_json(calculation: Calculation, name: str, values: Sequence[Value]) -> object:
    plain = [_plain(x) for x in values]
    several = any(o.name == name and o.most > 1 for o in calculation.options)
    return plain if several else plain[0]


def _plain(value: Value) -> object:
    if isinstance(value, Quantity):
        return value.as_json()
    return value if isinstance(value, int) else str(value)


def _sum(
    calculation: Calculation,
    read: Mapping[str, Sequence[Value]],
    texts: Mapping[str, Sequence[str]],
    value: float,
    wanted: str,
) -> str:
    """The sum with the numbers put in, and the answer again in the unit that was asked for."""
    places = calculation.places
    if places is None:
        quantities = [x for xs in read.values() for x in xs if isinstance(x, Quantity)]
        alike = [x.decimals for x in quantities if x.kind == calculation.kind]
        places = max((4 if d is None else d for d in alike), default=3)
        places = max(places, 3)
    core = KINDS[calculation.kind].core
    text = f"{calculation.shown(texts)} = {value:.{places}f} {core}".rstrip()
    if wanted == core:
        return text
    unit = unit_of_kind(wanted, calculation.kind, "--in")
    per = from_core(1.0, unit, calculation.kind, step=True)
    places = max(0, places + math.ceil(-math.log10(per)))
    return f"{text} = {from_core(value, unit, calculation.kind):.{places}f} {wanted}"


def _rounded(value: float) -> float:
    """Twelve figures: more would show the rounding of the last sum, 1.7500000000000002."""
    return float(f"{value:.12g}")
