"""A class on its pages: made, joined, examined, seen by the teacher, talked over, exported, removed; and its door."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.care.classroom import lesson_of
from endfeel.safety import Urgency
from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.teaching import ADVICE, Commitment, Named, Step
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web.class_door import make_class_app

NAMES = ("Wren", "=Teal", "Osprey")


@pytest.fixture
def code(desk: care.Desk) -> str:
    return code_of(CaseWish(21, danger=Danger.NEVER), desk.library.release)


@pytest.fixture
def class_id(desk: care.Desk, code: str) -> str:
    made = care.make_class(desk, "Monday group", "A. Teacher")
    care.assign_cases(desk, made, [code], 15.0)
    return made


@pytest.fixture
def members(desk: care.Desk, class_id: str) -> dict[str, str]:
    """Name to key."""
    join_code = care.view_class(desk, class_id).record.join_code
    return {name: care.join_class(desk, join_code.lower(), name) for name in NAMES}


def examine(desk: care.Desk, member: str, code: str, percent: int, *, close: bool = True) -> str:
    lesson = care.open_class_case(desk, member, code)
    for step in (Step("1", "ask", "where"), Step("2", "examine", "gh_post")):
        care.take_step(desk, lesson, step)
    if close:
        ranking = (Named("cuff_pain", percent),)
        care.take_step(desk, lesson, Step("3", "commit", commitment=Commitment(ranking, Urgency.NONE, ADVICE)))
    return lesson


def test_a_class_from_making_it_to_its_files(
    client: TestClient, desk: care.Desk, code: str, class_id: str, members: dict[str, str]
) -> None:
    page = f"/classes/{class_id}"
    assert "not begun" in client.get(page).text
    mark = care.view_class(desk, class_id).mark
    assert client.get(page, params={"mark": mark}).status_code == 204
    for percent, (name, member) in enumerate(members.items(), 1):
        examine(desk, member, code, 30 * percent, close=name != "Osprey")
    html = client.get(page, params={"mark": mark}).text
    for words in ("2 steps, open", "✓ 2 steps", "too few to say anything", "below 5 no coefficient is said"):
        assert words in html
    html = client.get(f"{page}/cases/{code}").text
    for words in ("Cheapest good path", "Wren", "=Teal", "Osprey, still open", "cuff-related pain", "<svg"):
        assert words in html
    told = json.loads(client.get(f"{page}/files/everything.json").content)
    assert told["learners"] == list(NAMES)
    assert [one["learner"] for one in told["steps"]] == [name for name in NAMES for _ in range(2)]
    assert told["steps"][1]["turned"]
    assert [one["said"] for one in told["percentages"]] == [0.3, 0.6]
    assert told["calibration"]["group"]["closed_cases"] == 2
    assert not set(members.values()) & set(json.dumps(told).split('"'))
    for table, rows in (("steps", 6), ("results", 2), ("percentages", 2)):
        answer = client.get(f"{page}/files/{table}.csv")
        read = list(csv.DictReader(io.StringIO(answer.text)))
        assert len(read) == rows
        assert {one["learner"] for one in read} <= {"Wren", "'=Teal", "Osprey"}
        assert "attachment" in answer.headers["content-disposition"]
    assert client.get(f"{page}/files/nothing.csv").status_code == 404


def test_a_learner_sees_own_cases_and_what_was_sent_twice_is_once(
    client: TestClient, desk: care.Desk, code: str, class_id: str
) -> None:
    join_code = care.view_class(desk, class_id).record.join_code
    fields = {"code": join_code, "offered": "Curlew", "member_id": care.new_id()}
    first, again = (client.post("/join", data=fields) for _ in range(2))
    address = first.headers["location"]
    assert address == again.headers["location"]
    assert [one.name for one in care.view_class(desk, class_id).record.members] == ["Curlew"]
    assert "not begun" in client.get(address).text
    lessons = {client.post(f"{address}/open", data={"code": code}).headers["location"] for _ in range(2)}
    assert len(lessons) == 1
    lesson = lessons.pop()
    assert f'href="{address}"' in client.get(lesson).text
    assert "Curlew" not in client.get("/learn").text  # a case of a class is in nobody's own list
    assert client.get(f"{address}/progress").status_code == 200
    assert client.post(f"{address}/open", data={"code": "0000-0000"}).status_code == 404
    taken = client.post("/join", data={**fields, "member_id": care.new_id(), "name": "curlew"})
    assert taken.status_code == 409
    assert "choose another name" in taken.text
    assert client.post("/join", data={"code": "nothing", "name": "A"}).status_code == 404
    assert client.get(f"/join/{care.new_id()}").status_code == 404


def test_what_does_not_do_is_said_and_nothing_is_kept(client: TestClient, desk: care.Desk, class_id: str) -> None:
    page = f"/classes/{class_id}"
    for fields in (
        {"codes": "AAAA-AAAA"}, {"count": "0"}, {"count": "99"}, {"count": "1", "minutes": "0"},
        {"count": "1", "danger": "much"},
    ):  # fmt: skip
        assert client.post(f"{page}/cases", data=fields).status_code == 422, fields
    assert len(care.view_class(desk, class_id).record.cases) == 1
    assert client.post("/classes", data={"name": "  "}).status_code == 422
    assert client.post(f"{page}/remove", data={"sure": "yes"}).status_code == 422
    assert client.get("/classes/nothing").status_code == 404
    assert client.get(f"{page}/cases/0000-0000").status_code == 404
    with pytest.raises(CannotRead):
        care.assign_cases(desk, class_id, [])
    with pytest.raises(Refused):
        care.join_class(desk, *_join_twice(desk, class_id))


def _join_twice(desk: care.Desk, class_id: str) -> tuple[str, str]:
    join_code = care.view_class(desk, class_id).record.join_code
    care.join_class(desk, join_code, "Wren")
    return join_code, "WREN"


def test_a_removed_class_leaves_nothing_of_its_learners(
    client: TestClient, desk: care.Desk, code: str, class_id: str, members: dict[str, str]
) -> None:
    lesson = examine(desk, members["Wren"], code, 70)
    assert client.post(f"/classes/{class_id}/remove", data={"sure": "monday group"}).status_code == 303
    assert not care.list_classes(desk)
    with pytest.raises(NotFound):
        care.view_member(desk, members["Wren"])
    with pytest.raises(NotFound):
        care.view_lesson(desk, lesson)


def test_assigning_new_people_by_wish(client: TestClient, desk: care.Desk, class_id: str) -> None:
    fields = {"count": "2", "difficulty": "hard", "irritability": "high", "danger": "always", "minutes": "12,5"}
    assert client.post(f"/classes/{class_id}/cases", data=fields).status_code == 303
    view = care.view_class(desk, class_id)
    made = view.record.cases[1:]
    assert [one.minutes for one in made] == [12.5, 12.5]
    assert {(w.difficulty, w.irritability, w.danger) for w in (view.wishes[one.code] for one in made)} == {
        ("hard", "high", "always")
    }


@pytest.fixture
def learners(desk: care.Desk) -> Iterator[TestClient]:
    with TestClient(make_class_app(desk, ("127.0.0.1",)), base_url="http://127.0.0.1:8712", follow_redirects=False,
                    raise_server_exceptions=False) as made:  # fmt: skip
        yield made


def test_behind_the_door_of_a_class_is_no_record_and_nobody_elses_case(
    learners: TestClient, desk: care.Desk, code: str, class_id: str, members: dict[str, str]
) -> None:
    assert learners.get("/").headers["location"] == "/join"
    assert learners.get("/join").status_code == 200
    lesson = lesson_of(members["Wren"], code)
    assert learners.post(f"/join/{members['Wren']}/open", data={"code": code}).headers["location"] == f"/learn/{lesson}"
    assert learners.get(f"/learn/{lesson}").status_code == 200
    own = care.open_lesson(desk, code, "Somebody")
    for address in (f"/learn/{own}", "/learn", "/classes", f"/classes/{class_id}", "/people/new", "/evidence",
                    "/api/people", "/take-over", "/agreement", f"/learn/{own}/feedback"):  # fmt: skip
        assert learners.get(address).status_code == 404, address
    assert "/people" not in learners.get("/join").text
    assert learners.get("/join", headers={"host": "elsewhere.example"}).status_code == 400
    assert learners.post("/join", headers={"origin": "http://elsewhere.example"}).status_code == 403
