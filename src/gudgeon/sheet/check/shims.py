"""Shims: the sizes that can be had must serve every clearance a valve can end up with."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.found import SAME, Remark, Remarks, limits_text, mm, span
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.select import Series, Shims
from gudgeon.sheet.yamltext import Path

_PATH: Final[Path] = ("select", "shims")
#: Marking rule -> the step of sizes [mm] that it can express.
_EXPRESSES: Final = {"quarters": 0.025, "hundredths": 0.01, "thousandths": 0.001}


def sizes_of(series: Series) -> list[float]:
    """Every size of a series [mm], from thinnest to thickest."""
    count = int((series.to - series.from_) / series.step + 1e-6)
    return [series.from_ + place * series.step for place in range(count + 1)]


def _sides(shims: Shims) -> Iterator[tuple[str, Limits, Length | None]]:
    """Side, window and aim, for each side that has a window."""
    aim = shims.aim
    if shims.window is not None:
        if shims.window.in_ is not None:
            yield "in", shims.window.in_, aim.in_ if aim else None
        if shims.window.ex is not None:
            yield "ex", shims.window.ex, aim.ex if aim else None


def check_shim_steps(loaded: Loaded) -> Remarks:
    """Between any two sizes next to each other, one lands inside the window."""
    shims = loaded.sheet.select.shims
    if shims is None or not shims.series or shims.gear == "rocker-screw":
        return
    sizes = sorted({round(size, 6) for series in shims.series for size in sizes_of(series)})
    lever = shims.ratio if shims.read_at == "cam" and shims.gear == "finger" else 1.0
    gaps = [(high - low, low, high) for low, high in pairwise(sizes)]
    if not gaps or lever <= 0:
        return
    widest, low, high = max(gaps, key=lambda gap: round(gap[0], 6))
    said: set[float] = set()
    for side, window, _ in _sides(shims):
        if window.min is None or window.max is None:
            continue
        width = round(float(window.max) - float(window.min), 6)
        moves = widest / lever
        if moves <= width + SAME or width in said:
            continue
        said.add(width)
        sum_ = f"{mm(high)} − {mm(low)}"
        sum_ = sum_ if lever == 1.0 else f"({sum_}) / {lever:g}"
        yield Remark(
            (*_PATH, "series"),
            f"from {mm(low)} to {mm(high)} the clearance moves by {mm(moves)}, but the {side}"
            f" window is only {mm(width)} wide: some valves can't be served",
            f"give sizes no more than {mm(width * lever)} apart",
            f"{sum_} = {mm(moves)} > {window.max} − {window.min} = {mm(width)}",
        )


def check_shim_series(loaded: Loaded) -> Remarks:
    """Each series ends on a step, has sizes its marks can express, and spares some spread."""
    shims = loaded.sheet.select.shims
    if shims is None:
        return
    for place, series in enumerate(shims.series):
        path = (*_PATH, "series", place)
        last = sizes_of(series)[-1]
        if series.to - last > SAME:
            yield Remark(
                (*path, "to"),
                f"steps of {series.step} from {series.from_} end at {mm(last)}, not at {series.to}",
                "check from, to and step",
                severity="look",
            )
        yield from _marking(shims, series, path)
        if series.tolerance is not None and 2 * series.tolerance >= series.step:
            yield Remark(
                (*path, "tolerance"),
                f"sizes {series.step} apart may depart by {series.tolerance} each way",
                "then neighbours can change places; check the tolerance",
                f"2 × {series.tolerance} = {mm(2 * series.tolerance)} ≥ {series.step}",
            )


def _marking(shims: Shims, series: Series, path: Path) -> Remarks:
    step = _EXPRESSES.get(shims.marking or "")
    if step is None:
        return
    for size in sizes_of(series):
        if abs(size / step - round(size / step)) * step > SAME:
            words = [
                rule
                for rule, own in _EXPRESSES.items()
                if all(abs(x / own - round(x / own)) * own <= SAME for x in sizes_of(series))
            ]
            yield Remark(
                path,
                f"the marking '{shims.marking}' can't express {mm(size)}, which is in the series",
                f"write marking: {' or '.join([*words, 'millimetres'])}",
            )
            return


def check_shim_window(loaded: Loaded) -> Remarks:
    """Windows are above nothing and wide enough, aims stand inside them."""
    shims = loaded.sheet.select.shims
    if shims is None:
        return
    for side, window, aim in _sides(shims):
        path = (*_PATH, "window", side)
        if window.min is not None and window.min <= 0:
            yield Remark(
                path,
                f"the {side} window begins at {window.min}: a valve with no clearance is held open",
                "give a lower limit above nothing",
            )
        low = -1.0 if window.min is None else float(window.min)
        high = 1000.0 if window.max is None else float(window.max)
        if aim is not None and not low - SAME <= aim <= high + SAME:
            yield Remark(
                (*_PATH, "aim", side),
                f"the {side} aim {aim} is outside the window {limits_text(window)}",
                "aim inside it",
            )
    gap = loaded.sheet.features[shims.gap]
    if gap.kind != "gap":
        yield Remark(
            ("features", shims.gap),
            f"'{shims.gap}' holds the valve clearance, but is read as a {gap.kind}",
            "add kind: gap, or it is corrected for temperature like a part",
            at_key=True,
        )
    sides = {side: window for side, window, _ in _sides(shims)}
    inlet, exhaust = (sides[key].max if key in sides else None for key in ("in", "ex"))
    if inlet is not None and exhaust is not None and exhaust < inlet - SAME:
        yield Remark(
            (*_PATH, "window"),
            "the exhaust window lies below the inlet one",
            "exhausts run hotter and are mostly set wider; check that they are not exchanged",
            severity="look",
        )
    yield from _bedding(shims, loaded)


def _bedding(shims: Shims, loaded: Loaded) -> Remarks:
    bedding = shims.bedding
    if bedding is not None and bedding.max is not None and bedding.max > SAME:
        yield Remark(
            (*_PATH, "bedding"),
            f"bedding-in opens the clearance by up to {bedding.max}",
            "seats bed in and close it: write it as [-0.03, -0.01]",
            severity="look",
        )
    if shims.gear == "finger" and "ratio" not in _written(loaded):
        yield Remark(
            _PATH,
            "a finger follower without a ratio is taken as 1",
            "add the ratio of valve to cam movement",
            severity="look",
            at_key=True,
        )


def _written(loaded: Loaded) -> dict[str, object]:
    """The keys of the shims that are not blank."""
    select = loaded.raw.get("select")
    shims = select.get("shims") if isinstance(select, dict) else None
    return {k: v for k, v in (shims or {}).items() if v is not None}


def check_shim_spread(loaded: Loaded) -> Remarks:
    """The window leaves room for the spread of what is measured, beyond the step."""
    shims = loaded.sheet.select.shims
    if shims is None or not shims.series or shims.gear == "rocker-screw":
        return
    step = min(float(series.step) for series in shims.series)
    spread = max(float(series.tolerance or 0) for series in shims.series)
    said: set[float] = set()
    for side, window, _ in _sides(shims):
        if window.min is None or window.max is None or spread <= 0:
            continue
        width = round(float(window.max) - float(window.min), 6)
        if width in said:
            continue
        said.add(width)
        if step <= width + SAME < step + 2 * spread:
            yield Remark(
                (*_PATH, "series"),
                f"with a tolerance of {mm(spread)} a shim in the middle of its step can leave the"
                f" {side} window {span(window.min, window.max)}",
                "measure each new shim before fitting it",
                f"{mm(step)} + 2 × {mm(spread)} = {mm(step + 2 * spread)} > {mm(width)}",
                "look",
            )
