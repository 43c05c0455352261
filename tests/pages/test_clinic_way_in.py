"""The way in and out of a clinic's pages: cookie, second step, tries, sessions that are over."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from clinic_of_all_roles import WORDS, Clinic, again
from endfeel.web.pages import sign_in as sign_in_page

pytestmark = pytest.mark.usefixtures("fresh_tries")


def test_the_cookie_is_out_of_reach_and_for_this_site_alone(clinic: Clinic) -> None:
    told = {"name": "The lead", "password": WORDS}
    cookie = clinic.client().post("/sign-in", data=told).headers["set-cookie"].lower()
    for word in ("httponly", "samesite=strict", "path=/"):
        assert word in cookie
    assert "max-age" not in cookie
    assert "expires" not in cookie
    assert "secure" not in cookie
    tls = TestClient(clinic.app, base_url="https://127.0.0.1:8710", follow_redirects=False)
    cookie = tls.post("/sign-in", data=told).headers["set-cookie"]
    assert cookie.startswith("__Host-endfeel=")
    assert "secure" in cookie.lower()


def test_between_password_and_code_nothing_of_ones_own_is_shown_either(clinic: Clinic) -> None:
    client = clinic.client()
    client.post("/sign-in", data={"name": "The lead", "password": WORDS})
    for address in ("/", "/me", "/me/generator", f"/visits/{clinic.visit}"):
        answer = client.get(address)
        assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in/second"), address
    for address in ("/me/password", "/me/codes", "/me/places", "/me/passkey"):
        assert client.post(address).headers["location"] == "/sign-in/second"
    assert client.get(f"/api/visits/{clinic.visit}").status_code == 401
    answer = client.post("/sign-in/second", data={"code": "000000"})
    assert answer.status_code == 401
    assert "not right" in answer.text


def test_wrong_words_say_nothing_about_who_works_here(clinic: Clinic) -> None:
    client = clinic.client()
    for name in ("The lead", "Nobody"):
        answer = client.post("/sign-in", data={"name": name, "password": "wrong"})
        assert answer.status_code == 401
        assert "That is not right: name, password or code" in answer.text


def test_too_many_tries_from_one_address_are_not_looked_at(clinic: Clinic) -> None:
    client = clinic.client()
    answers = [client.get("/sign-in/passkey").status_code for _ in range(31)]
    assert answers == [200] * 30 + [429]
    assert client.post("/sign-in", data={"name": "The lead", "password": WORDS}).status_code == 429


@pytest.mark.parametrize("to", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", ""])
def test_the_way_in_leads_to_no_other_site(to: str) -> None:
    assert sign_in_page.own_page(to) == "/"


def test_a_form_sent_when_the_session_is_over_comes_back_to_be_sent_again(clinic: Clinic) -> None:
    answer = clinic.client().post("/people", data={"label": "A long story", "story": "it began <b>last</b> week"})
    assert answer.status_code == 401
    assert 'action="/people"' in answer.text
    assert "it began &lt;b&gt;last&lt;/b&gt; week" in answer.text
    part = clinic.client().get(f"/visits/{clinic.visit}", headers={"HX-Request": "true"})
    assert (part.status_code, part.headers["hx-redirect"]) == (401, "/sign-in?to=/")


def test_what_a_page_asks_by_itself_keeps_no_session_alive(clinic: Clinic) -> None:
    now = datetime.now(UTC)
    before = clinic.app.state.desk
    try:
        client = clinic.roles["lead"]
        for minutes, address, status in ((29, f"/visits/{clinic.visit}/mark", 200), (31, "/me", 303)):
            later = timedelta(minutes=minutes)
            clinic.app.state.desk = replace(before, clock=lambda at=now + later: at)
            assert client.get(address).status_code == status
    finally:
        clinic.app.state.desk = before
        clinic.roles["lead"] = again(clinic, "lead")


def test_being_asked_for_a_passkey_takes_no_session_away(clinic: Clinic) -> None:
    client = clinic.roles["lead"]
    assert client.get("/sign-in/passkey").status_code == 200
    assert client.post("/sign-in/passkey", content=b'{"id": "x"}').status_code == 401
    assert client.post("/sign-in/passkey", content=b"no json").status_code == 401
    assert client.get("/me").status_code == 200


def test_signing_out_ends_it_here_and_elsewhere_when_asked(clinic: Clinic) -> None:
    one = again(clinic, "therapist")
    assert one.post("/sign-out").headers["location"] == "/sign-in"
    assert one.get("/").headers["location"].startswith("/sign-in")
    clinic.roles["therapist"] = again(clinic, "therapist")
