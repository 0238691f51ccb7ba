"""Everything the bench answers to: the one table of its pages and calls.

To add a page: a module in `views` with its `PAGE`, a template of the page's name, its strings in
`words/en`, perhaps a script in `static`, and a line here. See docs/bench.md.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, NamedTuple

from gudgeon.bench.api import devices as let
from gudgeon.bench.api import entries, plain
from gudgeon.bench.api import jobs as opening
from gudgeon.bench.api import measure as asked
from gudgeon.bench.api import papers as printed
from gudgeon.bench.api import photos as pictures
from gudgeon.bench.api import sheets as written
from gudgeon.bench.api import shop as shared
from gudgeon.bench.page import Page
from gudgeon.bench.views import (
    details,
    devices,
    drawer,
    engine,
    findings,
    job,
    labels,
    marks,
    measure,
    newsheet,
    order,
    pair,
    paired,
    photos,
    picks,
    place,
    record,
    settings,
    sheet,
    sheets,
    shop,
    tray,
)


class Call(NamedTuple):
    """A call of the API: method, address, and the endpoint, which carries its rule.

    Attributes:
        described: whether it stands in the description of the API.
    """

    method: str
    path: str
    endpoint: Callable[..., Any]
    described: bool = True


#: In the order in which they stand in the title block.
PAGES: Final[tuple[Page, ...]] = (
    shop.PAGE,
    job.PAGE,
    engine.PAGE,
    measure.PAGE,
    findings.PAGE,
    picks.PAGE,
    drawer.PAGE,
    order.PAGE,
    record.PAGE,
    place.PAGE,
    marks.PAGE,
    details.PAGE,
    labels.PAGE,
    photos.PAGE,
    sheets.PAGE,
    newsheet.PAGE,
    sheet.PAGE,
    tray.PAGE,
    settings.PAGE,
    devices.PAGE,
    pair.PAGE,
    paired.PAGE,
)

CALLS: Final[tuple[Call, ...]] = (
    Call("GET", "/static/{digest}/{name:path}", plain.static_file, described=False),
    Call("GET", "/api/openapi.json", plain.openapi, described=False),
    Call("GET", "/api/alive", plain.alive),
    Call("PUT", "/api/jobs/{job}/entries/{entry}", entries.put_entry),
    Call("GET", "/api/jobs/{job}/entries", entries.get_entries),
    Call("GET", "/api/jobs/{job}/events", entries.get_events),
    Call("GET", "/api/jobs/{job}/features/{feature}/questions", asked.get_questions),
    Call("PUT", "/api/shop/entries/{entry}", shared.put_shop_entry),
    Call("GET", "/api/jobs/{job}/order.csv", printed.order_csv),
    Call("GET", "/api/jobs/{job}/record.pdf", printed.record_pdf),
    Call("POST", "/api/sheets", written.start_sheet),
    Call("PATCH", "/api/sheets/{file}", written.save_fields),
    Call("PUT", "/api/sheets/{file}", written.save_text),
    Call("POST", "/api/sheets/{file}/entries", written.add_entry),
    Call("POST", "/api/sheets/{file}/drop", written.drop_entry),
    Call("POST", "/api/sheets/{file}/copy", written.copy_part),
    Call("POST", "/api/jobs", opening.open_job),
    Call("POST", "/api/jobs/{job}/sheet", opening.pin_sheet),
    Call("POST", "/api/jobs/{job}/sheet-copy", opening.copy_sheet_out),
    Call("PUT", "/api/jobs/{job}/photos/{entry}", pictures.put_photo),
    Call("GET", "/photos/{sha}/original", pictures.get_original, described=False),
    Call("GET", "/photos/{sha}/{size}", pictures.get_copy, described=False),
    Call("GET", "/pair/{link}", let.spend_scanned, described=False),
    Call("POST", "/api/pair", let.spend_typed),
    Call("POST", "/api/codes", let.new_code),
    Call("DELETE", "/api/codes", let.drop_code),
    Call("PATCH", "/api/devices/{device}", let.change_device),
    Call("DELETE", "/api/devices/{device}", let.turn_away),
    Call("POST", "/api/me", let.name_myself),
)
