"""The phone's own door and the page beside the couch, without a browser."""

from __future__ import annotations

import re
import ssl
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.cli.phone_listener import PhoneWish, own_certificate, phone_listening
from endfeel.vocabulary import Refused
from endfeel.web.app import make_app
from endfeel.web.pairing import Pairings
from endfeel.web.phone_door import PhoneDoor, hold_rule, make_phone_app
from endfeel.web.security import HEADERS

DOOR = "https://192.0.2.7:8711/"


@pytest.fixture
def door(desk: care.Desk) -> PhoneDoor:
    return PhoneDoor(DOOR, Pairings(hold_rule(desk.library)))


@pytest.fixture
def phone(door: PhoneDoor) -> Iterator[TestClient]:
    with TestClient(make_phone_app(door.pairings, ("192.0.2.7",)), base_url=DOOR) as made:
        yield made


@pytest.fixture
def couch(desk: care.Desk, door: PhoneDoor) -> Iterator[TestClient]:
    with TestClient(make_app(desk, door=door), base_url="http://127.0.0.1:8710", follow_redirects=False) as made:
        yield made


def pair(couch: TestClient, phone: TestClient, visit_id: str) -> dict[str, str]:
    assert couch.post(f"/visits/{visit_id}/phone/pair").status_code == 303
    html = couch.get(f"/visits/{visit_id}/phone").text
    (token,) = re.findall(rf"{DOOR}phone#([\w-]+)", html)
    key = phone.post("/phone/claim", json={"token": token}).json()["key"]
    return {"Authorization": f"Bearer {key}"}


def still(beta: float, start: float) -> list[list[float]]:
    return [[start + 0.1 * n, beta, 0.0] for n in range(14)]


def test_the_door_knows_one_page_and_three_acts_and_nothing_that_is_stored(phone: TestClient, visit_id: str) -> None:
    page = phone.get("/phone")
    assert page.status_code == 200
    assert visit_id not in page.text
    for path in ("/", f"/visits/{visit_id}", f"/api/visits/{visit_id}", "/evidence", "/health", "/openapi.json"):
        assert phone.get(path).status_code == 404, path
    for name in HEADERS:
        assert name in page.headers
    assert phone.get("/phone", headers={"Host": "127.0.0.1:8711"}).status_code == 400


def test_a_phone_may_do_nothing_without_its_key(phone: TestClient) -> None:
    for path, body in (("/phone/readings", {"tilts": []}), ("/phone/zero", {})):
        assert phone.post(path, json=body).status_code == 422
        assert phone.post(path, json=body, headers={"Authorization": "Bearer x"}).status_code == 409
    assert phone.post("/phone/claim", json={"token": "x"}).status_code == 409
    elsewhere = {"Origin": "http://elsewhere.example"}
    assert phone.post("/phone/claim", json={"token": "x"}, headers=elsewhere).status_code == 403


def test_from_the_code_to_a_finding(couch: TestClient, phone: TestClient, desk: care.Desk, visit_id: str) -> None:
    key = pair(couch, phone, visit_id)
    phone.post("/phone/readings", json={"tilts": still(-90, 0)}, headers=key)
    assert couch.post(f"/api/visits/{visit_id}/phone/zero").json()["degrees"] == 0
    assert phone.post("/phone/readings", json={"tilts": still(20, 3)}, headers=key).json()["held"] == 110
    assert couch.get(f"/api/visits/{visit_id}/phone/now").json()["held"] == 110
    fields = {"procedure": "act_flexion", "side": "right", "value": "110", "unit": "deg", "instrument": "phone"}
    fields |= {"note": "thumb up", "entry_id": care.new_id()}
    for _ in range(2):
        saved = couch.post(f"/visits/{visit_id}/phone/findings", data=fields)
        assert saved.status_code == 303
    (entry,) = care.view_visit(desk, visit_id).entries
    assert entry.finding is not None
    assert (entry.finding.instrument, entry.finding.note) == ("phone", "measured with phone; thumb up")
    assert "110°" in couch.get(saved.headers["location"]).text


def test_what_cannot_be_stands_beside_its_field_and_the_code_of_a_signed_visit_is_refused(
    couch: TestClient, desk: care.Desk, visit_id: str
) -> None:
    fields = {"procedure": "act_flexion", "side": "right", "value": "900", "unit": "deg", "instrument": "phone"}
    answer = couch.post(f"/visits/{visit_id}/phone/findings", data=fields)
    assert answer.status_code == 422
    assert 'id="fault-value"' in answer.text
    assert 'value="900"' in answer.text
    care.sign_note(desk, visit_id, "A. Therapist")
    assert couch.post(f"/visits/{visit_id}/phone/pair").status_code == 409


def test_without_a_door_it_says_how(client: TestClient, visit_id: str) -> None:
    html = client.get(f"/visits/{visit_id}/phone").text
    assert "endfeel serve --phone" in html
    assert client.post(f"/visits/{visit_id}/phone/pair").status_code == 409
    assert client.get(f"/api/visits/{visit_id}/phone/now").json()["stage"] == "none"


def test_no_inline_script_or_style_and_the_token_only_behind_the_mark(couch: TestClient, visit_id: str) -> None:
    couch.post(f"/visits/{visit_id}/phone/pair")
    html = couch.get(f"/visits/{visit_id}/phone").text
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=", html)
    assert f"{DOOR}phone#" in html


def test_a_certificate_is_made_once_kept_private_and_made_anew_in_time(tmp_path: Path) -> None:
    certificate, key = own_certificate("192.0.2.7", tmp_path / "kept")
    first = certificate.read_bytes()
    assert key.stat().st_mode & 0o077 == 0
    assert own_certificate("192.0.2.7", tmp_path / "kept")[0].read_bytes() == first
    later = certificate.stat().st_mtime + 340 * 86400
    assert own_certificate("192.0.2.7", tmp_path / "kept", now=later)[0].read_bytes() != first


def test_half_a_certificate_or_a_missing_one_is_refused(desk: care.Desk) -> None:
    for wish in (PhoneWish("192.0.2.7", 0, "a.pem", None), PhoneWish("192.0.2.7", 0, "no.pem", "no.key")):
        with pytest.raises(Refused), phone_listening(wish, desk.library):
            pass


def test_in_the_network_the_door_speaks_https_with_a_certificate_for_its_address(
    desk: care.Desk, tmp_path: Path
) -> None:
    certificate, key = own_certificate("localhost", tmp_path)
    with phone_listening(PhoneWish("localhost", 0, str(certificate), str(key)), desk.library) as door:
        assert door.address.startswith("https://localhost:")
        trusting = ssl.create_default_context()
        trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
        with urllib.request.urlopen(f"{door.address}phone", timeout=20, context=trusting) as answer:  # noqa: S310
            assert answer.status == 200
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            urllib.request.urlopen(f"{door.address}phone", timeout=20)  # noqa: S310
