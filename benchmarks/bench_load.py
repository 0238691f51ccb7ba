"""The bench under load: a big shop, ten tablets that enter at once, every page, a slow phone.

    .venv/bin/python benchmarks/bench_load.py [--jobs N] [--readings N] [--tablets N]
        [--entries N] [--views N] [--no-paint] [--json]

Lays out a shop of the demo's worn triple measured over and over (seeded, so always the same),
starts `gudgeon serve` on it as a process of its own, and asks it over loopback. Times are taken at
the client, from before the request is sent until the answer is read, and so hold whatever the
client costs too. Prints a table; nothing here passes or fails.
"""

from __future__ import annotations

import argparse
import http.client
import json
import math
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import cycle, islice
from pathlib import Path
from typing import Any, Final, NamedTuple

SHEET: Final = "triple.yaml"
PLACE: Final = "valve/1/in/L"
#: Time between two entries of one tablet [s]: a gauge read as fast as a hand can move it on.
PACE: Final = 2.0
#: Time that somebody takes to put the gauge down and turn to another page [s].
PAUSE: Final = 5.0
#: A phone of some years ago on poor Wi-Fi: slow-down of its processor, bits a second, delay [ms].
SLOW_PHONE: Final = (4, 1_600_000, 150)
_TELL_PAINT: Final = """new PerformanceObserver((list) => {
  for (const entry of list.getEntriesByName("first-contentful-paint")) painted(entry.startTime);
}).observe({type: "paint", buffered: true})"""
_OWN: Final = {"X-Gudgeon": "bench", "Content-Type": "application/json"}
_PATIENCE: Final = 300.0
Entry = dict[str, Any]


class Row(NamedTuple):
    """One thing measured.

    Attributes:
        times: each as the client saw it [ms]. target: of the 95th percentile [ms], if there is one.
        processor: what one of them cost the server, on average [ms].
    """

    what: str
    times: list[float]
    target: float | None = None
    processor: float | None = None

    def share(self, part: float) -> float:
        """A percentile, by the nearest rank."""
        ranked = sorted(self.times)
        return ranked[max(0, math.ceil(part * len(ranked)) - 1)]

    def cells(self) -> list[str]:
        """The row of the table."""
        figures = [self.share(0.5), self.share(0.95), max(self.times), self.processor, self.target]
        return [
            self.what,
            str(len(self.times)),
            *("" if f is None else f"{f:.1f}" for f in figures),
        ]

    def as_json(self) -> dict[str, Any]:
        """To keep and compare."""
        return {
            **self._asdict(),
            "p50": self.share(0.5),
            "p95": self.share(0.95),
            "max": max(self.times),
        }


# The shop


def lay_out(folder: Path, jobs: int, readings: int) -> tuple[list[str], list[Entry]]:
    """A demo shop with so many jobs of so many readings more: their names, readings to repeat."""
    from gudgeon.cli.demo import lay_out as demo
    from gudgeon.cli.demo import sheet_texts
    from gudgeon.demo.triple_job import triple_job
    from gudgeon.log.codec import body_of, entry_from
    from gudgeon.sheet.load import load
    from gudgeon.store.sqlite import SqliteStore

    demo(folder)
    text = sheet_texts()[SHEET]
    loaded = load(text, SHEET)
    first = triple_job(loaded.sheet)
    at = "2026-09-07T07:50:00Z"
    names = [f"load-{number:02d}" for number in range(jobs)]
    store = SqliteStore(folder)
    for seed, name in enumerate(names):
        opened = {"id": "o", "at": at, "kind": "opened", "title": "Invented, for load"}
        pinned = {"id": "s", "at": at, "kind": "sheet", "file": SHEET, "sha256": loaded.sha256}
        more = _again(loaded.sheet, first, seed, readings)
        entries = [opened, pinned | {"text": text}, *first, *more]
        bodies = [body_of(entry_from(entry, name, "job")) for entry in entries]
        store.append(name, bodies)
    found = [e for e in first if e["kind"] == "reading" and e.get("epoch", "found") == "found"]
    return names, found


