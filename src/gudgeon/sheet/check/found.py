"""What a check of a sheet finds, and small things every check needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from gudgeon.numbers import LENGTH_UNITS, Length
from gudgeon.sheet.base import Limits
from gudgeon.sheet.yamltext import Path

#: A fault makes the sheet wrong; a look is worth one, and may be right.
Severity = Literal["fault", "look"]
#: Lengths closer than this [mm] are the same: rounding of sums, a hundredth of a micrometre.
SAME: Final = 1e-5


class Remark(NamedTuple):
    """One thing a check has to say.

    Attributes:
        path: where in the sheet. wrong: what is wrong. right: what would be right.
        sum: the arithmetic that shows it, if there is any.
        severity: `fault` or `look`.
        at_key: whether the key is meant, not what stands behind it.
    """

    path: Path
    wrong: str
    right: str
    sum: str = ""
    severity: Severity = "fault"
    at_key: bool = False


Remarks = Iterator[Remark]


@dataclass(frozen=True, slots=True)
class Found:
    """A remark with its place in the file.

    Attributes:
        where: `file:line:column`. line, column: from 1.
        check: name of the check. severity: `fault` or `look`.
        wrong: what is wrong. right: what would be right. sum: the arithmetic, or nothing.
    """

    where: str
    line: int
    column: int
    check: str
    severity: Severity
    wrong: str
    right: str
    sum: str

    def __str__(self) -> str:
        line = f"{self.where}: {self.wrong}, {self.right}"
        return f"{line}\n    {self.sum}" if self.sum else line


def mm(value: float, like: Length | None = None) -> str:
    """A computed length [mm] in words: to a tenth of a micrometre, three digits at the least.

    >>> mm(0.032), mm(1.4955), mm(58.05000001), mm(-0.02)
    ('0.032', '1.4955', '58.050', '−0.020')
    """
    text = f"{abs(value):.4f}"
    text = text[:-1] if text.endswith("0") else text
    return f"−{text}" if value < -5e-5 else text


def span(low: float, high: float) -> str:
    """A range of lengths [mm], as `0.020..0.044`."""
    return f"{mm(low)}..{mm(high)}"


def resolution(*lengths: Length) -> float:
    """One unit [mm] of the last digit that was typed, the finest of several."""
    return min(float(LENGTH_UNITS[item.unit]) * 0.1**item.decimals for item in lengths)


def outside(low: float, high: float, limits: Limits) -> bool:
    """Whether a range reaches outside limits."""
    too_low = limits.min is not None and low < limits.min - SAME
    return too_low or (limits.max is not None and high > limits.max + SAME)


def limits_text(limits: Limits) -> str:
    """Limits in words, as `0.020..0.044` or `up to 0.050`."""
    if limits.min is None:
        return f"up to {limits.max}"
    return f"from {limits.min}" if limits.max is None else f"{limits.min}..{limits.max}"
