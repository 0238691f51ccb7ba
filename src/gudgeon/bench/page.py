"""A page: one address, one view, one template, and perhaps one script."""

from __future__ import annotations

import dataclasses
import gzip
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from gudgeon.bench.errors import Trouble
from gudgeon.bench.gate.who import Rule
from gudgeon.bench.state import Ask, Bench, asking
from gudgeon.bench.words import words_of
from gudgeon.record.marks import mark_svg
from gudgeon.record.svg import SCREEN

#: Metadata of a view's field that is drawn, and has no place in JSON.
DRAWN: Final = {"drawn": True}
#: Smallest answer that is worth packing [bytes].
_WORTH_PACKING: Final = 800


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the bench.

    Attributes:
        name: of its template, its strings and, if it has one, its script.
        path: its address, as `/jobs/{job}/findings`.
        view: makes the values it shows, a frozen dataclass; the JSON twin is the same values.
        rule: what the gate asks of who looks at it.
        script: whether there is a `static/NAME.js`, a module.
        tab: where it stands in the title block: `shop` everywhere, `job` on the pages of a job,
            `main` on the main screen, or nowhere.
    """

    name: str
    path: str
    view: Callable[[Ask], Any]
    rule: Rule = "look"
    script: bool = False
    tab: str = ""


def drawn(default: str = "") -> Any:
    """A field of a view that holds a drawing: in the page, not in its JSON."""
    return field(default=default, metadata=DRAWN)


def plain(value: Any) -> Any:
    """A view as JSON would have it."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            item.name: plain(getattr(value, item.name))
            for item in dataclasses.fields(value)
            if not item.metadata.get("drawn")
        }
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain(item) for item in value]
    if value is None or isinstance(value, (bool, int, str)):
        return value
    return float(value) if isinstance(value, float) else str(value)


@cache
def environment() -> Environment:
    """The templates; everything that is not marked safe is escaped."""
    folder = Path(str(files("gudgeon.bench") / "templates"))
    made = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["mark"] = _mark
    made.globals["strings"] = words_of
    made.filters["json"] = script_words
    return made


@cache
def _mark(word: str) -> Markup:
    """The shape of a verdict word, to stand beside the word."""
    return Markup(mark_svg(word, ink=SCREEN))


def endpoint(page: Page, tabs: tuple[Page, ...]) -> Callable[..., Any]:
    """What answers the page's address."""

    async def answer(request: Request) -> Response:
        ask = asking(request)
        view = await run_in_threadpool(page.view, ask)
        if isinstance(view, Response):
            return view
        if wants_json(request):
            return JSONResponse(plain(view))
        html = await run_in_threadpool(render, page, tabs, ask, view)
        return packed(request, html)

    answer.__name__ = f"page_{page.name}"
    return answer


def render(page: Page, tabs: tuple[Page, ...], ask: Ask, view: Any) -> str:
    """A page as HTML."""
    job = ask.parts.get("job", "")
    return (
        environment()
        .get_template(f"{page.name}.html")
        .render(
            it=view,
            w=words_of(page.name),
            page=page,
            who=ask.who,
            job=job,
            tabs=[_tab(tab, job) for tab in tabs if _shown(tab, ask, job)],
            lan=ask.bench.config.lan,
            static=ask.bench.statics.address,
        )
    )


def _shown(tab: Page, ask: Ask, job: str) -> bool:
    """Whether a page stands in the title block."""
    if not ask.who.may(tab.rule) or ask.who.kind == "stranger":
        return False
    return tab.tab in ("shop", "main") or (tab.tab == "job" and bool(job))


def _tab(page: Page, job: str) -> dict[str, str]:
    words = words_of(page.name)
    return {"name": page.name, "words": words("tab"), "to": page.path.replace("{job}", job)}


def wants_json(request: Request) -> bool:
    """Whether the answer should be JSON: the API, the twin of a page, or asked for by header."""
    if request.url.path.startswith("/api/") or "json" in request.query_params:
        return True
    accepted = request.headers.get("accept", "")
    return "application/json" in accepted and "text/html" not in accepted


def packed(request: Request, html: str, status: int = 200) -> Response:
    """A page, packed where the browser takes it."""
    body = html.encode("utf-8")
    headers = {"Cache-Control": "no-store", "Vary": "Accept-Encoding, Accept"}
    if len(body) > _WORTH_PACKING and "gzip" in request.headers.get("accept-encoding", ""):
        body = gzip.compress(body, 5, mtime=0)
        headers["Content-Encoding"] = "gzip"
    return Response(body, status, headers, media_type="text/html")


def trouble_page(request: Request, bench: Bench, trouble: Trouble) -> Response:
    """An error, as JSON or in words on a page; a device not let in goes to where it can be."""
    if wants_json(request):
        return JSONResponse(trouble.shape(), trouble.status, {"Cache-Control": "no-store"})
    if trouble.status == 401:
        return RedirectResponse("/pair", 303, {"Cache-Control": "no-store"})
    words = words_of("trouble")
    key = f"heading-{trouble.status}"
    html = (
        environment()
        .get_template("trouble.html")
        .render(
            trouble=trouble,
            heading=words(key if key in words.texts else "heading"),
            w=words,
            static=bench.statics.address,
        )
    )
    return packed(request, html, trouble.status)


def script_words(texts: dict[str, str]) -> str:
    """A page's strings for its script, as JSON for an attribute."""
    return json.dumps(texts, ensure_ascii=False)
