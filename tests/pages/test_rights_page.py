"""Record and rights: who looked, what was agreed to, how long it is kept, erasure; a half-full form loses nothing."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.care import retention
from endfeel.vocabulary import NotFound

OWN = {"origin": "http://127.0.0.1:8710"}


@pytest.fixture
def person_id(desk: care.Desk, visit_id: str) -> str:
    return care.view_visit(desk, visit_id).person_id


def test_the_start_page_leads_to_it_and_it_tells_who_looked(client: TestClient, person_id: str) -> None:
    assert f"/people/{person_id}/rights" in client.get("/").text
    told = client.get(f"/people/{person_id}/rights").text
    for words in ("Person one", "Who looked at it", "import case", "view visit", "right of access", "No day is",
                  "Not asked: no", "list people of everybody"):  # fmt: skip
        assert words in told
    assert client.get("/people/nobody/rights").status_code == 404


def test_consent_is_kept_and_a_form_that_is_not_full_is_given_back(
    client: TestClient, desk: care.Desk, person_id: str
) -> None:
    address = f"/people/{person_id}/consent"
    half = {"purpose": "teaching", "given": "yes", "words": "form of today", "by": ""}
    answer = client.post(address, data=half, headers=OWN)
    assert answer.status_code == 422
    assert "form of today" in answer.text
    assert not care.agrees(desk, person_id, "teaching")
    assert client.post(address, data={**half, "given": "", "by": "A. T."}, headers=OWN).status_code == 422
    answer = client.post(address, data={**half, "by": "A. Therapist"}, headers=OWN)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/people/{person_id}/rights")
    assert care.agrees(desk, person_id, "teaching")
    assert "form of today" in client.get(f"/people/{person_id}/rights").text
    assert client.post(address, data=half, headers={"origin": "http://elsewhere.example"}).status_code == 403


def test_erasing_needs_a_reason_and_a_tick_and_honours_what_must_be_kept(
    client: TestClient, desk: care.Desk, person_id: str, visit_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/people/{person_id}/erase"
    for half in ({"why": "asked for it"}, {"sure": "yes", "why": ""}):
        assert client.post(address, data=half, headers=OWN).status_code == 422
    care.record_line(desk, visit_id, "gh post glide 2")
    monkeypatch.setenv(retention.CHOSEN, "germany")
    page = client.get(f"/people/{person_id}/rights").text
    assert "It cannot be erased now: it must be kept until" in page
    assert "section 630f" in page
    full = {"why": "asked for it", "sure": "yes"}
    assert client.post(address, data=full, headers=OWN).status_code == 409
    assert care.view_visit(desk, visit_id).entries
    monkeypatch.delenv(retention.CHOSEN)
    assert client.post(address, data=full, headers=OWN).headers["location"] == "/"
    with pytest.raises(NotFound):
        care.view_visit(desk, visit_id)


def test_of_who_was_erased_nothing_concluded_stays_in_memory(
    client: TestClient, desk: care.Desk, person_id: str, visit_id: str
) -> None:
    key = re.search(r"/why\?[^\"]*key=([\w-]{36})", client.get(f"/visits/{visit_id}").text)
    assert key
    assert client.get(f"/visits/{visit_id}/why?key={key[1]}").status_code == 200
    assert visit_id in str(client.app.state.views._kept)  # type: ignore[attr-defined]
    assert desk.concluded._kept
    full = {"why": "asked for it", "sure": "yes"}
    assert client.post(f"/people/{person_id}/erase", data=full, headers=OWN).status_code == 303
    assert client.get(f"/visits/{visit_id}/why?key={key[1]}").status_code == 404
    assert visit_id not in str(client.app.state.views._kept)  # type: ignore[attr-defined]
    assert not desk.concluded._kept
