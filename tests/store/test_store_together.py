"""Several findings in one act: all that are told of are there, one that cannot be takes no other down."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import event, text
from test_store_clinic import Clinic, clinic, model  # noqa: F401 (fixtures)
from test_store_questions import asked, fewer
from tests.store.conftest import BOTH

from endfeel import care
from endfeel.care import custody
from endfeel.records import StoreFault, queries
from endfeel.vocabulary import Complaint, Finding, NotAllowed, NotFound, Position, Refused, Side, Treatment

TOLD = Finding("gh_post", Side.RIGHT, mobility=2, pain=3)


def visits_of(desk: care.Desk, many: int) -> list[str]:
    return [care.open_visit(desk, care.open_episode(desk, care.new_person(desk, f"P-{number}", invented=True),
                                                    Complaint(side=Side.RIGHT)))
            for number in range(many)]  # fmt: skip


def new(desk: care.Desk, visit: str, one: str = "", position: Position | None = None) -> care.NewFinding:
    return care.new_finding(desk, visit, "finding", TOLD, one or care.new_id(), position)


def ids(desk: care.Desk, visit: str) -> list[str]:
    with desk.transaction() as session:
        return [row.id for row in queries.entry_rows(session, visit)]


def rows_of(desk: care.Desk, act: str) -> list[tuple[str, str]]:
    with desk.engine.connect() as connection:
        found = connection.execute(
            text("SELECT who, visit_id FROM audit WHERE act = :act ORDER BY place"), {"act": act}
        )
        return [(row[0], row[1]) for row in found]


def test_each_is_told_what_stands_after_it_and_has_its_row_in_the_audit(desk: care.Desk) -> None:
    visits = visits_of(desk, 5)
    care.set_screen(desk, visits[1], {"trauma_recent": True})
    care.record_finding(desk, visits[2], replace(TOLD, mobility=5))
    several = [new(desk, visit) for visit in visits]
    for one, told in zip(several, care.keep_together(several), strict=True):
        assert told is not None
        assert told == care.stand_visit(desk, one.visit_id)
        assert ids(desk, one.visit_id)[-1] == one.entry.id
    assert sorted(rows_of(desk, "record finding")[1:]) == sorted((desk.who, visit) for visit in visits)
    assert custody.verify_audit(desk.engine, "tester").is_sound


def test_many_ask_hardly_more_than_one(desk: care.Desk) -> None:
    visits = visits_of(desk, 8)
    one = asked(desk, lambda: care.keep_together([new(desk, visits[0])]))
    all_of_them = asked(desk, lambda: care.keep_together([new(desk, visit) for visit in visits]))
    assert one == 6 - fewer(desk, 1)
    a_row_each_and_the_end_of_the_chain = 0 if fewer(desk, 1) else 2 * 7
    assert all_of_them == one + 1 + a_row_each_and_the_end_of_the_chain


def test_one_that_cannot_be_kept_takes_no_other_down_and_says_why_alone(desk: care.Desk) -> None:
    fine, signed, no, kept, again, turned, treated = visits_of(desk, 7)
    care.record_finding(desk, signed, TOLD)
    care.sign_note(desk, signed, "A. Therapist")
    person = next(p.id for p in care.list_people(desk) if p.visits[0].id == no)
    care.record_consent(desk, person, "care", given=False, words="said so", by="A. Therapist")
    twice = care.record_finding(desk, kept, TOLD)
    care.record_finding(desk, treated, TOLD)
    care.record_treatment(desk, treated, Treatment("glide posterior"))
    before = {visit: ids(desk, visit) for visit in (signed, no, kept, turned)}
    several = [
        new(desk, fine), new(desk, signed), new(desk, no), new(desk, kept, twice), new(desk, again), new(desk, again),
        new(desk, "nobody's"), new(desk, turned, position=Position.PRONE), new(desk, treated),
    ]  # fmt: skip
    told = care.keep_together(several)
    assert [one is not None for one in told] == [True, False, False, False, True, False, False, False, True]
    assert ids(desk, fine) == [several[0].entry.id]
    assert ids(desk, again) == [several[4].entry.id]
    assert {visit: ids(desk, visit) for visit in before} == before
    assert [one.kind for one in care.view_visit(desk, treated).entries] == ["finding", "treatment", "retest"]
    for number, why in ((1, Refused), (2, Refused), (6, NotFound)):
        with pytest.raises(why):
            care.keep_and_stand(several[number])
    assert care.keep_and_stand(several[3]) is None
    assert care.keep_and_stand(several[5])
    assert care.keep_and_stand(several[7])
    assert ids(desk, again) == [several[4].entry.id, several[5].entry.id]
    assert care.view_visit(desk, turned).position == Position.PRONE
    assert custody.verify_audit(desk.engine, "tester").is_sound


def test_what_the_database_refuses_undoes_all_and_each_is_kept_alone(desk: care.Desk) -> None:
    fine, other, wrong = visits_of(desk, 3)
    taken = care.record_finding(desk, other, TOLD)
    several = [new(desk, fine), new(desk, wrong, taken)]
    rows = len(rows_of(desk, "record finding"))
    assert care.keep_together(several) == [None, None]
    assert ids(desk, fine) == ids(desk, wrong) == []
    assert len(rows_of(desk, "record finding")) == rows
    assert care.keep_and_stand(several[0])
    with pytest.raises(Refused, match="other content"):
        care.keep_and_stand(several[1])


def test_nothing_is_told_that_was_not_committed(desk: care.Desk) -> None:
    visits = visits_of(desk, 2)
    several = [new(desk, visit) for visit in visits]

    @event.listens_for(desk.engine, "commit")
    def _gone(_: object) -> None:
        raise StoreFault("the disk went away")

    assert care.keep_together(several) == [None, None]
    event.remove(desk.engine, "commit", _gone)
    assert [ids(desk, visit) for visit in visits] == [[], []]
    assert all(care.keep_together(several))


@pytest.mark.parametrize("store_address", [BOTH[1]], indirect=True)
def test_a_visit_that_somebody_holds_is_not_waited_for(desk: care.Desk) -> None:
    free, held = visits_of(desk, 2)
    several = [new(desk, held), new(desk, free)]
    with desk.transaction() as session:
        queries.lock_visit(session, held)
        assert [bool(one) for one in care.keep_together(several)] == [False, True]
    assert care.keep_and_stand(several[0])


@pytest.mark.parametrize("store_address", [BOTH[1]], indirect=True)
def test_a_line_that_is_dropped_in_the_middle_loses_and_doubles_nothing(desk: care.Desk) -> None:
    visits = visits_of(desk, 3)
    several = [new(desk, visit) for visit in visits]

    @event.listens_for(desk.engine, "before_cursor_execute")
    def _dropped(_: object, cursor: Any, statement: str, *__: object) -> None:
        if "INSERT INTO audit" in statement:
            cursor.connection.pgconn.finish()

    assert care.keep_together(several) == [None, None, None]
    event.remove(desk.engine, "before_cursor_execute", _dropped)
    assert all(care.keep_and_stand(one) for one in several)
    assert [ids(desk, one.visit_id) for one in several] == [[one.entry.id] for one in several]


def test_each_is_held_to_the_rights_of_their_own(clinic: Clinic) -> None:  # noqa: F811
    anna, ben = clinic.hire("Anna", "therapist"), clinic.hire("Ben", "therapist")
    annas, bens = clinic.at(anna), clinic.at(ben)
    (hers,), (his,) = visits_of(annas, 1), visits_of(bens, 1)
    (other,) = visits_of(annas, 1)
    several = [new(annas, hers), new(bens, his), new(bens, other)]
    assert [bool(one) for one in care.keep_together(several)] == [True, True, False]
    assert rows_of(clinic.desk, "record finding") == [("Anna", hers), ("Ben", his)]
    with pytest.raises(NotAllowed):
        care.keep_and_stand(several[2])
    assert ids(clinic.desk, other) == []
    assert [who for who, _ in rows_of(clinic.desk, "not allowed")] == ["Ben"]
