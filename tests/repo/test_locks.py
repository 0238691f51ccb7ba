"""The lock files name every package by hash, no address and no path, and fit pyproject.toml."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
LOCKS = ("run", "dev")
SUPPORTED = ("3.11", "3.12", "3.13")


class Pin(NamedTuple):
    """One locked release, for the Pythons and systems of its marker."""

    requirement: Requirement
    hashes: tuple[str, ...]

    @property
    def version(self) -> str:
        (only,) = self.requirement.specifier
        assert only.operator == "=="
        return only.version

    def holds_for(self, python: str) -> bool:
        marker = self.requirement.marker
        return marker is None or marker.evaluate(
            {
                "python_version": python,
                "python_full_version": f"{python}.0",
                "sys_platform": "linux",
            }
        )


def text(kind: str) -> str:
    return (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8")


def parsed(lock: str) -> list[Pin]:
    """The pins of a lock file's text."""
    lines = [line for line in lock.splitlines() if not line.startswith("#")]
    pins = []
    for entry in "\n".join(lines).replace("\\\n", " ").splitlines():
        requirement, *hashes = re.split(r"\s+--hash=", entry.strip())
        pins.append(Pin(Requirement(requirement), tuple(hashes)))
    return pins


def pinned(kind: str, python: str) -> dict[str, str]:
    """Versions by name, as one Python gets them."""
    pins = [pin for pin in parsed(text(kind)) if pin.holds_for(python)]
    found = {str(canonicalize_name(pin.requirement.name)): pin.version for pin in pins}
    assert len(found) == len(pins), "a package is locked twice for one Python"
    return found


def wanted(project: dict[str, Any], kind: str) -> list[Requirement]:
    """What pyproject.toml asks for in one set."""
    groups = {"run": ("build",), "dev": ("build", "dev")}[kind]
    lines = list(project["project"]["dependencies"])
    for group in groups:
        lines += [line for line in project["dependency-groups"][group] if isinstance(line, str)]
    return [Requirement(line) for line in lines]


def leaks(lock: str) -> list[str]:
    """Addresses, index options and paths in a lock file's text."""
    pattern = r"://|@|--(?!hash=)\S+|(?:^|[\s'\"=])(?:/|~|\.{1,2}/|[A-Za-z]:[\\/])\S*|\bvia\b"
    lines = [line for line in lock.splitlines() if not line.startswith("# Made by bin/lock")]
    return [line for line in lines if re.search(pattern, line)]


@pytest.mark.parametrize("kind", LOCKS)
def test_no_address_and_no_path(kind: str) -> None:
    assert leaks(text(kind)) == []


@pytest.mark.parametrize(
    "line",
    [
        "--index-url https://host/simple",
        "--find-links wheels",
        "click @ file:///wheels/click.whl",
        "-e ./src",
        "/wheels/click-8.whl",
        "    # via -r /srv/someone/requirements.in",
        "#    uv pip compile --output-file /srv/someone/run.txt",
    ],
)
def test_a_leak_is_seen(line: str) -> None:
    assert leaks(line) == [line]


@pytest.mark.parametrize("kind", LOCKS)
def test_every_pin_is_exact_and_has_hashes(kind: str) -> None:
    pins = parsed(text(kind))
    assert len(pins) > 10
    for pin in pins:
        assert pin.version
        assert pin.hashes, pin.requirement.name
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", item) for item in pin.hashes)


@pytest.mark.parametrize("python", SUPPORTED)
@pytest.mark.parametrize("kind", LOCKS)
def test_the_lock_meets_what_the_project_asks_for(kind: str, python: str) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    locked = pinned(kind, python)
    missing = [
        str(requirement)
        for requirement in wanted(project, kind)
        if not requirement.specifier.contains(locked.get(canonicalize_name(requirement.name), ""))
    ]
    assert missing == [], "run bin/lock"


@pytest.mark.parametrize("python", SUPPORTED)
def test_tests_run_on_the_versions_that_users_get(python: str) -> None:
    assert pinned("run", python).items() <= pinned("dev", python).items()


def test_the_supported_pythons_are_stated_alike() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    stated = [c.rpartition(" ")[2] for c in project["classifiers"] if ":: Python :: 3." in c]
    assert stated == list(SUPPORTED)
    assert project["requires-python"] == f">={SUPPORTED[0]}"
    assert ", ".join(SUPPORTED) in (ROOT / "docs" / "develop.md").read_text(encoding="utf-8")
