"""Working out what the shop page shows before anybody asks, in the background."""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING, Final

from gudgeon.bench.views.job import front_of
from gudgeon.faults import Unusable
from gudgeon.store.jobs import job_names

if TYPE_CHECKING:
    from gudgeon.bench.state import Bench

LOG: Final = logging.getLogger("gudgeon.bench")


def warm(bench: Bench, ending: threading.Event) -> None:
    """Work out the front of every job once; stop when the bench does."""
    try:
        names = job_names(bench.store)
    except Unusable:
        return  # the first page that is asked for says what is wrong
    for name in names:
        if ending.is_set():
            return
        try:
            front_of(bench.desk, name)
        except Unusable:
            continue  # the job's own page says what is wrong
        except Exception:
            LOG.exception("the front of %s could not be worked out", ascii(name))
