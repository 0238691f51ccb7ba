"""The table of single calculations. A new one is an entry in the file of its subject.

An entry names its formula function, its options and how the sum is shown; the command, its help,
its JSON and its errors follow from that.
"""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation
from gudgeon.calc.clamp import CLAMP
from gudgeon.calc.clearances import CLEARANCES
from gudgeon.calc.cylinders import CYLINDERS
from gudgeon.calc.sizes import SIZES
from gudgeon.calc.timing import TIMING

CALCULATIONS: Final[tuple[Calculation, ...]] = (*CLEARANCES, *SIZES, *CYLINDERS, *TIMING, *CLAMP)

BY_NAME: Final[dict[str, Calculation]] = {item.name: item for item in CALCULATIONS}
