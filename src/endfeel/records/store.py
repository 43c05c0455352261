"""Opening a store: SQLite by default, PostgreSQL by address; brought to the newest schema on opening."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DataError, DBAPIError, IntegrityError, ProgrammingError
from sqlalchemy.orm import Session

from endfeel.records.migrate import NewerSchema, migrate
from endfeel.vocabulary import CannotRead, EndfeelError, Fault

BUSY_SECONDS = 15
_A_BUG = (IntegrityError, ProgrammingError)
"""What these say is never the fault of the place the records lie in."""


class StoreFault(EndfeelError):  # noqa: N818 - named like the other faults
    """The store cannot be opened, read or written; nothing half-done was kept."""


def default_path() -> Path:
    """Where records lie unless told otherwise: the person's data folder."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "endfeel" / "records.sqlite"


def open_engine(address: str | None = None) -> Engine:
    """An engine at the newest schema.

    `address` is a PostgreSQL address or the path of an SQLite file; without it the environment's ENDFEEL_STORE
    decides, else the person's data folder. Raises StoreFault when the place cannot be opened or written.
    """
    address = address or os.environ.get("ENDFEEL_STORE") or str(default_path())
    try:
        engine = _postgresql(address) if _is_postgresql(address) else _sqlite(address)
    except OSError as error:
        raise StoreFault(f"cannot open the records at {address}: {error}") from error
    try:
        migrate(engine)
    except NewerSchema as error:
        engine.dispose()
        raise StoreFault(f"the records at {_shown(address)} are newer than this program; update it") from error
    except DBAPIError as error:
        engine.dispose()
        raise StoreFault(f"cannot open the records at {_shown(address)}: {error.orig}") from error
    return engine


def _is_postgresql(address: str) -> bool:
    scheme, mark, _ = address.partition("://")
    kind = scheme.partition("+")[0]
    if mark and kind not in ("sqlite", "postgresql"):
        raise StoreFault(f"records cannot be kept at {kind}://…; use postgresql://… or the path of a file")
    return kind == "postgresql" and bool(mark)


def _shown(address: str) -> str:
    """The address without a password."""
    return make_url(address).render_as_string(hide_password=True) if _is_postgresql(address) else address


def _sqlite(address: str) -> Engine:
    path = address.removeprefix("sqlite:///")
    if path != ":memory:":
        _make_private(Path(path))
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


def _make_private(path: Path) -> None:
    """A new file of records is readable by its owner alone; SQLite gives its side files the same rights."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))


def _postgresql(address: str) -> Engine:
    try:
        return create_engine(make_url(address).set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise StoreFault("PostgreSQL needs one more package: pip install 'endfeel[postgresql]'") from error
    except (ArgumentError, ValueError) as error:
        raise StoreFault("not a database address; write postgresql://user@host:5432/database") from error


@contextmanager
def transaction(engine: Engine) -> Iterator[Session]:
    """One transaction: all of it is kept, or nothing.

    Raises StoreFault when the database fails (full, read-only, locked, damaged, gone), CannotRead when it cannot hold
    what it was given.
    """
    try:
        with Session(engine, expire_on_commit=False) as session, session.begin():
            yield session
    except DataError as error:
        raise CannotRead([Fault(f"the records cannot hold this: {error.orig}")]) from error
    except _A_BUG:
        raise
    except DBAPIError as error:
        raise StoreFault(
            f"the records could not be written or read: {error.orig}; nothing half-done was kept"
        ) from error
