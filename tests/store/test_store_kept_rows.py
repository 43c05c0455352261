"""By hand nothing can be removed or changed; a story is told again; the screen keeps what a page did not show."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.records.tables import PurgeRow
from endfeel.vocabulary import CannotRead, Complaint, Finding, Irritability, Person, Position, Refused, Side
from endfeel.vocabulary.body_chart import ChartArea, ChartView, SymptomQuality
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

BY = "A. Therapist"
OF_A_PERSON = (
    "entry",
    "screen_answer",
    "turn",
    "wish",
    "chart_area",
    "outcome_answer",
    "preference",
    "verdict_override",
    "story",
    "visit",
    "episode",
    "person",
)
CHANGED = {"visit": "position = 'prone'", "episode": "title = 'x'", "person": "label = 'x'", "story": "label = 'x'"}


def new_visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40, "female", Side.RIGHT), invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def unsigned(desk: care.Desk) -> str:
    """An unsigned visit with a row in every table."""
    visit = new_visit(desk)
    care.record_finding(desk, visit, Finding("gh_post", Side.RIGHT, mobility=2))
    care.set_screen(desk, visit, {"new_mass": True})
    care.turn_person(desk, visit, Position.PRONE)
    care.wish_for(desk, visit, "hawkins", "never")
    care.draw_area(desk, visit, ChartArea(ChartView.FRONT, ((30.0, 45.0),), SymptomQuality.ACHING))
    today = desk.clock().astimezone().date()
    care.record_measure(desk, visit, OutcomeAnswer("nprs", today, (4.0,), occasion=Occasion.REST))
    care.prefer(desk, visit, refused=frozenset(["loading"]))
    care.override_verdict(desk, visit, "Seen by the surgeon yesterday, a known lipoma.", BY)
    care.correct_story(desk, visit, "invented", Person(41, "female", Side.RIGHT), Complaint(side=Side.RIGHT))
    return visit


@pytest.mark.parametrize("table", OF_A_PERSON)
def test_a_row_of_an_unsigned_visit_is_not_removed_by_hand(desk: care.Desk, table: str) -> None:
    unsigned(desk)
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text(f"DELETE FROM {table}"))  # noqa: S608
    with desk.engine.connect() as connection:
        assert connection.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 1  # noqa: S608


@pytest.mark.parametrize("table", CHANGED)
def test_person_episode_visit_and_story_are_not_changed_by_hand(desk: care.Desk, table: str) -> None:
    unsigned(desk)
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text(f"UPDATE {table} SET {CHANGED[table]}"))  # noqa: S608


@pytest.mark.parametrize("table", ["visit", "person", "episode", "signed_note"])
def test_with_foreign_keys_off_what_a_signed_note_stands_on_stays(tmp_path: Path, table: str) -> None:
    desk = care.open_desk(str(tmp_path / "r.sqlite"))
    care.sign_note(desk, new_visit(desk), BY)
    desk.engine.dispose()
    with sqlite3.connect(tmp_path / "r.sqlite") as by_hand:
        by_hand.execute("PRAGMA foreign_keys=OFF")
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            by_hand.execute(f"DELETE FROM {table}")  # noqa: S608
    by_hand.close()


def test_a_purge_of_a_signed_person_cannot_be_opened(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.sign_note(desk, visit, BY)
    person = care.view_visit(desk, visit).person_id
    with pytest.raises(DBAPIError, match="never changed"), desk.transaction() as session:
        session.add(PurgeRow(person_id=person, at=desk.clock()))


def test_a_purge_opens_one_person_and_closes_with_it(desk: care.Desk) -> None:
    gone, stays = unsigned(desk), unsigned(desk)
    care.delete_person(desk, care.view_visit(desk, gone).person_id)
    with desk.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM purge")).scalar() == 0
        for table in OF_A_PERSON:
            assert connection.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 1, table  # noqa: S608
    assert len(care.view_visit(desk, stays).entries) == 1


# ---- the story told again --------------------------------------------------------------------------------------


def test_a_story_told_again_counts_and_what_was_told_first_stays(desk: care.Desk) -> None:
    visit = new_visit(desk)
    again = Complaint(side=Side.LEFT, weeks=6.0, irritability=Irritability.HIGH, areas=("front",), story="Other words.")
    care.correct_story(desk, visit, "P-2", Person(61, "male", None), again)
    view = care.view_visit(desk, visit)
    assert (view.label, view.assessment.case.person, view.assessment.case.complaint) == (
        "P-2",
        Person(61, "male"),
        again,
    )
    (person,) = care.list_people(desk)
    assert (person.label, person.age, person.sex) == ("P-2", 61, "male")
    rows = care.export_person(desk, person.id)["rows"]
    assert (rows["person"][0]["age"], rows["episode"][0]["side"], rows["story"][0]["age"]) == (40, "right", 61)


def test_the_same_correction_twice_is_one_and_an_older_page_is_refused(desk: care.Desk) -> None:
    visit = new_visit(desk)
    for _ in range(2):
        care.correct_story(desk, visit, "P-2", Person(61), Complaint(side=Side.LEFT), told_before=0)
    with pytest.raises(Refused, match="another page"):
        care.correct_story(desk, visit, "P-2", Person(62), Complaint(side=Side.LEFT), told_before=0)
    assert care.view_visit(desk, visit).stories == 1


def test_a_signed_visit_keeps_the_story_it_was_signed_with(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.sign_note(desk, visit, BY)
    with pytest.raises(Refused, match="signed"):
        care.correct_story(desk, visit, "P-2", Person(61), Complaint(side=Side.LEFT))
    (person,) = care.list_people(desk)
    later = care.open_visit(desk, person.visits[0].episode_id)
    care.correct_story(desk, later, "P-2", Person(61), Complaint(side=Side.LEFT))
    assert care.view_visit(desk, visit).assessment.case.person.age == 40
    assert care.view_visit(desk, later).assessment.case.person.age == 61


def test_a_story_that_cannot_be_is_refused(desk: care.Desk) -> None:
    visit = new_visit(desk)
    with pytest.raises(CannotRead):
        care.correct_story(desk, visit, "", Person(400), Complaint())
    assert care.view_visit(desk, visit).stories == 0


# ---- the screen ------------------------------------------------------------------------------------------------


def test_a_page_that_did_not_show_a_yes_cannot_take_it_back(desk: care.Desk) -> None:
    visit = new_visit(desk)
    shown = care.view_visit(desk, visit).screen_number
    care.answer_screen(desk, visit, {"new_mass": True, "fever_unwell": None}, shown)
    assert care.answer_screen(desk, visit, {"new_mass": None, "fever_unwell": False}, shown) == {}
    assert dict(care.view_visit(desk, visit).assessment.case.screen) == {"new_mass": True, "fever_unwell": False}


def test_an_answer_against_a_later_one_is_given_back_and_not_kept(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.answer_screen(desk, visit, {"new_mass": True}, 0)
    assert care.answer_screen(desk, visit, {"new_mass": False}, 0) == {"new_mass": False}
    now = care.view_visit(desk, visit)
    assert dict(now.assessment.case.screen) == {"new_mass": True}
    assert care.answer_screen(desk, visit, {"new_mass": None}, now.screen_number) == {}
    assert dict(care.view_visit(desk, visit).assessment.case.screen) == {}


def test_a_first_yes_stays_a_yes_when_all_behind_it_is_no(desk: care.Desk) -> None:
    visit = new_visit(desk)
    name, item = next((n, i) for n, i in care.first_questions(desk.library).items() if i.title.startswith("Heart"))
    care.answer_screen(desk, visit, {name: True, **{one.id: False for one in item.follow_up}}, 0)
    view = care.view_visit(desk, visit)
    assert view.first_answers == {name: True}
    assert view.unspecified == ("Heart and great vessels",)
    assert set(view.assessment.case.screen) == {one.id for one in item.follow_up}
    assert "Heart and great vessels" in " ".join(care.visit_note(desk, visit).statements())


def test_an_addendum_sent_twice_is_kept_once(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.sign_note(desk, visit, BY)
    for _ in range(2):
        care.add_addendum(desk, visit, "Letter sent.", BY, "added-1")
    with pytest.raises(Refused):
        care.add_addendum(desk, visit, "Another.", BY, "added-1")
    signed = care.view_visit(desk, visit).signed
    assert signed is not None
    assert [words for _, _, words in signed.addenda] == ["Letter sent."]


def test_a_second_visit_shows_what_was_found_last_time(desk: care.Desk) -> None:
    first = new_visit(desk)
    care.record_line(desk, first, "gh post glide 2")
    (person,) = care.list_people(desk)
    second = care.view_visit(desk, care.open_visit(desk, person.visits[0].episode_id))
    assert (care.view_visit(desk, first).number, second.number) == (1, 2)
    assert second.last_time is not None
    assert [one.procedure for one in second.last_time.findings] == ["gh_post"]
