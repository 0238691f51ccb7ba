"""The clearance every pair of halves would give, and which pair to fit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise, product

from gudgeon.fit.schemes import Halves
from gudgeon.fit.settings import ShellSettings
from gudgeon.fit.shells.bearing import Bearing
from gudgeon.metrology.measured import Measured, linear
from gudgeon.metrology.student import interval_chance
from gudgeon.sheet.select import Shells

#: Losses closer than this count as equal, and the nearer to the aim is taken.
_EQUAL = 0.005
#: Clearances as near to the aim as this count as equally near [mm].
_AS_NEAR = 0.001


@dataclass(frozen=True, slots=True)
class Option:
    """One pair of halves in one bearing.

    Attributes:
        halves: grades. walls: upper and lower wall [mm].
        clearance: oil clearance expected [mm].
        chance: that it lies in the window; None without one. tight, loose: that it lies outside.
        legal: whether the expected clearance lies in the window.
    """

    halves: Halves
    walls: tuple[float, float]
    clearance: Measured
    chance: float | None
    tight: float
    loose: float
    legal: bool

    @property
    def mixed(self) -> bool:
        """Whether the halves differ."""
        return self.halves.upper != self.halves.lower


def pairs(spec: Shells, bearing: Bearing) -> tuple[Halves, ...]:
    """The pairs of halves the sheet allows, the unmixed ones first.

    >>> from gudgeon.fit.schemes import normal_form
    >>> sheet = Shells.model_validate({"at": "main", "journal": "j", "mixing": "adjacent",
    ...     "thicker-in": "upper", "grades": {"1": 1.487, "2": 1.490}})
    >>> [str(pair) for pair in allowed(sheet, normal_form(sheet).walls, (), frozenset())]
    ['1', '2', 'upper 2, lower 1']
    """
    form = bearing.form
    return allowed(spec, form.walls, form.cells.values(), form.forbidden)


def allowed(
    spec: Shells,
    walls: Iterable[str],
    cells: Iterable[Halves],
    forbidden: frozenset[Halves],
) -> tuple[Halves, ...]:
    """The pairs of halves a sheet allows; `walls` are the grades, thinnest first."""
    grades = list(walls)
    found = [Halves(grade, grade) for grade in grades]
    if spec.mixing == "adjacent":
        upper_thicker = spec.thicker_in == "upper"
        found += [
            Halves(thick, thin) if upper_thicker else Halves(thin, thick)
            for thin, thick in pairwise(grades)
        ]
    if spec.scheme is not None and spec.scheme.kind == "halves":
        found += [
            Halves(upper, lower)
            for upper, lower in product(spec.scheme.upper.values(), spec.scheme.lower.values())
        ]
    elif spec.mixing == "table":
        found += list(cells)
    known = set(grades)
    return tuple(
        pair
        for pair in dict.fromkeys(found)
        if pair not in forbidden and pair.upper in known and pair.lower in known
    )


def options(spec: Shells, bearing: Bearing, settings: ShellSettings) -> tuple[Option, ...]:
    """What every allowed pair would give, thickest walls (least clearance) last."""
    bare = bearing.bare()
    if bare is None:
        return ()
    made = [_option(bearing, halves, bare, settings) for halves in pairs(spec, bearing)]
    return tuple(sorted(made, key=lambda option: (sum(option.walls), option.mixed)))


def _option(bearing: Bearing, halves: Halves, bare: Measured, settings: ShellSettings) -> Option:
    """Both walls of one pair are taken to be out by the same: they come from one lot."""
    walls = (bearing.wall(halves.upper), bearing.wall(halves.lower))
    lot = Measured.of(sum(walls), 2.0 * bearing.wall_u, f"shells for {bearing.place}")
    clearance = linear([(1.0, bare), (-1.0, lot)])
    low, high = bearing.window
    lower, upper = -math.inf if low is None else low, math.inf if high is None else high
    u = clearance.u
    guard = 2.0 * u if settings.guarded else 0.0
    slack = 1e-9
    if low is None and high is None:
        return Option(halves, walls, clearance, None, 0.0, 0.0, True)
    return Option(
        halves,
        walls,
        clearance,
        interval_chance(clearance.value, u, lower, upper),
        0.0 if low is None else interval_chance(clearance.value, u, -math.inf, lower),
        0.0 if high is None else interval_chance(clearance.value, u, upper, math.inf),
        lower + guard - slack <= clearance.value <= upper - guard + slack,
    )


def best(
    found: Iterable[Option], bearing: Bearing, settings: ShellSettings, by_size: Option | None
) -> Option | None:
    """The legal option of least expected loss; among equals the nearest to the aim.

    The loss is the chance of too loose plus a multiple of the chance of too tight. Where code and
    measurement name the same pair, that stands before another equal one. Where the aim is as near
    (within a micrometre), the code's own pair, then unmixed halves, then the looser. Where neither
    diameter was measured, the code's own pair is the maker's choice and stands.

    Without a window and without an aim nothing can be called best.

    Args:
        found: all allowed pairs. bearing, settings: what they are judged by.
        by_size: the pair by measurement alone.
    """
    legal = [option for option in found if option.legal]
    if not legal:
        return None
    by_code = next((option for option in legal if option.halves == bearing.by_code), None)
    if by_code is not None and not measured(bearing):
        return by_code
    if bearing.aim is None and all(option.chance is None for option in legal):
        return None
    least = min(_loss(option, settings) for option in legal)
    equal = [option for option in legal if _loss(option, settings) <= least + _EQUAL]
    if by_code in equal and by_code is by_size:
        return by_code
    nearest = min(_off(option, bearing) for option in equal)
    near = [option for option in equal if _off(option, bearing) <= nearest + _AS_NEAR]
    return min(
        near,
        key=lambda option: (option is not by_code, option.mixed, -option.clearance.value),
    )


def _off(option: Option, bearing: Bearing) -> float:
    return 0.0 if bearing.aim is None else abs(option.clearance.value - bearing.aim)


def measured(bearing: Bearing) -> bool:
    """Whether anything at this bearing was measured."""
    return any(
        size is not None
        for size in (bearing.housing.read.measured, bearing.journal.read.measured, bearing.fitted)
    )


def _loss(option: Option, settings: ShellSettings) -> float:
    return option.loose + settings.tight_weight * option.tight


def wanted_wall(bearing: Bearing) -> Measured | None:
    """The wall that would give the aim, by the measurements as they stand [mm]."""
    bare = bearing.bare(measured_only=True)
    if bare is None or bearing.aim is None:
        return None
    return (bare - bearing.aim) / 2.0


def by_measurement(found: Iterable[Option], wanted: Measured | None) -> Option | None:
    """The allowed pair whose mean wall lies nearest the wanted one; of two equals the thinner."""
    if wanted is None:
        return None
    target = wanted.value
    return min(
        found,
        key=lambda option: (round(abs(0.5 * sum(option.walls) - target), 6), sum(option.walls)),
        default=None,
    )
