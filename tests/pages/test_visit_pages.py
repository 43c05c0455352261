"""People, screen, visit, note and evidence pages: success, fault, refusal."""

from __future__ import annotations

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case

FRAGMENT = {"HX-Request": "true"}
SURE = {"by": "R. Example", "sure": "yes"}


def entries(desk: care.Desk, visit_id: str) -> list[str]:
    return [entry.kind for entry in care.view_visit(desk, visit_id).entries]


def fields_with_faults(html: str) -> set[str]:
    return set(re.findall(r'id="fault-([a-z_]+)"', html))


def ranking(html: str) -> list[tuple[str, str]]:
    """Names and percentages of the contributors, in the order shown."""
    shown = html.split('id="beliefs"')[1].split("</ol>")[0]
    return re.findall(r"<b>(.*?)</b>.*?class=\"number\">(.*?)</span>", shown, re.DOTALL)


def test_an_empty_start_page_says_what_to_do_and_carries_the_cautions(client: TestClient) -> None:
    html = client.get("/").text
    assert "Nobody is on record yet" in html
    assert "New person" in html
    assert "does not diagnose and does not decide" in html


def test_the_invented_example_opens_as_a_visit_that_says_it_is_invented(client: TestClient) -> None:
    answer = client.post("/example", follow_redirects=True)
    assert answer.status_code == 200
    assert "invented example" in answer.text
    assert "Invented example" in client.get("/").text


def test_a_new_person_leads_to_the_screen_and_stands_on_the_start_page(client: TestClient) -> None:
    given = {
        "label": "P-17",
        "age": "61",
        "sex": "male",
        "side": "left",
        "onset": "gradual",
        "weeks": "3 months",
        "irritability": "low",
        "areas": ["front", "deep"],
        "story": "Reaching hurts.\nNights are fine.",
    }
    answer = client.post("/people", data=given)
    assert answer.status_code == 303
    assert answer.headers["location"].endswith("/screen")
    assert "P-17" in client.get("/").text
    visit = client.get(answer.headers["location"].removesuffix("/screen")).text
    assert "61 years · male · left side · 13 weeks · irritability low" in visit
    assert "Reaching hurts. Nights are fine." in visit


def test_every_faulty_field_of_a_new_person_is_marked_and_nothing_typed_is_lost(client: TestClient) -> None:
    given = {"label": " ", "age": "two hundred", "weeks": "-3", "areas": ["front"], "story": "Kept words."}
    answer = client.post("/people", data=given)
    assert answer.status_code == 422
    assert fields_with_faults(answer.text) == {"label", "age", "weeks"}
    assert 'value="two hundred"' in answer.text
    assert "Kept words." in answer.text
    assert re.search(r'name="areas" value="front" checked', answer.text)
    assert "Nobody is on record yet" in client.get("/").text


