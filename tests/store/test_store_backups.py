"""Backups are whole, encrypted alike and proven; half of one or a corrupt page is said, and nothing is lost."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, text

from endfeel.care import custody
from endfeel.records import StoreFault, backups, open_engine, transaction
from endfeel.records.audit import audit, verify
from endfeel.records.backups import BackupPlan, backups_of, check_file, is_due, make_backup, restore, witnesses_of
from endfeel.records.encryption import is_encrypted
from endfeel.records.store import key_of, reading
from endfeel.vocabulary import NotFound

NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)
WORDS = "four plain words suffice"
PAGE = 4096


@pytest.fixture(params=["plain", "encrypted"])
def engine(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Engine]:
    monkeypatch.setenv("ENDFEEL_BACKUPS", "3")
    if request.param == "encrypted":
        monkeypatch.delenv("ENDFEEL_UNENCRYPTED")
        monkeypatch.setenv("ENDFEEL_PASSPHRASE", WORDS)
    opened = open_engine(str(tmp_path / "records.sqlite"))
    write(opened, 5)
    yield opened
    opened.dispose()


@pytest.fixture
def plan(tmp_path: Path) -> BackupPlan:
    return BackupPlan(tmp_path / "backups", 3)


def write(engine: Engine, times: int) -> None:
    for _ in range(times):
        with transaction(engine) as session:
            audit(session, NOON, "A. Therapist", "view visit", None, detail="x" * 2000)


def rows(engine: Engine) -> int:
    with reading(engine) as session:
        found = verify(session)
    assert found.is_sound
    return found.rows


def test_a_backup_is_whole_encrypted_alike_and_restores(engine: Engine, plan: BackupPlan, tmp_path: Path) -> None:
    made = make_backup(engine, plan, NOON)
    assert is_encrypted(made.path) == (key_of(engine) is not None)
    assert [one.name for one in plan.folder.iterdir() if one.suffix == ".part"] == []
    assert made.path.stat().st_mode & 0o077 == 0
    write(engine, 2)
    again = restore(made.path, tmp_path / "elsewhere" / "r.sqlite", WORDS)
    assert (rows(again), rows(engine)) == (5, 7)
    write(again, 1)
    again.dispose()
    with pytest.raises(StoreFault, match="already"):
        restore(made.path, tmp_path / "elsewhere" / "r.sqlite", WORDS)


def test_the_oldest_go_and_a_clock_set_back_takes_no_good_one(engine: Engine, plan: BackupPlan) -> None:
    for hours in (0, 24, -48, -24):
        make_backup(engine, plan, NOON + timedelta(hours=hours))
    assert [one.number for one in backups_of(plan)] == [2, 3, 4]
    assert [one.place for one in witnesses_of(plan)] == [5, 5, 5, 5]


def test_two_stores_may_share_a_folder(engine: Engine, plan: BackupPlan) -> None:
    other = BackupPlan(plan.folder, 1, "other")
    for _ in range(2):
        make_backup(engine, plan, NOON)
        make_backup(engine, other, NOON)
    assert [one.number for one in backups_of(plan)] == [1, 2]
    assert [one.number for one in backups_of(other)] == [2]


def test_a_backup_is_due_after_a_day_or_when_the_clock_was_set_back(engine: Engine, plan: BackupPlan) -> None:
    assert is_due(plan, NOON)
    make_backup(engine, plan, NOON)
    assert not is_due(plan, NOON + timedelta(hours=23))
    assert is_due(plan, NOON + timedelta(hours=24))
    assert is_due(plan, NOON - timedelta(hours=1))


def test_writers_go_on_while_a_backup_is_made_and_it_is_one_state(engine: Engine, plan: BackupPlan) -> None:
    stop, faults = threading.Event(), []

    def go_on() -> None:
        try:
            while not stop.is_set():
                write(engine, 1)
        except Exception as error:  # noqa: BLE001
            faults.append(error)

    writer = threading.Thread(target=go_on)
    writer.start()
    try:
        made = [make_backup(engine, plan, NOON + timedelta(minutes=n)) for n in range(3)]
    finally:
        stop.set()
        writer.join()
    assert not faults
    found = [check_file(one.path, key_of(engine)) for one in made]
    assert all(one.is_sound for one in found)
    assert rows(engine) > found[-1].chain.rows >= found[0].chain.rows >= 5


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 0.97])
def test_half_a_backup_is_said_and_never_restored(
    engine: Engine, plan: BackupPlan, tmp_path: Path, share: float
) -> None:
    whole = make_backup(engine, plan, NOON).path
    half = tmp_path / "half.sqlite"
    half.write_bytes(whole.read_bytes()[: int(share * whole.stat().st_size)])
    with pytest.raises(StoreFault, match=r"damaged|not that of this file|cannot be restored|empty"):
        backups.drill(half, key_of(engine))
    with pytest.raises(StoreFault):
        restore(half, tmp_path / "r.sqlite", key_of(engine))
    assert not (tmp_path / "r.sqlite").exists()


def test_a_corrupt_page_is_found_by_the_drill_and_by_the_check(
    engine: Engine, plan: BackupPlan, tmp_path: Path
) -> None:
    write(engine, 40)
    made = make_backup(engine, plan, NOON).path
    raw = bytearray(made.read_bytes())
    with engine.connect() as connection:
        page = connection.execute(text("SELECT rootpage FROM sqlite_master WHERE name = 'audit'")).scalar()
    assert isinstance(page, int)
    raw[(page - 1) * PAGE + 8 : page * PAGE - 100] = os.urandom(PAGE - 108)
    made.write_bytes(raw)
    with pytest.raises(StoreFault, match=r"damaged|not that of this file"):
        backups.drill(made, key_of(engine))


def test_a_corrupt_page_of_the_store_in_use_is_said_calmly(engine: Engine, tmp_path: Path) -> None:
    write(engine, 40)
    with engine.connect() as connection:
        page = connection.execute(text("SELECT rootpage FROM sqlite_master WHERE name = 'audit'")).scalar()
    assert isinstance(page, int)
    engine.dispose()
    path = tmp_path / "records.sqlite"
    raw = bytearray(path.read_bytes())
    raw[(page - 1) * PAGE : page * PAGE] = b"\xff" * PAGE
    path.write_bytes(raw)
    with pytest.raises(StoreFault, match="damaged"):
        write(engine, 1)


def test_a_backup_that_cannot_be_read_back_does_not_count(
    engine: Engine, plan: BackupPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = make_backup(engine, plan, NOON)
    with engine.begin() as connection:
        for name in ("audit_no_delete", "audit_head_onwards"):
            connection.execute(text(f"DROP TRIGGER {name}"))
        connection.execute(text("DELETE FROM audit WHERE place = 3"))
    with pytest.raises(StoreFault, match="could not be read back: row 3 is missing"):
        make_backup(engine, plan, NOON + timedelta(days=1))
    assert [one.path for one in backups_of(plan)] == [first.path]
    assert [one.name for one in plan.folder.iterdir() if "part" in one.name] == []


def test_no_room_for_a_backup_is_said_and_the_earlier_ones_stand(
    engine: Engine, plan: BackupPlan, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    first = make_backup(engine, plan, NOON)
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(StoreFault, match="no backup could be made"):
        make_backup(engine, BackupPlan(tmp_path / "file" / "backups"), NOON)
    assert check_file(first.path, key_of(engine)).is_sound


def test_the_drill_says_what_it_restored_and_leaves_no_scratch(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(NotFound, match="no backup yet"):
        custody.restore_drill(engine, "tester")
    assert custody.back_up_when_due(engine, NOON) is not None
    assert custody.back_up_when_due(engine, NOON + timedelta(hours=1)) is None
    write(engine, 2)
    drill = custody.restore_drill(engine, "tester")
    assert drill.check.is_sound
    assert drill.now.is_sound
    assert drill.now.counts["audit rows"] > drill.check.counts["audit rows"] == 6


def test_the_audit_is_held_against_the_ends_written_with_each_backup(engine: Engine) -> None:
    custody.back_up(engine, "tester")
    assert custody.verify_audit(engine, "tester").witnesses == 1
    with engine.begin() as connection:
        for name in connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars().all():
            if name.startswith("audit"):
                connection.execute(text(f"DROP TRIGGER {name}"))
        connection.execute(text("DELETE FROM audit WHERE place > 3"))
        connection.execute(text("UPDATE audit_head SET place = 3, hash = (SELECT hash FROM audit WHERE place = 3)"))
    found = custody.verify_audit(engine, "tester")
    assert not found.is_sound
    assert "written down earlier" in found.faults[-1]
