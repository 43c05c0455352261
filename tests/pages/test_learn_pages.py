"""Learning pages: a case from its first question to the looking back; sent twice kept once; kept over a restart."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.care import lessons
from endfeel.records.lessons import LessonFiles
from endfeel.records.store import StoreFault
from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.teaching import Step
from endfeel.vocabulary import Irritability, NotFound

UNKNOWN = "84907096-fca1-4447-a7b0-88213945c25d"


@pytest.fixture
def lesson(client: TestClient, desk: care.Desk) -> str:
    """The address of a fresh case without danger."""
    code = code_of(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), desk.library.release)
    answer = client.post("/learn", data={"code": code, "learner": "Ana", "lesson_id": care.new_id()})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def page_id(html: str) -> str:
    found = re.search(r'name="from" value="([0-9a-f-]{36})"', html)
    assert found
    return found[1]


def send(client: TestClient, lesson: str, **fields: str) -> None:
    answer = client.post(lesson, data={"from": page_id(client.get(lesson).text), **fields})
    assert answer.status_code == 303, answer.text


COMMITMENT = {
    "contributor-1": "cuff_pain", "percent-1": "80", "contributor-2": "capsule_global", "percent-2": "20 %",
    "safety": "none", "treatment": "load.glenohumeral",
}  # fmt: skip


def test_a_case_from_the_first_question_to_the_looking_back(client: TestClient, lesson: str) -> None:
    assert "Nothing yet" in client.get(lesson).text
    send(client, lesson, ask="where")
    send(client, lesson, ask="chart")
    send(client, lesson, ask="health:0")
    send(client, lesson, examine="gh_post")
    send(client, lesson, examine="th_pa_central", level="every")
    send(client, lesson, turn="supine")
    html = client.get(lesson).text
    for word in ("Posterior glide", "side-lying", "2 turns", "<svg", "Central posteroanterior pressure every"):
        assert word in html
    assert client.get(f"{lesson}/feedback").status_code == 409
    answer = client.post(f"{lesson}/commit", data={"from": page_id(html), **COMMITMENT})
    assert answer.headers["location"] == f"{lesson}/feedback"
    html = client.get(f"{lesson}/feedback").text
    for word in (
        "In a minute",
        "What was there",
        "Step by step",
        "The cheapest good path",
        "first questions never put",
    ):
        assert word in html
    assert "This case is closed" in client.get(lesson).text
    html = client.get("/learn/progress?learner=Ana").text
    assert "Joint by joint" in html
    assert "Progress" in client.get("/learn?learner=Ana").text
    assert "No case is closed" in client.get("/learn/progress?learner=Nobody").text


def test_a_press_sent_twice_is_one_step_and_another_press_of_the_same_page_is_another(
    client: TestClient, desk: care.Desk, lesson: str
) -> None:
    where = {"from": page_id(client.get(lesson).text), "ask": "where"}
    for _ in range(2):
        client.post(lesson, data=where)
    client.post(lesson, data={**where, "ask": "weeks"})
    view = care.view_lesson(desk, lesson.rpartition("/")[2])
    assert [one.step.about for one in view.examination.moments] == ["where", "weeks"]


def test_everything_is_there_after_a_restart(client: TestClient, desk: care.Desk, lesson: str) -> None:
    send(client, lesson, ask="where")
    send(client, lesson, examine="gh_post")
    key = lesson.rpartition("/")[2]
    before = care.view_lesson(desk, key)
    lessons._AT_HAND.found.clear()
    after = care.view_lesson(desk, key)
    assert after.examination.known == before.examination.known
    assert after.examination.seconds == before.examination.seconds
    assert after.worths == before.worths


def test_two_learners_do_not_wait_for_each_others_reckoning(desk: care.Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each step is reckoned while the other one's is: with one lock for both, the second would never come."""
    both = Barrier(2, timeout=60)
    reckon = lessons.worth_of_step

    def together(*about: Any) -> Any:
        both.wait()
        return reckon(*about)

    monkeypatch.setattr(lessons, "worth_of_step", together)
    made = [care.open_lesson(desk, lessons.new_wish(seed=seed)) for seed in (3, 4)]
    with ThreadPoolExecutor(2) as threads:
        steps = [Step(care.new_id(), "ask", "where") for _ in made]
        views = list(threads.map(lambda one, step: care.take_step(desk, one, step), made, steps))
    assert [len(one.examination.moments) for one in views] == [1, 1]
    assert not both.broken


def test_a_line_cut_off_by_a_crash_costs_that_line_alone(client: TestClient, desk: care.Desk, lesson: str) -> None:
    send(client, lesson, ask="where")
    files, key = LessonFiles.beside(desk.engine), lesson.rpartition("/")[2]
    path = files.folder / f"{key}.lesson.jsonl"
    with path.open("a") as handle:
        handle.write('{"id":"cut')
    lessons._AT_HAND.found.clear()
    send(client, lesson, ask="weeks")
    assert [one.step.about for one in care.view_lesson(desk, key).examination.moments] == ["where", "weeks"]
    assert path.stat().st_mode & 0o077 == 0


def test_nobody_simulated_is_among_people(client: TestClient, desk: care.Desk, lesson: str) -> None:
    send(client, lesson, ask="where")
    assert not care.list_people(desk)
    assert "Nobody is on record yet" in client.get("/").text


def test_what_does_not_do_is_told_and_nothing_is_kept(client: TestClient, desk: care.Desk, lesson: str) -> None:
    page = page_id(client.get(lesson).text)
    for fields in ({}, {"ask": "weather"}, {"examine": "th_pa_central"}, {"examine": "gh_post", "position": "flying"}):
        assert client.post(lesson, data={"from": page, **fields}).status_code == 422
    assert client.post(lesson, data={"from": page, "examine": "obs_general", "position": "prone"}).status_code == 409
    answer = client.post(f"{lesson}/commit", data={"from": page, "contributor-1": "cuff_pain", "percent-1": "80"})
    assert answer.status_code == 422
    assert "no safety decision" in answer.text.lower()
    assert 'value="80"' in answer.text
    assert not care.view_lesson(desk, lesson.rpartition("/")[2]).examination.moments


@pytest.mark.parametrize("address", ["/learn/nobody", "/learn/../../etc", f"/learn/{UNKNOWN}"])
def test_a_lesson_that_is_not_there(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_wrong_code_is_told_beside_what_was_typed(client: TestClient) -> None:
    answer = client.post("/learn", data={"code": "AAAA-AAAA", "learner": "Ana"})
    assert answer.status_code == 422
    assert "AAAA-AAAA" in answer.text


def test_a_code_of_another_release_is_told(client: TestClient, desk: care.Desk) -> None:
    code = code_of(CaseWish(3), "another")
    address = client.post("/learn", data={"code": code}).headers["location"]
    assert "another evidence release" in client.get(address).text
    assert care.view_lesson(desk, address.rpartition("/")[2]).same_release  # it is drawn under this one
    assert not care.case_of_code(desk, code)[1]


def test_a_folder_that_cannot_be_written_is_told(desk: care.Desk, tmp_path_factory: pytest.TempPathFactory) -> None:
    place = tmp_path_factory.mktemp("full") / "taken"
    place.write_text("a file where the folder would be")
    with pytest.raises(StoreFault):
        LessonFiles(place).add(care.new_id(), {})
    with pytest.raises(NotFound):
        LessonFiles(place.parent).lines("../taken")
