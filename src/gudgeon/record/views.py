"""The views of an engine as a record or a measuring sheet lays them out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from gudgeon.record.data import Figure
from gudgeon.record.engine_drawing import NO_VALUES, draw_plan, plan_notes
from gudgeon.record.engine_end import draw_end
from gudgeon.record.engine_side import draw_side, side_notes
from gudgeon.record.marks import Tag
from gudgeon.record.svg import PRINT, Ink
from gudgeon.sheet.model import Sheet

_FULL: Final = 170.0
_SIDE: Final = 108.0
_END: Final = 58.0


def engine_views(
    sheet: Sheet, values: Mapping[str, Tag] = NO_VALUES, ink: Ink = PRINT
) -> tuple[tuple[Figure, ...], ...]:
    """Rows of figures: from above; then the crank, with a view along it for a V or a flat engine.

    Args:
        sheet: which engine. values: address -> what stands there. ink: colours and faces.
    """
    name, end = sheet.engine.name, sheet.layout.end
    if not sheet.layout.of("cylinder"):
        return ()
    above = Figure(
        draw_plan(sheet, values, ink, _FULL),
        f"{name} from above; {end}",
        " ".join(plan_notes(sheet)),
    )
    along = draw_end(sheet, ink, _END)
    side = Figure(
        draw_side(sheet, values, ink, _FULL if along is None else _SIDE),
        f"{name}, crank from the side",
        " ".join(side_notes(sheet)),
    )
    if along is None:
        return ((above,), (side,))
    return ((above,), (side, Figure(along, f"{name}, seen along the crank")))
