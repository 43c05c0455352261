"""What a page must not lose or hide: dangers, what was just saved, corrections, stories, signatures."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.vocabulary import Finding, Side

FRAGMENT = {"HX-Request": "true"}
SURE = {"by": "R. Example", "sure": "yes"}


def field(html: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', html)
    assert found, name
    return found[1]


# ---- a danger comes into view ------------------------------------------------------------------------------------


def injured(desk: care.Desk, visit_id: str) -> None:
    care.set_screen(desk, visit_id, {"trauma_recent": True})


def test_a_danger_noticed_from_a_line_is_told_at_once_and_brought_into_view(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    injured(desk, visit_id)
    was = field(client.get(f"/visits/{visit_id}").text, "was")
    given = {"line": "R axillary sensory absent", "was": was}
    html = client.post(f"/visits/{visit_id}/lines", data=given, headers=FRAGMENT).text
    verdict = care.view_visit(desk, visit_id).assessment.verdict
    assert was != verdict.urgency
    said = html.split('id="said"')[1].split("</div>")[0]
    assert 'role="alert"' in said
    assert f"Safety is now: {verdict.urgency.words}" in said
    assert verdict.action[:30] in html.split('id="safety"')[1].split("</section>")[0]
    assert re.search(r'id="safety" tabindex="-1"[^>]* autofocus data-bring', html)
    calm = client.post(
        f"/visits/{visit_id}/lines",
        data={"line": "R axillary motor absent", "was": verdict.urgency.value},
        headers=FRAGMENT,
    ).text
    assert "Safety is now" not in calm


def test_without_scripts_a_danger_is_told_after_the_page_comes_back(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    injured(desk, visit_id)
    was = field(client.get(f"/visits/{visit_id}").text, "was")
    answer = client.post(f"/visits/{visit_id}/lines", data={"line": "R axillary sensory absent", "was": was})
    html = client.get(answer.headers["location"]).text
    assert 'class="said alarm" role="alert"' in html
    assert "Safety is now" in html


def test_in_an_emergency_recording_stands_behind_its_alarm(client: TestClient, danger_id: str) -> None:
    html = client.get(f"/visits/{danger_id}").text
    other = html.split('id="other-title"')[1]
    assert other.index("Safety leads:") < other.index("Record a finding all the same") < other.index('id="line"')


# ---- what was just saved -----------------------------------------------------------------------------------------


def test_undo_this_takes_back_what_was_saved_and_not_what_came_after(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    html = client.post(f"/visits/{visit_id}/lines", data={"line": "gh post glide 2"}, headers=FRAGMENT).text
    saved = field(html.split('id="said"')[1], "entry")
    later = care.record_line(desk, visit_id, "gh inf glide 2")
    client.post(f"/visits/{visit_id}/undo", data={"entry": saved}, headers=FRAGMENT)
    assert [one.id for one in care.view_visit(desk, visit_id).entries] == [later]


def test_without_scripts_saved_and_undo_this_appear_too(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"})
    html = client.get(answer.headers["location"]).text
    assert "Saved: " in html
    (entry,) = care.view_visit(desk, visit_id).entries
    assert field(html.split("Undo this")[0].split('id="said"')[1], "entry") == entry.id
    back = client.post(f"/visits/{visit_id}/undo", data={"entry": entry.id})
    assert "Taken back." in client.get(back.headers["location"]).text


def test_what_was_not_saved_is_an_alarm(client: TestClient, visit_id: str) -> None:
    html = client.post(f"/visits/{visit_id}/lines", data={"line": "qqq"}, headers=FRAGMENT).text
    assert re.search(r'class="said alarm" role="alert"><span>Not saved', html)


def test_after_a_fault_the_card_still_says_now_and_why(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    step = care.view_visit(desk, visit_id).assessment.plan.steps[0]
    given = {"procedure": step.procedure, "side": str(step.side or ""), "level": step.level or "", "pain": "77"}
    html = client.post(f"/visits/{visit_id}/findings", data=given, headers=FRAGMENT).text
    card = html.split('id="now"')[1].split("</p>")[0]
    assert "Now ·" in card
    assert step.reason[:20] in card


def test_the_minutes_stay_in_the_address_and_reach_the_note(client: TestClient, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +", "minutes": "5"}, headers=FRAGMENT)
    assert answer.headers["HX-Replace-Url"] == f"/visits/{visit_id}?minutes=5"
    html = client.get(f"/visits/{visit_id}?minutes=5").text
    assert f'href="/visits/{visit_id}/note?minutes=5"' in html
    chosen = client.get(f"/visits/{visit_id}?minutes=5&do=gh_post&side=right").text
    assert f'href="/visits/{visit_id}?minutes=30&amp;do=gh_post&amp;side=right"' in chosen
    note = client.get(f"/visits/{visit_id}/note?minutes=5").text
    longer = client.get(f"/visits/{visit_id}/note?minutes=45").text
    assert (
        note.split('id="note-plan"')[1].split("</section>")[0]
        != longer.split('id="note-plan"')[1].split("</section>")[0]
    )
    assert float(field(note, "minutes")) == 5


# ---- corrections -------------------------------------------------------------------------------------------------


def test_two_pages_that_correct_one_entry_do_not_overwrite_each_other(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    wrong = care.record_line(desk, visit_id, "gh post glide 2")
    newer = care.correct_finding(desk, visit_id, wrong, Finding("gh_post", Side.RIGHT, mobility=4))
    given = {"procedure": "gh_post", "side": "right", "mobility": "1", "note": "typed words"}
    answer = client.post(f"/visits/{visit_id}/entries/{wrong}", data=given)
    assert answer.status_code == 409
    assert "corrected on another page" in answer.text
    assert 'value="typed words"' in answer.text
    assert re.search(r'name="mobility" value="1" checked', answer.text)
    assert f'action="/visits/{visit_id}/entries/{newer}"' in answer.text
    assert client.post(f"/visits/{visit_id}/entries/{newer}", data=given).status_code == 303


def test_what_was_done_again_after_a_treatment_that_was_taken_back_is_a_finding(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    care.record_line(desk, visit_id, "gh er at side 35")
    client.post(f"/visits/{visit_id}/treatments", data={"technique": "posterior glide"})
    care.record_line(desk, visit_id, "gh er at side 55", retest=True)
    assert len(care.view_visit(desk, visit_id).assessment.retests) == 1
    treatment = next(one.id for one in care.view_visit(desk, visit_id).entries if one.treatment)
    care.undo(desk, visit_id, treatment)
    case = care.view_visit(desk, visit_id).assessment.case
    assert case.retests == ()
    assert [one.value for one in case.findings] == [35.0, 55.0]


# ---- story, episodes, visits -------------------------------------------------------------------------------------


def test_the_story_is_corrected_from_the_visit(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    assert f'href="/visits/{visit_id}/story' in client.get(f"/visits/{visit_id}").text
    form = client.get(f"/visits/{visit_id}/story").text
    assert field(form, "age") == "50"
    told = field(form, "told_before")
    given = {"label": "Person one", "age": "61", "side": "left", "areas": ["front"], "told_before": told}
    bad = client.post(f"/visits/{visit_id}/story", data={**given, "age": "old"})
    assert bad.status_code == 422
    assert 'value="old"' in bad.text
    assert client.post(f"/visits/{visit_id}/story", data=given).status_code == 303
    assert "61 years · left side" in client.get(f"/visits/{visit_id}").text
    behind = client.post(f"/visits/{visit_id}/story", data={**given, "age": "62"})
    assert behind.status_code == 409
    assert 'value="62"' in behind.text


def test_a_new_episode_of_somebody_on_record_has_its_own_story(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    person = care.view_visit(desk, visit_id).person_id
    assert f'href="/people/{person}/episodes/new"' in client.get("/").text
    form = client.get(f"/people/{person}/episodes/new").text
    assert "New episode of Person one" in form
    assert 'name="age"' not in form
    answer = client.post(f"/people/{person}/episodes", data={"side": "left", "weeks": "2"})
    assert answer.status_code == 303
    opened = answer.headers["location"].split("/")[2]
    case = care.view_visit(desk, opened).assessment.case
    assert (case.complaint.side, case.complaint.weeks, case.person.age) == (Side.LEFT, 2.0, 50)
    assert client.get("/people/none/episodes/new").status_code == 404


def test_the_next_visit_shows_last_times_findings_to_do_again(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    (person,) = care.list_people(desk)
    second = client.post(f"/episodes/{person.visits[0].episode_id}/visits").headers["location"].split("/")[2]
    html = client.get(f"/visits/{second}").text
    assert "visit 2" in html
    last = html.split('id="last-time"')[1].split("</section>")[0]
    assert last.count("Do again") > 5
    assert "30 against" in last or "against" in last
    assert "Last time: " in client.get(f"/visits/{second}?do=gh_er_0&side=right").text
    assert care.view_visit(desk, second).assessment.case.findings == ()
    assert "visit 2" in client.get("/").text


def test_the_start_page_marks_danger_alone_and_is_filtered(
    client: TestClient, desk: care.Desk, danger_id: str, visit_id: str
) -> None:
    urgency = care.view_visit(desk, danger_id).assessment.verdict.urgency.words
    html = client.get("/").text
    row = html.split(f'href="/visits/{danger_id}"')[1].split("</a>")[0]
    assert f"! {urgency}" in row
    calm = html.split(f'href="/visits/{visit_id}"')[1].split("</a>")[0]
    assert care.view_visit(desk, visit_id).assessment.verdict.unanswered
    assert "unanswered" not in calm, "what is asked at the visit is no news on the list"
    assert "!" not in calm
    injured(desk, visit_id)
    care.record_line(desk, visit_id, "R axillary sensory absent")
    assert "!" in client.get("/").text.split(f'href="/visits/{visit_id}"')[1].split("</a>")[0]
    assert danger_id not in client.get("/", params={"q": "person ONE"}).text
    assert visit_id in client.get("/", params={"q": "person ONE"}).text
    assert "Nobody has all of these words" in client.get("/", params={"q": "zzz"}).text


# ---- signing -----------------------------------------------------------------------------------------------------


def test_signing_over_a_danger_is_confirmed_in_words(client: TestClient, desk: care.Desk, danger_id: str) -> None:
    page = client.get(f"/visits/{danger_id}/note").text
    assert "sign all the same" in page
    first = client.post(f"/visits/{danger_id}/note", data={"by": "R. Example"})
    assert first.status_code == 409
    assert 'value="R. Example"' in first.text
    assert 'id="doubts" tabindex="-1" autofocus data-bring' in first.text
    assert care.view_visit(desk, danger_id).signed is None
    assert client.post(f"/visits/{danger_id}/note", data=SURE).status_code == 303


def test_a_screen_that_was_asked_is_signed_at_once(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    asked = care.view_visit(desk, visit_id).assessment.verdict.unanswered
    care.set_screen(desk, visit_id, dict.fromkeys(asked, False))
    assert "sign all the same" not in client.get(f"/visits/{visit_id}/note").text
    assert client.post(f"/visits/{visit_id}/note", data={"by": "R. Example"}).status_code == 303


def test_a_signed_visit_offers_nothing_that_would_be_refused(
    client: TestClient, desk: care.Desk, danger_id: str
) -> None:
    entry = next(one.id for one in care.view_visit(desk, danger_id).entries if one.finding)
    client.post(f"/visits/{danger_id}/note", data=SURE)
    visit = client.get(f"/visits/{danger_id}").text
    for gone in ("/override", "/story", "/undo", "/lines"):
        assert f'"/visits/{danger_id}{gone}' not in visit, gone
    assert "Save the answers" not in client.get(f"/visits/{danger_id}/screen").text
    for path in (f"entries/{entry}", "story"):
        refused = client.get(f"/visits/{danger_id}/{path}")
        assert refused.status_code == 409
        assert f'href="/visits/{danger_id}"' in refused.text


def test_an_addendum_sent_twice_is_one_and_stands_in_the_note(client: TestClient, example_id: str) -> None:
    client.post(f"/visits/{example_id}/note", data=SURE)
    given = {
        "text": "Letter sent.",
        "by": "R. Example",
        "addendum_id": field(client.get(f"/visits/{example_id}/note").text, "addendum_id"),
    }
    for _ in range(2):
        assert client.post(f"/visits/{example_id}/addenda", data=given).status_code == 303
    article = client.get(f"/visits/{example_id}/note").text.split("<article")[1].split("</article>")[0]
    assert article.count("Letter sent.") == 1


def test_the_pdf_is_named_after_person_and_day(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    day = care.view_visit(desk, visit_id).opened_at.astimezone()
    assert (
        f'filename="note-Person-one-{day:%Y-%m-%d}.pdf"'
        in client.get(f"/visits/{visit_id}/note.pdf").headers["content-disposition"]
    )


# ---- addresses and words -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("query", ["side=up", "level=T99", "do=gh_post&side=both"])
def test_an_address_that_names_no_side_or_level_is_refused(client: TestClient, visit_id: str, query: str) -> None:
    answer = client.get(f"/visits/{visit_id}?{query}")
    assert answer.status_code == 422
    assert "Back to the visit" in answer.text


def test_faults_are_told_without_the_words_of_the_program(client: TestClient, visit_id: str) -> None:
    pages = [
        client.post(f"/visits/{visit_id}/findings", data={"procedure": "reflex_ul", "side": "right"}).text,
        client.post(
            f"/visits/{visit_id}/findings",
            data={"procedure": "gh_er_0", "side": "right", "value": "400", "unit": "deg"},
        ).text,
        client.get(f"/visits/{visit_id}?do=no_such").text,
        client.get(f"/visits/{visit_id}?minutes=soon").text,
        client.post(f"/visits/{visit_id}/lines", data={"line": "qqqqq +"}).text,
    ]
    for html in pages:
        for word in ("written for", "in deg", "endfeel vocabulary", "Input should"):
            assert word not in html.split("<main")[1], word


def test_a_test_carries_the_trades_short_name_beside_its_own(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    short = desk.library.documents["aliases"]["phrase"]["gh_post"][0]
    assert f'<span class="short">{short}</span>' in client.get(f"/visits/{visit_id}?do=gh_post&side=right").text
    assert short in client.get(f"/visits/{visit_id}/procedures?region=glenohumeral").text


def test_a_task_the_person_shows_is_told_in_words_first(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    form = client.get(f"/visits/{visit_id}?do=func_demo").text.split('<form class="record"')[1].split("</form>")[0]
    assert form.index('name="note"') < form.index('name="hurt"') < form.index("<summary>") < form.index('name="value"')
    told = {"procedure": "func_demo", "side": "right", "note": "Putting a plate on the upper shelf.", "pain": "4"}
    assert client.post(f"/visits/{visit_id}/findings", data=told).status_code == 303


def test_the_place_a_hand_reaches_behind_the_back_is_recorded(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    told = {"procedure": "act_hbb", "side": "right", "value": "L3", "other": "T7", "unit": "deg"}
    assert client.post(f"/visits/{visit_id}/findings", data=told).status_code == 303
    html = client.get(f"/visits/{visit_id}").text
    assert "L3" in html
    (entry,) = care.view_visit(desk, visit_id).entries
    form = client.get(f"/visits/{visit_id}/entries/{entry.id}").text
    assert field(form, "value") == "L3"
    assert client.post(f"/visits/{visit_id}/entries/{entry.id}", data=told | {"value": "L1"}).status_code == 303
    assert client.get(f"/api/visits/{visit_id}").status_code == 200
