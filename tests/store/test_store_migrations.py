"""An empty place becomes a store; a kept file of every earlier schema moves up with all its rows."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Engine, create_engine, inspect, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.schema import CheckConstraint

from endfeel import care
from endfeel.records import StoreFault, open_engine
from endfeel.records.audit import verify
from endfeel.records.migrate import MIGRATIONS
from endfeel.records.store import reading
from endfeel.records.tables import Table

SCHEMAS = Path(__file__).parent / "schemas"
OLD = sorted({path.name.partition(".")[0] for path in SCHEMAS.iterdir()})
TABLES = sorted(Table.metadata.tables)


def restore(bare_address: str, revision: str) -> None:
    """Put a kept file where the store will be opened."""
    if bare_address.startswith("postgresql"):
        kept = (SCHEMAS / f"{revision}.postgresql.sql").read_text(encoding="utf-8")
        engine = raw(bare_address)
        with engine.begin() as server:
            server.connection.cursor().execute(kept)
        engine.dispose()
        return
    with sqlite3.connect(bare_address) as connection:
        connection.executescript((SCHEMAS / f"{revision}.sqlite.sql").read_text(encoding="utf-8"))
    connection.close()


def raw(bare_address: str) -> Engine:
    """An engine that migrates nothing and knows no triggers of ours."""
    if bare_address.startswith("postgresql"):
        return create_engine(bare_address.replace("postgresql", "postgresql+psycopg", 1))
    return create_engine(f"sqlite:///{bare_address}")


def columns(engine: Engine) -> dict[str, str]:
    """The columns of every table of ours that is there, as a query names them."""
    told = inspect(engine)
    return {
        table: ", ".join(f'"{one["name"]}"' for one in told.get_columns(table))
        for table in TABLES
        if told.has_table(table)
    }


def rows(engine: Engine, wanted: dict[str, str]) -> dict[str, list[tuple[Any, ...]]]:
    """What stands in these columns of these tables."""
    with engine.connect() as connection:
        return {
            table: sorted((tuple(row) for row in connection.execute(text(f"SELECT {names} FROM {table}"))), key=repr)  # noqa: S608
            for table, names in wanted.items()
        }


def shape(engine: Engine) -> dict[str, Any]:
    """Columns, keys, conditions, indexes and triggers, as the database itself tells them."""
    told = inspect(engine)
    shapes: dict[str, Any] = {}
    for table in TABLES:
        shapes[table] = {
            "columns": [(c["name"], str(c["type"]), c["nullable"]) for c in told.get_columns(table)],
            "primary": told.get_pk_constraint(table)["name"],
            "foreign": sorted(
                (k["name"], k["referred_table"], k["options"].get("ondelete")) for k in told.get_foreign_keys(table)
            ),
            "unique": sorted((u["name"], u["column_names"]) for u in told.get_unique_constraints(table)),
            "checks": checks(engine, table),
            "indexes": sorted(i["name"] or "" for i in told.get_indexes(table)),
        }
    listing = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if engine.dialect.name == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    with engine.connect() as connection:
        shapes["triggers"] = sorted(row[0] for row in connection.execute(text(listing)))
    return shapes


def checks(engine: Engine, table: str) -> dict[str, tuple[list[str], list[str]]]:
    """Name of each condition with the words and numbers it holds; databases spell the rest differently."""
    return {str(c["name"]): letters(c["sqltext"]) for c in inspect(engine).get_check_constraints(table)}


def letters(condition: str) -> tuple[list[str], list[str]]:
    return sorted(re.findall(r"'([^']+)'", condition)), sorted(re.findall(r"\b\d+\b", condition))


def test_the_migrations_make_exactly_the_tables_of_the_program(bare_address: str) -> None:
    engine = open_engine(bare_address)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Table.metadata) == []
    for table in Table.metadata.tables.values():
        meant = {str(c.name): letters(str(c.sqltext)) for c in table.constraints if isinstance(c, CheckConstraint)}
        assert checks(engine, table.name) == meant, table.name
    engine.dispose()


def test_a_file_of_every_earlier_schema_is_kept_for_both_databases() -> None:
    schemas = sorted(path.name.partition("_")[0] for path in (MIGRATIONS / "versions").glob("[0-9]*.py"))
    kept = {path.name for path in SCHEMAS.iterdir()}
    assert kept == {f"{one}.{kind}.sql" for one in schemas[:-1] for kind in ("sqlite", "postgresql")}


@pytest.mark.parametrize("revision", OLD)
def test_a_kept_file_of_an_earlier_schema_moves_up_with_every_row(
    bare_address: str, revision: str, tmp_path: Path
) -> None:
    restore(bare_address, revision)
    old = raw(bare_address)
    had = columns(old)
    before = rows(old, had)
    assert len(before["entry"]) > 20
    assert before["signed_note"]
    old.dispose()
    desk = care.open_desk(bare_address)
    assert rows(desk.engine, had) == before
    with reading(desk.engine) as session:
        found = verify(session)
    assert found.is_sound, found.faults
    assert found.rows == len(before["audit"])
    fresh_address = str(tmp_path / "fresh.sqlite")
    if desk.engine.dialect.name == "sqlite":
        fresh = open_engine(fresh_address)
        assert shape(desk.engine) == shape(fresh)
        with desk.engine.connect() as connection:
            assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        fresh.dispose()
    shown = [care.view_visit(desk, visit.id) for person in care.list_people(desk) for visit in person.visits]
    assert sorted(view.signed.signed_by if view.signed else "" for view in shown) == ["", "A. Therapist"]
    open_visit = next(view.visit_id for view in shown if not view.signed)
    care.record_line(desk, open_visit, "gh post glide right 2")
    with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
        connection.execute(text("UPDATE entry SET note = 'x'"))
    desk.engine.dispose()


def test_a_migration_that_fails_leaves_the_old_store_whole(bare_address: str) -> None:
    restore(bare_address, "0001")
    old = raw(bare_address)
    with old.begin() as connection:
        connection.execute(text("UPDATE person SET sex = 'unlisted'"))
    had = columns(old)
    before, told = rows(old, had), sorted(inspect(old).get_table_names())
    old.dispose()
    with pytest.raises(StoreFault, match="cannot open the records"):
        open_engine(bare_address)
    again = raw(bare_address)
    assert rows(again, had) == before
    assert sorted(inspect(again).get_table_names()) == told
    with again.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar() == "0001"
    again.dispose()


def test_a_store_of_a_newer_program_is_left_alone(bare_address: str) -> None:
    engine = open_engine(bare_address)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(StoreFault, match="newer than this program"):
        open_engine(bare_address)


def test_several_programs_may_open_an_empty_store_at_once(bare_address: str) -> None:
    opening = "import sys; from endfeel.records import open_engine; sys.stdin.readline(); open_engine(sys.argv[1])"
    openers = [
        subprocess.Popen(
            [sys.executable, "-c", opening, bare_address],
            stdin=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(3)
    ]
    for opener in openers:
        assert opener.stdin is not None
        opener.stdin.write("now\n")
        opener.stdin.flush()
    told = [opener.communicate(timeout=120)[1] for opener in openers]
    assert [opener.returncode for opener in openers] == [0, 0, 0], told
