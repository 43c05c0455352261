"""The pages of a clinic: every route without a session, every route in every role, staff and team."""

from __future__ import annotations

import re

import pytest
from sqlalchemy import func, select
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from clinic_of_all_roles import MARKER, Clinic
from endfeel import care
from endfeel.assessment import read_case
from endfeel.records.tables import AuditRow
from endfeel.vocabulary import Complaint, Person, Side

pytestmark = pytest.mark.usefixtures("fresh_tries")
SHOW_NOBODY = ("/mark", "/procedures", "/phone/now")
"""Whether anything changed; the catalogue of tests; an angle."""
OPEN = {"/health", "/ready", "/sign-in", "/sign-in/passkey", "/static"}


def test_no_route_answers_without_a_session_but_the_way_in_health_and_static_files(clinic: Clinic) -> None:
    client, seen = clinic.client(), 0
    for method, address in clinic.routes():
        answer = client.request(method, address)
        seen += 1
        if address in OPEN:
            assert answer.status_code in (200, 401, 429), (method, address)
            continue
        shown = answer.status_code, answer.headers.get("location", "").startswith("/sign-in")
        assert shown in ((401, False), (303, True)), (method, address, answer.status_code)
        assert MARKER not in answer.text
    assert seen > 110
    assert client.get("/static/endfeel.css").status_code == 200
    assert client.get("/no-such-page").headers["location"].startswith("/sign-in")
    assert client.get("/openapi.json").status_code == 401


@pytest.mark.parametrize("role", ["therapist", "assistant", "student", "administrator"])
def test_in_no_role_but_the_leads_does_any_route_show_a_person_who_is_not_assigned(clinic: Clinic, role: str) -> None:
    client, about = clinic.roles[role], (clinic.person, clinic.visit, clinic.episode, clinic.document)
    refused = 0
    for method, address in clinic.routes():
        if address in ("/sign-out", "/me/places", "/me/codes", "/me/generator"):
            continue
        answer = client.request(method, address)
        assert MARKER not in answer.text, (method, address)
        assert answer.status_code < 500, (method, address, answer.text[:300])
        if any(one in address for one in about) and "/fhir/" not in address:
            refused += answer.status_code == 403
            shown = method == "GET" and answer.status_code == 200
            assert not shown or address.endswith(SHOW_NOBODY), (method, address, answer.status_code)
    assert refused > 25
    assert care.view_visit(clinic.desk, clinic.visit).entries[0].id == clinic.entry
    assert len(care.view_visit(clinic.desk, clinic.visit).entries) == 1
    assert clinic.roles["lead"].get(f"/visits/{clinic.visit}").status_code == 200


def test_what_belongs_to_one_role_is_refused_to_the_others(clinic: Clinic) -> None:
    may = {
        "/staff": {"administrator"},
        "/people/new": {"therapist", "student", "lead", "assistant", "administrator"},
        f"/people/{clinic.person}/team": {"lead"},
        f"/visits/{clinic.visit}/note.pdf": {"lead"},
        f"/people/{clinic.person}/record.json": {"lead"},
        "/break-glass": {"therapist", "assistant", "student", "lead", "administrator"},
        "/me": {"therapist", "assistant", "student", "lead", "administrator"},
    }
    for address, roles in may.items():
        for role, client in clinic.roles.items():
            wanted = 200 if role in roles else 403
            assert client.get(address).status_code == wanted, (role, address)
    for role in ("assistant", "administrator"):
        answer = clinic.roles[role].post("/people", data={"label": "new", "side": "right", "story": ""})
        assert answer.status_code == 403
        assert "Not for you" in answer.text


