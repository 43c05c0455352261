"""A store on a server is backed up as a file of this program, drilled and brought back; a copy is kept before a schema
changes, and with it the program before can go on."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from bench.server import PrivateServer
from sqlalchemy import Engine, select
from sqlalchemy.exc import DBAPIError
from test_store_migrations import OLD, SCHEMAS, restore

from endfeel import care
from endfeel.care import custody
from endfeel.records import StoreFault, backups, open_engine
from endfeel.records.encryption import FromEnvironment, is_encrypted
from endfeel.records.tables import Table
from endfeel.vocabulary import Position

NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)
WORDS = "four plain words suffice"


@pytest.fixture
def on_server(server: PrivateServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A store on a server that came from an earlier schema, with everything in it."""
    monkeypatch.setenv("ENDFEEL_BACKUPS", "2")
    monkeypatch.setenv("ENDFEEL_BACKUP_FOLDER", str(tmp_path / "backups"))
    monkeypatch.delenv("ENDFEEL_UNENCRYPTED")
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", WORDS)
    address = server.new_store()
    restore(address, OLD[-1])
    return address


def everything(engine: Engine) -> dict[str, list[str]]:
    """Every row of every table."""
    with engine.connect() as connection:
        return {
            name: sorted(str(sorted(row.items())) for row in connection.execute(select(table)).mappings())
            for name, table in Table.metadata.tables.items()
        }


@pytest.mark.xdist_group("postgresql")
def test_a_store_on_a_server_is_backed_up_as_a_file_and_comes_back(
    on_server: str, server: PrivateServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = open_engine(on_server)
    before = everything(engine)
    assert before["signed_note"]
    assert custody.back_up_when_due(engine, NOON) is not None
    assert custody.back_up_when_due(engine, NOON + timedelta(hours=1)) is None
    (made,) = backups.backups_of(backups.plan_for(engine))  # type: ignore[arg-type]
    assert is_encrypted(made.path)
    assert made.path.stat().st_mode & 0o077 == 0
    assert custody.verify_audit(engine, "tester").witnesses == 1
    drill = custody.restore_drill(engine, "tester")
    assert drill.check.is_sound
    assert drill.now.is_sound

    empty = server.new_store()
    assert custody.restore_backup(made.path, empty, FromEnvironment()).is_sound
    with pytest.raises(StoreFault, match="records already"):
        custody.restore_backup(made.path, empty, FromEnvironment())
    desk = care.open_desk(empty)
    after = everything(desk.engine)
    for name in set(before) - {"audit", "audit_head"}:
        assert after[name] == before[name], name
    assert set(before["audit"]) <= set(after["audit"])
    shown = [care.view_visit(desk, visit.id) for person in care.list_people(desk) for visit in person.visits]
    going_on = next(view.visit_id for view in shown if not view.signed)
    care.record_line(desk, going_on, "gh post glide right 2")
    care.turn_person(desk, going_on, Position.SUPINE)
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE entry SET note = 'x'")
    desk.engine.dispose()

    monkeypatch.delenv("ENDFEEL_PASSPHRASE")
    with pytest.raises(StoreFault, match="ENDFEEL_PASSPHRASE_FILE"):
        custody.back_up(engine, "tester")
    assert [one.name for one in made.path.parent.iterdir() if one.suffix == ".part"] == []
    monkeypatch.delenv("ENDFEEL_BACKUP_FOLDER")
    assert custody.back_up_when_due(engine, NOON + timedelta(days=2)) is None
    engine.dispose()


@pytest.mark.xdist_group("postgresql")
def test_of_several_workers_one_makes_the_backup(on_server: str) -> None:
    one, other = open_engine(on_server), open_engine(on_server)
    with other.connect() as held, held.begin():
        held.exec_driver_sql(f"SELECT pg_advisory_xact_lock({custody._ONE_AT_A_TIME})")
        assert custody.back_up_when_due(one, NOON) is None
    assert custody.back_up_when_due(one, NOON) is not None
    one.dispose()
    other.dispose()


def test_a_file_is_kept_as_it_was_before_its_schema_changes_and_the_way_back_is_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ENDFEEL_BACKUPS", "2")
    path, before = tmp_path / "records.sqlite", OLD[-1]
    restore(str(path), before)
    earlier = "\n".join(sqlite3.connect(path).iterdump())
    open_engine(str(path)).dispose()
    kept = tmp_path / "backups" / f"records-schema-{before}.sqlite"
    assert "\n".join(sqlite3.connect(kept).iterdump()) == earlier, "the program before finds what it left"
    assert earlier == "\n".join(_loaded(before).iterdump())
    assert kept.stat().st_mode & 0o077 == 0
    engine = open_engine(str(path))
    assert list(kept.parent.iterdir()) == [kept], "opening it again changes no schema and copies nothing"
    for day in range(3):
        custody.back_up(engine, "tester", NOON + timedelta(days=day))
    assert not kept.exists(), "it goes when every backup that stays is younger"
    engine.dispose()


def _loaded(revision: str) -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:")
    connection.executescript((SCHEMAS / f"{revision}.sqlite.sql").read_text(encoding="utf-8"))
    return connection


def test_a_schema_does_not_change_when_no_copy_can_be_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ENDFEEL_BACKUPS", "2")
    restore(str(tmp_path / "records.sqlite"), OLD[-1])
    (tmp_path / "backups").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(StoreFault, match="no copy could be made"):
        open_engine(str(tmp_path / "records.sqlite"))
    with sqlite3.connect(tmp_path / "records.sqlite") as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (OLD[-1],)
    connection.close()
