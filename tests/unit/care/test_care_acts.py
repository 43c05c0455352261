"""What care refuses, and what it leaves for the rooms below; on a store in memory."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from endfeel import care
from endfeel.assessment import read_case
from endfeel.care.hands import remove_own_hands
from endfeel.inference import Model
from endfeel.records import queries
from endfeel.records.hands import keep_hands
from endfeel.vocabulary import CannotRead, Case, Complaint, Finding, NotFound, Person, Refused, Side, Treatment

NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)
STORIES = Path(__file__).resolve().parents[3] / "stories"
TOLD = Finding("gh_post", Side.RIGHT, mobility=2)


@pytest.fixture(scope="module")
def desk() -> Iterator[care.Desk]:
    opened = care.open_desk(":memory:", clock=lambda: NOON)
    yield opened
    opened.engine.dispose()


@pytest.fixture
def visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40, "female", Side.RIGHT), invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def entries(desk: care.Desk, visit: str) -> int:
    with desk.transaction() as session:
        return len(queries.entry_rows(session, visit))


@pytest.mark.parametrize(
    ("act", "error", "words"),
    [
        (lambda desk, _: care.new_person(desk, "  "), CannotRead, "label"),
        (lambda desk, _: care.new_person(desk, "x", Person(age=180)), CannotRead, "0 to 120"),
        (lambda desk, _: care.new_person(desk, "x", Person(sex="unlisted")), CannotRead, "female, male, other"),
        (lambda desk, _: care.open_episode(desk, "nobody", Complaint()), NotFound, "no person 'nobody'"),
        (lambda desk, _: care.open_visit(desk, "none"), NotFound, "no episode 'none'"),
        (lambda desk, _: care.view_visit(desk, "none"), NotFound, "no visit 'none'"),
        (lambda desk, _: care.record_finding(desk, "none", TOLD), NotFound, "no visit 'none'"),
        (lambda desk, visit: care.record_finding(desk, visit, replace(TOLD, pain=14)), CannotRead, "0 to 10"),
        (lambda desk, visit: care.record_finding(desk, visit, replace(TOLD, procedure="x")), NotFound, "procedure"),
        (lambda desk, visit: care.record_line(desk, visit, "gh post glide 9"), CannotRead, "9"),
        (lambda desk, visit: care.correct_finding(desk, visit, "none", TOLD), NotFound, "no entry 'none'"),
        (lambda desk, visit: care.undo(desk, visit, "none"), NotFound, "no standing entry 'none'"),
        (lambda desk, visit: care.set_screen(desk, visit, {"a": True, "b": None}), CannotRead, "'a'(.|\n)*'b'"),
        (lambda desk, visit: care.record_treatment(desk, visit, Treatment(" ")), CannotRead, "technique"),
        (lambda desk, visit: care.override_verdict(desk, visit, "a reason in words", "me"), Refused, "nothing urgent"),
        (lambda desk, visit: care.sign_note(desk, visit, " "), Refused, "signed with a name"),
        (lambda desk, visit: care.add_addendum(desk, visit, "words", "me"), Refused, "not signed yet"),
        (lambda desk, _: care.export_person(desk, "nobody"), NotFound, "no person 'nobody'"),
        (lambda desk, _: care.delete_person(desk, "nobody"), NotFound, "no person 'nobody'"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_the_reason_and_nothing_is_kept(
    desk: care.Desk, visit: str, act: Callable[[care.Desk, str], object], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        act(desk, visit)
    assert entries(desk, visit) == 0


def test_every_fault_of_an_imported_case_is_named_at_once(desk: care.Desk) -> None:
    before = len(care.list_people(desk))
    case = Case(findings=(replace(TOLD, pain=14), replace(TOLD, mobility=7)), retests=(replace(TOLD, level="T15"),))
    with pytest.raises(CannotRead) as told:
        care.import_case(desk, case)
    assert len(told.value.faults) == 3
    assert len(care.list_people(desk)) == before


def test_nothing_to_take_back_is_no_act_and_leaves_no_row(desk: care.Desk, visit: str) -> None:
    assert care.undo(desk, visit) is None
    assert not care.redo(desk, visit)
    person = care.view_visit(desk, visit).person_id
    assert "undo" not in {row["act"] for row in care.export_person(desk, person)["access"]}


def test_the_access_rows_hold_no_free_words(desk: care.Desk, visit: str) -> None:
    care.set_screen(desk, visit, {"new_mass": True})
    care.override_verdict(desk, visit, "Seen by the surgeon, a known lipoma.", "A. Therapist")
    care.record_treatment(desk, visit, Treatment("a very private technique"))
    access = care.export_person(desk, care.view_visit(desk, visit).person_id)["access"]
    assert not [row for row in access if "private" in row["detail"] or "lipoma" in row["detail"]]


def test_a_signed_visit_can_be_read_again_from_its_frozen_case(desk: care.Desk) -> None:
    case = read_case((STORIES / "first_visit.txt").read_text(encoding="utf-8"), "first_visit.txt", desk.library)
    visit = care.import_case(desk, case)
    care.sign_note(desk, visit, "A. Therapist")
    signed = care.view_visit(desk, visit).signed
    assert signed is not None
    assert read_case(signed.case_text, "signed.txt", desk.library) == case
    assert (signed.release, signed.signed_at) == (desk.library.release, NOON)
    assert care.visit_note(desk, visit).signed


def test_times_are_kept_in_utc(desk: care.Desk, visit: str) -> None:
    from datetime import timedelta, timezone

    east = replace(desk, clock=lambda: datetime(2026, 1, 5, 14, tzinfo=timezone(timedelta(hours=2))))
    care.record_finding(east, visit, TOLD)
    (entry,) = care.view_visit(desk, visit).entries
    assert entry.recorded_at == NOON
    assert entry.recorded_at.tzinfo is UTC


def test_wishes_are_kept_with_the_visit_and_refused_where_they_cannot_be(desk: care.Desk, visit: str) -> None:
    care.wish_for(desk, visit, "hawkins", "never")
    care.wish_for(desk, visit, "neer", "next")
    care.wish_for(desk, visit, "hawkins", "must")
    assert list(care.view_visit(desk, visit).wishes.items()) == [("neer", "next"), ("hawkins", "must")]
    care.wish_for(desk, visit, "neer", "none")
    assert dict(care.view_visit(desk, visit).wishes) == {"hawkins": "must"}
    with pytest.raises(CannotRead, match="must \\| never"):
        care.wish_for(desk, visit, "neer", "soon")
    with pytest.raises(NotFound, match="procedure"):
        care.wish_for(desk, visit, "no_such", "never")
    care.sign_note(desk, visit, "A. Therapist")
    with pytest.raises(Refused, match="signed"):
        care.wish_for(desk, visit, "neer", "never")


def test_a_note_is_dated_by_the_clock_on_the_wall(desk: care.Desk, visit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("TZ", "XYZ-9")
        time.tzset()
        written = care.visit_note(desk, visit).written_at
    time.tzset()
    assert written == "2026-01-05 21:00 XYZ"


def test_a_hold_withholds_treatment_and_its_override_covers_the_hold_alone(desk: care.Desk) -> None:
    case = Case(Person(40), Complaint(side=Side.RIGHT, story="Hurts between the ribs when breathing in."))
    visit = care.import_case(desk, case)
    with pytest.raises(Refused, match="Ask before hands-on work"):
        care.record_treatment(desk, visit, Treatment("glide"))
    care.override_verdict(desk, visit, "Seen by the doctor this morning, lungs clear.", "A. Therapist")
    care.record_treatment(desk, visit, Treatment("glide"))
    care.set_screen(desk, visit, {"breathless": True})
    with pytest.raises(Refused, match="withheld"):
        care.record_treatment(desk, visit, Treatment("glide again"))
    care.set_screen(desk, visit, {"breathless": None, "neck_head_pain_new": True})
    with pytest.raises(Refused, match="Ask before hands-on work"):
        care.record_treatment(desk, visit, Treatment("glide a third time"))


def test_what_is_found_again_after_a_treatment_is_a_retest_and_its_baseline_stays(desk: care.Desk) -> None:
    text = "age: 50\nside: right\nirritability: low\n\ngh er 0 40 other 60 p3\n"
    visit = care.import_case(desk, read_case(text, "before.txt", desk.library))
    care.record_treatment(desk, visit, Treatment("glide backwards", "grade III"))
    care.record_line(desk, visit, "gh er 0 52 other 60 p2")
    care.record_line(desk, visit, "gh post glide 3")
    case = care.view_visit(desk, visit).assessment.case
    assert [one.procedure for one in case.findings] == ["gh_er_0", "gh_post"]
    assert [(one.procedure, one.value) for one in case.retests] == [("gh_er_0", 52.0)]
    assert case.findings[0].value == 40.0


@pytest.mark.parametrize("form", ["outlook", "review"])
def test_an_answered_form_is_no_treatment_and_what_is_found_after_it_counts(
    desk: care.Desk, visit: str, form: str
) -> None:
    care.record_finding(desk, visit, TOLD)
    if form == "outlook":
        care.record_outlook(desk, visit, {"work": "retired"})
    else:
        care.record_review(desk, visit, "carry_on")
    care.record_finding(desk, visit, replace(TOLD, mobility=6))
    care.keep_and_stand(care.new_finding(desk, visit, "finding", replace(TOLD, mobility=5), care.new_id()))
    assert [one.kind for one in care.view_visit(desk, visit).entries if one.finding] == ["finding"] * 3
    case = care.view_visit(desk, visit).assessment.case
    assert [one.mobility for one in case.findings] == [2, 6, 5]
    assert not case.retests
    care.record_treatment(desk, visit, Treatment("glide"))
    care.record_finding(desk, visit, replace(TOLD, mobility=3))
    case = care.view_visit(desk, visit).assessment.case
    assert [one.mobility for one in case.findings] == [2, 6, 5]
    assert [one.mobility for one in case.retests] == [3]


def test_a_letter_that_goes_by_an_earlier_visit_is_signed_with_one_connection(desk: care.Desk, visit: str) -> None:
    for line in ("gh post glide 1 p3", "gh er 0 40 other 60 p3", "hawkins + p4"):
        care.record_line(desk, visit, line)
    later = care.open_visit(desk, care.episode_of_visit(desk, visit))
    said = care.WriterWords(to="Dr B. Example", told="That.", asked="An opinion.")
    letter = care.sign_document(desk, later, "referral", said, "A. Therapist")
    assert "visit 1" in care.document_file(care.kept_document(desk, letter).document, "txt").decode()


def test_own_hands_are_compiled_once_and_not_at_every_finding(
    desk: care.Desk, visit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = 'name = "Ann"\n\n[[agreement]]\nprocedure = "gh_post"\noutcome = "hypo"\nkappa = 0.1\nsubjects = 9\n'
    with desk.transaction() as session:
        keep_hands(session, "", NOON, told)
    compiled: list[int] = []

    def counted(*given: Any, **named: Any) -> Model:
        compiled.append(1)
        return Model(*given, **named)

    monkeypatch.setattr("endfeel.inference.model.Model", counted)
    for mobility in (2, 1, 0):
        care.record_finding(desk, visit, replace(TOLD, mobility=mobility))
        assert "(Ann)" in " ".join(care.view_visit(desk, visit).assessment.posterior.caveats)
    remove_own_hands(desk)
    assert len(compiled) == 1


def test_what_was_concluded_is_not_concluded_again_before_something_changes(desk: care.Desk, visit: str) -> None:
    first = care.view_visit(desk, visit)
    assert care.view_visit(desk, visit).assessment is first.assessment
    entry = care.record_finding(desk, visit, TOLD)
    after = care.view_visit(desk, visit)
    assert after.assessment is not first.assessment
    assert after.mark != first.mark
    assert after.assessment.case.findings == (TOLD,)
    assert care.view_visit(desk, visit, 45.0).assessment.minutes == 45.0
    care.undo(desk, visit, entry)
    assert care.view_visit(desk, visit).assessment is first.assessment
    care.wish_for(desk, visit, "gh_post", "never")
    assert care.view_visit(desk, visit).assessment is not first.assessment
