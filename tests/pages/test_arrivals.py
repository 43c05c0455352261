"""What waited in a browser arrives once and in order; what a press says is what is kept."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.records.audit import audit_of
from endfeel.vocabulary import EndFeel, OutcomeKind
from endfeel.web.controls import NORMAL, NORMAL_WORDS
from endfeel.web.keeping import meant


def arrive(client: TestClient, visit_id: str, *entries: tuple[str, dict[str, str]], **more: Any) -> dict[str, Any]:
    sent = [{"id": str(uuid.uuid5(uuid.NAMESPACE_OID, f"{visit_id}{what}{given}")), "what": what, "fields": given}
            for what, given in entries]  # fmt: skip
    answer = client.post(f"/visits/{visit_id}/arrivals", json={"entries": sent, **more})
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


def lines(*written: str) -> list[tuple[str, dict[str, str]]]:
    return [("lines", {"line": one}) for one in written]


def findings(desk: care.Desk, visit_id: str) -> list[Any]:
    return [entry.finding for entry in care.view_visit(desk, visit_id).entries if entry.finding]


def test_what_is_sent_again_is_kept_once_and_the_order_stays(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    waited = lines("hawkins +", "gh post glide 2 p4", "iso er 4/5")
    first = arrive(client, visit_id, *waited[:2])
    second = arrive(client, visit_id, *waited)
    assert len(first["kept"]) == 2
    assert len(second["kept"]) == 3
    assert [one.procedure for one in findings(desk, visit_id)] == ["hawkins", "gh_post", "iso_er"]


def test_one_that_cannot_be_read_holds_up_no_other_and_comes_back(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    told = arrive(client, visit_id, *lines("hawkins +", "no such words", "iso er 4/5"))
    assert len(told["kept"]) == 2
    assert "unknown word" in " ".join(told["refused"][0]["faults"]).lower()
    assert [one.procedure for one in findings(desk, visit_id)] == ["hawkins", "iso_er"]


def test_taking_back_is_sent_like_the_rest_and_twice_does_no_harm(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    saved = arrive(client, visit_id, *lines("hawkins +", "iso er 4/5"))["saved"]
    for _ in range(2):
        arrive(client, visit_id, ("undo", {"entry": saved}))
    never = arrive(client, visit_id, ("undo", {"entry": str(uuid.uuid4())}))
    assert len(never["kept"]) == 1
    assert never["said"] == "There is nothing to take back."
    assert [one.procedure for one in findings(desk, visit_id)] == ["hawkins"]


def test_what_safety_says_comes_with_the_answer(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    care.set_screen(desk, visit_id, {"trauma_recent": True})
    told = arrive(client, visit_id, *lines("R axillary sensory absent"), was="none")
    assert told["risen"]
    assert 'id="safety"' in told["safety"]
    assert "pressing" in told["safety"]


def test_a_signed_visit_takes_nothing_more_and_says_so(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    care.sign_note(desk, visit_id, "R. Example")
    told = arrive(client, visit_id, *lines("hawkins +"))
    assert told["kept"] == []
    assert "signed by R. Example" in told["refused"][0]["faults"][0]


def test_the_mark_changes_with_everything_that_is_recorded(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    marks = [client.get(f"/visits/{visit_id}/mark").json()["mark"]]
    assert client.get(f"/visits/{visit_id}/mark").json()["mark"] == marks[0]
    saved = care.record_line(desk, visit_id, "hawkins +")
    for act in (
        lambda: None,
        lambda: care.undo(desk, visit_id, saved),
        lambda: care.set_screen(desk, visit_id, {"trauma_recent": False}),
        lambda: care.wish_for(desk, visit_id, "hawkins", "never"),
        lambda: care.sign_note(desk, visit_id, "R. Example"),
    ):
        act()
        marks.append(client.get(f"/visits/{visit_id}/mark").json()["mark"])
    assert len(set(marks)) == len(marks)
    assert client.get("/visits/none/mark").status_code == 404


def test_a_retest_typed_with_its_word_is_one(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    arrive(client, visit_id, *lines("gh er at side 35", "retest: gh er at side 43"))
    assert [entry.kind for entry in care.view_visit(desk, visit_id).entries] == ["finding", "retest"]


def test_normal_at_all_levels_is_one_finding_a_level_and_is_kept_once(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    pressed = {"procedure": "th_pa_central", "quick": "levels T3 T4 T5", "pain": "9"}
    for _ in range(2):
        arrive(client, visit_id, ("findings", pressed))
    kept = findings(desk, visit_id)
    assert [(one.level, one.mobility, one.pain) for one in kept] == [("T3", 3, 0), ("T4", 3, 0), ("T5", 3, 0)]


@pytest.mark.parametrize(
    ("pressed", "says"),
    [
        ({"hurt": "familiar 4"}, {"pain": "4", "familiar": "yes"}),
        ({"hurt": "other 7"}, {"pain": "7", "familiar": "no"}),
        ({"hurt": "pain 0", "mobility": "2"}, {"pain": "0", "mobility": "2"}),
        (
            {"quick": "mobility=2&end_feel=firm_capsular", "mobility": "5"},
            {"mobility": "2", "end_feel": "firm_capsular"},
        ),
        ({"quick": "normal", "mobility": "1", "note": "warm"}, {"mobility": "3", "pain": "0", "note": "warm"}),
    ],
)
def test_a_press_says_what_its_button_says(pressed: dict[str, str], says: dict[str, str]) -> None:
    given = {"procedure": "gh_post", "side": "right", **pressed}
    told = {name: value for name, value in meant(given, OutcomeKind.GLIDE)[0].items() if value}
    assert told == {"procedure": "gh_post", "side": "right", **says}


def test_every_kind_that_can_be_normal_is_kept_as_its_button_says(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    assert set(NORMAL) == set(NORMAL_WORDS) == set(OutcomeKind) - {OutcomeKind.VITAL}
    for kind in NORMAL:
        one = next(found for found in desk.library.catalogue if found.outcomes is kind)
        given = {"procedure": one.id, "side": "right" if one.sided else "", "quick": "normal"}
        if one.levels:
            given["level"] = one.levels[0]
        told = arrive(client, visit_id, ("findings", given))
        assert told["refused"] == [], kind
        kept = findings(desk, visit_id)[-1]
        for name, value in NORMAL[kind].items():
            assert f"{getattr(kept, name):g}" == value if name != "result" else kept.result == value


def test_the_forms_for_a_lost_connection_cover_every_test_and_name_nobody(
    client: TestClient, desk: care.Desk, example_id: str
) -> None:
    label = care.view_visit(desk, example_id).label
    told = client.get("/couch.json")
    book = told.json()
    assert set(book["procedures"]) == {one.id for one in desk.library.catalogue}
    glide = book["forms"][book["procedures"]["gh_post"]["form"]]
    assert all(f'name="{name}"' in glide for name in ("mobility", "end_feel", "hurt", "side"))
    assert all(str(one) in glide for one in EndFeel)
    for text in (json.dumps(book), client.get("/couch").text):
        assert label not in text
        assert example_id not in text
    assert client.get("/couch.json", headers={"If-None-Match": told.headers["etag"]}).status_code == 304


def test_what_one_press_recorded_at_several_levels_is_taken_back_by_the_id_of_the_press(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    """The page knows the id of the press before it heard which entries came of it."""
    press = str(uuid.uuid4())
    fields = {"procedure": "th_pa_central", "quick": "levels T3 T4 T5"}
    told = [
        {"id": str(uuid.uuid4()), "what": "lines", "fields": {"line": "hawkins +"}},
        {"id": press, "what": "findings", "fields": fields},
    ]
    assert client.post(f"/visits/{visit_id}/arrivals", json={"entries": told}).json()["refused"] == []
    assert len(findings(desk, visit_id)) == 4
    assert arrive(client, visit_id, ("undo", {"entry": press}))["said"] == "Taken back."
    assert [one.procedure for one in findings(desk, visit_id)] == ["hawkins"]
    for unknown in (str(uuid.uuid4()), "no id", "-" * 36):
        assert arrive(client, visit_id, ("undo", {"entry": unknown}))["said"] == "There is nothing to take back."


def test_the_whole_visit_follows_the_first_line_and_says_the_same(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    person = care.view_visit(desk, visit_id).person_id
    given = {"procedure": "hawkins", "side": "right", "result": "positive"}
    entry = {"id": str(uuid.uuid4()), "what": "findings", "fields": given}
    asked = {"entries": [entry], "whole": True, "minutes": 10}
    answer = client.post(f"/visits/{visit_id}/arrivals", json=asked, headers={"HX-Request": "true"})
    first, _, whole = answer.text.partition("\n")
    told = json.loads(first)
    assert told["kept"] == [entry["id"]]
    assert told["told"].strip() in whole, "what was done is told in the same words"
    assert 'id="visit"' in whole
    assert f'data-entry="{entry["id"]}"' in whole
    assert f'data-mark="{told["mark"]}"' in whole
    with desk.transaction() as session:
        acts = [row.act for row in audit_of(session, person)]
    assert acts[-2:] == ["record finding", "view visit"], "whoever is shown a visit is on record"
    refused = {**entry, "id": str(uuid.uuid4()), "what": "lines", "fields": {"line": "no such words"}}
    answer = client.post(f"/visits/{visit_id}/arrivals", json={**asked, "entries": [refused]})
    first, _, whole = answer.text.partition("\n")
    assert (len(json.loads(first)["refused"]), whole) == (1, "")
