"""The gallery of what can be wrong with a sheet, as a page for users.

python tests/sheet/gallery_page.py > docs/errors-sheet.md
"""

from __future__ import annotations

from pathlib import Path

from gudgeon.sheet.check import CHECKS

GALLERY = Path(__file__).parent / "gallery"
_TOP = """\
# What can be wrong with a sheet

Each entry is the smallest sheet that shows a problem, and what `gudgeon sheet check` says about it,
word for word. The page is made from tests/sheet/gallery, and a test fails where they differ. Exit
status: 0 no fault, 1 faults found, 2 the sheet can't be read. What is "worth a look" may be right,
and does not change the exit status.
"""
_FOUND = "## What the checks find"
_UNREADABLE = "## What can't be read"


def checks_of(name: str) -> bool:
    """Whether an entry belongs to a check, by the beginning of its name."""
    return any(name == check.name or name.startswith(f"{check.name}-") for check in CHECKS)


def page() -> str:
    """The gallery in Markdown."""
    names = sorted(path.stem for path in GALLERY.glob("*.yaml"))
    parts = [_TOP, _FOUND]
    for check in CHECKS:
        parts.append(f"### {check.name}\n\n{check.proves}")
        parts += [
            _entry(name)
            for name in names
            if name == check.name or name.startswith(f"{check.name}-")
        ]
    parts.append(_UNREADABLE)
    parts += [f"### {name}\n\n{_entry(name)}" for name in names if not checks_of(name)]
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _entry(name: str) -> str:
    sheet = (GALLERY / f"{name}.yaml").read_text(encoding="utf-8")
    said = (GALLERY / f"{name}.txt").read_text(encoding="utf-8")
    return f"```yaml\n{sheet.rstrip()}\n```\n\n```text\n{said.rstrip()}\n```"


if __name__ == "__main__":
    print(page(), end="")
