"""The limits a size must keep, and where they come from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.metrology.ranges import SIZE_RULES
from gudgeon.metrology.sizes import Size
from gudgeon.sheet.base import Limits

if TYPE_CHECKING:
    from gudgeon.sheet.model import Sheet


#: Said of a clearance that stands over a shim which does not stay.
OVER_CHECKING_SHIM: Final = "read in the dry build over a checking shim: no verdict"


class Kept(NamedTuple):
    """The limits of one size.

    Attributes:
        new: of a new part. service: of wear. source: page of the manual.
        by: which part of the sheet states them.
        elsewhere: what decides in its place: a fit or shells that the feature belongs to.
        unjudged: why it gets no verdict at all, where it is no size to be judged.
        edge: the new range of its feature, for ends that its own new range leaves out.
    """

    new: Limits | None
    service: Limits | None
    source: str
    by: str
    elsewhere: str = ""
    unjudged: str = ""
    edge: Limits | None = None

    @property
    def given(self) -> bool:
        """Whether there is any limit at all."""
        return self.new is not None or self.service is not None


def limits_of(sheet: Sheet, size: Size) -> Kept:
    """The limits of a size.

    A derived size without a new range of its own has that of its feature, where the rule gives a
    size of the feature. A valve clearance has the window of the shims, which is its limit when
    new and in service alike; read in the dry build it has none, for its shim does not stay. The
    new range of a feature that is one half of a fit or of a bearing only tells whether it is as
    new; whether it may go back its clearance tells.
    """
    if size.origin == "fit":
        fit = sheet.fits[size.name]
        return _kept(fit.new, fit.service, fit.source, f"fits.{size.name}")
    feature = sheet.features[size.feature]
    if size.origin == "derive":
        spec = sheet.derive[size.name]
        new, source, edge = _given(spec.new), spec.source, None
        if spec.rule in SIZE_RULES:
            edge = _given(feature.new)
            if new is None:
                new, source = edge, spec.source or feature.source
        return _kept(new, spec.service, source, f"derive.{size.name}")._replace(edge=edge)
    shims = sheet.select.shims
    if shims is not None and shims.gap == size.feature and size.epoch == "dry":
        return Kept(None, None, "", "", unjudged=OVER_CHECKING_SHIM)
    if shims is not None and shims.gap == size.feature and _given(feature.new) is None:
        side = sheet.layout.side(size.place)
        window = None
        if shims.window is not None:
            window = shims.window.ex if side == "ex" else shims.window.in_
        return _kept(window, window, shims.source, "select.shims.window")
    kept = _kept(feature.new, None, feature.source, f"features.{size.name}")
    return kept._replace(elsewhere=_decided_by(sheet, size.feature))


def _decided_by(sheet: Sheet, feature: str) -> str:
    """The fit or the shells whose clearance decides about a feature; empty where none does."""
    for name, fit in sheet.fits.items():
        if feature in (fit.hole, fit.shaft):
            return name
    for name, shells in sheet.select.shells.items():
        if feature in (shells.housing, shells.journal, shells.fitted):
            return f"the oil clearance of {name}"
    return ""


def _given(limits: Limits | None) -> Limits | None:
    return None if limits is None or limits.blank else limits


def _kept(new: Limits | None, service: Limits | None, source: str | None, by: str) -> Kept:
    return Kept(_given(new), _given(service), source or "", by)


def told(limits: Limits | None) -> str:
    """Limits as people write them, with the digits of the sheet.

    >>> from gudgeon.sheet.base import Limits
    >>> told(Limits.model_validate(["0.020", "0.050"]))
    '0.020 to 0.050'
    >>> told(Limits.model_validate({"max": "58.1"}))
    'at most 58.1'
    """
    if limits is None:
        return ""
    if limits.min is not None and limits.max is not None:
        return f"{limits.min} to {limits.max}"
    if limits.max is not None:
        return f"at most {limits.max}"
    return f"at least {limits.min}"
