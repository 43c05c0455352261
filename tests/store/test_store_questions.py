"""How many questions an act puts to the database, and that what is told beside an act is what stands there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from sqlalchemy import event, text
from tests.store.conftest import BOTH

from endfeel import care
from endfeel.care.outcomes import has_local_counts
from endfeel.records import queries
from endfeel.records.hands import keep_hands
from endfeel.records.store import glancing
from endfeel.vocabulary import Complaint, Finding, Person, Position, Side
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

TOLD = Finding("gh_post", Side.RIGHT, mobility=2, pain=3)
HANDS = 'name = "Anna"\n\n[[agreement]]\nprocedure = "gh_post"\noutcome = "hypo"\nkappa = 0.1\nsubjects = 9\n'
LOOSE = Finding("gh_ant", Side.RIGHT, mobility=5)


def fewer(desk: care.Desk, rows: int) -> int:
    """On a server each row of the audit moves the end of the chain by the same statement."""
    return rows if desk.engine.dialect.name == "postgresql" else 0


def keep(desk: care.Desk, visit: str, finding: Finding, one: str, position: Position | None = None) -> Any:
    return care.keep_and_stand(care.new_finding(desk, visit, "finding", finding, one, position))


def asked(desk: care.Desk, act: Callable[[], object]) -> int:
    """Statements of an act, what opens and ends its transaction not counted."""
    told: list[str] = []

    def heard(*given: object) -> None:
        if not str(given[2]).startswith("BEGIN"):
            told.append(str(given[2]))

    event.listen(desk.engine, "before_cursor_execute", heard)
    act()
    event.remove(desk.engine, "before_cursor_execute", heard)
    return len(told)


@pytest.fixture
def episode(desk: care.Desk) -> str:
    person = care.new_person(desk, "P-1", Person(54, "female", Side.RIGHT))
    return care.open_episode(desk, person, Complaint(side=Side.RIGHT), "Shoulder")


def test_a_finding_asks_as_little_as_it_can_however_long_the_visit(desk: care.Desk, episode: str) -> None:
    visit = care.open_visit(desk, episode)
    first = asked(desk, lambda: keep(desk, visit, TOLD, care.new_id()))
    for _ in range(20):
        care.record_finding(desk, visit, TOLD)
    later = asked(desk, lambda: keep(desk, visit, TOLD, care.new_id()))
    assert first == later == 8 - fewer(desk, 1)
    assert asked(desk, lambda: care.visit_mark(desk, visit)) == 1


def test_a_visit_asks_once_whose_hands_read_it_and_needs_no_second_connection(desk: care.Desk, episode: str) -> None:
    visit = care.open_visit(desk, episode)
    care.record_finding(desk, visit, TOLD)
    assert asked(desk, lambda: care.view_visit(desk, visit)) == 7 - fewer(desk, 1)
    with desk.transaction() as session:
        keep_hands(session, "", desk.clock(), HANDS)
    assert asked(desk, lambda: care.view_visit(desk, visit)) == 8 - fewer(desk, 1)
    assert "(Anna)" in " ".join(care.view_visit(desk, visit).assessment.posterior.caveats)


@pytest.mark.parametrize("store_address", [BOTH[0]], indirect=True)
def test_who_found_something_is_looked_up_among_the_rows_of_one_person(desk: care.Desk, episode: str) -> None:
    visit = care.open_visit(desk, episode)
    with desk.transaction() as session:
        keep_hands(session, "", desk.clock(), HANDS)
    told: list[tuple[str, Any]] = []
    event.listen(desk.engine, "before_cursor_execute", lambda *given: told.append((given[2], given[3])))
    care.view_visit(desk, visit)
    question, given = next((one, with_) for one, with_ in told if one.startswith("SELECT audit.act"))
    with glancing(desk.engine) as connection:
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {question}", given).all()
    assert ["SEARCH audit USING INDEX" in row[-1] for row in plan] == [True]


def test_an_episode_asks_no_more_for_many_visits_than_for_two(desk: care.Desk, episode: str) -> None:
    def visit() -> None:
        made = care.open_visit(desk, episode)
        care.record_finding(desk, made, TOLD)
        care.set_screen(desk, made, {"trauma_recent": False})
        care.wish_for(desk, made, "hawkins", "must")
        care.prefer(desk, made, instrument="goniometer")
        day = date.today()  # noqa: DTZ011 - the day on the wall
        care.record_measure(desk, made, OutcomeAnswer("nprs", day, (4.0,), occasion=Occasion.MOVEMENT))

    visit()
    visit()
    two = asked(desk, lambda: care.follow_episode(desk, episode))
    for _ in range(3):
        visit()
    assert asked(desk, lambda: care.follow_episode(desk, episode)) == two == 15 - fewer(desk, 3)
    told = care.follow_episode(desk, episode)
    assert len(told.visit_ids) == len(told.followed.visits) == 5
    with desk.transaction() as session:
        at_once = queries.visit_records(session, told.visit_ids)
        assert at_once == {one: queries.visit_record(session, one) for one in told.visit_ids}
    assert [one.number for one in at_once.values()] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize("position", [None, Position.SIDE_LYING], ids=["stays", "turns"])
def test_what_is_told_with_a_finding_is_what_stands_after_it(
    desk: care.Desk, episode: str, position: Position | None
) -> None:
    visit = care.open_visit(desk, episode)
    care.set_screen(desk, visit, {"trauma_recent": True})
    for finding in (TOLD, LOOSE):
        told = keep(desk, visit, finding, care.new_id(), position)
        assert told is not None
        standing, mark = care.stand_visit(desk, visit)
        assert told == (standing, mark)
        assert care.view_visit(desk, visit).assessment.verdict == standing.verdict
        assert care.view_visit(desk, visit).mark == mark == care.visit_mark(desk, visit)
    assert any("mobility" in one.because for one in standing.verdict.precautions), "the second finding counts"


def test_a_finding_sent_again_tells_nothing_and_keeps_nothing(desk: care.Desk, episode: str) -> None:
    visit, one = care.open_visit(desk, episode), care.new_id()
    assert keep(desk, visit, TOLD, one)
    before = care.visit_mark(desk, visit)
    assert keep(desk, visit, TOLD, one) is None
    assert care.visit_mark(desk, visit) == before
    assert len(care.view_visit(desk, visit).entries) == 1


@pytest.mark.parametrize("store_address", [BOTH[1]], indirect=True)
def test_a_server_plans_a_question_once_for_a_connection(desk: care.Desk, episode: str) -> None:
    visit = care.open_visit(desk, episode)
    for _ in range(10):
        care.visit_mark(desk, visit)
        care.record_finding(desk, visit, TOLD)
    care.view_visit(desk, visit)
    care.follow_episode(desk, episode)
    assert not has_local_counts(desk)
    with glancing(desk.engine) as connection:
        kept = connection.execute(text("SELECT statement FROM pg_prepared_statements")).scalars().all()
    assert any("FOR UPDATE" in one for one in kept)
    assert any("INSERT INTO entry" in one for one in kept)
    assert any("last_screen" in one for one in kept)