def test_figures_counts_and_classes_by_role(clinic: Clinic) -> None:
    """Published figures are everybody's; counting and teaching a class are a therapist's and a lead's."""
    own = clinic.roles["therapist"].post("/classes", data={"name": "Invented class", "teacher": ""})
    made = own.headers["location"].rpartition("/")[2]
    figure = "/evidence/diagnostic_accuracy.da001.sensitivity"
    for address in (figure, "/evidence", "/learn", "/join"):
        for role, client in clinic.roles.items():
            assert client.get(address).status_code == 200, (role, address)
    for address in (
        "/caseload",
        "/caseload?now=yes",
        "/caseload?now=yes&on=yes",
        "/evidence/here",
        "/classes",
        f"/classes/{made}",
    ):
        for role, client in clinic.roles.items():
            wanted = 200 if role in ("therapist", "lead") else 403
            assert client.get(address).status_code == wanted, (role, address)
    student = clinic.roles["student"]
    assert student.post(f"/classes/{made}/remove", data={"sure": "Invented class"}).status_code == 403
    assert care.view_class(clinic.desk, made).record.name == "Invented class"
    for address in ("/caseload", "/evidence/here", "/classes", "/take-over", "/team", "/hand-over"):
        for page in ("/", "/evidence", "/learn"):
            assert f'{address}"' not in student.get(page).text, (page, address)
    assert "/people/new" not in clinic.roles["assistant"].get("/").text
    care.remove_class(clinic.desk, made)


def refusals(desk: care.Desk) -> int:
    """How often the audit says that somebody else's class was refused."""
    with desk.engine.connect() as connection:
        wanted = select(func.count()).where(AuditRow.act == "not allowed", AuditRow.detail == "teach class")
        return connection.scalar(wanted) or 0


def test_a_class_is_its_teachers_and_a_leads(clinic: Clinic) -> None:
    therapist, lead = clinic.roles["therapist"], clinic.roles["lead"]
    of_lead = lead.post("/classes", data={"name": "Class of the lead"}).headers["location"]
    of_nobody = care.make_class(clinic.desk, "Made at the terminal")
    own = therapist.post("/classes", data={"name": "Own class"}).headers["location"]
    listed, everybody = therapist.get("/classes").text, lead.get("/classes").text
    assert "Own class" in listed
    assert "Class of the lead" not in listed
    assert "Made at the terminal" not in listed
    for words in ("Own class", "Class of the lead", "Made at the terminal", "The therapist"):
        assert words in everybody
    code = care.assign_cases(clinic.desk, of_lead.rpartition("/")[2], care.draw_codes(clinic.desk, 1))[0]
    refused = refusals(clinic.desk)
    assert therapist.get(f"{of_lead}/cases/{code}").status_code == 403
    assert refusals(clinic.desk) == refused + 1
    for address in (of_lead, f"/classes/{of_nobody}"):
        for get in (address, f"{address}/files/everything.json"):
            refused = refusals(clinic.desk)
            assert therapist.get(get).status_code == 403
            assert refusals(clinic.desk) == refused + 1, "a refusal is a row as well"
        assert therapist.post(f"{address}/cases", data={"count": "1"}).status_code == 403
        assert therapist.post(f"{address}/remove", data={"sure": "Class of the lead"}).status_code == 403
        assert lead.get(address).status_code == 200
    assert lead.get(own).status_code == 200
    for address in (of_lead, f"/classes/{of_nobody}", own):
        care.remove_class(clinic.desk, address.rpartition("/")[2])


def test_own_hands_are_their_own_and_read_no_visit_in_which_another_found_something(clinic: Clinic) -> None:
    desks = {one.role: care.desk_of(clinic.desk, one) for one in care.list_staff(clinic.desk)}
    grades = "Anna,Ben\n" + "2,3\n3,2\n2,2\n3,3\n" * 5
    told = {"text": grades, "kind": "ordinal", "examiner": "Anna", "procedure": "gh_post"}
    assert clinic.roles["therapist"].post("/agreement/hands", data=told).status_code == 303
    assert "Your own hands" in clinic.roles["therapist"].get("/agreement").text
    assert "Your own hands" not in clinic.roles["lead"].get("/agreement").text
    person = care.new_person(desks["therapist"], "Invented, own hands", Person(40, "male", Side.RIGHT))
    visit = care.open_visit(desks["therapist"], care.open_episode(desks["therapist"], person, Complaint(Side.RIGHT)))
    care.record_line(desks["therapist"], visit, "gh post glide 1")

    def said(role: str) -> str:
        return " ".join(care.view_visit(desks[role], visit).assessment.posterior.caveats)

    assert "(Anna)" in said("therapist")
    assert "own hands" not in said("lead")
    care.record_line(desks["lead"], visit, "gh inf glide 1")
    assert "(Anna)" not in said("therapist")
    assert "somebody else found something" in said("therapist")


