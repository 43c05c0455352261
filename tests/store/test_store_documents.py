"""Signed letters and sheets: frozen, added to, never removed, a second one refused, all of it exported."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.assessment import read_case
from endfeel.documents import Handout, Note
from endfeel.records.tables import PurgeRow
from endfeel.vocabulary import CannotRead, Finding, NotFound, Refused, Side, Unit
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

STORY = Path(__file__).resolve().parents[2] / "stories" / "first_visit.txt"
BY = "A. Therapist"
SAID = care.WriterWords(to="Dr B. Example", told="That you will write back.", asked="An opinion.")


def first_visit(desk: care.Desk) -> str:
    return care.import_case(desk, read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library))


def words_of(desk: care.Desk, document_id: str) -> str:
    return care.document_file(care.kept_document(desk, document_id).document, "txt").decode()


def test_a_signed_letter_stays_as_it_was_whatever_the_visit_does_after(desk: care.Desk) -> None:
    visit = first_visit(desk)
    letter = care.sign_document(desk, visit, "referral", SAID, BY)
    before = words_of(desk, letter)
    assert f"Signed by {BY}" in before
    assert "Dr B. Example" in before
    care.record_finding(desk, visit, Finding("hawkins", Side.RIGHT, pain=9))
    care.set_screen(desk, visit, {"new_mass": True})
    assert words_of(desk, letter) == before
    care.sign_note(desk, visit, BY)
    assert words_of(desk, letter) == before
    for statement in ("UPDATE signed_document SET signed_by = 'x'", "DELETE FROM signed_document"):
        with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
            connection.execute(text(statement))


def test_an_addendum_stands_below_and_the_same_one_twice_is_one(desk: care.Desk) -> None:
    letter = care.sign_document(desk, first_visit(desk), "referral", SAID, BY)
    before = care.kept_document(desk, letter).row.document
    for _ in range(2):
        care.add_to_document(desk, letter, "Answer received.", "C. Other", "added-1")
    kept = care.kept_document(desk, letter)
    assert kept.row.document == before
    assert words_of(desk, letter).count("Answer received.") == 1
    assert "Added by C. Other" in words_of(desk, letter)
    with pytest.raises(Refused, match="other words"):
        care.add_to_document(desk, letter, "Else.", "C. Other", "added-1")
    with pytest.raises(CannotRead) as caught:
        care.add_to_document(desk, letter, " ", "")
    assert [fault.field for fault in caught.value.faults] == ["text", "by"]
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text("UPDATE document_addendum SET text = 'x'"))


def test_a_second_signing_is_refused_and_names_the_first(desk: care.Desk) -> None:
    visit = first_visit(desk)
    letter = care.sign_document(desk, visit, "referral", SAID, BY, "form-1")
    assert care.sign_document(desk, visit, "referral", SAID, BY, "form-1") == letter
    with pytest.raises(Refused, match=f"referral letter to Dr B. Example of this visit was signed by {BY}"):
        care.sign_document(desk, visit, "referral", SAID, "C. Other", "form-2")
    other = care.WriterWords(to="Dr D. Example", told="The same.")
    assert care.sign_document(desk, visit, "referral", other, BY, "form-3") != letter
    with pytest.raises(Refused, match="sent before"):
        care.sign_document(desk, visit, "insurer", SAID, BY, "form-3")
    assert [one.recipient for one in care.documents_of(desk, visit)] == ["Dr D. Example", "Dr B. Example"]


@pytest.mark.parametrize(
    ("kind", "missing"),
    [("referral", ["to", "told", "by"]), ("insurer", ["to", "by"]), ("discharge", ["closing", "by"])],
)
def test_what_is_missing_is_told_all_at_once_and_nothing_is_kept(
    desk: care.Desk, kind: str, missing: list[str]
) -> None:
    visit = first_visit(desk)
    with pytest.raises(CannotRead) as caught:
        care.sign_document(desk, visit, kind, care.WriterWords(), " ")
    assert [fault.field for fault in caught.value.faults] == missing
    assert care.documents_of(desk, visit) == ()


def test_kinds_that_are_not_kept_so_are_refused(desk: care.Desk) -> None:
    visit = first_visit(desk)
    with pytest.raises(Refused, match="note of its visit"):
        care.sign_document(desk, visit, "follow-up", SAID, BY)
    for unknown in ("note", "handout", "bill"):
        with pytest.raises(NotFound, match="no document"):
            care.sign_document(desk, visit, unknown, SAID, BY)
    with pytest.raises(NotFound, match="not among those suggested"):
        care.sign_document(desk, visit, "insurer", care.WriterWords(to="X", codes=("C34",)), BY)
    with pytest.raises(NotFound):
        care.kept_document(desk, "no-such")
    with pytest.raises(Refused, match="earlier visit"):
        care.sign_note(desk, visit, BY, as_follow_up=True)


def test_a_sheet_is_kept_as_it_was_given_and_told_in_later_papers(desk: care.Desk) -> None:
    visit = first_visit(desk)
    sheet = care.sign_handout(desk, visit, BY, language="de", large=True)
    paper = care.kept_document(desk, sheet).document
    assert isinstance(paper, Handout)
    assert paper.kept == (f"Mitgegeben von {BY}, {desk.clock().astimezone():%Y-%m-%d}.",)
    assert paper.large
    care.add_to_document(desk, sheet, "Nur noch zwei davon.", BY)
    assert "Nur noch zwei davon." in words_of(desk, sheet)
    assert "Nur noch zwei davon." in care.document_file(care.kept_document(desk, sheet).document, "html").decode()
    with pytest.raises(Refused, match="home programme of this visit was signed"):
        care.sign_handout(desk, visit, BY)
    told = care.draft_document(desk, visit, "discharge").document
    assert any(paper.exercises[0].name in one for one in told.statements())


def test_a_follow_up_note_is_the_note_of_its_visit_and_closes_it(desk: care.Desk) -> None:
    first = first_visit(desk)
    (person,) = care.list_people(desk)
    second = care.open_visit(desk, person.visits[0].episode_id)
    today = desk.clock().astimezone().date()
    care.record_finding(desk, second, Finding("act_abduction", Side.RIGHT, value=140, unit=Unit.DEGREES, pain=3))
    for visit, value in ((first, 7.0), (second, 3.0)):
        care.record_measure(desk, visit, OutcomeAnswer("nprs", today, (value,), occasion=Occasion.WORST))
    care.sign_note(desk, second, BY, as_follow_up=True)
    note = care.visit_note(desk, second)
    assert isinstance(note, Note)
    assert note.kind == "follow-up"
    assert note.signed
    words = " ".join(note.statements())
    assert "worst" in words
    assert "7 of 10" in words
    assert "3 of 10" in words
    with pytest.raises(Refused, match="signed"):
        care.record_finding(desk, second, Finding("hawkins", Side.RIGHT, pain=1))
    with pytest.raises(Refused, match="signed"):
        care.sign_note(desk, second, BY)
    care.add_addendum(desk, second, "Rang next day.", BY)
    assert "Rang next day." in " ".join(care.visit_note(desk, second).statements())
    discharge = care.sign_document(desk, second, "discharge", care.WriterWords(closing="Aim reached."), BY)
    assert "Visits: 2" in words_of(desk, discharge)
    assert care.newest_visit(desk, person.visits[0].episode_id) == second


def test_a_letter_of_an_earlier_visit_knows_nothing_of_a_later_one(desk: care.Desk) -> None:
    first = first_visit(desk)
    (person,) = care.list_people(desk)
    second = care.open_visit(desk, person.visits[0].episode_id)
    care.record_finding(desk, second, Finding("hawkins", Side.RIGHT, pain=9))
    early = " ".join(care.draft_document(desk, first, "insurer").document.statements())
    late = " ".join(care.draft_document(desk, second, "insurer").document.statements())
    assert "Visits so far 1" in early
    assert "Visits so far 2" in late


def test_a_person_with_a_signed_letter_stays_and_it_is_exported(desk: care.Desk) -> None:
    visit = first_visit(desk)
    letter = care.sign_document(desk, visit, "insurer", SAID, BY)
    care.add_to_document(desk, letter, "Sent.", BY)
    person = care.view_visit(desk, visit).person_id
    with pytest.raises(Refused, match="signed document exists"):
        care.delete_person(desk, person)
    with pytest.raises(DBAPIError, match="never changed"), desk.transaction() as session:
        session.add(PurgeRow(person_id=person, at=desk.clock()))
    rows = care.export_person(desk, person)["rows"]
    assert rows["signed_document"][0]["kind"] == "insurer"
    assert rows["signed_document"][0]["document"]["title"] == "Shoulder girdle: summary for the insurer"
    assert rows["document_addendum"][0]["text"] == "Sent."
    acts = [row["act"] for row in care.export_person(desk, person)["access"]]
    assert "sign document" in acts
    assert "document addendum" in acts


def test_the_days_of_visits_stand_in_the_letter(store_address: str) -> None:
    start = datetime(2026, 3, 4, 12, tzinfo=UTC)
    now = [start]
    desk = care.open_desk(store_address, clock=lambda: now[0])
    first_visit(desk)
    now[0] = start + timedelta(days=14)
    (person,) = care.list_people(desk)
    second = care.open_visit(desk, person.visits[0].episode_id)
    told = care.draft_document(desk, second, "discharge").document
    assert "2026-03-04 to 2026-03-18" in " ".join(told.statements())
    desk.engine.dispose()
