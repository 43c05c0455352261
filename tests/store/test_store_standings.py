"""How many visits stand with safety, read at once: the same as one by one, in a fixed number of questions."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import event

from endfeel import care
from endfeel.assessment import read_case
from endfeel.records import queries, safety_records

STORIES = Path(__file__).parents[2] / "stories"
NAMES = ("first_visit.txt", "danger_apical.txt", "acromioclavicular.txt")
REASON = "Seen in the emergency room this morning and sent back with a clean record"


def test_many_visits_are_read_at_once_and_as_one_by_one(tmp_path: Path) -> None:
    desk = care.open_desk(str(tmp_path / "records.sqlite"))
    visits = [
        care.import_case(desk, read_case((STORIES / name).read_text(encoding="utf-8"), name, desk.library))
        for name in NAMES
    ]
    care.set_screen(desk, visits[0], {"trauma_recent": True})
    care.override_verdict(desk, visits[1], REASON, "R. Example")
    person = care.view_visit(desk, visits[2]).assessment.case
    care.correct_story(desk, visits[2], "Told again", person.person, person.complaint)
    care.record_line(desk, visits[2], "hawkins +")
    care.undo(desk, visits[2])
    care.sign_note(desk, visits[2], "R. Example")
    asked: list[str] = []
    with desk.transaction() as session:
        one_by_one = {visit: queries.visit_record(session, visit) for visit in visits}
        event.listen(desk.engine, "before_cursor_execute", lambda *told: asked.append(told[2]))
        at_once = safety_records(session, visits)
        for_three = len(asked)
        safety_records(session, visits[:1])
    assert {visit: (one.case, one.first_answers, one.override) for visit, one in one_by_one.items()} == {
        visit: (one.case, one.first_answers, one.override) for visit, one in at_once.items()
    }
    assert at_once[visits[1]].override is not None
    assert len(asked) - for_three <= for_three == 5
    standing = care.stand_visits(desk, visits)
    assert standing[visits[1]].verdict.is_overridden
    assert {visit: one.verdict for visit, one in standing.items()} == {
        visit: care.view_visit(desk, visit).assessment.verdict for visit in visits
    }
    desk.engine.dispose()