def _again(sheet: Any, first: Sequence[Entry], seed: int, readings: int) -> list[Entry]:
    """Sizes measured again, until a job has enough readings."""
    from gudgeon.demo.bench import Bench

    bench = Bench(sheet, "again", seed)
    had = [entry for entry in first if entry["kind"] == "reading"]
    for number, entry in enumerate(islice(cycle(had), max(0, readings - len(had)))):
        bench.read(
            entry["feature"],
            entry["place"],
            float(entry["typed"]),
            entry.get("spot"),
            epoch=entry.get("epoch", "found"),
            attempt=3 + number // len(had),
        )
    return bench.entries


# The bench


@dataclass
class Bench:
    """`gudgeon serve` as a process. begun: when [s]. port: where it listens."""

    process: subprocess.Popen[str]
    begun: float
    port: int = 0
    peak: float = 0.0

    def processor(self) -> float:
        """Time of the processor that it has taken so far [ms]; where there is no /proc, none."""
        stat = Path(f"/proc/{self.process.pid}/stat")
        if not stat.exists():
            return math.nan
        ticks = stat.read_text().rpartition(")")[2].split()[11:13]
        return sum(map(int, ticks)) * 1000 / os.sysconf("SC_CLK_TCK")

    def tablet(self) -> Tablet:
        """A tablet of its own."""
        return Tablet(self.port)

    def stop(self) -> None:
        """End it, and note the peak of its resident memory [MB]."""
        self.process.send_signal(signal.SIGINT)
        _, status, usage = os.wait4(self.process.pid, 0)
        self.process.returncode = os.waitstatus_to_exitcode(status)
        self.peak = usage.ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2)


