"""Records read by other programs: the standard's names, media type and faults; nothing can be written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.exchange.conformance import ABOUT_PEOPLE, MEDIA_TYPE, SEARCHES
from endfeel.web.app import make_app
from fhir_judges import definition_faults, faults

STORY = Path(__file__).parents[2] / "stories" / "first_visit.txt"
NEWER_THAN_THE_SCHEMA = 'fhirVersion: "4.0.1"'
"""The schema is that of 4.0.0, whose list of versions ends there; 4.0.1 is its technical correction."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[care.Desk]:
    opened = care.open_desk(str(tmp_path_factory.mktemp("store") / "records.sqlite"))
    yield opened
    opened.engine.dispose()


@pytest.fixture(scope="module")
def client(desk: care.Desk) -> Iterator[TestClient]:
    with TestClient(make_app(desk), base_url="http://127.0.0.1:8710", raise_server_exceptions=False) as made:
        yield made


@pytest.fixture(scope="module")
def example_id(desk: care.Desk) -> str:
    return care.import_case(desk, read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library))


def asked(client: TestClient, address: str, status: int = 200, **headers: str) -> dict[str, Any]:
    """The answer, always of the standard's media type, always without a fault by the judges."""
    answer = client.get(address, headers=headers)
    assert answer.status_code == status, answer.text[:300]
    assert answer.headers["content-type"] == MEDIA_TYPE
    told: dict[str, Any] = answer.json()
    assert [fault for fault in faults(told) if NEWER_THAN_THE_SCHEMA not in fault] == []
    if status >= 400:
        assert told["resourceType"] == "OperationOutcome"
        assert told["issue"][0]["diagnostics"]
    return told


def inside(bundle: dict[str, Any]) -> list[dict[str, Any]]:
    return [entry["resource"] for entry in bundle.get("entry", [])]


@pytest.fixture(scope="module")
def person_id(desk: care.Desk, example_id: str) -> str:
    return care.view_visit(desk, example_id).person_id


def test_the_statement_names_what_answers_and_everything_it_names_answers(client: TestClient, person_id: str) -> None:
    told = asked(client, "/fhir/metadata")
    assert told["fhirVersion"] == "4.0.1"
    resources = told["rest"][0]["resource"]
    assert {one["type"] for one in resources} == set(SEARCHES)
    assert {code["code"] for one in resources for code in one["interaction"]} == {"read", "search-type"}
    for kind in SEARCHES:
        whose = f"?patient={person_id}" if kind in ABOUT_PEOPLE and kind != "Patient" else ""
        bundle = asked(client, f"/fhir/{kind}{whose}")
        assert bundle["type"] == "searchset"
        assert all(one["resourceType"] == kind for one in inside(bundle))


def test_everything_about_a_person_and_each_resource_by_its_own_address(
    client: TestClient, desk: care.Desk, person_id: str, example_id: str
) -> None:
    care.sign_note(desk, example_id, "A. Therapist")
    care.sign_handout(desk, example_id, "B. Another")
    bundle = asked(client, f"/fhir/Patient/{person_id}/$everything")
    kinds = {one["resourceType"] for one in inside(bundle)}
    assert kinds == set(ABOUT_PEOPLE)
    assert bundle["total"] == len(inside(bundle))
    firsts = {one["resourceType"]: entry["fullUrl"] for entry in bundle["entry"] for one in [entry["resource"]]}
    for kind, address in firsts.items():
        told = asked(client, urlsplit(address).path)
        assert told["resourceType"] == kind
        assert address.endswith(told["id"])
    papers = [one for one in inside(bundle) if one["resourceType"] == "DocumentReference"]
    assert [one["type"]["text"] for one in papers] == ["note of a visit", "home programme"]
    assert all(len(one["content"]) == 2 for one in papers)
    for one in inside(bundle):
        if one["resourceType"] in ("Practitioner", "DocumentReference", "Provenance"):
            assert asked(client, f"/fhir/{one['resourceType']}/{one['id']}")["id"] == one["id"]
    acts = [row["act"] for row in care.export_person(desk, person_id)["access"]]
    assert acts.count("hand over") >= len(firsts)


