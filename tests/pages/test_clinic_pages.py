"""The pages of a clinic: every route without a session, every route in every role, the way in and out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.routing import APIRoute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter
from sqlalchemy import func, select
from starlette.routing import Mount, Route
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from endfeel import care
from endfeel.assessment import read_case
from endfeel.care import way_in as way
from endfeel.records.tables import AuditRow
from endfeel.vocabulary import Complaint, Person, Side
from endfeel.web.app import make_app
from endfeel.web.pages import sign_in as sign_in_page

WORDS = "several long words"
MARKER = "Zanzibar"
"""Stands in label, story and title of the person nobody here may see."""
HOME = "http://127.0.0.1:8710"
SHOW_NOBODY = ("/mark", "/procedures", "/phone/now")
"""Whether anything changed; the catalogue of tests; an angle."""
OPEN = {"/health", "/ready", "/sign-in", "/sign-in/passkey", "/static"}


@dataclass
class Clinic:
    """One clinic for all tests here: a person of nobody's, and a client signed in for each role."""

    desk: care.Desk
    app: FastAPI
    person: str
    episode: str
    visit: str
    entry: str
    document: str
    presented: str
    roles: dict[str, TestClient]
    secrets: dict[str, str]

    def client(self) -> TestClient:
        """A browser that is not signed in."""
        return TestClient(self.app, base_url=HOME, raise_server_exceptions=False, follow_redirects=False)

    def routes(self) -> Iterator[tuple[str, str]]:
        """Every method and address, with ids of the person nobody here may see."""
        known = {"person_id": self.person, "visit_id": self.visit, "episode_id": self.episode, "entry_id": self.entry,
                 "document_id": self.document, "presented_id": self.presented, "form": "json", "kind": "referral",
                 "form_id": "spadi", "resource_id": self.person, "number": "1", "staff_id": "x", "lesson_id": "x",
                 "exercise": "x", "figure_id": "x"}  # fmt: skip
        for route in _all(self.app):
            address = re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: known.get(found[1], "x"), route.path)
            for method in sorted((route.methods or set()) - {"HEAD", "OPTIONS"}):
                yield method, address


def _all(app: FastAPI) -> list[Route | APIRoute]:
    """Every route, those of included routers too."""
    found: list[Route | APIRoute] = []

    def walk(routes: list[object]) -> None:
        for one in routes:
            inside = getattr(one, "original_router", None) or (None if isinstance(one, Mount) else one)
            if isinstance(one, Route | APIRoute):
                found.append(one)
            elif hasattr(inside, "routes"):
                walk(list(inside.routes))

    walk(list(app.routes))
    return found


@pytest.fixture(scope="module", autouse=True)
def _quick() -> Iterator[None]:
    """Hashing is meant to be slow, and tries from one address are few; neither is what these tests are about."""
    before = way._HASHER
    way._HASHER = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    yield
    way._HASHER = before


@pytest.fixture(autouse=True)
def _fresh_tries(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign_in_page, "_TRIES", MovingWindowRateLimiter(MemoryStorage()))


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Clinic]:
    desk = care.open_desk(str(tmp_path_factory.mktemp("clinic") / "records.sqlite"))
    person = care.new_person(desk, f"{MARKER} label", Person(40, "female", Side.RIGHT))
    episode = care.open_episode(desk, person, Complaint(side=Side.RIGHT, story=f"{MARKER} story"), f"{MARKER} title")
    visit = care.open_visit(desk, episode)
    entry = care.record_line(desk, visit, "gh post glide 2")
    words = care.WriterWords(to=f"Dr {MARKER}", told="That.", asked="An opinion.")
    document = care.sign_document(desk, visit, "referral", words, "A. Therapist")
    app, secrets, roles = make_app(desk, a_minute=0), {}, {}
    once = {"administrator": care.add_staff(desk, "The administrator", "administrator")[1]}
    for role in ("therapist", "assistant", "lead", "student"):
        tutor = next((one.id for one in care.list_staff(desk) if one.role == "therapist"), "")
        once[role] = care.add_staff(desk, f"The {role}", role, tutor)[1]
    student = next(one for one in care.list_staff(desk) if one.role == "student")
    own_visit = care.import_case(care.desk_of(desk, student), read_case("side: right\n", "c", desk.library), "Of Stu")
    presented = care.present(care.desk_of(desk, student), own_visit, "note")
    made = Clinic(desk, app, person, episode, visit, entry, document, presented, roles, secrets)
    for role, password in once.items():
        roles[role], secrets[role] = begin(made, f"The {role}", password)
    yield made
    desk.engine.dispose()


def begin(clinic: Clinic, name: str, once: str) -> tuple[TestClient, str]:
    """Go the whole way in for the first time, as a browser does."""
    client = clinic.client()
    answer = client.post("/sign-in", data={"name": name, "password": once})
    assert answer.status_code == 303
    assert client.get(answer.headers["location"]).headers["location"] == "/me"
    assert client.get("/people/new").headers["location"] == "/me", "first the sign-in, then the work"
    data = {"old": once, "new": WORDS, "again": WORDS}
    assert client.post("/me/password", data=data).status_code == 303
    shown = client.get("/me/generator").text
    assert re.search(r"<svg[^>]+viewBox=", shown), "a code that is cut cannot be scanned"
    secret = re.search(r"<code>([A-Z2-7 ]+)</code>", shown)
    assert secret
    plain = secret[1].replace(" ", "")
    told = client.post("/me/generator", data={"code": pyotp.TOTP(plain).now()}).text
    assert len(re.findall(r"<code>\w{5}-\w{5}</code>", told)) == 10
    assert client.get("/me").status_code == 200
    return client, plain


# ---- every route ---------------------------------------------------------------------------------------------------


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


# ---- the way in and out --------------------------------------------------------------------------------------------


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


def again(clinic: Clinic, role: str) -> TestClient:
    """Signed in anew, by a recovery code made for it: the generator's code of now may have been used."""
    staff = next(one for one in care.list_staff(clinic.desk) if one.name == f"The {role}")
    return begin(clinic, staff.name, care.reset_sign_in(clinic.desk, staff.id))[0]


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