def test_the_visit_page_says_what_to_do_now_and_plans_by_position(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    html = client.get(f"/visits/{visit_id}").text
    for words in ("Now", "Person", "What may contribute", "Plan", "Sitting", "Why", "Findings so far"):
        assert words in html
    assert f"{len(care.view_visit(desk, visit_id).assessment.verdict.unanswered)} unanswered" in html


def test_fewer_minutes_make_a_shorter_plan(client: TestClient, visit_id: str) -> None:
    def steps(minutes: int) -> int:
        return client.get(f"/visits/{visit_id}?minutes={minutes}").text.count('class="at"')

    assert 0 < steps(5) < steps(30)


@pytest.mark.parametrize("minutes", ["0", "-5", "999", "soon"])
def test_impossible_minutes_are_refused(client: TestClient, visit_id: str, minutes: str) -> None:
    assert client.get(f"/visits/{visit_id}?minutes={minutes}").status_code == 422


def test_a_finding_by_touch_is_kept_and_ranks_anew(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    before = ranking(client.get(f"/visits/{visit_id}").text)
    given = {
        "procedure": "gh_er_0",
        "side": "right",
        "value": "30",
        "unit": "deg",
        "other": "70",
        "end_feel": "early_capsular",
        "pain": "5",
        "familiar": "yes",
    }
    answer = client.post(f"/visits/{visit_id}/findings", data=given, headers=FRAGMENT)
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert ranking(answer.text) != before
    assert entries(desk, visit_id) == ["finding"]
    assert "30 against 70 deg" in answer.text


def test_without_scripts_a_saved_finding_leads_back_to_the_page(client: TestClient, visit_id: str) -> None:
    answer = client.post(
        f"/visits/{visit_id}/findings", data={"procedure": "hawkins", "side": "right", "result": "positive"}
    )
    assert answer.status_code == 303
    assert "Saved" not in client.get("/").text
    assert answer.headers["location"].startswith(f"/visits/{visit_id}")


def test_a_form_sent_twice_is_kept_once(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    given = {"procedure": "hawkins", "side": "right", "result": "positive", "entry_id": care.new_id()}
    for _ in range(2):
        assert client.post(f"/visits/{visit_id}/findings", data=given).status_code == 303
    assert entries(desk, visit_id) == ["finding"]


def test_an_impossible_finding_is_marked_at_its_field_and_keeps_the_rest(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    given = {
        "procedure": "gh_post",
        "side": "right",
        "mobility": "9",
        "pain": "14",
        "end_feel": "empty",
        "note": "kept",
    }
    answer = client.post(f"/visits/{visit_id}/findings", data=given, headers=FRAGMENT)
    assert answer.status_code == 422
    assert fields_with_faults(answer.text) == {"mobility", "pain"}
    assert re.search(r'value="empty" checked', answer.text)
    assert 'value="kept"' in answer.text
    assert entries(desk, visit_id) == []


def test_an_empty_form_keeps_nothing_and_says_so(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    answer = client.post(
        f"/visits/{visit_id}/findings", data={"procedure": "act_flexion", "side": "right", "unit": "deg"}
    )
    assert answer.status_code == 422
    assert "Nothing is marked yet" in answer.text
    assert 'class="said alarm" role="alert"' in answer.text
    assert entries(desk, visit_id) == []


@pytest.mark.parametrize("procedure", ["", "no_such_thing"])
def test_an_unknown_procedure_is_not_found(client: TestClient, visit_id: str, procedure: str) -> None:
    assert client.post(f"/visits/{visit_id}/findings", data={"procedure": procedure}).status_code == 404


def test_every_procedure_can_be_chosen_and_shows_controls(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    kinds = {procedure.outcomes: procedure for procedure in desk.library.catalogue}
    for procedure in kinds.values():
        html = client.get(f"/visits/{visit_id}?do={procedure.id}").text
        assert 'id="save"' in html, procedure.id
        assert "Chosen" in html


def test_a_line_is_kept_and_a_bad_line_stays_in_its_field_with_its_faults(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    good = client.post(f"/visits/{visit_id}/lines", data={"line": "gh post glide 2 firm p4 fam"}, headers=FRAGMENT)
    assert good.status_code == 200
    bad = client.post(f"/visits/{visit_id}/lines", data={"line": "hawkns + p14"}, headers=FRAGMENT)
    assert bad.status_code == 422
    assert 'value="hawkns + p14"' in bad.text
    assert 'data-fill="hawkins"' in bad.text
    assert entries(desk, visit_id) == ["finding"]


def test_half_a_line_is_completed(client: TestClient) -> None:
    assert 'data-fill="gh_post' in client.get("/complete", params={"line": "gh post gl"}).text


def test_tests_are_found_by_region_and_by_words_in_place_and_as_a_page(client: TestClient, visit_id: str) -> None:
    place = client.get(f"/visits/{visit_id}/procedures", params={"region": "sternoclavicular"}, headers=FRAGMENT).text
    page = client.get(f"/visits/{visit_id}/procedures", params={"q": "posterior glide"}).text
    assert "sc_" in place
    assert "<html" not in place
    assert "do=gh_post" in page
    assert "<html" in page


def test_undo_takes_back_and_redo_puts_back(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    client.post(f"/visits/{visit_id}/lines", data={"line": "hawkins +"})
    assert "Taken back." in client.post(f"/visits/{visit_id}/undo", headers=FRAGMENT).text
    assert entries(desk, visit_id) == []
    assert "nothing to take back" in client.post(f"/visits/{visit_id}/undo", headers=FRAGMENT).text
    assert "Put back." in client.post(f"/visits/{visit_id}/redo", headers=FRAGMENT).text
    assert entries(desk, visit_id) == ["finding"]


def test_a_correction_starts_from_what_was_recorded_and_replaces_it(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    client.post(f"/visits/{visit_id}/lines", data={"line": "gh post glide 2 firm p4"})
    entry = care.view_visit(desk, visit_id).entries[0].id
    form = client.get(f"/visits/{visit_id}/entries/{entry}").text
    assert re.search(r'name="mobility" value="2" checked', form)
    bad = client.post(
        f"/visits/{visit_id}/entries/{entry}", data={"procedure": "gh_post", "side": "right", "pain": "77"}
    )
    assert bad.status_code == 422
    assert fields_with_faults(bad.text) == {"pain"}
    good = {"procedure": "gh_post", "side": "right", "mobility": "1"}
    assert client.post(f"/visits/{visit_id}/entries/{entry}", data=good).status_code == 303
    (standing,) = care.view_visit(desk, visit_id).entries
    assert standing.finding is not None
    assert (standing.finding.mobility, standing.finding.pain) == (1, None)
    assert client.get(f"/visits/{visit_id}/entries/{entry}").status_code == 404


def test_a_no_answers_the_questions_behind_it_and_the_rest_stay_unanswered(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    assert client.post(f"/visits/{visit_id}/screen", data={"item1": "no", "item0": "open"}).status_code == 303
    screen = care.view_visit(desk, visit_id).assessment.case.screen
    assert screen["fever_unwell"] is False
    assert "trauma_recent" not in screen


def test_a_yes_that_says_not_which_is_kept_goes_back_open_and_is_never_a_no(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    answer = client.post(f"/visits/{visit_id}/screen", data={"item1": "yes", "item2": "no"})
    assert answer.status_code == 200
    assert "mark below which" in answer.text
    assert re.search(r'class="said alarm" role="alert"><span>Kept, but not specified: Infection', answer.text)
    assert re.search(r'id="item1"[^>]* autofocus data-bring', answer.text)
    view = care.view_visit(desk, visit_id)
    assert "fever_unwell" not in view.assessment.case.screen
    assert view.assessment.case.screen["cancer_history"] is False
    assert view.unspecified == ("Infection",)
    again = client.get(f"/visits/{visit_id}/screen").text
    assert re.search(r'name="item1" value="yes" checked', again)
    shown = re.search(r'name="shown" value="(\d+)"', again)
    assert shown
    leave = {"item1": "yes", "shown": shown[1], "unspecified": "Infection"}
    assert client.post(f"/visits/{visit_id}/screen", data=leave).status_code == 303
    visit = client.get(f"/visits/{visit_id}").text
    assert "Answered yes, not specified: Infection" in visit
    assert "/screen?asks=1" in visit


def test_a_yes_with_every_question_behind_it_no_is_still_a_yes(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    item = list(care.first_questions(desk.library).values())[6]
    given = {"item6": "yes", **{one.id: "no" for one in item.follow_up}}
    assert item.title in client.post(f"/visits/{visit_id}/screen", data=given).text
    html = client.get(f"/visits/{visit_id}/screen").text
    assert re.search(r'name="item6" value="yes" checked', html)
    assert f"not specified: {item.title}" in client.get(f"/visits/{visit_id}").text


def _form(html: str) -> dict[str, str]:
    """The screen's form as a browser would send it."""
    form = html.split('<form class="screen"')[1].split("</form>")[0]
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form))
    return hidden | dict(re.findall(r'type="radio" name="(\w+)" value="(\w+)" checked', form))


def test_a_page_of_the_screen_that_is_behind_takes_no_emergency_back(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    first, second = (_form(client.get(f"/visits/{visit_id}/screen").text) for _ in range(2))
    heart = list(care.first_questions(desk.library).values())[6]
    first |= {"item6": "yes", **{one.id: "yes" for one in heart.follow_up}}
    assert client.post(f"/visits/{visit_id}/screen", data=first).status_code == 303
    assert care.view_visit(desk, visit_id).assessment.verdict.urgency == "emergency"
    assert client.post(f"/visits/{visit_id}/screen", data=second | {"item1": "no"}).status_code == 303
    view = care.view_visit(desk, visit_id)
    assert view.assessment.verdict.urgency == "emergency"
    assert view.assessment.case.screen["fever_unwell"] is False


def test_an_answer_against_a_later_one_shows_both_and_keeps_the_later(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    first, second = (_form(client.get(f"/visits/{visit_id}/screen").text) for _ in range(2))
    client.post(f"/visits/{visit_id}/screen", data=first | {"item1": "yes", "fever_unwell": "yes"})
    answer = client.post(f"/visits/{visit_id}/screen", data=second | {"item1": "no"})
    assert answer.status_code == 409
    assert "On another page: yes, which stands. Here you answered: no." in answer.text
    assert care.view_visit(desk, visit_id).assessment.case.screen == {"fever_unwell": True}
    now = _form(answer.text)
    client.post(f"/visits/{visit_id}/screen", data=now | {"item1": "no", "fever_unwell": "no"})
    assert care.view_visit(desk, visit_id).assessment.case.screen["fever_unwell"] is False


def test_a_yes_below_a_no_is_kept_as_a_yes_and_told(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/screen", data={"item1": "no", "fever_unwell": "yes"})
    assert "the yes is kept" in answer.text
    assert care.view_visit(desk, visit_id).assessment.case.screen["fever_unwell"] is True


def test_an_answer_can_be_taken_back_to_unanswered(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    client.post(f"/visits/{visit_id}/screen", data={"fever_unwell": "no"})
    client.post(f"/visits/{visit_id}/screen", data={"fever_unwell": "open"})
    assert care.view_visit(desk, visit_id).assessment.case.screen == {"fever_unwell": False}
    shown = _form(client.get(f"/visits/{visit_id}/screen").text)
    client.post(f"/visits/{visit_id}/screen", data=shown | {"fever_unwell": "open"})
    assert "fever_unwell" not in care.view_visit(desk, visit_id).assessment.case.screen


def test_danger_leads_the_page_replaces_the_plan_and_withholds_treatment(client: TestClient, danger_id: str) -> None:
    html = client.get(f"/visits/{danger_id}").text
    assert html.index('class="safety pressing"') < html.index("For the letter only")
    assert "Plan stopped" in html
    assert 'class="steps"' not in html
    assert "Treatment is withheld" in html
    refused = client.post(f"/visits/{danger_id}/treatments", data={"technique": "posterior glide"})
    assert refused.status_code == 409
    assert "withheld" in refused.text


def test_an_override_needs_name_and_reason_and_then_stays_in_sight(client: TestClient, danger_id: str) -> None:
    bare = client.post(f"/visits/{danger_id}/override", data={"reason": "ok", "by": ""}, headers=FRAGMENT)
    assert bare.status_code == 409
    assert bare.headers["HX-Retarget"] == "#said"
    given = {"reason": "Imaged last week, seen by the chest physician, free to go on", "by": "R. Example"}
    assert client.post(f"/visits/{danger_id}/override", data=given).status_code == 303
    html = client.get(f"/visits/{danger_id}").text
    assert "overridden" in html
    assert "R. Example" in html
    assert 'class="steps"' in html


def test_treatment_and_retest_show_before_after_and_the_error_behind_the_verdict(
    client: TestClient, visit_id: str
) -> None:
    client.post(f"/visits/{visit_id}/lines", data={"line": "gh er at side 35° other 65 p5"})
    client.post(f"/visits/{visit_id}/treatments", data={"technique": "posterior glide", "dose": "grade III 3 x 60 s"})
    chosen = client.get(f"/visits/{visit_id}?do=gh_er_0&side=right&retest=true").text
    assert "Before treatment" in chosen
    given = {"procedure": "gh_er_0", "side": "right", "value": "38", "pain": "1", "retest": "yes"}
    html = client.post(f"/visits/{visit_id}/findings", data=given, headers=FRAGMENT).text
    assert "within measurement error" in html
    assert re.search(r"SEM [\d.]+ deg", html)
    assert 'href="/evidence/measurement_error.' in html


def test_a_treatment_without_a_name_is_marked(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/treatments", data={"technique": " ", "dose": "3 x 30 s"})
    assert answer.status_code == 422
    assert fields_with_faults(answer.text) == {"technique"}
    assert 'value="3 x 30 s"' in answer.text
    assert entries(desk, visit_id) == []


def test_every_reason_shows_its_label_and_links_to_a_figure_that_exists(client: TestClient, example_id: str) -> None:
    html = client.get(f"/visits/{example_id}/why").text
    assert re.search(r"(strongly|clearly|slightly) (for|against) it", html)
    found = sorted(set(re.findall(r'href="(/evidence/[^"]+)"', html)))
    assert len(found) > 10
    for address in found[:: max(1, len(found) // 12)]:
        page = client.get(address)
        assert page.status_code == 200
        for words in ("Value", "Source", "Address", "Label"):
            assert words in page.text


def test_the_reasons_of_a_view_just_shown_are_the_reasons_of_the_page(client: TestClient, example_id: str) -> None:
    key = re.search(r'data-key="([^"]+)"', client.get(f"/visits/{example_id}").text)
    assert key is not None
    kept = client.get(f"/visits/{example_id}/why", params={"key": key[1]}, headers=FRAGMENT).text
    fresh = client.get(f"/visits/{example_id}/why", headers=FRAGMENT).text
    assert kept == fresh


def test_a_contributor_is_told_in_full_with_every_source(client: TestClient, example_id: str) -> None:
    html = client.get(f"/visits/{example_id}/why").text
    address = re.search(r'href="(/visits/[^"]+/why\?of=capsule_global[^"]*)"', html)
    assert address is not None
    told = client.get(unescape(address[1])).text
    for words in ("Speaks for it", "Speaks against it", "What stands beside it", "What would reverse the order"):
        assert words in told
    assert "link from custom and model" in told
    assert 'href="/evidence/computed_links.' in told
    assert client.get(f"/visits/{example_id}/why", params={"of": "no_such"}).status_code == 404


def test_the_therapist_arranges_the_plan_and_it_stays_so(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    first = care.view_visit(desk, visit_id).assessment.plan.steps[0]
    answer = client.post(
        f"/visits/{visit_id}/wishes", data={"procedure": first.procedure, "wish": "never"}, headers=FRAGMENT
    )
    assert answer.status_code == 200
    assert "is left out of the plan" in answer.text
    view = care.view_visit(desk, visit_id)
    assert view.wishes == {first.procedure: "never"}
    assert first.procedure not in {step.procedure for step in view.assessment.plan.steps}
    later = view.assessment.plan.steps[-1]
    client.post(f"/visits/{visit_id}/wishes", data={"procedure": later.procedure, "wish": "next"})
    assert care.view_visit(desk, visit_id).assessment.plan.steps[0].procedure == later.procedure
    client.post(f"/visits/{visit_id}/wishes", data={"procedure": first.procedure, "wish": "none"})
    assert list(care.view_visit(desk, visit_id).wishes) == [later.procedure]
    assert client.post(f"/visits/{visit_id}/wishes", data={"procedure": "no_such", "wish": "never"}).status_code == 404
    assert client.post(f"/visits/{visit_id}/wishes", data={"procedure": "neer", "wish": "soon"}).status_code == 422


def test_what_is_left_out_is_fetched_when_asked_for_and_each_test_can_be_put_in_once(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    left_out = care.view_visit(desk, visit_id).assessment.plan.left_out
    page = client.get(f"/visits/{visit_id}").text
    assert f"Left out: {len(left_out)}, and why" in page
    assert 'value="must"' not in page
    key = re.search(r'data-key="([^"]+)"', page)
    assert key is not None
    kept = client.get(f"/visits/{visit_id}/left-out", params={"key": key[1]}, headers=FRAGMENT).text
    assert kept.count("<li>") == len(left_out)
    assert kept.count('value="must"') == len({one.procedure for one in left_out if not one.by_safety})
    assert kept.count("<summary>") == len({one.reason for one in left_out})
    whole = client.get(f"/visits/{visit_id}/left-out").text
    assert "<h1>Left out of the plan</h1>" in whole
    assert left_out[0].reason[1:] in unescape(whole)


def test_the_page_says_what_it_calls_for_with_sources_or_that_safety_comes_first(
    client: TestClient, example_id: str, danger_id: str
) -> None:
    html = client.get(f"/visits/{example_id}").text
    assert "Mobilise the joint (shoulder joint, right)" in html
    assert 'href="/evidence/treatment_courses.mobilise_joint.benefit_points"' in html
    assert "Advice and time is always open" in html
    danger = client.get(f"/visits/{danger_id}").text
    assert "Nothing is treated before what" in danger
    assert 'id="courses"' not in danger


def test_what_cannot_both_be_so_is_said_on_the_page_and_in_the_note(client: TestClient, visit_id: str) -> None:
    for line in ("act er side 60", "gh er at side 20"):
        client.post(f"/visits/{visit_id}/lines", data={"line": line})
    said = "an active motion does not go farther than the same motion moved passively"
    for page in ("", "/note", "/why"):
        assert said in client.get(f"/visits/{visit_id}{page}").text, page


def test_evidence_is_searched_and_a_figure_carries_its_source(client: TestClient) -> None:
    html = client.get("/evidence", params={"q": "hawkins"}).text
    assert re.search(r"[1-9]\d* found", html)
    assert client.get("/evidence", params={"q": "zzz qqq"}).text.count('class="figure-link"') == 0
    assert client.get("/evidence/no.such.figure").status_code == 404


def test_the_note_is_signed_once_and_then_cannot_change(client: TestClient, example_id: str) -> None:
    assert "not signed" in client.get(f"/visits/{example_id}/note").text
    nameless = client.post(f"/visits/{example_id}/note", data={"by": " "})
    assert nameless.status_code == 409
    assert "signed with a name" in nameless.text
    assert client.post(f"/visits/{example_id}/note", data=SURE).status_code == 303
    assert "Signed by R. Example" in client.get(f"/visits/{example_id}/note").text
    assert client.post(f"/visits/{example_id}/note", data={"by": "Another", "sure": "yes"}).status_code == 409
    refused = client.post(f"/visits/{example_id}/lines", data={"line": "hawkins +"})
    assert refused.status_code == 409
    assert "addendum" in refused.text
    assert 'id="save"' not in client.get(f"/visits/{example_id}").text


def test_an_addendum_is_added_below_the_signed_note(client: TestClient, example_id: str) -> None:
    client.post(f"/visits/{example_id}/note", data=SURE)
    empty = client.post(f"/visits/{example_id}/addenda", data={"text": "", "by": "R. Example"})
    assert empty.status_code == 422
    client.post(f"/visits/{example_id}/addenda", data={"text": "Letter sent.", "by": "R. Example"})
    assert "Letter sent." in client.get(f"/visits/{example_id}/note").text


def test_the_pdf_is_a_pdf(client: TestClient, example_id: str) -> None:
    answer = client.get(f"/visits/{example_id}/note.pdf")
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["content-type"] == "application/pdf"


def test_the_shorthand_page_shows_lines_as_they_are_read(client: TestClient) -> None:
    html = client.get("/shorthand").text
    assert "gh_post right mobility 2 firm_capsular pain 4 familiar" in html


@pytest.mark.parametrize("path", ["", "/screen", "/note", "/note.pdf", "/why", "/entries/x"])
def test_an_unknown_visit_is_not_found_and_says_so_calmly(client: TestClient, path: str) -> None:
    answer = client.get(f"/visits/none-such{path}")
    assert answer.status_code == 404
    assert "Not found" in answer.text


def test_turning_the_person_starts_the_plan_there(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/position", data={"position": "side_lying"}, headers=FRAGMENT)
    assert answer.status_code == 200
    assert 'value="side_lying" aria-current="true"' in answer.text
    assert care.view_visit(desk, visit_id).assessment.plan.positions[0] == "side_lying"
    assert client.post(f"/visits/{visit_id}/position", data={"position": "floating"}).status_code == 422


def test_saving_a_planned_test_keeps_the_position_it_was_planned_in(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    given = {"procedure": "gh_post", "side": "right", "mobility": "2", "position": "side_lying"}
    client.post(f"/visits/{visit_id}/findings", data=given)
    assert care.view_visit(desk, visit_id).position == "side_lying"


def test_a_planned_test_sent_a_second_time_does_not_turn_the_person_back(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    given = {"procedure": "gh_post", "side": "right", "mobility": "2", "position": "side_lying"}
    given["entry_id"] = care.new_id()
    client.post(f"/visits/{visit_id}/findings", data=given)
    client.post(f"/visits/{visit_id}/position", data={"position": "prone"})
    client.post(f"/visits/{visit_id}/findings", data=given)
    assert care.view_visit(desk, visit_id).position == "prone"


def test_a_next_visit_is_opened_from_the_start_page(client: TestClient, example_id: str) -> None:
    found = re.search(r'action="(/episodes/[^"]+/visits)"', client.get("/").text)
    assert found
    answer = client.post(found[1], follow_redirects=False)
    assert answer.status_code == 303
    assert re.fullmatch(r"/visits/[^/]+/screen", answer.headers["location"])
    assert example_id not in answer.headers["location"]


def test_a_suspected_emergency_holds_the_page_until_it_is_asked_or_overridden(
    client: TestClient, desk: care.Desk
) -> None:
    text = "age: 50\nside: right\nstory: Hurts between the ribs when breathing in.\n"
    visit = care.import_case(desk, read_case(text, "held.txt", desk.library), "Person held")
    html = client.get(f"/visits/{visit}").text
    assert "on hold until asked" in html
    assert "Plan on hold" in html
    hold = html.split('id="hold"')[1].split("</div>")[0]
    assert "Coughing blood?" in hold
    assert 'class="steps"' not in html
    refused = client.post(f"/visits/{visit}/treatments", data={"technique": "rib glide"})
    assert refused.status_code == 409
    given = {"reason": "Seen in the emergency department this morning, lungs clear", "by": "R. Example"}
    assert client.post(f"/visits/{visit}/override", data=given).status_code == 303
    html = client.get(f"/visits/{visit}").text
    assert "overridden" in html
    assert 'class="steps"' in html
    assert 'id="hold"' not in html


def test_opposite_results_of_one_test_are_said_on_the_page(client: TestClient, visit_id: str) -> None:
    for line in ("hawkins +", "hawkins -"):
        client.post(f"/visits/{visit_id}/lines", data={"line": line})
    html = client.get(f"/visits/{visit_id}").text
    assert "recorded twice with opposite results; the later one counts" in html
