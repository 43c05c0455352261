"""The pages for handing over and taking over: downloads that name nobody, a file shown before it is kept."""

from __future__ import annotations

import io
import json
import re
import zipfile
from html import unescape

from starlette.testclient import TestClient

from endfeel import care
from endfeel.exchange.systems import LOINC

PATIENT = {"resourceType": "Patient", "id": "p", "identifier": [{"value": "9"}], "name": [{"text": "<b>Ada</b>"}]}
ANGLE = {
    "resourceType": "Observation",
    "id": "o",
    "status": "final",
    "code": {"coding": [{"system": LOINC, "code": "41299-9"}]},
    "subject": {"reference": "Patient/p"},
    "effectiveDateTime": "2025-12-01",
    "valueQuantity": {"value": 95, "code": "deg"},
}
WEIGHT = ANGLE | {"id": "w", "code": {"coding": [{"system": LOINC, "code": "29463-7", "display": "Weight"}]}}
FILE = json.dumps({"resourceType": "Bundle", "entry": [{"resource": one} for one in (PATIENT, ANGLE, WEIGHT)]})


def field(html: str) -> str:
    found = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", html, re.DOTALL)
    assert found is not None
    return unescape(found[1])


def test_a_file_is_shown_then_kept_and_the_same_again_adds_nothing(client: TestClient, desk: care.Desk) -> None:
    assert client.get("/take-over").status_code == 200
    shown = client.post("/take-over", data={"text": ""}, files={"file": ("in.json", FILE.encode(), "application/json")})
    assert shown.status_code == 200
    assert "act_abduction left 95 deg" in shown.text
    assert "<code>http://loinc.org|29463-7 Weight</code>" in shown.text
    assert "kept in words" in shown.text
    assert "<b>Ada</b>" not in shown.text
    assert care.list_people(desk) == ()
    kept = client.post("/take-over", data={"text": field(shown.text), "do": "keep"})
    assert "Kept: 3." in kept.text
    address = re.search(r'href="(/visits/[\w-]+)"', kept.text)
    assert address is not None
    assert client.get(address[1]).status_code == 200
    again = client.post("/take-over", data={"text": FILE, "do": "keep"})
    assert "Kept: 0. Kept before: 3." in again.text
    (person,) = care.list_people(desk)
    assert person.label == "<b>Ada</b>"


def test_what_is_no_file_is_said_beside_the_field_and_stays_in_it(client: TestClient, desk: care.Desk) -> None:
    for text in ("{", "<Bundle/>", '{"resourceType": "Bundle"}'):
        answer = client.post("/take-over", data={"text": text, "do": "keep"})
        assert answer.status_code == 422
        assert 'id="fault-text"' in answer.text
        assert field(answer.text) == text
    assert care.list_people(desk) == ()


def test_it_may_go_to_somebody_on_record(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    person_id = care.view_visit(desk, visit_id).person_id
    lone = json.dumps({name: value for name, value in ANGLE.items() if name != "subject"})
    lost = client.post("/take-over", data={"text": lone, "do": "read"})
    assert "It does not say whose it is" in lost.text
    client.post("/take-over", data={"text": lone, "person": person_id, "do": "keep"})
    (person,) = care.list_people(desk)
    assert sorted(visit.title for visit in person.visits)[-1] == "Taken over from elsewhere"
    assert client.post("/take-over", data={"text": lone, "person": "nobody"}).status_code == 404


def test_a_record_is_handed_over_in_three_forms_under_names_that_name_nobody(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    view = care.view_visit(desk, example_id)
    page = client.get(f"/people/{view.person_id}/hand-over")
    addresses = re.findall(r'href="([^"]+)" download', page.text)
    assert len(addresses) == 3
    for address in addresses:
        answer = client.get(address)
        assert answer.status_code == 200
        assert re.fullmatch(
            r'attachment; filename="(record|bundle)-[\d-]+\.(zip|json)"', answer.headers["content-disposition"]
        )
        if address.endswith("zip"):
            assert "entry.csv" in zipfile.ZipFile(io.BytesIO(answer.content)).namelist()
        else:
            assert json.loads(answer.content)
    client.get(f"/people/{view.person_id}/episodes/new")
    for address in ("/people/nobody/hand-over", "/people/nobody/record.zip", f"/people/{view.person_id}/record.doc"):
        assert client.get(address).status_code == 404
    assert client.get(f"/people/{view.person_id}/bundle.json?episode=nothing").status_code == 404
    start = client.get("/").text
    assert f"/people/{view.person_id}/hand-over" in start
    assert "/take-over" in start


def test_one_episode_alone_may_be_handed_over(client: TestClient, desk: care.Desk, example_id: str) -> None:
    person_id = care.view_visit(desk, example_id).person_id
    other = care.open_episode(desk, person_id, care.view_visit(desk, example_id).assessment.case.complaint, "Another")
    care.open_visit(desk, other)
    page = client.get(f"/people/{person_id}/hand-over").text
    assert f"/people/{person_id}/bundle.json?episode={other}" in page
    whole = client.get(f"/people/{person_id}/bundle.json").json()
    alone = client.get(f"/people/{person_id}/bundle.json?episode={other}").json()
    kinds = [e["resource"]["resourceType"] for e in alone["entry"]]
    assert (kinds.count("Condition"), kinds.count("Encounter")) == (1, 1)
    assert len(alone["entry"]) < len(whole["entry"])
