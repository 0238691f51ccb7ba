"""The jobs of the shop as the bench has them at hand: logs read on from where they were, the job
they fold to, and what is computed from it, each once for every state of the log.

Nothing here is kept anywhere else. A log only grows, so how long it is says which state it is in.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar, cast

from gudgeon.bench.errors import Differs, Missing
from gudgeon.bench.folding import folded_on
from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import canonical, entry_hash, last_of
from gudgeon.log.checks import problems_with
from gudgeon.log.codec import body_of, entry_from, read_bodies
from gudgeon.log.entries import Entry
from gudgeon.log.fold import fold, fold_shop
from gudgeon.log.job import Job, Shop
from gudgeon.numbers import shown
from gudgeon.store.interface import SHOP_LOG, Grown, Store
from gudgeon.store.jobs import need_job

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.metrology.findings import Findings

T = TypeVar("T")
#: What an entry says of its writing, which the bench fills in.
_FILLED: Final = ("device", "prev")
#: Kinds that may change the sheet in force, and so what every other entry means.
_TURNING: Final = ("sheet", "depart", "strike", "setting", "opened")
_TRIES: Final = 20


class Kept(NamedTuple):
    """What keeping an entry did: its body in the log, whether it was there already, and how many
    entries the log has."""

    body: str
    already: bool
    held: int


class State(NamedTuple):
    """How long the log of a job and that of the shop are: what results rest on."""

    job: int
    shop: int


@dataclass(slots=True)
class _Log:
    """One log as far as it has been read."""

    name: str
    bodies: list[str] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    by_id: dict[str, str] = field(default_factory=dict)
    ends: dict[str, str | None] = field(default_factory=dict)
    lock: threading.RLock = field(default_factory=threading.RLock)
    results: dict[str, tuple[State, Any]] = field(default_factory=dict)

    def take(self, bodies: tuple[str, ...]) -> None:
        """Add what is new in the log."""
        of = "shop" if self.name == SHOP_LOG else "job"
        entries = read_bodies(bodies, self.name, of)
        for body, entry in zip(bodies, entries, strict=True):
            self.by_id[entry.id] = body
            self.ends.pop(entry.device, None)
        self.bodies += bodies
        self.entries += entries


class Desk:
    """Every job of a shop, at hand."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._logs: dict[str, _Log] = {}
        self._lock = threading.Lock()
        # Python works out one thing at a time anyway. Several at once would each take longer, and
        # an entry on its way to the disk would wait for all of them in turn.
        self._computing = threading.RLock()

    def bodies(self, name: str, after: int = 0) -> tuple[str, ...]:
        """The entries of a job's log as stored, without the first `after`.

        Raises:
            Missing: there is no such job.
        """
        return tuple(self._job_log(name).bodies[max(0, after) :])

    def state(self, name: str) -> State:
        """How far a job has come.

        Raises:
            Missing: there is no such job.
        """
        return State(len(self._job_log(name).bodies), len(self._read(SHOP_LOG).bodies))

    def job(self, name: str) -> Job:
        """A job as its log says now.

        Raises:
            Missing: there is no such job.
        """
        return self.result(name, "job", self._fold)

    def shop(self, name: str = "") -> Shop:
        """The shop as a job sees it: the drawer less what others have reserved."""
        return fold_shop(self._entries(SHOP_LOG), name)

    def findings(self, name: str) -> Findings:
        """Sizes, verdicts and questions of a job.

        Raises:
            Missing: there is no such job.
        """
        from gudgeon.metrology.findings import findings

        return self.result(name, "findings", lambda: findings(self.job(name), self.shop(name)))

    def picks(self, name: str) -> Picks:
        """What to fit in a job.

        Raises:
            Missing: there is no such job.
            Unusable: a setting is not what it should be.
        """
        from gudgeon.fit.picks import picks

        def make() -> Picks:
            return picks(self.job(name), self.shop(name), self.findings(name).table)

        return self.result(name, "picks", make)

    def result(self, name: str, what: str, make: Callable[..., T]) -> T:
        """A result of a job, computed once for each state of its log and the shop's.

        Args:
            name: of the job. what: name of the result. make: computes it; takes the job's name
                or nothing.

        Raises:
            Missing: there is no such job.
        """
        log = self._job_log(name)
        held = log.results.get(what)
        if held is not None and held[0] == self.state(name):
            return cast(T, held[1])
        with self._computing:
            state = self.state(name)
            held = log.results.get(what)
            if held is None or held[0] != state:
                made = make(name) if what == "job" else make()
                held = (state, made)
                log.results[what] = held
            return cast(T, held[1])

    def beside(self, name: str, what: str, make: Callable[[Job], T]) -> T | None:
        """A result of a job as it was last folded, perhaps some entries behind; none where it never
        was.

        Nothing is read and nobody is waited for: for whoever works out a result of one job and
        looks at all the others besides.
        """
        log = self._logs.get(name)
        held = log.results.get("job") if log else None
        if log is None or held is None:
            return None
        state, job = held
        kept = log.results.get(what)
        if kept is None or kept[0] != state:
            kept = (state, make(cast("Job", job)))
            log.results[what] = kept
        return cast(T, kept[1])

    def latest(self, name: str, what: str) -> Any:
        """A result as it was last worked out, perhaps some entries behind; none where it never was.
        Nobody is waited for."""
        log = self._logs.get(name)
        held = log.results.get(what) if log else None
        return None if held is None else held[1]

    def ready(self, name: str, what: str) -> bool:
        """Whether a result is at hand, so that asking for it takes no time."""
        log = self._logs.get(name)
        held = log.results.get(what) if log else None
        return held is not None and held[0] == self.state(name)

    def keep(self, name: str, sent: dict[str, Any], device: str) -> Kept:
        """Put an entry into a job's log; it is on the disk when this returns.

        The bench fills in which device wrote it, and the hash of the entry this device wrote
        before, so that devices may send in any order. The same entry again changes nothing.

        Args:
            name: of the job. sent: the entry's fields. device: name of who writes.

        Raises:
            Missing: there is no such job.
            Differs: the id stands for something else.
            Unusable: it is no entry of a job, or makes no sense for this engine.
        """
        where = str(sent.get("id", "entry"))
        plain = {key: value for key, value in sent.items() if key not in _FILLED}
        entry = entry_from({**plain, "device": device}, where, "job")
        log = self._job_log(name)
        for _ in range(_TRIES):
            with log.lock:
                old = log.by_id.get(entry.id)
                if old is not None:
                    return _again(log, old, entry)
                self._judge(name, log, entry)
                body = _written(log, entry, device)
                try:
                    self.store.append(name, [body], len(log.bodies))
                except Grown:
                    self._read(name)
                    continue
                log.take((body,))
                log.ends[device] = entry_hash(body)
                return Kept(body, False, len(log.bodies))
        raise Unusable(Fault("shop", "others keep writing to this log", "try again in a moment"))

    def _judge(self, name: str, log: _Log, entry: Entry) -> None:
        """Refuse what makes no sense for this engine.

        A strike-out may come before what it strikes: devices send in any order.
        """
        kind = str(getattr(entry, "kind", ""))
        job = self._sheet_job(log)
        faults = [Fault(entry.id, p.wrong, p.right) for p in problems_with(entry, job.sheet)]
        if kind in ("sheet", "depart"):
            known = {(fault.where, fault.wrong) for fault in job.faults}
            after = fold(name, [*log.entries, entry]).faults
            faults = [fault for fault in after if (fault.where, fault.wrong) not in known]
        if faults:
            raise Unusable(faults)

    def sheet_job(self, name: str) -> Job:
        """A job with the sheet in force now; its readings may be some entries behind.

        Raises:
            Missing: there is no such job.
        """
        return self._sheet_job(self._job_log(name))

    def _sheet_job(self, log: _Log) -> Job:
        """Folded here where it must be, not by `job`: whoever keeps an entry holds the log's lock,
        and whoever works out a result waits for that lock. The one must not wait for the other."""
        with log.lock:
            held = log.results.get("job")
            if held is not None:
                since = log.entries[held[0].job :]
                if not any(getattr(entry, "kind", "") in _TURNING for entry in since):
                    return cast(Job, held[1])
            shared = self._entries(SHOP_LOG)
            made = _folded(log.name, log.entries, log.results.get("job"), shared)
            log.results["job"] = (State(len(log.bodies), len(shared)), made)
            return made

    def _fold(self, name: str) -> Job:
        """Folded from a copy: an entry that comes meanwhile does not wait for it."""
        log, shared = self._read(name), self._entries(SHOP_LOG)
        with log.lock:
            entries, held = list(log.entries), log.results.get("job")
        return _folded(name, entries, held, shared)

    def _entries(self, name: str) -> list[Entry]:
        log = self._read(name)
        with log.lock:
            return list(log.entries)

    def _job_log(self, name: str) -> _Log:
        log = self._read(name) if name in self._logs and name != SHOP_LOG else None
        if log is None or not log.bodies:
            try:
                need_job(self.store, name)
            except Unusable as problem:
                raise Missing(problem.faults) from None
            log = self._read(name)
        return log

    def _read(self, name: str) -> _Log:
        """A log, read on to its end."""
        with self._lock:
            log = self._logs.setdefault(name, _Log(name))
        with log.lock:
            new = self.store.read(name, after=len(log.bodies))
            if new:
                log.take(new)
        return log


