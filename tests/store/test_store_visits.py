"""What is recorded stays; what is signed cannot change. On SQLite and on PostgreSQL."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.assessment import read_case, shorthand_of
from endfeel.records import StoreFault, open_engine
from endfeel.records.tables import Table
from endfeel.vocabulary import Case, Complaint, Finding, NotFound, Person, Refused, Side, Treatment
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
    return [entry.finding and entry.finding.procedure for entry in care.view_visit(desk, visit).entries]


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


@pytest.mark.parametrize("table", ["entry", "signed_note", "audit"])
def test_the_database_itself_refuses_to_change_a_row(desk: care.Desk, table: str) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.sign_note(desk, visit, "A. Therapist")
    column = {"entry": "note", "signed_note": "signed_by", "audit": "who"}[table]
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text(f"UPDATE {table} SET {column} = 'x'"))  # noqa: S608


def test_a_signed_note_stays_and_takes_only_an_addendum(desk: care.Desk) -> None:
    visit = new_visit(desk)
    care.record_line(desk, visit, "gh post glide 2")
    care.sign_note(desk, visit, "A. Therapist")
    before = care.visit_note(desk, visit)
    for act in (
        lambda: care.sign_note(desk, visit, "B. Therapist"),
        lambda: care.record_line(desk, visit, "gh inf glide 2"),
        lambda: care.undo(desk, visit),
    ):
        with pytest.raises(Refused):
            act()
    care.add_addendum(desk, visit, "Film arrived, clear.", "A. Therapist")
    signed = care.view_visit(desk, visit).signed
    assert signed is not None
    assert [words for _, _, words in signed.addenda] == ["Film arrived, clear."]
    assert care.visit_note(desk, visit) == before


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
    from endfeel.records import queries

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
            for _ in range(20):
                care.record_finding(desk, visit, told)
        except Exception as error:  # noqa: BLE001
            faults.append(error)

    writers = [threading.Thread(target=write) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert not faults
    assert [entry.sequence for entry in care.view_visit(desk, visit).entries] == list(range(1, 41))


def test_the_migrations_make_exactly_the_tables_of_the_program(store_address: str) -> None:
    engine = open_engine(store_address)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": False})
        assert compare_metadata(context, Table.metadata) == []
    engine.dispose()


WRITER = """
import sys
from endfeel import care
from endfeel.vocabulary import Finding, Side
desk = care.open_desk(sys.argv[1])
print("ready", flush=True)
while True:
    entry = care.record_finding(desk, sys.argv[2], Finding("gh_post", Side.RIGHT, mobility=2))
    print(entry, flush=True)
"""


def test_after_a_kill_every_acknowledged_finding_is_there_once(tmp_path: Path) -> None:
    address = str(tmp_path / "killed.sqlite")
    desk = care.open_desk(address)
    visit = new_visit(desk)
    acknowledged: list[str] = []
    for round_number in range(5):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, address, visit], stdout=subprocess.PIPE, text=True, env=os.environ.copy()
        ) as writer:
            assert writer.stdout is not None
            assert writer.stdout.readline().strip() == "ready"
            time.sleep(0.05 + 0.07 * round_number)
            writer.send_signal(signal.SIGKILL)
            acknowledged += [line.strip() for line in writer.stdout if line.endswith("\n")]
    stored = [entry.id for entry in care.view_visit(desk, visit).entries]
    desk.engine.dispose()
    assert acknowledged
    assert len(stored) == len(set(stored))
    assert set(acknowledged) <= set(stored)


def test_a_place_that_cannot_hold_records_is_said_calmly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(StoreFault, match="cannot open the records"):
        open_engine(str(tmp_path / "file" / "records.sqlite"))
    broken = tmp_path / "broken.sqlite"
    broken.write_bytes(b"this is no database at all, only words " * 200)
    with pytest.raises(StoreFault, match="cannot open the records"):
        open_engine(str(broken))
