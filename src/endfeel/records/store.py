"""Opening a store: SQLite by default, PostgreSQL by address; migrated to the newest schema on opening."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine, create_engine, event
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm import Session

from endfeel.vocabulary import EndfeelError

MIGRATIONS = Path(__file__).parent / "migrations"
BUSY_SECONDS = 15


class StoreFault(EndfeelError):  # noqa: N818 - named like the other faults
    """The store cannot be opened, read or written; nothing half-done was kept."""


def default_path() -> Path:
    """Where records lie unless told otherwise: ENDFEEL_STORE, else the person's data folder."""
    named = os.environ.get("ENDFEEL_STORE")
    if named:
        return Path(named)
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "endfeel" / "records.sqlite"


def open_engine(address: str | None = None) -> Engine:
    """An engine at the newest schema. `address` is a database address or a path of an SQLite file.

    Raises StoreFault when the place cannot be opened or written.
    """
    address = address or str(default_path())
    try:
        engine = _postgresql(address) if "://" in address and not address.startswith("sqlite") else _sqlite(address)
        migrate(engine)
    except (DBAPIError, OSError) as error:
        cause = getattr(error, "orig", None) or error
        raise StoreFault(f"cannot open the records at {_shown(address)}: {cause}") from error
    return engine


def _shown(address: str) -> str:
    """The address without a password."""
    head, at, tail = address.rpartition("@")
    return f"{head.split('://')[0]}://…@{tail}" if at else address


def _sqlite(address: str) -> Engine:
    path = address.removeprefix("sqlite:///")
    if path != ":memory:":
        Path(path).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": BUSY_SECONDS})

    @event.listens_for(engine, "connect")
    def _connect(connection: Any, _: Any) -> None:
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute("PRAGMA journal_mode=WAL")
        cursor.execute("PRAGMA synchronous=FULL")
        cursor.execute("PRAGMA foreign_keys=ON")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine


def _postgresql(address: str) -> Engine:
    if address.startswith("postgresql://"):
        address = address.replace("postgresql://", "postgresql+psycopg://", 1)
    return create_engine(address, pool_pre_ping=True)


def migrate(engine: Engine) -> None:
    """Bring the schema to the newest revision."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


@contextmanager
def transaction(engine: Engine) -> Iterator[Session]:
    """One transaction: all of it is kept, or nothing. Raises StoreFault when the database fails."""
    try:
        with Session(engine, expire_on_commit=False) as session, session.begin():
            yield session
    except OperationalError as error:
        raise StoreFault(
            f"the records could not be written or read: {error.orig}; nothing half-done was kept"
        ) from error
