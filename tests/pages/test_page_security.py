"""Who may ask, what a page may load, and what hostile text may do: nothing."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.web.app import make_app
from endfeel.web.security import HEADERS

HOSTILE = """<script>alert(1)</script>"><img src=x onerror=alert(1)>{{7*7}}'"""


@pytest.mark.parametrize(
    "path", ["/", "/people/new", "/evidence", "/shorthand", "/no-such-page", "/static/endfeel.css", "/api/visits/x"]
)
def test_every_answer_carries_the_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    for name in HEADERS:
        assert name in headers or (name == "Cache-Control" and path.startswith("/static/"))


def test_the_policy_allows_nothing_inline_and_nothing_from_elsewhere(client: TestClient) -> None:
    policy = client.get("/").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert "data:" not in policy


def test_no_page_holds_an_inline_script_style_or_a_foreign_address_to_load(client: TestClient, example_id: str) -> None:
    for path in (
        "/",
        "/people/new",
        "/evidence?q=hawkins",
        "/shorthand",
        *(f"/visits/{example_id}{end}" for end in ("", "/why", "/screen", "/note")),
    ):
        html = client.get(path).text
        assert not re.search(r"<script(?![^>]*\bsrc=)", html), path
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", html), path
        assert not re.search(r"<(?:script|img|link|iframe)[^>]+(?:src|href)=\"(?!/static/)", html), path


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
    ],
)
def test_a_post_from_elsewhere_is_refused_and_keeps_nothing(
    client: TestClient, desk: care.Desk, visit_id: str, headers: dict[str, str]
) -> None:
    answer = client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"}, headers=headers)
    assert answer.status_code == 403
    assert care.view_visit(desk, visit_id).entries == ()


def test_a_post_over_another_scheme_is_refused(client: TestClient, visit_id: str) -> None:
    """Somebody in the network who answers for us without encryption is not us."""
    headers = {"Origin": "https://127.0.0.1:8710"}
    assert client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"}, headers=headers).status_code == 403


def test_no_page_may_be_framed_and_devices_are_denied(client: TestClient) -> None:
    headers = client.get("/").headers
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert "camera=()" in headers["permissions-policy"]
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert "strict-transport-security" not in headers, "over plain http a browser would not heed it"


@pytest.mark.parametrize("headers", [{"Sec-Fetch-Site": "same-origin"}, {"Origin": "http://127.0.0.1:8710"}, {}])
def test_a_post_from_our_own_pages_or_a_local_program_is_taken(
    client: TestClient, visit_id: str, headers: dict[str, str]
) -> None:
    assert client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"}, headers=headers).status_code == 303


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "127.0.0.1.elsewhere.example:8710", "", "localhost@elsewhere.example"]
)
def test_another_host_name_is_refused(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 400


@pytest.mark.parametrize("host", ["localhost:8710", "127.0.0.1", "[::1]:8710", "[::1]", "LOCALHOST:80"])
def test_our_own_names_are_served(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


def test_an_overlong_body_is_refused(client: TestClient, visit_id: str) -> None:
    assert client.post(f"/visits/{visit_id}/lines", data={"line": "x" * 1_100_000}).status_code == 413


def test_hostile_text_is_shown_and_does_nothing(client: TestClient) -> None:
    made = client.post("/people", data={"label": HOSTILE, "side": "right", "story": HOSTILE})
    visit = made.headers["location"].removesuffix("/screen")
    client.post(
        f"{visit}/findings", data={"procedure": "hawkins", "side": "right", "result": "positive", "note": HOSTILE}
    )
    client.post(f"{visit}/treatments", data={"technique": HOSTILE, "dose": HOSTILE})
    client.post(f"{visit}/lines", data={"line": HOSTILE})
    for path in (
        "/",
        visit,
        f"{visit}/screen",
        f"{visit}/why",
        f"{visit}/note",
        "/evidence?q=" + HOSTILE.replace("&", ""),
    ):
        html = client.get(path).text
        assert "<script>alert" not in html, path
        assert "<img src=x" not in html, path
        assert "49" not in re.findall(r"alert\(1\)&gt;(\d\d)", html), path
    assert "&lt;script&gt;alert(1)" in client.get(visit).text
    assert "{{7*7}}" in client.get(visit).text


def test_a_bug_is_one_calm_sentence_with_a_reference(desk: care.Desk) -> None:
    app = make_app(desk)

    @app.get("/broken")
    def broken() -> None:
        raise RuntimeError("secret detail")

    with TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False) as client:
        answer = client.get("/broken")
    assert answer.status_code == 500
    assert re.search(r"Reference [0-9a-f]{8}", answer.text)
    assert "secret detail" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
