"""The treatment page and its JSON: on offer, given by one tap, done again, withheld, refused."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from pathlib import Path

from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.vocabulary import Irritability

STORIES = Path(__file__).parents[2] / "stories"


def told(client: TestClient, visit_id: str, query: str = "") -> dict:  # type: ignore[type-arg]
    answer = client.get(f"/api/visits/{visit_id}/treatment{query}")
    assert answer.status_code == 200
    return answer.json()  # type: ignore[no-any-return]


def test_the_page_shows_dose_trial_and_what_speaks_against_and_links_from_the_visit(
    client: TestClient, example_id: str
) -> None:
    assert f"/visits/{example_id}/treatment" in client.get(f"/visits/{example_id}").text
    html = client.get(f"/visits/{example_id}/treatment").text
    for word in ("On offer", "Always open", "Nothing different", "Which way to glide", "Johnson 2007", "no prognosis"):
        assert word in html
    assert "do not all agree" in html
    expected = set(re.findall(r'href="(/evidence/treatment_courses\.[^"]+)"', html))
    assert expected, "what is to be expected says what it rests on"
    assert all(client.get(one).status_code == 200 for one in expected)


def test_one_tap_records_the_technique_at_its_dose_and_turns_the_person(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    form = {"technique": "gh_glide_posterior", "entry_id": care.new_id()}
    for _ in range(2):
        answer = client.post(f"/visits/{example_id}/treatment", data=form)
        assert answer.status_code == 303
    view = care.view_visit(desk, example_id)
    mine = [one for one in view.entries if one.id == form["entry_id"]]
    assert len(mine) == 1
    assert mine[0].treatment is not None
    assert mine[0].treatment.technique == "Posterior glide of the shoulder joint, near the end of range, right"
    assert mine[0].treatment.dose.startswith("grade II to III")
    assert view.position == "side_lying"
    page = client.get(answer.headers["location"]).text
    assert "Recorded: Posterior glide" in page
    assert "Do again" in page


def test_a_sign_done_again_stands_on_one_line_with_its_verdict(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    given = {"procedure": "act_flexion", "side": "right", "value": "150", "unit": "deg", "pain": "2"}
    answer = client.post(f"/visits/{example_id}/treatment/retest", data=given)
    assert answer.status_code == 303
    lines = [one["line"] for one in told(client, example_id)["retests"]]
    assert any("range 125° → 150°, changed beyond error, better" in line for line in lines)
    assert care.view_visit(desk, example_id).entries[-1].kind == "retest"
    others = [one["line"] for one in told(client, example_id, "?instrument=goniometer&rater=inter")["retests"]]
    assert any("range 125° → 150°, within measurement error" in line for line in others)


def test_a_sign_that_cannot_be_goes_back_to_its_form(client: TestClient, example_id: str) -> None:
    client.post(f"/visits/{example_id}/treatment", data={"technique": "education"})
    sign = told(client, example_id)["signs"][0]
    given = {"procedure": sign["procedure"], "side": "right", "value": "9000", "unit": "deg"}
    answer = client.post(f"/visits/{example_id}/treatment/retest", data=given)
    assert answer.status_code == 422
    assert "9000" in answer.text


def test_nothing_is_offered_or_recorded_while_treatment_is_withheld(client: TestClient, danger_id: str) -> None:
    found = told(client, danger_id)
    assert found["withheld"]
    assert [one["id"] for one in found["offers"]] == ["refer_safety"]
    assert found["unchanged"]["id"] == "nothing_different"
    assert found["unchanged"]["trials"]
    page = client.get(f"/visits/{danger_id}/treatment").text
    assert not re.search(r'name="technique"', page)
    assert client.post(f"/visits/{danger_id}/treatment", data={"technique": "load_cuff"}).status_code == 409


def test_a_thrust_is_refused_without_screening_and_without_consent(client: TestClient, desk: care.Desk) -> None:
    case = read_case((STORIES / "thoracic.txt").read_text(encoding="utf-8"), "thoracic.txt", desk.library)
    calm = replace(case.complaint, irritability=Irritability.LOW, story="")
    visit_id = care.import_case(desk, replace(case, complaint=calm, screen={}))
    locked = {one["offer"]["id"]: one for one in told(client, visit_id)["behind_screening"]}
    assert locked["th_thrust"]["questions"]
    agreed = {"technique": "th_thrust", "consent": "yes"}
    refused = client.post(f"/visits/{visit_id}/treatment", data=agreed)
    assert refused.status_code == 409
    assert "screening is not answered" in refused.text


def test_what_the_person_does_not_want_is_left_out_and_an_unknown_word_is_told(
    client: TestClient, example_id: str
) -> None:
    found = told(client, example_id, "?refuse=hands_on")
    assert not {"mobilisation", "soft_tissue", "thrust"} & {one["kind"] for one in found["offers"]}
    answer = client.get(f"/api/visits/{example_id}/treatment?refuse=magic")
    assert answer.status_code == 422
    assert "magic" in answer.text


def test_the_home_programme_shows_pictures_and_prints_in_three_forms(client: TestClient, example_id: str) -> None:
    page = client.get(f"/visits/{example_id}/home").text
    assert "Swing your arm" in page
    picture = client.get("/exercises/pendulum.svg?left=true")
    assert picture.headers["content-type"].startswith("image/svg")
    assert client.get("/exercises/handstand.svg").status_code == 404
    query = "?exercise=open_book&exercise=band_row&language=de&large=true"
    for form, start in (("pdf", b"%PDF"), ("html", b"<!doctype html>"), ("txt", "IHR ÜBUNGSPLAN".encode())):
        answer = client.get(f"/visits/{example_id}/handout.{form}{query}")
        assert answer.status_code == 200
        assert answer.content.startswith(start)
    assert "Öffnen wie ein Buch" in answer.text
    assert client.get(f"/visits/{example_id}/home?language=xx").status_code == 422


def test_note_and_sheet_for_home_show_the_same_drawing_the_sheet_in_few_and_plain_words(
    client: TestClient, example_id: str
) -> None:
    def picture(page: str, after: str) -> str:
        rest = page[page.index(after) :]
        return rest[rest.index("<svg") : rest.index("</svg>") + 6]

    clinicians = picture(client.get(f"/visits/{example_id}/note").text, "The leading sign, drawn")
    plain = picture(client.get(f"/visits/{example_id}/home").text, "What we tested")
    assert re.findall(r"<path[^>]*>", plain) == re.findall(r"<path[^>]*>", clinicians)
    assert len(re.findall(r"<text", plain)) < len(re.findall(r"<text", clinicians))
    held = base64.b64encode(plain.encode()).decode()
    assert held[:-4] in client.get(f"/visits/{example_id}/handout.html").text, "but for a line end after it"


def test_no_home_programme_leaves_while_treatment_is_withheld(client: TestClient, danger_id: str) -> None:
    assert "No home programme" in client.get(f"/visits/{danger_id}/home").text
    assert client.get(f"/visits/{danger_id}/handout.pdf").status_code == 409
