"""Measures answered on pages: by item, by total, on paper; a bad form comes back whole; the course of two visits."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.web.app import make_app

START = datetime(2026, 3, 2, 12, tzinfo=UTC)
DAY = "2026-03-02"


class Clock:
    """A clock that is moved by hand."""

    now = START

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(store_file: str, clock: Clock) -> care.Desk:
    return care.open_desk(store_file, clock=clock)


@pytest.fixture
def client(desk: care.Desk) -> TestClient:
    return TestClient(
        make_app(desk), base_url="http://127.0.0.1:8710", raise_server_exceptions=False, follow_redirects=False
    )


def spadi(value: int, day: str = DAY, **more: str) -> dict[str, str]:
    return {"answered_on": day, **{f"item-{k}": str(value) for k in range(1, 14)}, **more}


def put(client: TestClient, address: str, fields: dict[str, str]) -> str:
    answer = client.post(address, data=fields)
    assert answer.status_code == 303, answer.text
    return client.get(answer.headers["location"]).text


def test_a_form_is_answered_by_item_number_and_shows_no_wording(client: TestClient, visit_id: str) -> None:
    asked = client.get(f"/visits/{visit_id}/measures/spadi").text
    assert asked.count('type="radio" name="item-13"') == 12
    assert "disability 8" in asked
    shown = put(client, f"/visits/{visit_id}/measures/spadi", spadi(5))
    assert "SPADI, mean of the two subscale percentages" in shown
    assert re.search(r'class="score">50<', shown)


def test_pain_is_kept_by_one_press_for_each_occasion(client: TestClient, visit_id: str) -> None:
    shown = client.get(f"/visits/{visit_id}/measures").text
    assert shown.count('action="/visits/' + visit_id + '/measures/nprs"') == 5
    again = put(
        client,
        f"/visits/{visit_id}/measures/nprs",
        {"occasion": "night", "answered_on": DAY, "item-1": "6"},
    )
    assert ", at night" in again


def test_activities_are_in_the_persons_words(client: TestClient, visit_id: str) -> None:
    fields = {"answered_on": DAY}
    for k, (name, value) in enumerate((("comb hair", "2"), ("lift a pan", "4"), ("sleep on it", "")), 1):
        fields |= {f"activity-{k}": name, f"item-{k}": value}
    shown = put(client, f"/visits/{visit_id}/measures/psfs", fields)
    assert "comb hair: 2; lift a pan: 4; sleep on it: –" in shown
    assert 'value="comb hair"' in client.get(f"/visits/{visit_id}/measures/psfs").text


@pytest.mark.parametrize(
    ("form", "fields", "said", "kept"),
    [
        ("spadi", spadi(5) | {"item-3": "12"}, "out of range", 'name="item-4" value="5" checked'),
        ("spadi", spadi(5) | {"answered_on": "2027-01-01"}, "not come yet", 'name="item-4" value="5" checked'),
        ("spadi", spadi(5) | {f"item-{k}": "" for k in range(1, 9)}, "5 of 13 items", 'name="unfinished"'),
        ("spadi", {"answered_on": DAY, "total": "forty"}, "not a number", 'value="forty"'),
        ("dash", {"answered_on": DAY, "total": "140"}, "outside the scale", 'value="140"'),
        ("dash", {"answered_on": DAY}, "nothing was answered", 'name="total"'),
        ("nprs", {"answered_on": DAY, "item-1": "4"}, "what the number is about", 'name="item-1" value="4" checked'),
        ("psfs", {"answered_on": DAY, "item-1": "4"}, "rated, but not named", 'name="item-1" value="4" checked'),
    ],
)
def test_a_form_that_cannot_be_comes_back_whole(
    client: TestClient, visit_id: str, form: str, fields: dict[str, str], said: str, kept: str
) -> None:
    answer = client.post(f"/visits/{visit_id}/measures/{form}", data=fields)
    assert answer.status_code == 422
    assert said in answer.text.lower()
    assert kept in answer.text
    assert "Nothing yet." in client.get(f"/visits/{visit_id}/measures").text


def test_a_half_finished_form_is_kept_without_a_score_when_asked(client: TestClient, visit_id: str) -> None:
    half = spadi(5, unfinished="yes") | {f"item-{k}": "" for k in range(1, 9)}
    shown = put(client, f"/visits/{visit_id}/measures/spadi", half)
    assert "no score:" in shown


def test_two_visits_make_a_course_with_verdicts_charts_and_sources(
    client: TestClient, desk: care.Desk, clock: Clock, visit_id: str
) -> None:
    put(client, f"/visits/{visit_id}/measures/spadi", spadi(6))
    put(client, f"/visits/{visit_id}/measures/dash", {"answered_on": DAY, "total": "50"})
    clock.now += timedelta(weeks=6)
    episode = care.episode_of_visit(desk, visit_id)
    second = care.open_visit(desk, episode)
    page = client.get(f"/visits/{second}/measures").text
    assert "Answered before, not yet today" in page
    put(client, f"/visits/{second}/measures/spadi", spadi(2, "2026-04-13"))
    put(client, f"/visits/{second}/measures/dash", {"answered_on": "2026-04-13", "total": "48"})
    course = client.get(client.get(f"/visits/{second}/course").headers["location"])
    assert course.status_code == 200
    assert course.text.count("<svg") == 2
    assert "Better, and it matters" in course.text
    assert "No change" in course.text
    assert "/evidence/outcome_measures.spadi.mdc_roy2009" in course.text
    assert "style=" not in course.text
    told = client.get(f"/api/episodes/{episode}/course").json()
    assert [one["verdict"] for one in told["measures"]] == ["better", "no_change"]
    assert all(figure["citation"] for one in told["measures"] for figure in one["figures"])
    assert {rule["kind"] for rule in told["decisions"]} == {"review"}
    assert told["urgency"] == "none"


def test_a_review_that_is_due_is_marked_as_done_with_what_was_decided(
    client: TestClient, desk: care.Desk, clock: Clock, visit_id: str
) -> None:
    clock.now += timedelta(weeks=6)
    episode = care.episode_of_visit(desk, visit_id)
    second = care.open_visit(desk, episode)
    course = client.get(f"/episodes/{episode}/course").text
    assert "formal review is due" in course
    assert "Reviewed today, and decided" in course
    assert client.post(f"/visits/{second}/review", data={"outcome": "perhaps"}).status_code == 422
    done = put(client, f"/visits/{second}/review", {"outcome": "refer", "entry_id": care.new_id()})
    assert "Reviewed at visit 2, 2026-04-13: ask for an opinion." in done
    assert "formal review is due" not in done
    assert "formal review" not in client.get(f"/visits/{second}/treatment").text, "a review is no treatment"
    told = client.get(f"/api/episodes/{episode}/course").json()
    assert [one["review"] for one in told["visits"]] == ["", "ask for an opinion"]


def test_a_form_with_nothing_in_it_is_not_offered_to_be_kept(client: TestClient, visit_id: str) -> None:
    answer = client.post(f"/visits/{visit_id}/measures/spadi", data={"answered_on": DAY})
    assert answer.status_code == 422
    assert "othing was answered" in answer.text
    assert "Keep it unfinished" not in answer.text


def test_another_instrument_is_told_and_may_begin_its_own_line(
    client: TestClient, desk: care.Desk, clock: Clock, visit_id: str
) -> None:
    put(client, f"/visits/{visit_id}/measures/spadi", spadi(6, instrument="numbers"))
    clock.now += timedelta(weeks=2)
    second = care.open_visit(desk, care.episode_of_visit(desk, visit_id))
    address = f"/visits/{second}/measures/spadi"
    other = spadi(5, "2026-03-16", instrument="100 mm line")
    answer = client.post(address, data=other)
    assert answer.status_code == 422
    assert "nother instrument than before" in answer.text
    assert 'name="own_line"' in answer.text
    put(client, address, other | {"own_line": "yes"})
    assert len(care.measures_of_visit(desk, second)) == 1


def test_an_answer_is_taken_back_and_a_signed_visit_asks_nothing_more(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    put(client, f"/visits/{visit_id}/measures/spadi", spadi(6))
    (one,) = care.measures_of_visit(desk, visit_id)
    assert "Taken back" in client.post(f"/visits/{visit_id}/measures-taken-back", data={"answer_id": one.id}).text
    assert care.measures_of_visit(desk, visit_id) == ()
    care.sign_note(desk, visit_id, "A. Therapist")
    assert "nothing more is answered here" in client.get(f"/visits/{visit_id}/measures").text
    refused = client.post(f"/visits/{visit_id}/measures/spadi", data=spadi(5))
    assert refused.status_code == 422
    assert "signed" in refused.text


@pytest.mark.parametrize("form", ["spadi", "psfs", "constant", "groc", "groc_11", "nprs", "dash", "sst"])
def test_every_kind_of_measure_has_a_blank_sheet(client: TestClient, form: str) -> None:
    shown = client.get(f"/measures/{form}/sheet")
    assert shown.status_code == 200
    assert "paper-sheet" in shown.text


def test_an_unknown_measure_or_episode_is_told(client: TestClient, visit_id: str) -> None:
    assert client.get(f"/visits/{visit_id}/measures/spodi").status_code == 404
    assert client.get("/measures/spodi/sheet").status_code == 404
    assert client.get("/episodes/none/course").status_code == 404


def test_a_course_of_nothing_says_so(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    page = client.get(f"/episodes/{care.episode_of_visit(desk, visit_id)}/course").text
    assert "Nothing to follow yet" in page


# ---- what is not wanted ----------------------------------------------------------------------------------------------


def test_what_the_person_does_not_want_is_kept_with_the_visit(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    care.record_line(desk, visit_id, "iso er 3/5 p6 fam")
    before = client.get(f"/api/visits/{visit_id}/treatment").json()
    answer = client.post(f"/visits/{visit_id}/preferences", data={"refusing": "yes", "refuse": "loading"})
    assert answer.status_code == 303
    assert care.preference_of(desk, visit_id).refused == {"loading"}
    page = client.get(f"/visits/{visit_id}/treatment").text
    assert re.search(r'aria-pressed="true"[^>]*>no loading', page)
    after = client.get(f"/api/visits/{visit_id}/treatment").json()
    kinds = {one["kind"] for one in after["offers"]}
    assert "loading" not in kinds
    assert before["offers"] != after["offers"] or "loading" not in {one["kind"] for one in before["offers"]}


def test_one_technique_is_not_wanted_and_wanted_again_by_a_press(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    care.record_line(desk, visit_id, "iso er 3/5 p6 fam")
    shown = client.get(f"/visits/{visit_id}/treatment").text
    first = client.get(f"/api/visits/{visit_id}/treatment").json()["offers"][0]
    assert f'aria-label="Not wanted: {first["name"]}"' in shown
    client.post(f"/visits/{visit_id}/preferences", data={"refusing": "yes", "refuse": first["id"]})
    without = client.get(f"/visits/{visit_id}/treatment").text
    assert first["id"] not in {one["id"] for one in client.get(f"/api/visits/{visit_id}/treatment").json()["offers"]}
    chip = re.search(r"<form[^>]*preferences[^>]*>((?:(?!</form>).)*)>not: ", without)
    assert chip is not None
    assert 'aria-pressed="true"' in chip.group(1)
    assert first["id"] not in chip.group(1), "a press takes it back"


def test_without_loading_nothing_that_loads_goes_home(desk: care.Desk) -> None:
    text = (Path(__file__).parents[2] / "stories" / "cuff_tear.txt").read_text(encoding="utf-8")
    torn = care.import_case(desk, read_case(text, "cuff_tear.txt", desk.library))
    before = care.view_home(desk, torn).chosen
    assert before is not None
    assert any(one.kind == "load" for one in before.exercises)
    care.prefer(desk, torn, refused=frozenset(["loading"]))
    after = care.view_home(desk, torn).chosen
    assert after is not None
    assert after.exercises
    assert all(one.kind != "load" for one in after.exercises)
    assert "the person does not want loading" in dict(after.left_out).values()


def test_what_else_foretells_is_asked_once_and_moves_the_forecast(
    client: TestClient, desk: care.Desk, clock: Clock, visit_id: str
) -> None:
    put(client, f"/visits/{visit_id}/measures/spadi", spadi(6))
    episode = care.episode_of_visit(desk, visit_id)
    (before,) = client.get(f"/api/episodes/{episode}/course").json()["measures"]
    assert client.post(f"/visits/{visit_id}/outlook", data={"expectation": "great"}).status_code == 422
    assert client.post(f"/visits/{visit_id}/outlook", data={}).status_code == 422
    sent = {"expectation": "slight", "work": "retired", "entry_id": care.new_id()}
    put(client, f"/visits/{visit_id}/outlook", sent)
    shown = put(client, f"/visits/{visit_id}/outlook", sent)
    assert "expects slight improvement (told)" not in shown
    assert re.search(r"What else foretells moved it by \+\d+\.\d \S+ \(95 %: give or take \d+\.\d\):", shown)
    assert "expects slight improvement, <b>worse on average</b>" in shown
    told = client.get(f"/api/episodes/{episode}/course").json()
    assert told["outlook"] == {"expectation": "slight", "work": "retired"}
    (after,) = told["measures"]
    assert after["forecasts"][0]["middle"] > before["forecasts"][0]["middle"]
    because = {one["says"] for one in after["forecasts"][0]["moved_by_predictors"]["because"]}
    assert {"expects slight improvement", "has not lasted as long as is usual"} <= because
    assert "what else foretells" not in client.get(f"/visits/{visit_id}/treatment").text, "it is no treatment"
    clock.now += timedelta(weeks=2)
    care.open_visit(desk, episode)
    assert client.get(f"/api/episodes/{episode}/course").json()["outlook"]["expectation"] == "slight"


def test_an_answer_on_record_that_is_none_today_refuses_neither_course_nor_letter(
    client: TestClient, desk: care.Desk, visit_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(client, f"/visits/{visit_id}/measures/spadi", spadi(6))
    with monkeypatch.context() as before:
        before.setattr("endfeel.care.follow.read_outlook", lambda *_: {})
        care.record_outlook(desk, visit_id, {"hope": "much", "expectation": "slight"})
    shown = client.get(f"/episodes/{care.episode_of_visit(desk, visit_id)}/course")
    assert shown.status_code == 200
    assert "hope=much is no question and answer of the evidence" in shown.text
    assert "expects slight improvement, <b>worse on average</b>" in shown.text
    assert client.get(f"/visits/{visit_id}/documents/referral").status_code == 200