def test_in_a_clinic_a_therapist_counts_whom_they_may_see_and_a_lead_everybody(clinic: Clinic) -> None:
    care.record_consent(clinic.desk, clinic.person, "shared_counts", True, "a signed form", "A. T.")
    shown = {role: clinic.roles[role].get("/caseload").text for role in ("therapist", "lead")}
    assert "<strong>0</strong>" in shown["therapist"]
    assert "<strong>1</strong>" in shown["lead"]
    care.record_consent(clinic.desk, clinic.person, "shared_counts", False, "a signed form", "A. T.")


def test_what_turned_out_stands_in_the_name_of_who_is_signed_in(clinic: Clinic) -> None:
    lead, address = clinic.roles["lead"], f"/episodes/{clinic.episode}/outcomes"
    assert "Your name" not in lead.get(address).text
    told = {"contributor": "cuff_pain", "side": "right", "confirmed": "yes", "reference": "imaging",
            "known_on": "2026-01-05", "by": "Somebody Else"}  # fmt: skip
    assert lead.post(address, data=told).status_code == 303
    page = lead.get(address).text
    assert "Recorded by The lead" in page
    assert "Somebody Else" not in page
    kept = re.search(rf"{address}/([\w-]+)/take-back", page)
    assert kept
    assert lead.post(f"{address}/{kept[1]}/take-back").status_code == 303
    assert "Recorded by" not in lead.get(address).text


def test_a_key_to_a_view_just_shown_opens_it_to_nobody_who_may_not_see_it(clinic: Clinic) -> None:
    lead = clinic.roles["lead"]
    key = re.search(r"/why\?[^\"]*key=([\w-]{36})", lead.get(f"/visits/{clinic.visit}").text)
    assert key
    for page in ("why", "left-out"):
        address = f"/visits/{clinic.visit}/{page}?key={key[1]}"
        assert lead.get(address).status_code == 200
        assert clinic.roles["student"].get(address).status_code == 403, page


def test_the_socket_of_the_voice_opens_to_nobody_who_is_not_signed_in(clinic: Clinic) -> None:
    with pytest.raises(WebSocketDisconnect), clinic.client().websocket_connect("/voice/listen"):
        pass


# ---- staff, team, break-glass, counter-signature -------------------------------------------------------------------


def test_the_administrator_adds_changes_and_ends_staff(clinic: Clinic) -> None:
    client = clinic.roles["administrator"]
    assert client.get("/").headers["location"] == "/staff"
    assert client.post("/staff", data={"name": "", "role": "student"}).status_code == 422
    told = client.post("/staff", data={"name": "New  One", "role": "assistant"}).text
    assert re.search(r'class="once">[a-z0-9-]{19}<', told)
    one = next(one for one in care.list_staff(clinic.desk) if one.name == "New One")
    assert client.post(f"/staff/{one.id}", data={"do": "role", "role": "therapist"}).status_code == 303
    assert "for the first time only" in client.post(f"/staff/{one.id}", data={"do": "reset"}).text
    assert client.post(f"/staff/{one.id}", data={"do": "end"}).status_code == 303
    ada = next(one for one in care.list_staff(clinic.desk) if one.role == "administrator")
    answer = client.post(f"/staff/{ada.id}", data={"do": "end"})
    assert answer.status_code == 422
    assert "last administrator" in answer.text
    assert clinic.roles["lead"].post("/staff", data={"name": "x", "role": "lead"}).status_code == 403


