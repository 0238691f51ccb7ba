"""A simulated bench: true sizes in, readings with believable scatter out, from a fixed seed.

Used for the demo alone. The scatter here is invented, as the engines are.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import product
from typing import Any, Final

from gudgeon.sheet.features import Feature
from gudgeon.sheet.model import Sheet

#: What each instrument of the demo shop does: zero error [mm], scatter of one reading [mm],
#: decimals it shows.
GAUGES: Final[dict[str, tuple[float, float, int]]] = {
    "micrometer-0.001": (0.0006, 0.0010, 3),
    "micrometer-0.01": (0.001, 0.0020, 2),
    "bore-gauge": (-0.0010, 0.0020, 3),
    "ball-gauge": (0.0010, 0.0030, 3),
    "caliper": (0.005, 0.010, 2),
    "depth-micrometer": (0.002, 0.0025, 2),
    "straight-edge": (0.0, 0.004, 2),
    "lever-dial": (0.0, 0.002, 3),
    "plunger-dial": (0.0, 0.004, 2),
}
#: Name of the instrument in the demo shop for each kind.
NAMES: Final[dict[str, str]] = {kind: f"{kind}-a" for kind in GAUGES} | {"feeler": "feeler-a"}
_ALPHA: Final = {"aluminium": 23e-6, "cast-aluminium": 21.5e-6, "iron": 11e-6, "steel": 11.5e-6}
Body = dict[str, Any]


def spots(feature: Feature) -> Iterator[dict[str, str]]:
    """Every spot of a feature's plan, in order; one empty spot where it has none."""
    for levels in product(*feature.plan.values()):
        yield dict(zip(feature.plan, levels, strict=True))


@dataclass
class Bench:
    """Somebody measuring an engine, one reading after another.

    Attributes:
        sheet: the engine's sheet. prefix: begins every entry's id. clock: time of the next entry.
        room: room temperature [degrees C]. entries: what was written so far.
    """

    sheet: Sheet
    prefix: str
    seed: int
    clock: datetime = datetime(2026, 9, 7, 8, 0, tzinfo=UTC)
    room: float = 20.5
    entries: list[Body] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)

    def scatter(self, spread: float) -> float:
        """A normal error by the polar method, the same on every Python version."""
        while True:
            x, y = 2 * self.chance.random() - 1, 2 * self.chance.random() - 1
            if 0 < (square := x * x + y * y) < 1:
                return spread * x * math.sqrt(-2 * math.log(square) / square)

    def wait(self, days: int, hour: int = 8, room: float | None = None) -> None:
        """Go on another day."""
        self.clock = (self.clock + timedelta(days=days)).replace(hour=hour, minute=0, second=0)
        self.room = self.room if room is None else room

    def add(self, kind: str, seconds: int = 20, **body: Any) -> Body:
        """Write one entry."""
        made = {
            "id": f"{self.prefix}-{len(self.entries) + 1:04d}",
            "at": self.clock.isoformat().replace("+00:00", "Z"),
            "kind": kind,
            **{key: value for key, value in body.items() if value is not None},
        }
        self.clock += timedelta(seconds=seconds)
        self.entries.append(made)
        return made

    def read(
        self,
        feature: str,
        place: str,
        true: float,
        spot: Mapping[str, str] | None = None,
        epoch: str = "found",
        attempt: int = 1,
        slip: float = 0.0,
        noise: float | None = None,
    ) -> Body:
        """Read a size whose true value at 20 degrees C is `true` [mm], with a planted slip [mm]."""
        spec = self.sheet.features[feature]
        gauge = spec.by or "caliper"
        zero, scatter, decimals = GAUGES[gauge]
        value = true + (0.0 if spec.kind in ("flatness", "run-out") else zero)
        warm = self.room + (0.3 if spec.of else 0.0)
        corrected = spec.kind in ("size", "height") and spec.of is not None
        if corrected:
            value *= 1 + (_ALPHA[str(spec.of)] * (warm - 20) - 11.5e-6 * (self.room - 20))
        value += self.scatter(scatter if noise is None else noise) + slip
        return self.add(
            "reading",
            place=place,
            feature=feature,
            spot=dict(spot) if spot else None,
            epoch=None if epoch == "found" else epoch,
            attempt=None if attempt == 1 else attempt,
            typed=f"{max(value, 0.0):.{decimals}f}",
            instrument=NAMES[gauge],
            part_temp=f"{warm:.1f}" if corrected else None,
            gauge_temp=f"{self.room:.1f}" if corrected else None,
        )

    def blades(
        self, feature: str, place: str, true: float, epoch: str = "found", attempt: int = 1
    ) -> Body:
        """Feel a gap whose true value is `true` [mm] with blades in steps of 0.01 from 0.03."""
        felt = true + self.scatter(0.004)
        goes = math.floor(felt * 100 + 1e-9) / 100
        step = 0.01 if felt < 0.30 else 0.05
        if step == 0.05:
            goes = math.floor(felt * 20 + 1e-9) / 20
        return self.add(
            "feeler",
            place=place,
            feature=feature,
            epoch=None if epoch == "found" else epoch,
            attempt=None if attempt == 1 else attempt,
            goes=f"{goes:.2f}" if goes >= 0.03 else None,
            wont=f"{max(goes + step, 0.03):.2f}",
            feel=("free", "drag", "tight")[min(2, int((felt - goes) / step * 3))],
            instrument=NAMES["feeler"],
            part_temp=f"{self.room:.1f}",
        )

    def sweep(self, feature: str, truth: Mapping[str, Any]) -> None:
        """Read a whole feature. `truth` maps place -> a size, or a function of the spot."""
        spec = self.sheet.features[feature]
        for place in self.sheet.layout.of(spec.at):
            if place not in truth:
                continue
            for spot in spots(spec):
                size = truth[place]
                self.read(feature, place, size(spot) if callable(size) else size, spot)
