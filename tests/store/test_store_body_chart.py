"""The body chart in the store: kept once, taken back on record, closed with the note, compared with the one before."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.vocabulary import CannotRead, Complaint, Finding, NotFound, Person, Refused, Side
from endfeel.vocabulary.body_chart import ChartArea, ChartView, SymptomDepth, SymptomQuality

BY = "A. Therapist"
SPOT = ChartArea(ChartView.FRONT, ((32.0, 43.0), (33.5, 44.25)), SymptomQuality.ACHING, SymptomDepth.DEEP, 6)
OTHER = ChartArea(ChartView.BACK, ((60.0, 45.0), (61.0, 60.0), (66.0, 50.0)))


def new_visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40, "female", Side.RIGHT), invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def drawn(desk: care.Desk, visit: str) -> list[ChartArea]:
    return [one.area for one in care.view_chart(desk, visit).areas]


def test_what_is_drawn_comes_back_as_it_was_and_the_same_twice_is_one(desk: care.Desk) -> None:
    visit = new_visit(desk)
    for _ in range(2):
        assert care.draw_area(desk, visit, SPOT, "area-1") == "area-1"
    care.draw_area(desk, visit, OTHER, "area-2")
    assert drawn(desk, visit) == [SPOT, OTHER]
    with pytest.raises(Refused, match="other content"):
        care.draw_area(desk, visit, OTHER, "area-1")
    with pytest.raises(Refused, match="other content"):
        care.draw_area(desk, new_visit(desk), SPOT, "area-1")


def test_taking_back_leaves_the_rows_and_a_second_time_does_nothing(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.draw_area(desk, visit, SPOT, "area-1")
    care.draw_area(desk, visit, OTHER, "area-2")
    assert care.take_back_area(desk, visit, "area-1") == "area-1"
    assert care.take_back_area(desk, visit, "area-1") is None
    assert drawn(desk, visit) == [OTHER]
    assert care.take_back_area(desk, visit) == "area-2"
    assert care.take_back_area(desk, visit) is None
    with pytest.raises(NotFound):
        care.take_back_area(desk, visit, "no-such")
    (person,) = care.list_people(desk)
    rows = care.export_person(desk, person.id)["rows"]["chart_area"]
    assert [row["takes_back"] for row in rows] == [None, None, "area-1", "area-2"]


def test_what_cannot_be_is_refused_whole(desk: care.Desk) -> None:
    visit = new_visit(desk)
    for wrong in (
        ChartArea(ChartView.FRONT, ()),
        ChartArea(ChartView.FRONT, ((-1.0, 5.0),)),
        ChartArea(ChartView.FRONT, ((float("nan"), 5.0),)),
        ChartArea(ChartView.FRONT, ((2.0, 2.0),)),  # on the paper, beside the figure
        ChartArea(ChartView.FRONT, ((30.0, 45.0),), intensity=11),
        ChartArea(ChartView.FRONT, tuple((30.0, 45.0 + n / 1000) for n in range(2000))),
    ):
        with pytest.raises(CannotRead):
            care.draw_area(desk, visit, wrong)
    assert drawn(desk, visit) == []


def test_the_chart_of_a_signed_visit_is_closed_by_the_program_and_by_the_database(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.draw_area(desk, visit, SPOT, "area-1")
    care.sign_note(desk, visit, BY)
    with pytest.raises(Refused, match="signed"):
        care.draw_area(desk, visit, OTHER)
    with pytest.raises(Refused, match="signed"):
        care.take_back_area(desk, visit, "area-1")
    row = "INSERT INTO chart_area (id, visit_id, at, takes_back, path) "
    row += "VALUES ('x', :v, '2026-11-26 01:00:00', 'area-1', '[]')"
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text(row), {"v": visit})
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text("UPDATE chart_area SET intensity = 1"))


@pytest.mark.parametrize(
    "row",
    [
        "('x', :v, '2026-11-26 01:00:00', NULL, NULL, '[]', NULL, NULL, NULL)",
        "('x', :v, '2026-11-26 01:00:00', 'y', 'front', '[]', NULL, NULL, NULL)",
        "('x', :v, '2026-11-26 01:00:00', NULL, 'above', '[]', NULL, NULL, NULL)",
        "('x', :v, '2026-11-26 01:00:00', NULL, 'front', '[]', 'itching', NULL, NULL)",
        "('x', :v, '2026-11-26 01:00:00', NULL, 'front', '[]', NULL, 'middle', NULL)",
        "('x', :v, '2026-11-26 01:00:00', NULL, 'front', '[]', NULL, NULL, 11)",
    ],
)
def test_the_database_refuses_a_row_that_cannot_be(desk: care.Desk, row: str) -> None:
    visit = new_visit(desk)
    columns = "(id, visit_id, at, takes_back, view, path, quality, depth, intensity)"
    with pytest.raises(DBAPIError), desk.engine.begin() as connection:
        connection.execute(text(f"INSERT INTO chart_area {columns} VALUES {row}"), {"v": visit})  # noqa: S608


def test_the_chart_is_compared_with_the_last_visit_on_which_something_stood(desk: care.Desk) -> None:
    first = new_visit(desk)
    care.draw_area(desk, first, SPOT)
    (person,) = care.list_people(desk)
    episode = person.visits[0].episode_id
    second, third = care.open_visit(desk, episode), care.open_visit(desk, episode)
    care.draw_area(desk, second, OTHER, "gone")
    care.take_back_area(desk, second, "gone")
    assert care.view_chart(desk, first).earlier is None
    chart = care.view_chart(desk, third)
    assert chart.earlier is not None
    assert chart.earlier.visit_id == first
    care.draw_area(desk, third, SPOT)
    found = care.view_chart(desk, third).overlap
    assert found is not None
    assert found.likeness == pytest.approx(1)


def test_the_note_shows_the_chart_and_a_signed_one_keeps_it(desk: care.Desk) -> None:
    visit = new_visit(desk)
    assert all(one.id != "body-chart" for one in care.visit_note(desk, visit).sections)
    care.draw_area(desk, visit, SPOT)
    said = " ".join(care.visit_note(desk, visit).statements())
    assert "right front of the shoulder" in said
    assert "6/10" in said
    care.sign_note(desk, visit, BY)
    frozen = care.visit_note(desk, visit)
    section = next(one for one in frozen.sections if one.id == "body-chart")
    assert section.blocks[0].picture.startswith("<svg")
    assert "<svg" in care.note_html(desk, visit)
    assert care.note_pdf(desk, visit).startswith(b"%PDF")


# ---- the story ---------------------------------------------------------------------------------------------------


def test_areas_are_proposed_and_go_into_the_story_only_when_confirmed(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.draw_area(desk, visit, SPOT)
    left_hand = ChartArea(ChartView.FRONT, ((82.5, 105.0),))
    care.draw_area(desk, visit, left_hand)
    complaint = care.view_visit(desk, visit).assessment.case.complaint
    proposal = care.propose_areas(care.view_chart(desk, visit), complaint)
    assert set(proposal.to_add) == {"front", "deep"}, "the left hand is not the complaint's side"
    assert care.view_visit(desk, visit).assessment.case.complaint.areas == ()
    care.confirm_areas(desk, visit, ["front"], 0)
    after = care.view_visit(desk, visit)
    assert after.assessment.case.complaint.areas == ("front",)
    assert after.assessment.case.complaint.side is Side.RIGHT
    with pytest.raises(Refused, match="another page"):
        care.confirm_areas(desk, visit, ["deep"], 0)
    with pytest.raises(CannotRead, match="no such area"):
        care.confirm_areas(desk, visit, ["knee"])
    again = care.propose_areas(care.view_chart(desk, visit), after.assessment.case.complaint)
    assert again.to_add == ("deep",)


def test_an_area_told_but_not_drawn_is_said_and_stays(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.confirm_areas(desk, visit, ["neck"])
    care.draw_area(desk, visit, SPOT)
    care.record_finding(desk, visit, Finding("gh_post", Side.RIGHT, mobility=2))
    proposal = care.propose_areas(care.view_chart(desk, visit), care.view_visit(desk, visit).assessment.case.complaint)
    assert proposal.undrawn == ("neck",)
    assert care.view_visit(desk, visit).assessment.case.complaint.areas == ("neck",)
