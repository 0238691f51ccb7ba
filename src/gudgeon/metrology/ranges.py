"""The range a feature's readings are expected in when new, and how far wear may take them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from gudgeon.sheet.base import Limits
    from gudgeon.sheet.model import Sheet

#: Rules whose value is itself a size of the feature.
SIZE_RULES: Final = ("max", "min", "mean")


def usual_wear(size: float) -> float:
    """Wear to reckon with where the sheet gives no limit [mm]: common practice, no source.

    >>> round(usual_wear(78.0), 3)
    0.069
    """
    return 0.03 + 0.0005 * size


class Expected(NamedTuple):
    """Range of a new part, and the wear to reckon with beyond it [mm]."""

    low: float
    high: float
    wear: float


def expected_range(sheet: Sheet, feature: str, shift: float = 0.0) -> Expected | None:
    """The range expected of a feature's readings; none where the sheet does not bound it.

    From the feature's own range, else that of a size derived from it; one end that is missing is
    taken from the service limit. `shift` [mm] moves all of it: an engine on an oversize.
    """
    spec = sheet.features.get(feature)
    if spec is None:
        return None
    derived = [
        item for item in sheet.derive.values() if item.from_ == feature and item.rule in SIZE_RULES
    ]
    new = [spec.new, *(item.new for item in derived)]
    service = [item.service for item in derived]
    low, high = _end(new, "min"), _end(new, "max")
    worn_low, worn_high = _end(service, "min"), _end(service, "max")
    low = worn_low if low is None else low
    high = worn_high if high is None else high
    if low is None or high is None or high < low:
        return None
    usual = usual_wear(abs(high))
    room = [
        abs(worn - edge)
        for worn, edge in ((worn_high, high), (worn_low, low))
        if worn is not None and worn != edge
    ]
    wear = max(0.5 * max(room), 0.01) if room else usual
    return Expected(low + shift, high + shift, wear)


def _end(limits: list[Limits | None], end: str) -> float | None:
    for item in limits:
        value = getattr(item, end) if item is not None else None
        if value is not None:
            return float(value)
    return None
