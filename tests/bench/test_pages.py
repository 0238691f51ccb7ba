"""Every page of the table: it opens, its JSON says the same, nothing in it breaks the policy."""

from __future__ import annotations

import gzip
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.bench.helpers import note

from gudgeon.bench.gate.headers import HEADERS
from gudgeon.bench.page import Page
from gudgeon.bench.table import CALLS, PAGES
from gudgeon.bench.words import words_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from tests.bench.helpers import Come

    from gudgeon.bench.state import Bench

BENCH = Path(__file__).parents[2] / "src" / "gudgeon" / "bench"
#: Values for the parts of addresses that are not the job.
FILL = {"{job}": "triple", "{file}": "triple.yaml", "{place:path}": "valve/1/in/L"}


def address(page: Page) -> str:
    path = page.path
    for key, value in FILL.items():
        path = path.replace(key, value)
    return path


@pytest.fixture(params=PAGES, ids=lambda page: page.name)
def page(request: pytest.FixtureRequest) -> Page:
    found: Page = request.param
    return found


class Tags(HTMLParser):
    """The tags of a page, with their attributes, and whether they close in order."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.scripts = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in ("meta", "link", "input", "br", "img", "hr", "source"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("script", "style"):
            values = dict(self.found[-1][1]).get("type") == "application/json"
            self.scripts += "" if values else data.strip()


def tags(html: str) -> Tags:
    parser = Tags()
    parser.feed(html)
    parser.close()
    assert parser.open == []
    return parser


def client_for(page: Page, come: Come) -> TestClient:
    return come(None) if page.name == "pair" else come()


def test_it_opens_and_keeps_the_policy(page: Page, come: Come) -> None:
    answer = client_for(page, come).get(address(page))
    assert answer.status_code == 200
    parsed = tags(answer.text)
    assert parsed.scripts == ""
    for tag, attributes in parsed.found:
        assert "style" not in attributes, tag
        assert not [name for name in attributes if name.startswith("on")], tag
        for name in ("href", "src", "action", "data-call"):
            assert "//" not in (attributes.get(name) or ""), (tag, name)
    headings = [tag for tag, _ in parsed.found if re.fullmatch("h[1-6]", tag)]
    assert headings.count("h1") == 1
    assert headings[0] == "h1"


def test_its_twin_says_the_same(page: Page, come: Come) -> None:
    client = client_for(page, come)
    answer = client.get(address(page) + "?json")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert isinstance(answer.json(), dict)
    assert "<svg" not in answer.text


def test_it_answers_head(page: Page, come: Come) -> None:
    assert client_for(page, come).head(address(page)).status_code == 200


def test_a_device_that_looks_sees_it(page: Page, come: Come) -> None:
    answer = come("look").get(address(page))
    wanted = {"main": 403, "anyone": 303 if page.name == "pair" else 200}.get(page.rule, 200)
    assert answer.status_code == wanted


def test_one_not_let_in_is_sent_to_the_code(page: Page, come: Come) -> None:
    answer = come(None).get(address(page), headers={"Accept": "text/html"})
    if page.rule == "anyone":
        assert answer.status_code == 200
    else:
        assert (answer.status_code, answer.headers["location"]) == (303, "/pair")


def test_every_answer_has_the_headers(come: Come) -> None:
    main = come()
    answers = [
        main.get("/"),
        main.get("/jobs/triple?json"),
        main.get("/nowhere"),
        main.get("/static/x/bench.css"),
        main.get("/static/x/none.css"),
        main.get("/", headers={"Host": "evil.example"}),
        main.post("/", content=b"x"),
        main.put("/api/jobs/twin/entries/n1", json=note("n1")),
        main.put("/api/jobs/twin/entries/n1", json={}),
        come(None).get("/"),
        come("look").post("/api/codes", json={}),
    ]
    assert {answer.status_code for answer in answers} >= {200, 201, 303, 403, 404, 405, 421, 422}
    for answer in answers:
        for name, value in HEADERS.items():
            assert answer.headers[name] == value
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert "cache-control" in answer.headers
        assert not [name for name in answer.headers if name.startswith("access-control-")]


def test_an_unexpected_error_is_a_plain_page_with_a_number(
    come: Come, bench: Bench, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(name: str) -> None:
        raise ZeroDivisionError("secret figures")

    monkeypatch.setattr("gudgeon.bench.views.shop.job_names", broken)
    main = come()
    page, twin = main.get("/"), main.get("/?json")
    assert (page.status_code, twin.status_code) == (500, 500)
    for text in (page.text, twin.text):
        assert "Traceback" not in text
        assert "secret" not in text
    number = twin.json()["id"]
    assert re.fullmatch("[0-9a-f]{8}", number)
    assert f"unexpected error {number} at '/'" in caplog.text
    assert "ZeroDivisionError: secret figures" in caplog.text
    assert page.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    "answer", ["/nowhere", "/jobs/none", "/api/none", "/api/jobs/none/entries", "/static/x/none.js"]
)
def test_errors_have_one_shape(main: TestClient, answer: str) -> None:
    body = main.get(answer, headers={"Accept": "application/json"}).json()
    assert body.keys() == {"ok", "status", "error", "faults"}
    assert body["faults"][0].keys() == {"where", "wrong", "right"}


def test_the_first_page_is_small(main: TestClient) -> None:
    """Under 100 kB as it goes over the air: the page, styles, scripts and letters."""
    answer = main.get("/", headers={"Accept-Encoding": "gzip"})
    size = len(gzip.compress(answer.content, 5))
    for tag, attributes in tags(answer.text).found:
        name = attributes.get("href") if tag == "link" else attributes.get("src")
        if name and name.startswith("/static/"):
            size += wire(main, name)
    size += sum(wire(main, f"/static/x/{p}") for p in ("fonts/b612.woff2", "fonts/b612-bold.woff2"))
    size += wire(main, "/static/x/fonts/routed-gothic.woff2")
    assert size < 100_000, size


def wire(client: TestClient, name: str) -> int:
    with client.stream("GET", name, headers={"Accept-Encoding": "gzip"}) as answer:
        return sum(len(part) for part in answer.iter_raw())


def test_files_are_kept_by_their_hash(main: TestClient, bench: Bench) -> None:
    address = bench.statics.address("bench.js")
    assert "immutable" in main.get(address).headers["cache-control"]
    assert main.get("/static/old/bench.js").headers["cache-control"] == "no-cache"
    for name in ("../app.py", "..%2fapp.py", "", "fonts", "bench.js%00", "/etc/passwd"):
        assert main.get(f"/static/x/{name}").status_code == 404


def test_text_from_the_log_is_never_markup(main: TestClient) -> None:
    nasty = [
        "<script>alert(1)</script>",
        '"><img src=x onerror=alert(1)>',
        "'; alert(1); //",
        "{{ 7*7 }}",
        "</textarea><svg onload=alert(1)>",
        "javascript:alert(1)",
        "\u202egnp.exe",
    ]
    for number, text in enumerate(nasty):
        sent = main.put(f"/api/jobs/twin/entries/x{number}", json=note(f"x{number}", text))
        assert sent.status_code == 201
    answer = main.get("/jobs/twin")
    assert "<script>alert" not in answer.text
    assert "<img" not in answer.text
    assert "49" not in re.findall(r"note[^<]*49", answer.text)
    tags(answer.text)


def test_the_api_describes_itself(main: TestClient) -> None:
    told = main.get("/api/openapi.json").json()
    assert set(told["paths"]) == {call.path for call in CALLS if call.described}


def test_every_page_has_its_files() -> None:
    for page in PAGES:
        assert (BENCH / "templates" / f"{page.name}.html").is_file()
        assert (BENCH / "static" / f"{page.name}.js").is_file() == page.script, page.name
        words_of(page.name)("title", job="x")


def test_every_string_is_used() -> None:
    """By its key; by its beginning where the rest is computed, as `f"waits-{what}"`; or by its
    ending, as `what + "-right"`, where what comes before is a word of its own."""
    sources = "".join(
        file.read_text(encoding="utf-8")
        for pattern in ("templates/*.html", "static/**/*.js", "**/*.py")
        for file in BENCH.glob(pattern)
    )
    unused = []
    for file in (BENCH / "words" / "en").glob("*.toml"):
        texts = dict(words_of(file.stem).texts)
        for key in [*texts.pop("script", {}), *texts]:
            if not _used(key.removesuffix("-one"), sources):
                unused.append(f"{file.stem}: {key}")
    assert unused == []


def _used(key: str, sources: str) -> bool:
    if re.search(rf"[\"'`.]{re.escape(key)}\b", sources):
        return True
    beginnings = [key[: at + 1] for at, letter in enumerate(key) if letter == "-"]
    if any(re.search(rf"[\"'`]{re.escape(b)}(?:[\"'`]|\$?\{{)", sources) for b in beginnings):
        return True
    halves = [(key[:at], key[at:]) for at, letter in enumerate(key) if letter == "-"]
    return any(f'"{a}"' in sources and f'+ "{b}"' in sources for a, b in halves)


def test_a_packed_script_is_the_script_without_its_lines_of_comment() -> None:
    import gzip

    from gudgeon.bench.static_files import _pack

    script = (
        b'// why\nconst a = "// no comment";\n  /** what */\n/* begins\n ends */\nrun(a); // kept\n'
    )
    packed = gzip.decompress(_pack(script, ".js"))
    assert packed == b'const a = "// no comment";\n/* begins\n ends */\nrun(a); // kept\n'
    assert gzip.decompress(_pack(script, ".css")) == script
