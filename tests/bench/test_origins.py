"""What changes something must come from a page of the bench: a matrix over the route table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gudgeon.bench.table import CALLS

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

UNSAFE = [(call.method, call.path) for call in CALLS if call.method != "GET"]
HERE = "http://localhost:7340"
OWN = {"Origin": HERE, "X-Gudgeon": "bench", "Content-Type": "application/json"}

#: What is sent -> the status it is refused with.
WRONG: dict[str, tuple[dict[str, str | None], int]] = {
    "no origin": ({"Origin": None}, 403),
    "no origin, with a cookie": ({"Origin": None, "Cookie": "gudgeon-device=x"}, 403),
    "null origin": ({"Origin": "null"}, 403),
    "another site": ({"Origin": "http://evil.example"}, 403),
    "another port": ({"Origin": "http://localhost:7341"}, 403),
    "another scheme": ({"Origin": "https://localhost:7340"}, 403),
    "another name for this machine": ({"Origin": "http://127.0.0.1:7340"}, 403),
    "an origin that begins like ours": ({"Origin": HERE + ".evil.example"}, 403),
    "two origins in one": ({"Origin": HERE + " http://evil.example"}, 403),
    "the browser says cross-site": ({"Sec-Fetch-Site": "cross-site"}, 403),
    "the browser says same-site": ({"Sec-Fetch-Site": "same-site"}, 403),
    "the browser says none": ({"Sec-Fetch-Site": "none"}, 403),
    "no header of ours": ({"X-Gudgeon": None}, 403),
    "a wrong header": ({"X-Gudgeon": "1"}, 403),
    "a plain form": ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
    "a form with files": ({"Content-Type": "multipart/form-data; boundary=x"}, 415),
    "plain text": ({"Content-Type": "text/plain"}, 415),
    "text that says it is JSON": ({"Content-Type": "text/plain; application/json"}, 415),
    "no content type": ({"Content-Type": None}, 415),
}


def filled(path: str) -> str:
    for key, value in {"{job}": "triple", "{entry}": "n1", "{device}": "d1"}.items():
        path = path.replace(key, value)
    return path


@pytest.mark.parametrize(("method", "path"), UNSAFE)
def test_what_is_not_ours_is_refused_at_every_unsafe_route(
    main: TestClient, method: str, path: str
) -> None:
    kinds: dict[str, str | None] = dict(OWN)
    seen = {}
    for what, (change, _) in WRONG.items():
        headers = {key: value for key, value in (kinds | change).items() if value is not None}
        request = main.build_request(method, filled(path), content=b"{}")
        request.headers.clear()
        request.headers.update({"Host": "localhost:7340", "Accept": "application/json", **headers})
        seen[what] = main.send(request).status_code
    wanted = {what: status for what, (_, status) in WRONG.items()}
    assert seen == wanted


@pytest.mark.parametrize("method", ["OPTIONS", "TRACE", "CONNECT", "PROPFIND"])
def test_other_methods_are_not_used(main: TestClient, method: str) -> None:
    answer = main.request(method, "/api/alive")
    assert answer.status_code in (403, 405)
    assert not [name for name in answer.headers if name.startswith("access-control-")]


def test_our_own_get_through(main: TestClient) -> None:
    assert main.request("DELETE", "/api/codes").status_code == 200
