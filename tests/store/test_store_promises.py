"""What an override covers, what an undo leaves, what leaves an audit row, and what a damaged file says."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import text

from endfeel import care
from endfeel.assessment import read_case
from endfeel.records import StoreFault
from endfeel.records.tables import OverrideRow
from endfeel.safety import Urgency
from endfeel.vocabulary import Complaint, Finding, Position, Refused, Side, Treatment

STORY = Path(__file__).resolve().parents[2] / "stories" / "first_visit.txt"
TOLD = Finding("gh_post", Side.RIGHT, mobility=2)
TRIED = Treatment("posterior glide")
REASON = "Seen by the surgeon yesterday, who found it safe to go on."
BY = "A. Therapist"


def new_visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def test_an_override_does_not_cover_the_same_flag_grown_more_urgent(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, {"ac_high_step": True})
    care.override_verdict(desk, visit, REASON, BY)
    care.record_treatment(desk, visit, TRIED)
    care.set_screen(desk, visit, {"new_marked_weakness": True})
    with pytest.raises(Refused, match="withheld"):
        care.record_treatment(desk, visit, TRIED)


def test_an_override_does_not_cover_a_flag_that_was_not_pressing_when_it_was_given(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, {"new_mass": True, "stiff_at_once": True})
    before = {flag.id: flag.urgency for flag in care.view_visit(desk, visit).assessment.verdict.raised}
    care.override_verdict(desk, visit, REASON, BY)
    care.record_treatment(desk, visit, TRIED)
    care.set_screen(desk, visit, {"trauma_recent": True})
    after = {flag.id: flag.urgency for flag in care.view_visit(desk, visit).assessment.verdict.raised}
    assert any(after[one].rank > before[one].rank for one in before)
    with pytest.raises(Refused, match="withheld"):
        care.record_treatment(desk, visit, TRIED)


@pytest.mark.parametrize("cues", [{"ac_high_step": True}, {"ac_high_step": True, "new_marked_weakness": True}])
def test_an_early_row_without_urgencies_covers_what_is_urgent_and_no_more(
    desk: care.Desk, cues: dict[str, bool | None]
) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, cues)
    raised = care.view_visit(desk, visit).assessment.verdict.raised
    with desk.transaction() as session:
        session.add(
            OverrideRow(visit_id=visit, urgency=str(raised[0].urgency), flags=[flag.id for flag in raised],
                        reason=REASON, by=BY, at=desk.clock())
        )  # fmt: skip
    if raised[0].urgency is Urgency.URGENT:
        assert care.record_treatment(desk, visit, TRIED)
    else:
        with pytest.raises(Refused, match="withheld"):
            care.record_treatment(desk, visit, TRIED)


def test_an_override_goes_on_holding_when_something_harmless_is_added(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, {"new_mass": True})
    care.override_verdict(desk, visit, REASON, BY)
    care.set_screen(desk, visit, {"fever_unwell": False})
    care.record_finding(desk, visit, TOLD)
    assert care.record_treatment(desk, visit, TRIED)


def test_an_undo_that_was_undone_can_be_undone_again(desk: care.Desk) -> None:
    visit = new_visit(desk)
    kept = care.record_finding(desk, visit, TOLD)
    for _ in range(2):
        assert care.undo(desk, visit) == kept
        assert care.view_visit(desk, visit).entries == ()
        assert care.redo(desk, visit)
        assert [entry.id for entry in care.view_visit(desk, visit).entries] == [kept]
    assert not care.redo(desk, visit)


def test_every_kind_of_act_leaves_its_row(desk: care.Desk) -> None:
    visit = new_visit(desk)
    person = care.view_visit(desk, visit).person_id
    wrong = care.record_finding(desk, visit, TOLD)
    care.correct_finding(desk, visit, wrong, Finding("gh_post", Side.RIGHT, mobility=3))
    care.undo(desk, visit)
    care.redo(desk, visit)
    care.set_screen(desk, visit, {"new_mass": True})
    care.override_verdict(desk, visit, REASON, BY)
    care.record_treatment(desk, visit, TRIED)
    care.record_retest(desk, visit, TOLD)
    care.sign_note(desk, visit, BY)
    care.add_addendum(desk, visit, "Letter sent.", BY)
    acts = [row["act"] for row in care.export_person(desk, person)["access"]]
    assert acts == [
        "new person", "open episode", "open visit", "view visit", "record finding", "correct finding", "undo", "redo",
        "screen", "override", "record treatment", "record retest", "sign note", "addendum", "export",
    ]  # fmt: skip


def test_a_removed_person_leaves_no_row_but_the_audit(desk: care.Desk) -> None:
    visit = care.import_case(desk, read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library))
    care.set_screen(desk, visit, {"new_mass": True})
    care.turn_person(desk, visit, Position.PRONE)
    care.override_verdict(desk, visit, REASON, BY)
    care.delete_person(desk, care.view_visit(desk, visit).person_id)
    with desk.engine.connect() as connection:
        for table in ("person", "episode", "visit", "entry", "screen_answer", "turn", "verdict_override"):
            assert connection.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 0, table  # noqa: S608
        acts = connection.execute(text("SELECT act FROM audit ORDER BY number")).scalars().all()
    assert acts[0] == "import case"
    assert acts[-1] == "delete person"


def test_a_file_damaged_after_opening_is_said_calmly(tmp_path: Path) -> None:
    path = tmp_path / "damaged.sqlite"
    desk = care.open_desk(str(path))
    visit = new_visit(desk)
    with desk.engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.exec_driver_sql("BEGIN")
    desk.engine.dispose()
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xa5" * (len(whole) - 4096))
    with pytest.raises(StoreFault, match="nothing half-done was kept"):
        care.record_finding(desk, visit, TOLD)
    desk.engine.dispose()
