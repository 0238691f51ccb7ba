"""Working out what pages show before anybody asks, in the background.

First the shelf, once; then the pages of a job whenever somebody has stopped entering readings for a
moment, so that they are ready when they are turned to.
"""

from __future__ import annotations

import logging
import threading
import time
from typing import TYPE_CHECKING, Final

from gudgeon.bench.gate.who import Who
from gudgeon.bench.state import Ask
from gudgeon.bench.views import findings, job, order, picks
from gudgeon.faults import Unusable
from gudgeon.store.jobs import job_names

if TYPE_CHECKING:
    from gudgeon.bench.page import Page
    from gudgeon.bench.state import Bench

LOG: Final = logging.getLogger("gudgeon.bench")
#: How long no entry came before a job's pages are worked out [s]: between two readings of somebody
#: who goes on there is less, and their questions should not have to wait for pages nobody looks at.
QUIET: Final = 3.0
#: How often it is looked whether a job is quiet [s].
GLANCE: Final = 0.25
#: The pages that take long, each by what the ones before it have worked out.
_PAGES: Final[tuple[Page, ...]] = (findings.PAGE, picks.PAGE, order.PAGE, job.PAGE)


def warm(bench: Bench, ending: threading.Event, quiet: float = QUIET) -> None:
    """Work out the front of every job once, then pages as there is news; stop when the bench does.

    Args:
        bench: the bench. ending: set when it closes. quiet: see `QUIET` [s].
    """
    try:
        names = job_names(bench.store)
    except Unusable:
        names = ()  # the first page that is asked for says what is wrong
    for name in names:
        if ending.is_set():
            return
        _work_out(bench, name, (job.PAGE,), bench.watch.stirred.get(name))
    stirred = bench.watch.stirred
    while not ending.wait(GLANCE):
        for name, at in list(stirred.items()):
            if time.monotonic() - at >= quiet:
                _work_out(bench, name, _PAGES, at)
                if stirred.get(name) == at:
                    stirred.pop(name, None)


def _work_out(bench: Bench, name: str, pages: tuple[Page, ...], at: float | None) -> None:
    """Let pages of a job be made as if somebody looked; stop where another entry comes."""
    ask = Ask(bench, Who("main", bench.config.device, "write"), {"job": name})
    for page in pages:
        if bench.watch.stirred.get(name) != at:
            return
        try:
            page.view(ask)
        except Unusable:
            continue  # the page says what is wrong
        except Exception:
            LOG.exception("the page %s of %s could not be worked out", page.name, ascii(name))
