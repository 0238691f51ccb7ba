"""The record of a job as PDF, made once for each state of its log.

It takes a second or two, so it is kept until the log grows; nobody who enters a reading waits.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from gudgeon.order.needs import order

if TYPE_CHECKING:
    from gudgeon.bench.desk import Desk, State
    from gudgeon.order.lines import Order
    from gudgeon.record.document import Paper

#: How many records are kept: some half a megabyte each.
KEPT: Final = 12


@dataclass(slots=True)
class Papers:
    """The records made so far."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    made: OrderedDict[tuple[str, str], tuple[State, bytes]] = field(default_factory=OrderedDict)

    def ready(self, desk: Desk, name: str, paper: Paper) -> bool:
        """Whether the record of the job as it is now is at hand."""
        held = self.made.get((name, paper))
        return held is not None and held[0] == desk.state(name)

    def record(self, desk: Desk, name: str, paper: Paper) -> bytes:
        """The record of a job as it is now.

        Raises:
            Missing: there is no such job.
            Unusable: its log, or a setting, can't be used.
        """
        with self.lock:
            state = desk.state(name)
            held = self.made.get((name, paper))
            if held is None or held[0] != state:
                held = (state, _made(desk, name, paper))
                self.made[(name, paper)] = held
                while len(self.made) > KEPT:
                    self.made.popitem(last=False)
            self.made.move_to_end((name, paper))
            return held[1]


def order_of(desk: Desk, name: str) -> Order:
    """What to buy for a job.

    Raises:
        Missing: there is no such job.
        Unusable: a setting can't be used.
    """
    return desk.result(
        name, "order", lambda: order(desk.job(name), desk.picks(name), desk.findings(name))
    )


def _made(desk: Desk, name: str, paper: Paper) -> bytes:
    from gudgeon.record.assemble import record_data
    from gudgeon.record.document import record_pdf

    job, found, picked = desk.job(name), desk.findings(name), desk.picks(name)
    return record_pdf(record_data(job, found, picked, order_of(desk, name)), paper)
