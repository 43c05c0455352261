"""Bringing a store to the newest schema, all the way or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine

MIGRATIONS = Path(__file__).parent / "migrations"
_ONE_AT_A_TIME = 7_306_115
"""Any number of our own: whoever holds this PostgreSQL lock migrates, the others wait and find it done."""


class NewerSchema(Exception):  # noqa: N818 - says what was found
    """The store was written by a newer program."""


def migrate(engine: Engine, revision: str = "head") -> None:
    """Bring the schema to `revision` in one transaction. Raises NewerSchema for a store from the future."""
    config = _config()
    with engine.connect() as connection, _foreign_keys_checked_at_the_end(connection), connection.begin():
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_ONE_AT_A_TIME})")
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, revision)
        except CommandError as error:
            if "Can't locate revision" not in str(error):
                raise
            raise NewerSchema(str(error)) from error
        _check_foreign_keys(connection)


def schema_of(engine: Engine) -> str | None:
    """The revision a store is at. Raises what the database raises when it does not answer."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


@cache
def newest_schema() -> str | None:
    """The revision this program needs."""
    return ScriptDirectory.from_config(_config()).get_current_head()


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    return config


@contextmanager
def _foreign_keys_checked_at_the_end(connection: Connection) -> Iterator[None]:
    """SQLite changes a table by copying it: with foreign keys on, dropping the old copy would take its rows' children
    along. They are off while the schema changes and checked before it is kept."""
    raw = connection.connection.dbapi_connection
    if connection.dialect.name != "sqlite" or raw is None:
        yield
        return
    raw.execute("PRAGMA foreign_keys=OFF")
    try:
        yield
    finally:
        raw.execute("PRAGMA foreign_keys=ON")


def _check_foreign_keys(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if broken:
            raise RuntimeError(f"a migration would leave {len(broken)} rows without what they refer to: {broken[:5]}")
