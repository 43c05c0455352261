"""A person's rights: who looked, what was agreed to, how long the record is kept, its erasure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.care import retention, rights
from endfeel.evidence.library import Library
from endfeel.records import transaction
from endfeel.records.audit import verify
from endfeel.records.rights import RecordAge
from endfeel.records.store import reading
from endfeel.vocabulary import CannotRead, Complaint, NotFound, Person, Refused, Side

BY = "A. Therapist"
LETTERS = ("signed_document", "document_addendum")
SAID = care.WriterWords(to="Dr B. Example", told="That you will write back.", asked="An opinion.")
TOLD = datetime(2026, 11, 26, 12, tzinfo=UTC)


def new_visit(desk: care.Desk, age: int | None = 40, label: str = "invented") -> tuple[str, str]:
    person = care.new_person(desk, label, Person(age, "female", Side.RIGHT), invented=True)
    return person, care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def later(desk: care.Desk, years: float) -> care.Desk:
    clock: Callable[[], datetime] = lambda: datetime.now(UTC) + timedelta(days=365.25 * years + 2)  # noqa: E731
    return replace(desk, clock=clock)


# ---- who looked ----------------------------------------------------------------------------------------------------


def test_every_look_and_change_stands_in_the_persons_report_and_no_one_elses(desk: care.Desk) -> None:
    person, visit = new_visit(desk)
    other, _ = new_visit(desk, label="somebody else")
    care.record_line(desk, visit, "gh post glide 2")
    care.view_visit(desk, visit)
    care.name_person(desk, person)
    care.list_people(desk)
    report = rights.access_report(desk, person)
    acts = [row.act for row in report.rows]
    assert acts == ["new person", "open episode", "open visit", "record finding", "view visit", "view name",
                    "view access report"]  # fmt: skip
    assert {row.who for row in report.rows} == {"therapist"}
    assert report.rows[-1].why == "right of access"
    assert report.lists == (("therapist", "list people", 1),)
    assert other not in {row.person_id for row in report.rows}
    with pytest.raises(NotFound):
        rights.access_report(desk, "nobody")


# ---- consent -------------------------------------------------------------------------------------------------------


def test_what_was_never_asked_is_no_and_the_latest_word_counts(desk: care.Desk) -> None:
    person, _ = new_visit(desk)
    assert not any(rights.agrees(desk, person, purpose) for purpose in ("care", "teaching", "shared_counts"))
    rights.record_consent(desk, person, "teaching", True, "form of today", BY)
    assert rights.agrees(desk, person, "teaching")
    assert not rights.agrees(desk, person, "shared_counts")
    assert rights.who_agrees(desk, "teaching") == (person,)
    rights.record_consent(desk, person, "teaching", False, "said so at the door", BY)
    assert not rights.agrees(desk, person, "teaching")
    assert rights.who_agrees(desk, "teaching") == ()
    rows = care.export_person(desk, person)["rows"]["consent"]
    assert [(row["given"], row["words"]) for row in rows] == [(True, "form of today"), (False, "said so at the door")]
    assert [row["by"] for row in rows] == [BY, BY]


def test_consent_needs_a_purpose_how_and_who(desk: care.Desk) -> None:
    person, _ = new_visit(desk)
    for purpose, words, by in (("research", "form", BY), ("care", " ", BY), ("care", "form", "")):
        with pytest.raises(CannotRead):
            rights.record_consent(desk, person, purpose, True, words, by)
    with pytest.raises(NotFound):
        rights.record_consent(desk, "nobody", "care", True, "form", BY)


@pytest.mark.parametrize("wrong", ["UPDATE consent SET given = true", "DELETE FROM consent"])
def test_what_was_agreed_is_not_changed_by_hand(desk: care.Desk, wrong: str) -> None:
    person, _ = new_visit(desk)
    rights.record_consent(desk, person, "teaching", False, "form", BY)
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text(wrong))


# ---- how long ------------------------------------------------------------------------------------------------------


def aged(age: int | None, told_at: datetime = TOLD, last_at: datetime = TOLD) -> RecordAge:
    return RecordAge("p", "invented", age, told_at, last_at, signed=True, has_care=True)


def test_the_rules_reckon_as_their_sources_say(library: Library) -> None:
    known = retention.rules(library)
    assert all(one.source and one.provenance in ("read", "memory", "practice") for one in known.values())
    england, germany, california = known["england"], known["germany"], known["california"]
    until = {name: retention.due(aged(40), known[name]).kept_until for name in known}
    assert {name: moment and moment.year for name, moment in until.items()} == {
        "england": 2034, "scotland": 2032, "germany": 2036, "california": 2033,
    }  # fmt: skip
    assert retention.due(aged(10), germany).kept_until == until["germany"]
    child = retention.due(aged(10), england).kept_until
    assert child is not None
    assert child.year == 2026 + 16, "until the age of 26"
    teenager = retention.due(aged(17), california).kept_until
    assert teenager == until["california"], "never less than seven years"
    assert retention.due(aged(10), known["scotland"]).kept_until is None, "the source says nothing about minors"
    assert retention.due(aged(None), england).kept_until is None
    assert retention.due(aged(10), None).kept_until is None
    leap = datetime(2024, 2, 29, tzinfo=UTC)
    assert retention.due(aged(40, leap, leap), known["scotland"]).kept_until == datetime(2030, 3, 1, tzinfo=UTC)


def test_a_rule_is_chosen_by_id_or_by_a_file_of_ones_own(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(retention.CHOSEN, raising=False)
    assert retention.chosen_rule(library) is None
    monkeypatch.setenv(retention.CHOSEN, "germany")
    rule = retention.chosen_rule(library)
    assert rule is not None
    assert rule.years == 10
    own = tmp_path / "our-canton.toml"
    own.write_text('place = "here"\nyears_after_last = 20\nminors = "same"\nsource = "section 1 of our law"\n')
    monkeypatch.setenv(retention.CHOSEN, str(own))
    rule = retention.chosen_rule(library)
    assert rule is not None
    assert (rule.years, rule.provenance, rule.source) == (20, "own rule", "section 1 of our law")
    own.write_text('place = "here"\nyears_after_last = 20\nminors = "same"\nsource = ""\n')
    for told in (str(own), str(tmp_path / "none.toml"), "atlantis"):
        monkeypatch.setenv(retention.CHOSEN, told)
        with pytest.raises(CannotRead):
            retention.chosen_rule(library)


# ---- erasure -------------------------------------------------------------------------------------------------------


def test_a_signed_record_stays_until_its_time_is_over_then_goes_with_everything(
    desk: care.Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    person, visit = new_visit(desk, label="a label only here")
    other, kept = new_visit(desk)
    for one in (visit, kept):
        care.record_line(desk, one, "gh post glide 2")
        care.sign_note(desk, one, BY)
        care.add_addendum(desk, one, "Letter sent.", BY)
        letter = care.sign_document(desk, one, "referral", SAID, BY)
        care.add_to_document(desk, letter, "Sent by post.", BY)
    rights.record_consent(desk, person, "care", True, "form", BY)
    monkeypatch.delenv(retention.CHOSEN, raising=False)
    with pytest.raises(Refused, match="law of the place decides"):
        rights.erase_person(later(desk, 50), person, "asked for it")
    monkeypatch.setenv(retention.CHOSEN, "germany")
    for years in (0, 9.9):
        with pytest.raises(Refused, match="must be kept until"):
            rights.erase_person(later(desk, years), person, "asked for it")
    assert care.view_visit(desk, visit).signed
    with pytest.raises(CannotRead):
        rights.erase_person(later(desk, 11), person, " ")
    rights.erase_person(later(desk, 11), person, "its time is over")
    with pytest.raises(NotFound):
        care.view_visit(desk, visit)
    assert care.view_visit(desk, kept).signed
    with desk.engine.connect() as connection:
        for table in ("person", "episode", "visit", "entry", "signed_note", "addendum", *LETTERS):
            assert connection.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 1, table  # noqa: S608
        for table in ("consent", "purge"):
            assert connection.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 0, table  # noqa: S608
    report = rights.access_report(desk, person)
    assert report.label == ""
    assert [(row.act, row.why) for row in report.rows][-2] == ("erase person", "its time is over")
    with reading(desk.engine) as session:
        assert verify(session).is_sound
    assert other


def test_nothing_of_an_erased_label_stays_in_the_files(tmp_path: Path) -> None:
    desk = care.open_desk(str(tmp_path / "records.sqlite"))
    person, visit = new_visit(desk, label="Quintessa Unmistakable")
    care.record_line(desk, visit, "gh post glide 2")
    assert b"Unmistakable" in b"".join(one.read_bytes() for one in tmp_path.iterdir())
    rights.erase_person(desk, person, "opened by mistake")
    assert b"Unmistakable" not in b"".join(one.read_bytes() for one in tmp_path.iterdir())
    desk.engine.dispose()


def test_the_database_itself_keeps_a_signed_note_whose_time_is_not_over(desk: care.Desk) -> None:
    person, visit = new_visit(desk)
    care.sign_note(desk, visit, BY)
    care.add_addendum(desk, visit, "Letter sent.", BY)
    care.add_to_document(desk, care.sign_document(desk, visit, "referral", SAID, BY), "Sent by post.", BY)
    rows = {
        "without a rule": "('{p}', '2026-11-26 12:00:00', NULL, NULL)",
        "before the day": "('{p}', '2026-11-26 12:00:00', 'r', '2026-11-26 12:00:01')",
        "without a day": "('{p}', '2026-11-26 12:00:00', 'r', NULL)",
    }
    for values in rows.values():
        row = f"INSERT INTO purge (person_id, at, rule, kept_until) VALUES {values.format(p=person)}"  # noqa: S608
        with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
            connection.execute(text(row))
    for table in ("signed_note", "addendum", *LETTERS):
        with transaction(desk.engine) as session:
            assert session.execute(text(f"SELECT count(*) FROM {table}")).scalar() == 1  # noqa: S608
        with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
            connection.execute(text(f"DELETE FROM {table}"))  # noqa: S608


def test_the_calendar_tells_who_is_due_first(desk: care.Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    adult, _ = new_visit(desk, 40, "adult")
    child, _ = new_visit(desk, 10, "child")
    monkeypatch.setenv(retention.CHOSEN, "england")
    found = rights.retention_calendar(desk)
    assert [one.person_id for one in found] == [adult, child]
    assert not any(one.is_over(datetime.now(UTC)) for one in found)
    assert found[0].is_over(datetime.now(UTC) + timedelta(days=366 * 9))
    monkeypatch.delenv(retention.CHOSEN)
    assert all(one.kept_until is None for one in rights.retention_calendar(desk))


def test_a_person_is_found_by_label_or_id(desk: care.Desk) -> None:
    person, _ = new_visit(desk, label="One of a kind")
    assert care.find_person(desk, "one of a kind") == care.find_person(desk, person) == person
    with pytest.raises(NotFound):
        care.find_person(desk, "nobody")
    new_visit(desk, label="ONE of a kind")
    with pytest.raises(Refused, match="several"):
        care.find_person(desk, "One of a kind")
