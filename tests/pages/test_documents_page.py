"""Documents on the pages: chosen, filled in, shown, signed, added to, downloaded; nothing typed is lost."""

from __future__ import annotations

import io
import re
from urllib.parse import unquote

from pypdf import PdfReader
from starlette.testclient import TestClient

from endfeel import care
from endfeel.vocabulary import Finding, Side, Unit
from endfeel.vocabulary.outcomes import OutcomeAnswer
from papers import metadata, pdf_words

BY = "A. Therapist"
SAID = {"to": "Dr B. Example", "told": "That you will write back.", "asked": "An opinion on an injection."}


def signed(client: TestClient, visit: str, kind: str, **said: str) -> str:
    answer = client.post(f"/visits/{visit}/documents/{kind}", data={**SAID, "by": BY, "do": "sign", **said})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"]).removesuffix("#signed")


def test_the_list_offers_what_there_may_be_and_links_lead_to_it(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    assert f"/visits/{example_id}/documents" in client.get(f"/visits/{example_id}").text
    html = client.get(f"/visits/{example_id}/documents").text
    for kind in ("referral", "discharge", "insurer"):
        assert f"/documents/{kind}" in html
    assert "Follow-up note" not in html
    assert "No letter or summary is signed yet." in html
    (person,) = care.list_people(desk)
    episode = person.visits[0].episode_id
    assert f"/episodes/{episode}/documents" in client.get("/").text
    second = care.open_visit(desk, episode)
    assert client.get(f"/episodes/{episode}/documents").headers["location"] == f"/visits/{second}/documents"
    assert "Follow-up note" in client.get(f"/visits/{second}/documents").text


def test_a_referral_is_shown_signed_downloaded_and_added_to(client: TestClient, example_id: str) -> None:
    shown = client.post(f"/visits/{example_id}/documents/referral", data={**SAID, "do": "show"}).text
    assert "Draft, " in shown
    assert shown.count("An opinion on an injection.") == 2
    assert "Signing freezes this paper" in shown
    place = signed(client, example_id, "referral")
    html = client.get(place).text
    assert f"Referral letter to Dr B. Example: signed by {BY}" in html
    assert "Signed by A. Therapist" in html
    paper = client.get(f"{place}.pdf")
    assert paper.headers["content-type"] == "application/pdf"
    assert "referral-Sore" in unquote(paper.headers["content-disposition"])
    assert "pdfaid:part>2" in metadata(paper.content)
    assert "Anopiniononaninjection." in pdf_words(paper.content)
    assert client.get(f"{place}.txt").text.startswith("SHOULDER GIRDLE: REFERRAL LETTER")
    assert client.get(f"{place}.html").text.startswith("<!doctype html>")
    assert client.get(f"{place}.docx").status_code == 404
    form = {"text": "Answer received.", "by": BY, "addendum_id": care.new_id()}
    for _ in range(2):
        assert client.post(f"{place}/addenda", data=form).headers["location"] == f"{place}#addenda"
    assert client.get(f"{place}.txt").text.count("Answer received.") == 1
    wrong = client.post(f"{place}/addenda", data={"text": "Kept words", "by": ""})
    assert wrong.status_code == 422
    assert "Kept words" in wrong.text
    listed = client.get(f"/visits/{example_id}/documents").text
    assert place in listed
    assert "1 added" in listed


def test_what_is_missing_comes_back_with_everything_that_was_typed(client: TestClient, example_id: str) -> None:
    answer = client.post(
        f"/visits/{example_id}/documents/referral",
        data={"asked": "<b>An opinion</b>", "code M75.0": "yes", "do": "sign", "by": ""},
    )
    assert answer.status_code == 422
    for name in ("to", "told", "by"):
        assert f'id="fault-{name}"' in answer.text
    assert "&lt;b&gt;An opinion&lt;/b&gt;" in answer.text
    assert "<b>An opinion</b>" not in answer.text
    assert re.search(r'name="code M75.0" value="yes" checked', answer.text)


def test_a_second_signing_is_refused_and_the_same_form_twice_is_one(client: TestClient, example_id: str) -> None:
    form = {"form_id": care.new_id()}
    place = signed(client, example_id, "referral", **form)
    assert signed(client, example_id, "referral", **form) == place
    again = client.post(f"/visits/{example_id}/documents/referral", data={**SAID, "by": BY, "do": "sign"})
    assert again.status_code == 409
    assert f"was signed by {BY}" in again.text
    assert "An opinion on an injection." in again.text


def test_codes_are_confirmed_by_hand_and_a_stale_one_loses_nothing(client: TestClient, example_id: str) -> None:
    draft = client.get(f"/visits/{example_id}/documents/insurer").text
    assert "Suggestions, not codes" in draft
    place = signed(client, example_id, "insurer", **{"code M75.0": "yes", "to": "Example insurance"})
    told = client.get(f"{place}.txt").text
    assert "ICD-10          M75.0" in told
    assert "b7100" not in told
    stale = client.post(
        f"/visits/{example_id}/documents/insurer", data={"to": "Other", "asked": "Six", "code C34": "yes", "do": "show"}
    )
    assert stale.status_code == 409
    assert "confirm the codes again" in stale.text
    assert 'value="Other"' in stale.text


def test_drafts_are_files_too_and_words_never_stand_in_an_address(client: TestClient, example_id: str) -> None:
    for form, kind in (("pdf", "application/pdf"), ("txt", "text/plain"), ("html", "text/html")):
        answer = client.post(f"/visits/{example_id}/documents/discharge", data={**SAID, "do": form})
        assert answer.headers["content-type"].startswith(kind)
        assert answer.headers["content-disposition"].startswith('attachment; filename="draft-discharge')
    assert len(PdfReader(io.BytesIO(
        client.post(f"/visits/{example_id}/documents/discharge", data={**SAID, "do": "pdf"}).content
    )).pages) >= 1  # fmt: skip
    assert 'method="post"' in client.get(f"/visits/{example_id}/documents/discharge").text


def test_a_follow_up_note_is_signed_as_the_note_after_its_doubts(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    (person,) = care.list_people(desk)
    assert client.get(f"/visits/{example_id}/documents/follow-up").status_code == 409
    second = care.open_visit(desk, person.visits[0].episode_id)
    care.record_finding(desk, second, Finding("act_abduction", Side.RIGHT, value=140, unit=Unit.DEGREES, pain=2))
    place = f"/visits/{second}/documents/follow-up"
    assert "better, changed beyond error" in client.get(place).text
    doubted = client.post(place, data={"by": BY, "do": "sign"})
    assert doubted.status_code == 409
    assert "sign all the same" in doubted.text
    nameless = client.post(place, data={"sure": "yes", "do": "sign"})
    assert nameless.status_code == 409
    assert "signed with a name" in nameless.text
    answer = client.post(place, data={"by": BY, "sure": "yes", "do": "sign"})
    assert answer.headers["location"] == f"/visits/{second}/note#signed"
    note = client.get(f"/visits/{second}/note").text
    assert "follow-up note" in note
    assert "can no longer change" in note
    assert "Signed already" in client.get(place).text
    assert client.post(place, data={"by": BY, "sure": "yes", "do": "sign"}).status_code == 409
    assert "Follow-up note" in client.get(f"/visits/{second}/documents").text


def test_the_sheet_is_signed_as_it_was_given(client: TestClient, example_id: str) -> None:
    assert f"/visits/{example_id}/documents/handout" in client.get(f"/visits/{example_id}/home").text
    query = "?exercise=pendulum&language=de&large=true"
    page = client.get(f"/visits/{example_id}/documents/handout{query}").text
    assert 'value="pendulum"' in page
    form = {"exercise": "pendulum", "language": "de", "large": "true"}
    assert client.post(f"/visits/{example_id}/documents/handout", data=form).status_code == 422
    answer = client.post(f"/visits/{example_id}/documents/handout", data={**form, "by": BY})
    place = answer.headers["location"].removesuffix("#signed")
    assert f"Mitgegeben von {BY}" in client.get(place).text
    assert "pdfaid:part>2" in metadata(client.get(f"{place}.pdf").content)
    assert client.post(f"/visits/{example_id}/documents/handout", data={**form, "by": BY}).status_code == 409


def test_what_is_not_there_is_told(client: TestClient, example_id: str) -> None:
    assert client.get(f"/visits/{example_id}/documents/bill").status_code == 404
    assert client.get("/visits/none/documents").status_code == 404
    assert client.get("/documents/none").status_code == 404
    assert client.get("/episodes/none/documents").status_code == 404
    assert client.get(f"/visits/{example_id}/documents/note").headers["location"] == f"/visits/{example_id}/note"


def test_a_visit_in_which_nothing_is_examined_forgets_nothing_of_the_earlier(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    episode = care.episode_of_visit(desk, example_id)
    day = desk.clock().astimezone().date()
    care.record_measure(desk, example_id, OutcomeAnswer("spadi", day, total=60))
    shown = client.get(f"/visits/{example_id}/home").text
    second = care.open_visit(desk, episode)
    letter = client.get(f"/visits/{second}/documents/discharge").text
    assert "nothing to reason from" not in letter
    assert "Frozen shoulder" in letter
    assert "nothing was examined since" in letter
    (followed,) = client.get(f"/api/episodes/{episode}/course").json()["measures"]
    assert followed["forecasts"][0]["course"] == "frozen_spadi", "the group of what was found at the first visit"
    treatment = client.get(f"/visits/{second}/treatment").text
    assert f'<a href="/visits/{example_id}/treatment">What was offered at visit 1</a>' in treatment
    home = client.get(f"/visits/{second}/home").text
    (taken,) = re.findall(r'href="([^"]*)">Take those of visit 1<', home)
    care.record_finding(desk, second, Finding("act_flexion", side=Side.RIGHT, value=150.0, unit=Unit.DEGREES))
    assert "Less was found in this visit than at visit 1" in client.get(f"/visits/{second}/treatment").text
    assert "less was examined since" in client.get(f"/visits/{second}/documents/discharge").text
    followed = client.get(f"/api/episodes/{episode}/course").json()["measures"][0]
    assert followed["forecasts"][0]["course"] == "frozen_spadi", "one sign done again is no examination"
    again = client.get(taken.replace("&amp;", "&")).text
    exercises = re.findall(r'<li><img src="/exercises/(\w+)\.svg', shown)
    assert exercises
    assert re.findall(r'<li><img src="/exercises/(\w+)\.svg', again) == exercises
