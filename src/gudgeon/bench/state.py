"""Everything a running bench holds, and one request of it as pages see it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from starlette.requests import Request

from gudgeon.bench.config import Config
from gudgeon.bench.desk import Desk
from gudgeon.bench.gate.devices import FILE, Devices
from gudgeon.bench.gate.pairing import Pairing
from gudgeon.bench.gate.who import STRANGER, Who
from gudgeon.bench.papers import Papers
from gudgeon.bench.static_files import Statics
from gudgeon.bench.watch import Watch
from gudgeon.store.interface import Store


@dataclass(frozen=True, slots=True)
class Bench:
    """A running bench.

    Attributes:
        store: the shop. config: how it was started. desk: the jobs at hand.
        devices: those let in. pairing: the codes alive. watch: who waits for news.
        statics: scripts, styles, fonts. folder: the shop's, for its sheets and photos.
        papers: records made.
    """

    store: Store
    config: Config
    desk: Desk
    devices: Devices
    pairing: Pairing
    watch: Watch = field(default_factory=Watch)
    statics: Statics = field(default_factory=Statics)
    papers: Papers = field(default_factory=Papers)
    folder: Path = Path()


def make_bench(store: Store, config: Config, folder: Path) -> Bench:
    """A bench for a shop, with its devices from a file in the shop's folder.

    Raises:
        Unusable: the file of devices is damaged.
    """
    devices = Devices(folder / FILE, taken=(config.device,))
    return Bench(store, config, Desk(store), devices, Pairing(config.clock), folder=folder)


@dataclass(frozen=True, slots=True)
class Ask:
    """One request, as the view of a page sees it.

    Attributes:
        bench: the bench. who: who asks. parts: of the address, as `job`. query: after the `?`.
    """

    bench: Bench
    who: Who
    parts: Mapping[str, str] = field(default_factory=dict)
    query: Mapping[str, str] = field(default_factory=dict)


def bench_of(request: Request) -> Bench:
    """The bench a request came to."""
    bench: Bench = request.app.state.bench
    return bench


def who_of(request: Request) -> Who:
    """Who asks, as the gate found out; a stranger where it did not look."""
    who: Who = request.scope.get("gudgeon.who", STRANGER)
    return who


def asking(request: Request) -> Ask:
    """A request as an `Ask`: for `Depends`."""
    return Ask(bench_of(request), who_of(request), request.path_params, dict(request.query_params))
