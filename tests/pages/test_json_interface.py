"""The JSON part: its description, its answers, its faults."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from endfeel import care
from endfeel.vocabulary import Case, Complaint, Person, Side


def test_the_description_lists_every_route_with_what_it_takes_and_gives(client: TestClient) -> None:
    told = client.get("/openapi.json").json()
    assert told["openapi"].startswith("3.")
    assert set(told["paths"]) == {
        "/api/visits/{visit_id}",
        "/api/reason",
        "/api/visits/{visit_id}/findings",
        "/api/visits/{visit_id}/findings/{entry_id}",
        "/api/visits/{visit_id}/treatment",
        "/api/episodes/{episode_id}/course",
        "/api/scene",
        "/api/scene/pose",
        "/api/scene/shapes",
    }
    schemas = told["components"]["schemas"]
    for name, path in told["paths"].items():
        for act in path.values():
            if name.startswith("/api/scene"):
                assert {"200", "422"} <= set(act["responses"]) or name.endswith("shapes")
                continue
            assert act["description"]
            assert {"404", "409", "422"} <= set(act["responses"])
            good = next(code for code in ("200", "201") if code in act["responses"])
            reference = act["responses"][good]["content"]["application/json"]["schema"]["$ref"]
            assert reference.rsplit("/", 1)[1] in schemas


def test_a_visit_and_its_reasons_are_read(client: TestClient, example_id: str, desk: care.Desk) -> None:
    visit = client.get(f"/api/visits/{example_id}").json()
    assert len(visit["entries"]) == 26
    assert visit["plan"][0]["position"]
    reason = client.get("/api/reason", params={"visit": example_id}).json()
    beliefs = care.view_visit(desk, example_id).assessment.posterior.beliefs
    assert [one["id"] for one in reason["contributors"]] == [belief.id for belief in beliefs]
    assert all(one["low"] - 1e-12 <= one["probability"] <= one["high"] + 1e-12 for one in reason["contributors"])
    assert reason["release"] == desk.library.release
    assert reason["courses"][0]["region"] == "glenohumeral"
    assert not reason["treatment_withheld"]
    assert reason["contradictions"] == []


def test_a_danger_withholds_every_course_here_too(client: TestClient, danger_id: str) -> None:
    reason = client.get("/api/reason", params={"visit": danger_id}).json()
    assert reason["treatment_withheld"]
    assert reason["courses"] == []


def test_a_finding_sent_twice_with_one_id_is_kept_once(client: TestClient, visit_id: str, desk: care.Desk) -> None:
    body = {"id": care.new_id(), "procedure": "gh_post", "side": "right", "mobility": 2, "pain": 4}
    first = client.post(f"/api/visits/{visit_id}/findings", json=body)
    second = client.post(f"/api/visits/{visit_id}/findings", json=body)
    assert (first.status_code, second.status_code) == (201, 200)
    assert first.json()["id"] == second.json()["id"] == body["id"]
    assert len(care.view_visit(desk, visit_id).entries) == 1


def test_the_same_id_with_other_content_is_refused_and_keeps_the_first(
    client: TestClient, visit_id: str, desk: care.Desk
) -> None:
    body = {"id": care.new_id(), "procedure": "gh_post", "side": "right", "mobility": 2}
    assert client.post(f"/api/visits/{visit_id}/findings", json=body).status_code == 201
    assert client.post(f"/api/visits/{visit_id}/findings", json=body | {"mobility": 3}).status_code == 409
    (entry,) = care.view_visit(desk, visit_id).entries
    assert entry.finding is not None
    assert entry.finding.mobility == 2
    client.delete(f"/api/visits/{visit_id}/findings/{entry.id}")
    assert client.post(f"/api/visits/{visit_id}/findings", json=body).status_code == 200
    assert care.view_visit(desk, visit_id).entries == ()


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=10), inner, max_size=3),
    max_leaves=6,
)
NEAR = {
    "id": st.uuids().map(str),
    "line": st.sampled_from(["hawkins +", "gh post glide 2", "", "; ; ;", "m9", "\x00", "é ü 中"]),
    "procedure": st.sampled_from(["gh_post", "hawkins", "act_hbb", "none", ""]),
    "side": st.sampled_from(["right", "left", "up"]),
    "level": st.sampled_from(["T4", "T99", ""]),
    "mobility": st.integers(-1, 9) | st.just(10**30),
    "unit": st.sampled_from(["deg", "N", "stone"]),
    "value": st.sampled_from([0, -1, 1e308, 35.5, 10**40]),
    "pain": st.sampled_from([0, 4, 11, -0.0]),
    "note": st.text(max_size=20),
    "retest": st.booleans(),
}
"""Values a field might be meant to hold, right and wrong."""


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_junk_in_a_body_is_never_an_error_of_ours(client: TestClient, visit_id: str, data: st.DataObject) -> None:
    fields = client.get("/openapi.json").json()["components"]["schemas"]["FindingBody"]["properties"]
    named = st.fixed_dictionaries({}, optional={name: NEAR.get(name, JUNK) | JUNK for name in fields})
    body = data.draw(named | JUNK)
    answer = client.post(f"/api/visits/{visit_id}/findings", content=json.dumps(body), headers=JSON)
    assert answer.status_code in {200, 201, 404, 409, 422}, answer.text
    assert answer.status_code in {200, 201} or answer.json()["errors"]


JSON = {"Content-Type": "application/json"}


def test_a_line_is_taken_instead_of_fields(client: TestClient, visit_id: str) -> None:
    answer = client.post(f"/api/visits/{visit_id}/findings", json={"line": "hawkins + p6 familiar"})
    assert answer.status_code == 201
    (entry,) = answer.json()["visit"]["entries"]
    assert entry["finding"] == {
        "procedure": "hawkins",
        "side": "right",
        "pain": 6.0,
        "familiar": True,
        "result": "positive",
    }


def test_a_finding_is_taken_back(client: TestClient, visit_id: str) -> None:
    entry = client.post(f"/api/visits/{visit_id}/findings", json={"line": "hawkins +"}).json()["id"]
    assert client.delete(f"/api/visits/{visit_id}/findings/{entry}").json()["entries"] == []
    assert client.delete(f"/api/visits/{visit_id}/findings/{entry}").status_code == 404


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"procedure": "gh_post", "side": "right", "pain": 14}, "pain"),
        ({"procedure": "gh_post", "side": "right", "mobility": 9}, "mobility"),
        ({"procedure": "gh_er_0", "side": "right", "value": 400, "unit": "deg"}, "value"),
        ({"procedure": "th_pa_central", "level": "T15", "mobility": 2}, "level"),
        ({"procedure": "gh_post", "side": "up", "pain": 1}, "side"),
        ({"procedure": "gh_post", "side": "right", "colour": "red"}, "colour"),
        ({"side": "right", "pain": 3}, "procedure"),
        ({"line": "hawkins +", "pain": 3}, "line"),
        ({"id": "7", "line": "hawkins +"}, "id"),
        ({"procedure": "gh_post", "side": "right", "mobility": True}, "mobility"),
        ({"procedure": "gh_post", "side": "right", "mobility": 2.5}, "mobility"),
        ({"procedure": "gh_post", "side": "right", "pain": True}, "pain"),
        ({"procedure": "gh_post", "side": "right", "pain": "4"}, "pain"),
        ({"procedure": "gh_post", "side": "right", "pain": 4, "familiar": "yes"}, "familiar"),
        ({"procedure": "gh_post", "side": "right", "pain": 4, "retest": 1}, "retest"),
    ],
)
def test_an_impossible_finding_names_its_field_and_keeps_nothing(
    client: TestClient, desk: care.Desk, visit_id: str, body: dict[str, object], field: str
) -> None:
    answer = client.post(f"/api/visits/{visit_id}/findings", json=body)
    assert answer.status_code == 422
    assert field in [fault["field"] for fault in answer.json()["faults"]]
    assert answer.json()["errors"]
    assert care.view_visit(desk, visit_id).entries == ()


@pytest.mark.parametrize("body", ["", "[]", "{", '"line"', '{"pain": NaN}', '{"line": "' + "x" * 600 + '"}'])
def test_a_body_that_is_no_finding_is_a_fault_not_a_crash(client: TestClient, visit_id: str, body: str) -> None:
    answer = client.post(f"/api/visits/{visit_id}/findings", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["errors"]


def test_a_signed_visit_refuses_and_an_unknown_one_is_not_found(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    care.sign_note(desk, visit_id, "R. Example")
    refused = client.post(f"/api/visits/{visit_id}/findings", json={"line": "hawkins +"})
    assert refused.status_code == 409
    assert "addendum" in refused.json()["errors"][0]
    assert client.get("/api/visits/none").status_code == 404
    assert client.get("/api/reason", params={"visit": "none"}).status_code == 404
    assert client.get("/api/reason").status_code == 422


def test_a_hold_and_what_it_asks_stand_in_the_answer(client: TestClient, desk: care.Desk) -> None:
    story = Complaint(side=Side.RIGHT, story="Hurts between the ribs when breathing in.")
    visit = care.import_case(desk, Case(Person(50), story))
    reason = client.get("/api/reason", params={"visit": visit}).json()
    assert reason["on_hold"] == ["Pulmonary embolism, pneumothorax, pleurisy, pneumonia"]
    assert reason["ask_first"][:2] == ["pain_on_breathing", "breathless"]
    assert reason["treatment_withheld"]
    assert reason["next"] == []
