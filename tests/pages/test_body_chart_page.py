"""The body chart's page without a browser: named regions, drawn lines, taking back, the story, last time's chart."""

from __future__ import annotations

import json
import re

from starlette.testclient import TestClient

from endfeel import care

LINE = json.dumps([[30, 42], [33, 40], [34, 45], [31, 47], [29, 44]])


def draw(client: TestClient, visit_id: str, **more: str) -> object:
    given = {"view": "front", "path": LINE, "quality": "aching", "intensity": "6", "area_id": care.new_id(), **more}
    return client.post(f"/visits/{visit_id}/chart/areas", data=given)


def test_a_region_is_named_without_drawing_and_taken_back(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    page = client.get(f"/visits/{visit_id}/chart").text
    assert "Nothing yet." in page
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=", page)
    (key,) = re.findall(r'value="(right:lateral:right)"', page)
    kept = client.post(f"/visits/{visit_id}/chart/areas", data={"region": key, "depth": "deep"})
    assert kept.status_code == 303
    page = client.get(kept.headers["location"]).text
    assert "Drawn." in page
    assert "right outer side of the shoulder" in page
    client.post(f"/visits/{visit_id}/chart/undo", data={})
    assert care.view_chart(desk, visit_id).areas == ()


def test_a_line_sent_twice_is_one_area(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    again = care.new_id()
    for _ in range(2):
        assert draw(client, visit_id, area_id=again).status_code == 303  # type: ignore[attr-defined]
    assert len(care.view_chart(desk, visit_id).areas) == 1
    note = client.get(f"/visits/{visit_id}/note").text
    assert "Body chart" in note
    assert "right front of the shoulder" in note
    assert "Body chart (1 drawn)" in client.get(f"/visits/{visit_id}").text


def test_what_cannot_be_drawn_is_said_and_nothing_is_kept(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    wrong = (
        {"path": ""},
        {"path": "[[1,2],[3]]"},
        {"path": "[[NaN,2]]"},
        {"path": "nonsense"},
        {"view": "above"},
        {"quality": "itching"},
        {"intensity": "11"},
        {"intensity": "-1"},
        {"region": "front:tail:right"},
        {"path": "[[1,1]]"},
    )
    for one in wrong:
        answer = draw(client, visit_id, **one)
        assert answer.status_code == 422, one  # type: ignore[attr-defined]
        assert "said alarm" in answer.text, one  # type: ignore[attr-defined]
    assert care.view_chart(desk, visit_id).areas == ()


def test_areas_go_into_the_story_only_when_ticked(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    draw(client, visit_id)
    page = client.get(f"/visits/{visit_id}/chart").text
    assert "Put into the story" in page
    assert care.view_visit(desk, visit_id).assessment.case.complaint.areas == ()
    told = {"areas": "front", "told_before": "0"}
    assert client.post(f"/visits/{visit_id}/chart/story", data=told).status_code == 303
    assert care.view_visit(desk, visit_id).assessment.case.complaint.areas == ("front",)
    late = client.post(f"/visits/{visit_id}/chart/story", data={"areas": "back", "told_before": "0"})
    assert late.status_code == 409


def test_the_next_visit_shows_last_times_chart_beside_its_own(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    draw(client, visit_id)
    (person,) = care.list_people(desk)
    later = care.open_visit(desk, person.visits[0].episode_id)
    assert "now nothing is" in client.get(f"/visits/{later}/chart").text
    draw(client, later)
    page = client.get(f"/visits/{later}/chart").text
    assert "100 % is drawn again" in page
    assert "last time: level lines" in page
    assert "100 % is drawn again" in client.get(f"/visits/{later}/note").text


def test_a_fragment_holds_the_chart_alone_and_a_signed_one_is_closed(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    given = {"view": "back", "path": LINE, "area_id": care.new_id()}
    part = client.post(f"/visits/{visit_id}/chart/areas", data=given, headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith('<div id="chart"')
    assert "data-said" in part.text
    care.sign_note(desk, visit_id, "A. Therapist")
    assert draw(client, visit_id).status_code == 409  # type: ignore[attr-defined]
    page = client.get(f"/visits/{visit_id}/chart").text
    assert "data-closed" in page
    assert 'id="draw"' not in page