def test_observations_by_patient_code_category_date_and_visit(
    client: TestClient, person_id: str, example_id: str
) -> None:
    base = f"/fhir/Observation?patient=Patient/{person_id}"
    everything = asked(client, base)["total"]
    assert everything > 20
    assert asked(client, f"/fhir/Observation?encounter={example_id}")["total"] == everything - 2, (
        "age and hand are of no visit"
    )
    exam = asked(client, f"{base}&category=exam")["total"]
    assert 20 < exam < everything
    abduction = inside(asked(client, f"{base}&code=act_abduction,nothing"))
    assert {one["code"]["text"] for one in abduction} == {"Active arm abduction with arc noted"}
    assert asked(client, f"{base}&code=http://loinc.org|30525-0")["total"] == 1
    assert asked(client, f"{base}&code=http://example.org|30525-0")["total"] == 0
    assert asked(client, f"{base}&date=ge2000")["total"] == everything
    assert asked(client, f"{base}&date=lt2000-01-01")["total"] == 0


def test_pages_of_an_answer_hold_everything_once(client: TestClient, person_id: str) -> None:
    address, seen, total = f"/fhir/Observation?patient={person_id}&_count=7", [], None
    while address:
        bundle = asked(client, address)
        seen += [one["id"] for one in inside(bundle)]
        total = bundle["total"]
        links = {link["relation"]: link["url"] for link in bundle["link"]}
        address = links.get("next", "").removeprefix("http://127.0.0.1:8710")
    assert len(seen) == len(set(seen)) == total
    assert "entry" not in asked(client, f"/fhir/Observation?patient={person_id}&_count=0")


def test_people_by_name_and_code_systems_by_url(client: TestClient, person_id: str) -> None:
    (person,) = inside(asked(client, "/fhir/Patient?name=stiff"))
    assert person["id"] == person_id
    assert asked(client, "/fhir/Patient?name=nobody")["total"] == 0
    procedures = asked(client, "/fhir/CodeSystem/procedures")
    assert {"gh_post", "act_abduction"} <= {one["code"] for one in procedures["concept"]}
    assert asked(client, f"/fhir/CodeSystem?url={procedures['url']}")["total"] == 1
    screen = asked(client, "/fhir/Questionnaire/safety-screen")
    answered = inside(asked(client, f"/fhir/QuestionnaireResponse?patient={person_id}"))[0]
    assert answered["questionnaire"] == screen["url"]
    assert {one["linkId"] for one in answered["item"]} <= {one["linkId"] for one in screen["item"]}


@pytest.mark.parametrize(
    ("address", "status", "says"),
    [
        ("/fhir/Patient/nobody", 404, "nobody"),
        ("/fhir/Patient/nobody/$everything", 404, "nobody"),
        ("/fhir/Observation?patient=nobody", 404, "nobody"),
        ("/fhir/Observation/nothing", 404, "nothing"),
        ("/fhir/Medication/1", 404, "Medication"),
        ("/fhir/Observation", 400, "patient"),
        ("/fhir/Observation?patient=a&colour=red", 400, "colour"),
        ("/fhir/Observation?patient=a&patient=b", 400, "twice"),
        ("/fhir/Patient?_count=many", 400, "whole number"),
        ("/fhir/Patient?_format=xml", 406, "json"),
        ("/fhir/metadata?x=1", 400, "x"),
        ("/fhir/a/b/c/d", 404, "no such page"),
    ],
)
def test_what_cannot_be_is_told_as_an_outcome(
    client: TestClient, person_id: str, address: str, status: int, says: str
) -> None:
    told = asked(client, address, status)
    assert says.lower() in told["issue"][0]["diagnostics"].lower()


def test_a_date_that_is_none_is_refused_before_anything_is_left_out(client: TestClient, person_id: str) -> None:
    told = asked(client, f"/fhir/Observation?patient={person_id}&date=soon", 400)
    assert "not a date" in told["issue"][0]["diagnostics"].lower()


def test_xml_is_not_written_and_nothing_can_be_written_here(client: TestClient, person_id: str) -> None:
    asked(client, f"/fhir/Patient/{person_id}", 406, accept="application/fhir+xml")
    asked(client, f"/fhir/Patient/{person_id}", accept="application/fhir+json;fhirVersion=4.0")
    for method in ("post", "put", "delete", "patch"):
        answer = client.request(method, f"/fhir/Patient/{person_id}")
        assert answer.status_code in (405, 413)
        if answer.status_code == 405:
            assert definition_faults(answer.json()) == []
    assert client.get(f"/fhir/Patient/{person_id}").status_code == 200


def test_the_rules_of_the_other_pages_hold(client: TestClient, person_id: str) -> None:
    answer = client.get(f"/fhir/Patient/{person_id}", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    told = client.get(f"/fhir/Patient/{person_id}")
    assert told.headers["cache-control"] == "no-store"
    assert told.headers["x-content-type-options"] == "nosniff"
