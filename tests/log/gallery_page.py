"""The gallery of what can be wrong with what is added to a log, as a page for users.

    python -m tests.log.gallery_page > docs/errors-log.md

An entry is NAME.args, the command; the file it reads, if it reads one; and NAME.txt, the words.
"""

from __future__ import annotations

from pathlib import Path

GALLERY = Path(__file__).parent / "gallery"
PARTS = {
    "table": "Tables",
    "log": "Logs",
    "entry": "Single entries",
    "job": "Jobs",
    "shop": "The shop",
}
_TOP = """\
# What can be wrong with what you add

Each entry is the smallest input that shows a problem, and what is said about it, word for word; the
exit status is 2, and nothing is written. The page is made from tests/log/gallery, and a test fails
where they differ. The engine is an invented triple with three cylinders and four mains, and its job
`triple` is open. Its log has a note with the id `used` and a reading of cylinder 3 with the id
`r0`; the drawer has a shim, `taken`, that is reserved for it; and there is a second job, `twin`.
"""


def names() -> list[str]:
    """Every entry, in the order of the page."""
    found = sorted(path.stem for path in GALLERY.glob("*.args"))
    return sorted(found, key=lambda name: list(PARTS).index(name.partition("-")[0]))


def page() -> str:
    """The gallery in Markdown."""
    parts = [_TOP]
    for start, title in PARTS.items():
        parts.append(f"## {title}")
        parts += [_entry(name) for name in names() if name.startswith(f"{start}-")]
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _entry(name: str) -> str:
    command = (GALLERY / f"{name}.args").read_text(encoding="utf-8").strip()
    said = (GALLERY / f"{name}.txt").read_text(encoding="utf-8")
    lines = [f"$ gudgeon {command}"]
    for ending in ("csv", "jsonl", "yaml"):
        file = GALLERY / f"{name}.{ending}"
        if file.is_file():
            shown = "\n".join(_cut(line) for line in file.read_text("utf-8").splitlines())
            lines = [f"--- {file.name}", shown or "(empty)", "---", *lines]
    return f"### {name}\n\n```text\n" + "\n".join([*lines, said.rstrip()]) + "\n```"


def _cut(line: str) -> str:
    """A line that fits a page."""
    return line if len(line) <= 180 else f"{line[:179]}…"


if __name__ == "__main__":
    print(page(), end="")
