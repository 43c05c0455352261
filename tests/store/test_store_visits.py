"""What is recorded stays; what is signed cannot change. On SQLite and on PostgreSQL."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError, IntegrityError

from endfeel import care
from endfeel.assessment import read_case, shorthand_of
from endfeel.care import outcomes
from endfeel.documents import note_text
from endfeel.records import queries
from endfeel.records.tables import EntryRow
from endfeel.vocabulary import Case, Complaint, Finding, NotFound, Person, Position, Refused, Side, Treatment
from endfeel.vocabulary.body_chart import ChartArea, ChartView, SymptomDepth, SymptomQuality
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer
from endfeel.vocabulary.shorthand import parse_finding

STORIES = Path(__file__).resolve().parents[2] / "stories"


def story(desk: care.Desk, name: str) -> Case:
    return read_case((STORIES / name).read_text(encoding="utf-8"), name, desk.library)


def finding(desk: care.Desk, line: str) -> Finding:
    return parse_finding(line, shorthand_of(desk.library), Side.RIGHT)


def new_visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40, "female", Side.RIGHT), invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def lines(desk: care.Desk, visit: str) -> list[str | None]:
    return [entry.finding.procedure if entry.finding else None for entry in care.view_visit(desk, visit).entries]


def test_a_written_case_comes_back_as_it_went_in(desk: care.Desk) -> None:
    case = story(desk, "first_visit.txt")
    assert care.view_visit(desk, care.import_case(desk, case)).assessment.case == case


def test_the_same_entry_sent_twice_is_kept_once(desk: care.Desk) -> None:
    visit = new_visit(desk)
    for _ in range(2):
        care.record_finding(desk, visit, finding(desk, "gh post glide 2"), entry_id="same-entry")
    assert lines(desk, visit) == ["gh_post"]


def test_a_correction_counts_and_the_first_version_stays_on_record(desk: care.Desk) -> None:
    visit = new_visit(desk)
    wrong = care.record_finding(desk, visit, finding(desk, "gh post glide 2"))
    care.correct_finding(desk, visit, wrong, finding(desk, "gh post glide 3"))
    (entry,) = care.view_visit(desk, visit).entries
    assert entry.finding is not None
    assert entry.finding.mobility == 3
    with desk.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM entry")).scalar() == 2


def test_the_same_correction_sent_twice_is_one_and_a_treatment_is_not_corrected_into_a_finding(desk: care.Desk) -> None:
    visit = new_visit(desk)
    wrong = care.record_line(desk, visit, "gh post glide 2")
    for _ in range(2):
        care.correct_finding(desk, visit, wrong, finding(desk, "gh post glide 3"), "correction")
    assert len(care.view_visit(desk, visit).entries) == 1
    with pytest.raises(NotFound):
        care.correct_finding(desk, visit, wrong, finding(desk, "gh post glide 4"))
    treatment = care.record_treatment(desk, visit, Treatment("posterior glide"))
    with pytest.raises(NotFound):
        care.correct_finding(desk, visit, treatment, finding(desk, "gh post glide 3"))


def test_a_correction_stands_where_the_mistake_stood(desk: care.Desk) -> None:
    visit = new_visit(desk)
    first = care.record_line(desk, visit, "gh post glide 1")
    care.record_line(desk, visit, "gh post glide 3")
    care.correct_finding(desk, visit, first, finding(desk, "gh post glide 2"))
    case = care.view_visit(desk, visit).assessment.case
    assert [told.mobility for told in case.findings] == [2, 3]


def test_the_same_entry_taken_back_twice_takes_back_one(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    last = care.record_line(desk, visit, "gh inf glide 2")
    assert [care.undo(desk, visit, last) for _ in range(2)] == [last, None]
    assert lines(desk, visit) == ["gh_post"]
    care.undo(desk, visit)
    assert care.undo(desk, visit) is None


def test_an_entry_sent_again_after_signing_is_acknowledged(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2", "sent-again")
    care.sign_note(desk, visit, "A. Therapist")
    assert care.record_line(desk, visit, "gh post glide 2", "sent-again") == "sent-again"


def test_the_list_counts_what_stands(desk: care.Desk) -> None:
    visit = new_visit(desk)
    wrong = care.record_line(desk, visit, "gh post glide 2")
    care.correct_finding(desk, visit, wrong, finding(desk, "gh post glide 3"))
    care.record_line(desk, visit, "gh inf glide 2")
    care.undo(desk, visit)
    care.record_line(desk, new_visit(desk), "gh inf glide 2")
    assert [shown.entries for person in care.list_people(desk) for shown in person.visits] == [1, 1]


def test_an_export_holds_every_row_and_is_plain_data(desk: care.Desk) -> None:
    visit = full_visit(desk)
    person = care.view_visit(desk, visit).person_id
    given = json.loads(json.dumps(care.export_person(desk, person)))
    assert {table: len(rows) for table, rows in given["rows"].items()} == {
        "person": 1, "episode": 1, "story": 1, "visit": 1, "entry": 1, "screen_answer": 1, "turn": 1,
        "wish": 1, "chart_area": 1, "verdict_override": 1, "signed_note": 1, "addendum": 1,
        "outcome_answer": 1, "preference": 1, "signed_document": 1, "document_addendum": 1, "consent": 1,
        "confirmed_outcome": 1,
        "assignment": 0, "break_glass": 0, "presented": 0,  # of a clinic alone: tests/store/test_store_clinic.py
        "counted_episode": 0,  # nobody counted yet
    }  # fmt: skip


def test_undo_and_redo_lose_nothing(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.record_line(desk, visit, "gh inf glide 2")
    assert care.undo(desk, visit) is not None
    assert lines(desk, visit) == ["gh_post"]
    assert care.redo(desk, visit)
    assert lines(desk, visit) == ["gh_post", "gh_inf"]
    care.undo(desk, visit)
    care.record_line(desk, visit, "gh ant glide 3")
    assert not care.redo(desk, visit)
    assert lines(desk, visit) == ["gh_post", "gh_ant"]


GUARDED = (
    "person", "episode", "story", "visit", "entry", "screen_answer", "turn", "wish", "verdict_override",
    "signed_note", "addendum", "audit", "consent", "outcome_answer", "preference",
    "signed_document", "document_addendum",
)  # fmt: skip
COLUMN = {
    "person": "label",
    "episode": "title",
    "story": "label",
    "visit": "position",
    "entry": "note",
    "screen_answer": "cue",
    "turn": "position",
    "wish": "procedure",
    "audit": "who",
    "signed_note": "signed_by",
    "outcome_answer": "answering",
    "preference": "word",
    "signed_document": "signed_by",
}


def full_visit(desk: care.Desk) -> str:
    """A signed visit with a row in every guarded table."""
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.set_screen(desk, visit, {"new_mass": True})
    care.turn_person(desk, visit, Position.SIDE_LYING)
    care.wish_for(desk, visit, "hawkins", "never")
    care.correct_story(desk, visit, "invented", Person(41, "female", Side.RIGHT), Complaint(side=Side.RIGHT))
    care.draw_area(
        desk,
        visit,
        ChartArea(ChartView.FRONT, ((32.0, 43.0), (33.5, 44.25)), SymptomQuality.ACHING, SymptomDepth.DEEP, 6),
    )
    today = desk.clock().astimezone().date()
    care.record_measure(desk, visit, OutcomeAnswer("nprs", today, (4.0,), occasion=Occasion.REST))
    care.prefer(desk, visit, refused=frozenset(["loading"]))
    care.override_verdict(desk, visit, "Seen by the surgeon yesterday, a known lipoma.", "A. Therapist")
    care.sign_note(desk, visit, "A. Therapist")
    care.add_addendum(desk, visit, "Letter sent.", "A. Therapist")
    person_id = care.view_visit(desk, visit).person_id
    words = care.WriterWords(to="Dr B. Example", told="That you will write back.", asked="An opinion.")
    letter = care.sign_document(desk, visit, "referral", words, "A. Therapist")
    care.add_to_document(desk, letter, "Answer received.", "A. Therapist")
    care.record_consent(desk, person_id, "teaching", True, "signed form", "A. Therapist")
    seen = ConfirmedOutcome("cuff_pain", Side.RIGHT, False, Reference.IMAGING, today, "ultrasound", "A. Therapist")
    with desk.transaction() as session:
        episode = queries.visit_record(session, visit).episode_id
    outcomes.record_outcome(desk, episode, seen)
    return visit


@pytest.mark.parametrize("table", GUARDED)
def test_the_database_itself_refuses_to_change_replace_or_remove_a_row(desk: care.Desk, table: str) -> None:
    full_visit(desk)
    column = COLUMN.get(table, "by")
    wrongs = [f"UPDATE {table} SET {column} = 'x'", f"DELETE FROM {table}"]  # noqa: S608
    if desk.engine.dialect.name == "sqlite":
        wrongs.append(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608
    else:
        wrongs.append(f"TRUNCATE {table} CASCADE")
    with desk.engine.connect() as connection:
        before = connection.execute(text(f"SELECT * FROM {table}")).all()  # noqa: S608
    assert before
    for wrong in wrongs:
        with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
            connection.execute(text(wrong))
    with desk.engine.connect() as connection:
        assert connection.execute(text(f"SELECT * FROM {table}")).all() == before  # noqa: S608


def test_the_database_itself_refuses_a_new_row_in_a_signed_visit(desk: care.Desk) -> None:
    visit = full_visit(desk)
    with pytest.raises(DBAPIError, match="never changed"), desk.transaction() as session:
        queries.add_entry(session, visit, desk.clock(), queries.NewEntry("late", "finding", Finding("gh_post")))


def test_the_database_itself_refuses_a_word_of_no_vocabulary(desk: care.Desk) -> None:
    visit = new_visit(desk)
    for wrong in ({"side": "both"}, {"unit": "stone"}, {"pain": 11.0}, {"strength": 6}, {"end_feel": "crunchy"}):
        with pytest.raises(IntegrityError), desk.transaction() as session:
            session.add(
                EntryRow(id="x", visit_id=visit, sequence=1, kind="finding", recorded_at=desk.clock(),
                         procedure="gh_post", **wrong)
            )  # fmt: skip


def test_a_signed_note_stays_and_takes_only_an_addendum(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.sign_note(desk, visit, "A. Therapist")
    before = care.visit_note(desk, visit)
    acts: tuple[Callable[[], object], ...] = (
        lambda: care.sign_note(desk, visit, "B. Therapist"),
        lambda: care.record_line(desk, visit, "gh inf glide 2"),
        lambda: care.undo(desk, visit),
    )
    for act in acts:
        with pytest.raises(Refused):
            act()
    care.add_addendum(desk, visit, "Film arrived, clear.", "A. Therapist")
    signed = care.view_visit(desk, visit).signed
    assert signed is not None
    assert [words for _, _, words in signed.addenda] == ["Film arrived, clear."]
    after = care.visit_note(desk, visit)
    assert replace(after, sections=tuple(one for one in after.sections if one.id != "addenda")) == before
    for rendered in (note_text(after), care.note_html(desk, visit)):
        assert "Film arrived, clear." in rendered
        assert "Added by A. Therapist" in rendered
    pages = PdfReader(BytesIO(care.note_pdf(desk, visit))).pages
    assert "Film arrived, clear." in " ".join(page.extract_text() for page in pages)


def test_screen_answers_the_latest_counts_and_can_be_taken_back(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, {"fever_unwell": True, "cancer_history": False})
    care.set_screen(desk, visit, {"fever_unwell": False, "cancer_history": None})
    assert dict(care.view_visit(desk, visit).assessment.case.screen) == {"fever_unwell": False}


def test_an_urgent_verdict_withholds_treatment_until_overridden_and_a_new_danger_is_not_covered(
    desk: care.Desk,
) -> None:
    visit = new_visit(desk)
    care.set_screen(desk, visit, {"new_mass": True})
    with pytest.raises(Refused, match="withheld"):
        care.record_treatment(desk, visit, Treatment("posterior glide"))
    with pytest.raises(Refused):
        care.override_verdict(desk, visit, "ok", "A. Therapist")
    today = desk.clock().astimezone().date()
    care.record_measure(desk, visit, OutcomeAnswer("nprs", today, (4.0,), occasion=Occasion.REST))
    care.prefer(desk, visit, refused=frozenset(["loading"]))
    care.override_verdict(desk, visit, "Seen by the surgeon yesterday, a known lipoma.", "A. Therapist")
    care.record_treatment(desk, visit, Treatment("posterior glide"))
    care.set_screen(desk, visit, {"hand_cold_pale": True})
    with pytest.raises(Refused, match="withheld"):
        care.record_treatment(desk, visit, Treatment("inferior glide"))


def test_every_act_leaves_a_row_about_who_did_what(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.undo(desk, visit)
    view = care.view_visit(desk, visit)
    acts = [row["act"] for row in care.export_person(desk, view.person_id)["access"]]
    assert acts == ["new person", "open episode", "open visit", "record finding", "undo", "view visit", "export"]


def test_a_case_is_imported_whole_or_not_at_all(desk: care.Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = queries.add_entry
    monkeypatch.setattr(queries, "add_entry", lambda *args: 1 / 0 if args[3].kind == "retest" else kept(*args))
    with pytest.raises(ZeroDivisionError):
        care.import_case(desk, story(desk, "first_visit.txt"))
    monkeypatch.undo()
    assert care.list_people(desk) == ()


def test_a_person_goes_with_everything_unless_a_note_is_signed(desk: care.Desk) -> None:
    visit = care.import_case(desk, story(desk, "first_visit.txt"))
    person = care.view_visit(desk, visit).person_id
    care.delete_person(desk, person)
    assert care.list_people(desk) == ()
    with pytest.raises(NotFound):
        care.view_visit(desk, visit)
    signed = new_visit(desk)
    care.sign_note(desk, signed, "A. Therapist")
    with pytest.raises(Refused):
        care.delete_person(desk, care.view_visit(desk, signed).person_id)


def test_two_writers_at_once_lose_nothing_and_share_no_number(desk: care.Desk) -> None:
    visit = new_visit(desk)
    told = finding(desk, "gh post glide 2")
    faults: list[Exception] = []

    def write() -> None:
        try:
            for _ in range(50):
                care.record_finding(desk, visit, told)
        except Exception as error:  # noqa: BLE001
            faults.append(error)

    writers = [threading.Thread(target=write) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert not faults
    assert [entry.sequence for entry in care.view_visit(desk, visit).entries] == list(range(1, 101))


def test_the_plan_goes_on_from_the_position_the_person_turned_to(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.turn_person(desk, visit, Position.SIDE_LYING)
    care.turn_person(desk, visit, Position.SIDE_LYING)
    view = care.view_visit(desk, visit)
    assert view.position is Position.SIDE_LYING
    assert view.assessment.plan.positions[0] is Position.SIDE_LYING
    with desk.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM turn")).scalar() == 1


def test_a_next_visit_keeps_the_story_and_asks_the_screen_again(desk: care.Desk) -> None:
    first = care.import_case(desk, story(desk, "first_visit.txt"))
    (person,) = care.list_people(desk)
    second = care.open_visit(desk, person.visits[0].episode_id)
    before, after = care.view_visit(desk, first).assessment.case, care.view_visit(desk, second).assessment.case
    assert after.complaint == before.complaint
    assert before.screen
    assert not after.screen
    assert not after.findings