def test_break_glass_on_the_page(clinic: Clinic) -> None:
    client = clinic.roles["assistant"]
    assert "Break-glass" in client.get(f"/visits/{clinic.visit}").text
    half = client.post("/break-glass", data={"label": f"{MARKER} label", "reason": "now"})
    assert half.status_code == 422
    assert client.get(f"/visits/{clinic.visit}").status_code == 403
    why = "the therapist is ill, the person is here"
    assert client.post("/break-glass", data={"label": f"{MARKER} label", "reason": why}).status_code == 303
    assert client.get(f"/visits/{clinic.visit}").status_code == 200
    lead = clinic.roles["lead"]
    assert "opened by somebody not assigned" in lead.get("/").text
    assert why in lead.get("/break-glass").text
    assert why in lead.get(f"/people/{clinic.person}/rights").text
    assert lead.post("/break-glass/1/noted").status_code == 303
    assert "opened by somebody not assigned" not in lead.get("/").text


def test_a_student_presents_and_the_supervisor_signs(clinic: Clinic) -> None:
    student, tutor = clinic.roles["student"], clinic.roles["therapist"]
    visit = care.import_case(
        care.desk_of(clinic.desk, next(one for one in care.list_staff(clinic.desk) if one.role == "student")),
        read_case("side: right\n", "c", clinic.desk.library), "Presented one",
    )  # fmt: skip
    page = student.get(f"/visits/{visit}/note").text
    assert "Present for counter-signature" in page
    assert student.post(f"/visits/{visit}/note", data={"by": "x", "sure": "yes"}).status_code == 303
    assert "Waits for the counter-signature" in student.get(f"/visits/{visit}/note").text
    waiting = tutor.get("/counter-signatures").text
    address = re.findall(r'href="(/counter-signatures/[\w-]+)"><span>Presented one', waiting)[0]
    shown = tutor.get(address).text
    mark = re.search(r'name="mark" value="([^"]+)"', shown)
    assert mark
    assert "Counter-sign as The therapist" in shown
    assert "Counter-sign as" not in student.get(address).text
    assert tutor.post(address, data={"do": "sign", "mark": "0"}).status_code == 409
    assert student.post(address, data={"do": "sign", "mark": mark[1]}).status_code == 403
    assert tutor.post(address, data={"do": "sign", "mark": mark[1]}).status_code == 303
    assert (
        "Signed by The student, student; counter-signed by The therapist" in student.get(f"/visits/{visit}/note").text
    )


# ---- one therapist alone -------------------------------------------------------------------------------------------


def test_one_therapist_alone_meets_nothing_of_it(desk: care.Desk, client: TestClient, visit_id: str) -> None:
    assert client.get("/").status_code == 200
    assert "set-cookie" not in client.get("/").headers
    for address in ("/sign-in", "/sign-in/second", "/me"):
        assert client.get(address).status_code == 404
    for address in ("/break-glass", "/counter-signatures"):
        assert client.get(address).status_code == 409
    assert client.post("/staff", data={"name": "x", "role": "administrator"}).status_code == 409
    assert not care.clinic_is_on(desk), "a page cannot switch a clinic on"
    assert 'class="who' not in client.get(f"/visits/{visit_id}").text


def test_consent_to_care_is_asked_on_the_visit_and_kept_from_there(client: TestClient, visit_id: str) -> None:
    page = client.get(f"/visits/{visit_id}").text
    assert "Consent to examination and treatment is not written down" in page
    person = re.search(r"/people/([\w-]+)/consent", page)
    assert person
    told = {"purpose": "care", "words": "said in the room", "by": "A. Therapist", "back": f"/visits/{visit_id}"}
    answer = client.post(f"/people/{person[1]}/consent", data={**told, "given": "yes"})
    assert answer.headers["location"] == f"/visits/{visit_id}"
    assert "is not written down" not in client.get(f"/visits/{visit_id}").text
    elsewhere = {**told, "given": "no", "back": "//elsewhere.example"}
    assert client.post(f"/people/{person[1]}/consent", data=elsewhere).headers["location"].startswith("/people/")
    page = client.get(f"/visits/{visit_id}").text
    assert "does not agree to examination and treatment" in page
    assert 'id="line"' not in page
    assert client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"}).status_code in (409, 422)
    assert client.get(f"/visits/{visit_id}/note").status_code == 200
