"""The shims that can be had: pulled from this engine, in the drawer, and to buy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from gudgeon.fit.settings import Money
from gudgeon.fit.shims.valves import Fitted, Valve
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.select import Shims


@dataclass(frozen=True, slots=True)
class Shim:
    """One shim, or one size that can be bought any number of times.

    Attributes:
        source: address of the valve it sits at, `drawer`, or `buy`.
        thickness: [mm].
        price: to be paid; 0 for what is there, none where the sheet gives no price.
        ident: the log entry that put it there; for a purchase, its size.
        label: size or mark, as people call it.
    """

    source: str
    thickness: Measured
    price: float | None
    ident: str
    label: str

    def cost(self, money: Money) -> float:
        """What to reckon with: its price, else the price the shop reckons with."""
        return money.shim if self.price is None else self.price

    @property
    def bought(self) -> bool:
        """Whether it has to be bought."""
        return self.source == "buy"


@dataclass(frozen=True, slots=True)
class Barred:
    """A shim that must not be used, and why."""

    source: str
    label: str
    why: str


@dataclass(frozen=True, slots=True)
class Shelf:
    """What can go in: pieces, of each of which there is one, and sizes to buy.

    Attributes:
        pieces: pulled and drawer shims. sizes: what can be bought, thinnest first.
        barred: dished or chipped shims, which nobody should refit.
    """

    pieces: tuple[Shim, ...]
    sizes: tuple[Shim, ...]
    barred: tuple[Barred, ...]


def label(value_mm: float) -> str:
    """A thickness as the trade writes it, to 0.001 mm.

    >>> label(1.775), label(1.85)
    ('1.775', '1.850')
    """
    return f"{value_mm:.3f}"


def sizes_to_buy(spec: Shims, tolerance: float) -> tuple[Shim, ...]:
    """Every size of the sheet's series, with the tolerance [mm] of a new shim as its error."""
    found: dict[str, Shim] = {}
    for series in spec.series:
        if series.from_ is None or series.to is None or series.step is None:
            continue
        first, last, step = (Decimal(str(float(x))) for x in (series.from_, series.to, series.step))
        spread = float(series.tolerance) if series.tolerance is not None else tolerance
        for number in range(int((last - first) / step + Decimal("1e-6")) + 1):
            size = float(first + number * step)
            ident = label(size)
            price = series.price
            known = found.get(ident)
            if known is None or (
                price is not None and (known.price is None or price < known.price)
            ):
                parts = {f"new shim {ident}": spread / math.sqrt(3)} if spread else {}
                found[ident] = Shim("buy", Measured(size, parts), price, ident, ident)
    return tuple(sorted(found.values(), key=lambda shim: shim.thickness.value))


def shelf(
    spec: Shims,
    found: Iterable[Valve],
    pulled: Mapping[str, Fitted],
    drawer: Iterable[tuple[Fitted, int]],
    tolerance: float,
) -> Shelf:
    """Everything that can go in.

    `pulled` holds the shim that sits at each place now, `drawer` the free pieces of the right
    family with their count; `tolerance` [mm] is that of a new shim where the sheet gives none.
    """
    pieces: list[Shim] = []
    barred: list[Barred] = []
    places = {valve.place for valve in found} | set(pulled)
    for place in sorted(places & set(pulled)):
        _sort_in(pulled[place], place, 1, pieces, barred)
    for fitted, count in drawer:
        _sort_in(fitted, "drawer", count, pieces, barred)
    return Shelf(tuple(pieces), sizes_to_buy(spec, tolerance), tuple(barred))


def _sort_in(
    fitted: Fitted, source: str, count: int, pieces: list[Shim], barred: list[Barred]
) -> None:
    name = label(fitted.thickness.value)
    if fitted.condition != "good":
        barred.append(Barred(source, name, f"{fitted.condition}: never refitted"))
        return
    for number in range(count):
        ident = fitted.entry if number == 0 else f"{fitted.entry}#{number + 1}"
        # One reading stands for all alike pieces of an entry, so they share its error.
        pieces.append(Shim(source, fitted.thickness, 0.0, ident, name))
