"""Time and memory of whole commands on the demo shop, each as a new process.

    .venv/bin/python benchmarks/commands.py [--runs N] [--shop DIR] [--json]

Prints a table; nothing here passes or fails, since a busy machine says little about a program.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

PROGRAM = Path(sys.executable).with_name("gudgeon")


class Target(NamedTuple):
    """What a command may take: median wall time [s] and peak memory [MB]."""

    seconds: float
    megabytes: float | None = None

    def __str__(self) -> str:
        memory = "" if self.megabytes is None else f", {self.megabytes:g} MB"
        return f"{self.seconds:g} s{memory}"


class Run(NamedTuple):
    """One process: wall time [s] and peak resident memory [MB]."""

    seconds: float
    megabytes: float


class Row(NamedTuple):
    """All runs of one command."""

    name: str
    runs: list[Run]
    target: Target | None

    @property
    def median(self) -> float:
        return statistics.median(run.seconds for run in self.runs)

    @property
    def peak(self) -> float:
        return max(run.megabytes for run in self.runs)


def environment(shop: Path) -> dict[str, str]:
    """The caller's, with the shop named and bytecode kept as a user's installation keeps it."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "GUDGEON_SHOP": str(shop)}


def run(arguments: list[str], shop: Path) -> Run:
    """Run the program once. Exit status 1 is an answer ("no"); a crash or any other stops all."""
    with tempfile.TemporaryFile() as errors:
        start = time.perf_counter()
        process = subprocess.Popen(
            [PROGRAM, *arguments], stdout=subprocess.DEVNULL, stderr=errors, env=environment(shop)
        )
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        errors.seek(0)
        said = errors.read().decode(errors="replace")
        if process.returncode not in (0, 1) or "Traceback" in said:
            sys.exit(f"gudgeon {' '.join(arguments)} ended with {process.returncode}:\n{said}")
    # Linux counts kilobytes, macOS bytes.
    return Run(seconds, usage.ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2))


def jobs(shop: Path) -> list[str]:
    """Names of the shop's jobs."""
    done = subprocess.run(
        [PROGRAM, "job", "list", "--json"],
        env=environment(shop),
        stdout=subprocess.PIPE,
        text=True,
        check=False,
    )
    if done.returncode:
        sys.exit(f"gudgeon job list ended with {done.returncode}")
    return [entry["job"] for entry in json.loads(done.stdout)["jobs"]]


def largest_sheet(shop: Path) -> Path:
    """The largest sheet of the shop."""
    sheets = sorted(shop.rglob("*.yaml"), key=lambda p: (p.stat().st_size, p.name))
    if not sheets:
        sys.exit(f"{shop}: there is no sheet in this shop, lay one out with gudgeon demo")
    return sheets[-1]


def commands(job: str, sheet: Path, out: Path) -> list[tuple[str, list[str], Target | None]]:
    """What is timed: its name, its arguments and its target."""
    return [
        ("--version", ["--version"], None),
        (f"findings {job}", ["findings", job], Target(0.5, 150)),
        (f"picks {job}", ["picks", job], Target(0.5, 150)),
        (f"record {job}", ["record", job, "-o", str(out / "record.pdf")], Target(2.5)),
        (f"sheet check {sheet.name}", ["sheet", "check", str(sheet)], Target(0.4)),
    ]


def measure(shop: Path, runs: int, out: Path) -> list[Row]:
    """Time every command on every job; one run of each goes before, to warm the disk cache."""
    rows: dict[str, Row] = {}
    for job in jobs(shop):
        for name, arguments, target in commands(job, largest_sheet(shop), out):
            if name not in rows:
                run(arguments, shop)
                rows[name] = Row(name, [run(arguments, shop) for _ in range(runs)], target)
    return list(rows.values())


def table(rows: list[Row]) -> str:
    """The rows as a table in Markdown."""
    width = max(len(row.name) for row in rows)
    lines = [
        f"| {'gudgeon ...':{width}} | median | slowest |   peak | target        |",
        f"|{'-' * (width + 2)}|-------:|--------:|-------:|---------------|",
    ]
    for row in rows:
        slowest = max(item.seconds for item in row.runs)
        lines.append(
            f"| {row.name:{width}} | {row.median:4.2f} s | {slowest:5.2f} s "
            f"| {row.peak:3.0f} MB | {row.target or '-'!s:13} |"
        )
    return "\n".join(lines)


def as_json(rows: list[Row]) -> str:
    """The rows as JSON."""
    answer = [
        {
            "command": row.name,
            "median_s": round(row.median, 4),
            "peak_mb": round(row.peak, 1),
            "runs": len(row.runs),
            "target": str(row.target or ""),
        }
        for row in rows
    ]
    return json.dumps(answer, indent=1)


def main() -> None:
    """Measure on a shop that is there, or on a demo shop laid out for the purpose."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--runs", type=int, default=9, help="runs of each command (default 9)")
    options.add_argument("--shop", type=Path, help="a shop to measure on; default: a new demo shop")
    options.add_argument("--json", action="store_true", help="JSON instead of a table")
    chosen = options.parse_args()
    if chosen.runs < 1:
        options.error("--runs must be 1 or more")
    with tempfile.TemporaryDirectory() as folder:
        shop = chosen.shop or Path(folder) / "demo-shop"
        if chosen.shop is None:
            run(["demo", str(shop), "--no-serve"], shop)
        rows = measure(shop, chosen.runs, Path(folder))
    print(as_json(rows) if chosen.json else table(rows))


if __name__ == "__main__":
    main()