def _folded(
    name: str, entries: list[Entry], held: tuple[State, Any] | None, shared: list[Entry]
) -> Job:
    """The job, from the one at hand where that is enough."""
    if held is not None and held[0].shop == len(shared):
        more = folded_on(held[1], entries[held[0].job :])
        if more is not None:
            return more
    return fold(name, entries, shared)


def _written(log: _Log, entry: Entry, device: str) -> str:
    """The body of an entry as this device chains it."""
    if device not in log.ends:
        log.ends[device] = last_of(log.bodies, device)
    prev = log.ends[device]
    fields = json.loads(body_of(entry)) | ({"prev": prev} if prev else {})
    return canonical(fields)


def _again(log: _Log, old: str, entry: Entry) -> Kept:
    """An entry that came before: the same, or not.

    Raises:
        Differs: it is not.
    """
    stored, sent = json.loads(old), json.loads(body_of(entry))
    if _said(stored) == _said(sent):
        return Kept(old, True, len(log.bodies))
    raise Differs(
        Fault(
            entry.id,
            f"{log.name} has another entry with the id {shown(entry.id)}, and the two differ",
            "give the new one an id of its own, or drop it",
        ),
        stored,
        _said(sent),
    )


def _said(fields: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in fields.items() if key not in _FILLED}
