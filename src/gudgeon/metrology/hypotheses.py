"""The slips that may stand behind a reading: what each would mean, how likely it is at all."""

from __future__ import annotations

from itertools import pairwise
from typing import Final, NamedTuple

from gudgeon.metrology.priors import chance
from gudgeon.metrology.taken import Taken

_INCH: Final = 25.4
#: One turn of the thimble [mm]: of a metric micrometer, and of one in inches (0.025 in).
TURN_MM: Final = 0.5
TURN_IN: Final = 0.635


class Hypothesis(NamedTuple):
    """One slip for one reading: its prior, the value it would mean, and how much it stretches."""

    kind: str
    words: str
    prior: float
    value: float
    stretch: float = 1.0


def hypotheses_of(taken: Taken, value: float) -> list[Hypothesis]:
    """The slips that may stand behind one reading, with the value [mm] each would mean.

    `value` is the reading as it is judged [mm], which a slip would move.
    """
    raw = taken.raw
    if raw is None:
        return []
    number, _, unit = taken.typed.partition(" ")
    found: list[Hypothesis] = []
    inch = unit in ("in", "inch", '"', "thou")
    turn = (TURN_IN if inch else TURN_MM) if taken.instrument.kind.turn else 0.0
    if turn:
        for count, kind in ((1, "turn"), (2, "two-turns")):
            for way in (1.0, -1.0):
                words = _turn_words(count, way, inch)
                moved = value + way * count * turn
                if moved > 0.0:
                    found.append(Hypothesis(kind, words, chance(kind) / 2.0, moved))
    if taken.instrument.kind.name != "scales":
        if inch and unit != "thou":
            words, means = "millimetres typed as inches", raw / _INCH
            found.append(Hypothesis("inch", words, chance("inch"), means, 1.0 / _INCH))
        else:
            words, means = "inches typed as millimetres", raw * _INCH
            found.append(Hypothesis("inch", words, chance("inch"), means, _INCH))
    swaps = exchanged(number)
    factor = raw / float(number.replace(",", ".")) if swaps else 0.0
    for text in swaps:
        moved = value + float(text.replace(",", ".")) * factor - raw
        words = f"two digits exchanged: {text} for {number}"
        found.append(Hypothesis("digits", words, chance("digits") / len(swaps), moved))
    return found


def _turn_words(count: int, way: float, inch: bool) -> str:
    turns = "one turn of the thimble" if count == 1 else "two turns of the thimble"
    worth = 0.025 * count if inch else 0.5 * count
    shown = f"{worth:.3f} in" if inch else f"{worth:.2f} mm"
    return f"{turns} {'more' if way > 0 else 'less'} ({shown})"


def exchanged(number: str) -> list[str]:
    """A number as typed with each pair of neighbouring digits exchanged; the mark stays in place.

    >>> exchanged("57.968")
    ['75.968', '59.768', '57.698', '57.986']
    """
    at = [place for place, letter in enumerate(number) if letter.isdigit()]
    if len(at) != len(number.replace(".", "").replace(",", "").lstrip("+-")):
        return []
    found = []
    for left, right in pairwise(at):
        if number[left] == number[right]:
            continue
        letters = list(number)
        letters[left], letters[right] = letters[right], letters[left]
        found.append("".join(letters))
    return found