@contextmanager
def serving(folder: Path) -> Iterator[Bench]:
    """A bench on a free port, until the block ends."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "gudgeon", "serve", "--shop", str(folder), "--port", "0"],
        stdout=subprocess.PIPE,
        text=True,
        env={**kept, "CI": "1", "PYTHONUNBUFFERED": "1"},
    )
    bench = Bench(process, begun)
    try:
        assert process.stdout is not None
        for line in process.stdout:
            if "is open: " in line:
                bench.port = int(line.rsplit(":", 1)[1].strip().rstrip("/"))
            if "Stop it" in line:
                break
        else:
            sys.exit("gudgeon serve ended before it had opened")
        yield bench
    finally:
        if process.returncode is None:
            bench.stop()


class Tablet:
    """One device: a connection that stays open, and its requests timed."""

    def __init__(self, port: int) -> None:
        self.origin = f"http://127.0.0.1:{port}"
        self.line = http.client.HTTPConnection("127.0.0.1", port, timeout=_PATIENCE)

    def ask(self, method: str, path: str, body: Entry | None = None) -> tuple[int, bytes, float]:
        """Status, answer and time [ms] of one request."""
        sent = None if body is None else json.dumps(body).encode()
        headers = {"Accept-Encoding": "gzip"}
        if method != "GET":
            headers |= _OWN | {"Origin": self.origin}
        start = time.perf_counter()
        self.line.request(method, path, sent, headers)
        answer = self.line.getresponse()
        data = answer.read()
        return answer.status, data, (time.perf_counter() - start) * 1000

    def get(self, path: str) -> float:
        """Time of a page [ms]; anything but the page ends the run."""
        status, data, took = self.ask("GET", path)
        if status != 200:
            sys.exit(f"GET {path} answered {status}: {data[:300]!r}")
        return took

    def put(self, job: str, entry: Entry) -> float:
        """Time until an entry is stored and answered [ms]."""
        status, data, took = self.ask("PUT", f"/api/jobs/{job}/entries/{entry['id']}", entry)
        if status != 201:
            sys.exit(f"an entry of {job} was answered {status}: {data[:300]!r}")
        return took

    def listen(self, job: str, ending: threading.Event) -> None:
        """Hold a stream of news open, as the pages of a job do."""
        self.line.request("GET", f"/api/jobs/{job}/events")
        stream = self.line.getresponse()
        while not ending.is_set() and stream.readline():
            pass
        self.line.close()


# What is measured


@dataclass
class Measuring:
    """A tablet that measures one job, an entry after another.

    Attributes:
        entries, asked: times of entries, and of the question after each [ms].
    """

    bench: Bench
    job: str
    name: str
    readings: Iterator[Entry]
    entries: list[float] = field(default_factory=list)
    asked: list[float] = field(default_factory=list)

    def measure(self, count: int, pace: float, wait: float) -> None:
        """So many entries; one every `pace` seconds with the questions asked, or flat out where 0.

        Args:
            count: how many. pace: [s]. wait: before the first [s].
        """
        tablet, due = self.bench.tablet(), time.perf_counter() + wait
        for number, like in enumerate(islice(self.readings, count)):
            time.sleep(max(0.0, due - time.perf_counter()))
            due += pace
            self.entries.append(tablet.put(self.job, _fresh(like, f"{self.name}-{number:04d}")))
            if pace:
                path = f"/api/jobs/{self.job}/features/{like['feature']}/questions"
                self.asked.append(tablet.get(path))


def _fresh(like: Entry, key: str) -> Entry:
    at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return {**like, "id": key, "attempt": 90, "at": at}


def entering(
    bench: Bench,
    jobs: Sequence[str],
    like: Sequence[Entry],
    args: argparse.Namespace,
    how: str,
    pace: float = 0.0,
    apart: float = 0.0,
) -> Iterator[Row]:
    """All tablets, two on each job, each with its stream of news.

    Args:
        how: in words. pace: time between two entries of a tablet [s]. apart: between tablets [s].
    """
    ending = threading.Event()
    tablets = [
        Measuring(
            bench,
            jobs[n // 2 % len(jobs)],
            f"{how.replace(' ', '-')}-{n}",
            islice(cycle(like), n * 37, None),
        )
        for n in range(args.tablets)
    ]
    for tablet in tablets:
        news = bench.tablet()
        threading.Thread(target=news.listen, args=(tablet.job, ending), daemon=True).start()
    before = bench.processor()
    with ThreadPoolExecutor(args.tablets) as hands:
        done = [
            hands.submit(tablet.measure, args.entries, pace, n * apart)
            for n, tablet in enumerate(tablets)
        ]
        for hand in done:
            hand.result(_PATIENCE)
    ending.set()
    entries = [took for tablet in tablets for took in tablet.entries]
    asked = [took for tablet in tablets for took in tablet.asked]
    each = (bench.processor() - before) / len(entries)
    yield Row(f"entry, {how}", entries, 30 if pace else None, each)
    if asked:
        yield Row(f"question after it, {how}", asked)


def addresses(job: str) -> dict[str, str]:
    """Name and address of every page there is."""
    from gudgeon.bench.table import PAGES

    named = {"{job}": job, "{place:path}": PLACE, "{file}": SHEET}
    found: dict[str, str] = {}
    for page in PAGES:
        path = page.path
        for key, value in named.items():
            path = path.replace(key, value)
        if page.name not in ("pair", "paired"):  # for strangers alone
            found[page.name] = path
    return found


def pages(bench: Bench, job: str, like: Sequence[Entry], views: int) -> Iterator[Row]:
    """Every page as it stands, just after an entry has made all results of the job old, and when
    it is turned to after a pause."""
    tablet = bench.tablet()
    everywhere = addresses(job)
    for name, path in everywhere.items():
        tablet.get(path)
        before = bench.processor()
        times = [tablet.get(path) for _ in range(views)]
        yield Row(f"page {name}", times, 100, (bench.processor() - before) / views)
    of_job = {name: path for name, path in everywhere.items() if f"/{job}" in path}
    few = max(3, views // 4)
    for name, path in of_job.items():
        before, times = bench.processor(), []
        for number in range(few):
            tablet.put(job, _fresh(like[number], f"{name}-{number}"))
            times.append(tablet.get(path))
        each = (bench.processor() - before) / len(times)
        yield Row(f"page {name}, just after an entry", times, 100, each)
    paused: dict[str, list[float]] = {name: [] for name in of_job}
    for number in range(few):
        tablet.put(job, _fresh(like[number], f"pause-{number}"))
        time.sleep(PAUSE)
        tablet = bench.tablet()
        for name, path in of_job.items():
            paused[name].append(tablet.get(path))
    for name, times in paused.items():
        yield Row(f"page {name}, {PAUSE:g} s after an entry", times, 100)


def shelf_complete(bench: Bench) -> float:
    """How long after its start the bench had worked out the whole shelf [s]."""
    tablet = bench.tablet()
    for _ in range(int(_PATIENCE)):
        _, data, _ = tablet.ask("GET", "/?json")
        if json.loads(data)["complete"]:
            return time.perf_counter() - bench.begun
        time.sleep(1.0)
    sys.exit("the shelf was never complete")


def paint(bench: Bench, job: str, runs: int) -> Iterator[Row]:
    """First contentful paint of pages on a slow phone, with nothing kept from before."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    from tests.bench.browser import chromium

    with chromium() as browser:
        for name, path in addresses(job).items():
            times = [_painted(browser, f"http://127.0.0.1:{bench.port}{path}") for _ in range(runs)]
            yield Row(f"first paint of {name}", times, 1500)


def _painted(browser: Any, address: str) -> float:
    """Time from leaving for a page to its first paint with something in it [ms]."""
    slower, bits, delay = SLOW_PHONE
    rate = bits / 8
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, is_mobile=True, has_touch=True
    )
    page = context.new_page()
    line = context.new_cdp_session(page)
    line.send("Network.enable")
    line.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": delay, "downloadThroughput": rate, "uploadThroughput": rate},
    )
    seen: list[float] = []
    page.expose_function("painted", lambda at: seen.append(at))
    page.add_init_script(_TELL_PAINT)
    line.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    page.goto(address, wait_until="load")
    for _ in range(int(_PATIENCE)):
        if seen:
            break
        page.wait_for_timeout(50)
    context.close()
    return seen[0]


def measured(
    bench: Bench, jobs: list[str], like: list[Entry], args: argparse.Namespace
) -> Iterator[Row]:
    """Everything, in turn."""
    bench.tablet().get("/api/alive")
    yield Row("start, until the first answer", [(time.perf_counter() - bench.begun) * 1000])
    yield Row("start, until the whole shelf is worked out", [shelf_complete(bench) * 1000])
    yield from entering(bench, jobs, like, args, "flat out")
    yield from entering(bench, jobs, like, args, "all in the same instant", PACE)
    yield from entering(bench, jobs, like, args, "one after another", PACE, PACE / args.tablets)
    yield from pages(bench, jobs[-1], like, args.views)
    if not args.no_paint:
        yield from paint(bench, jobs[-1], max(1, args.views // 4))


def show(rows: list[Row], peak: float) -> None:
    """Print the table."""
    head = ["[ms]", "n", "p50", "p95", "max", "processor", "target"]
    table = [head, *(row.cells() for row in rows)]
    widths = [max(len(row[column]) for row in table) for column in range(len(head))]
    for row in table:
        cells = [
            cell.rjust(width) if column else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        print("| " + " | ".join(cells) + " |")
        if row is head:
            print("|" + "|".join("-" * (width + 2) for width in widths) + "|")
    print(f"\nPeak resident memory of the bench: {peak:.0f} MB")


def main() -> None:
    """Lay out, serve, measure, print."""
    parser = argparse.ArgumentParser(description="The bench under load.")
    parser.add_argument("--jobs", type=int, default=50)
    parser.add_argument("--readings", type=int, default=700, help="of each job")
    parser.add_argument("--tablets", type=int, default=10)
    parser.add_argument("--entries", type=int, default=20, help="of each tablet, three times over")
    parser.add_argument("--views", type=int, default=20, help="of each page")
    parser.add_argument("--no-paint", action="store_true", help="no browser")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        jobs, like = lay_out(Path(folder), args.jobs, args.readings)
        with serving(Path(folder)) as bench:
            rows = []
            for row in measured(bench, jobs, like, args):
                print(row.what, file=sys.stderr)
                rows.append(row)
            bench.stop()
    if args.json:
        print(json.dumps({"rows": [row.as_json() for row in rows], "peak": bench.peak}, indent=1))
    else:
        show(rows, bench.peak)


if __name__ == "__main__":
    main()
