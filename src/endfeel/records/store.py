"""Opening a store: SQLite by default, PostgreSQL by address; brought to the newest schema on opening."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DataError, DBAPIError, DisconnectionError, IntegrityError, ProgrammingError
from sqlalchemy.orm import Session

from endfeel.records.audit import write_waiting
from endfeel.records.encryption import (
    FromEnvironment,
    Keeper,
    StoreKey,
    driver,
    is_encrypted,
    key_for,
    new_key,
    unlock,
    wants_no_encryption,
)
from endfeel.records.faults import StoreFault as StoreFault
from endfeel.records.faults import plain_words
from endfeel.records.migrate import NewerSchema, migrate, newest_schema, schema_of
from endfeel.vocabulary import CannotRead, Fault

BUSY_SECONDS = 15
REST_SECONDS = 0.005
"""After less a server has hardly gone and come back; if it has, the act fails calmly and is done again."""
IN_MEMORY = ":memory:"
_READS = "endfeel_reads"
_A_BUG = (IntegrityError, ProgrammingError)
"""What these say is never the fault of the place the records lie in."""
_keys: WeakKeyDictionary[Engine, StoreKey] = WeakKeyDictionary()


def default_path() -> Path:
    """Where records lie unless told otherwise: the person's data folder."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "endfeel" / "records.sqlite"


def address_of(address: str | None = None) -> str:
    """The address that counts: the one given, else the environment's ENDFEEL_STORE, else the person's data folder."""
    return address or os.environ.get("ENDFEEL_STORE") or str(default_path())


def open_engine(address: str | None = None, keeper: Keeper | None = None, *, unencrypted: bool = False) -> Engine:
    """An engine at the newest schema.

    `address` is a PostgreSQL address or the path of an SQLite file; without it `address_of` decides. A new SQLite file
    is encrypted, unless `unencrypted` or the environment says otherwise; `keeper` knows the passphrase, by default the
    environment does. Raises StoreFault when the place cannot be opened or written.
    """
    address = address_of(address)
    try:
        if is_postgresql(address):
            return _at_newest_schema(_postgresql(address), _shown(address))
        return _open_file(address.removeprefix("sqlite:///"), keeper or FromEnvironment(), unencrypted=unencrypted)
    except OSError as error:
        raise StoreFault(f"cannot open the records at {address}: {error}") from error


def _open_file(name: str, keeper: Keeper, *, unencrypted: bool) -> Engine:
    path = Path(name)
    is_new = name == IN_MEMORY or not path.exists() or not path.stat().st_size
    if is_new and name != IN_MEMORY and not (unencrypted or wants_no_encryption()):
        key: StoreKey | None = _make_encrypted(path, keeper)
    elif is_new:
        if name != IN_MEMORY:
            _make_private(path)
        key = None
    else:
        key = key_for(path, keeper.passphrase(name, new=False)) if is_encrypted(path) else None
    return _at_newest_schema(sqlite_engine(name, key), name)


def _make_encrypted(path: Path, keeper: Keeper) -> StoreKey:
    """Make an encrypted store beside its place and put it there whole. Whoever comes second opens the first one's."""
    key = new_key(keeper.passphrase(str(path), new=True))
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    beside.unlink(missing_ok=True)
    _make_private(beside)
    try:
        _at_newest_schema(sqlite_engine(str(beside), key), str(path)).dispose()
        if path.exists() and not path.stat().st_size:
            path.unlink()
        if _put_in_place(beside, path):
            keeper.recovery(str(path), key.recovery())
            return key
    finally:
        beside.unlink(missing_ok=True)
    return key_for(path, keeper.passphrase(str(path), new=False))


def _put_in_place(made: Path, path: Path) -> bool:
    """Give a file its name, unless somebody else's has it already."""
    try:
        os.link(made, path)
    except FileExistsError:
        return False
    except OSError:  # a disk that knows no second names
        if path.exists():
            return False
        made.replace(path)
    return True


def _at_newest_schema(engine: Engine, place: str) -> Engine:
    try:
        _keep_before_a_change(engine)
        migrate(engine)
    except StoreFault:
        engine.dispose()
        raise
    except NewerSchema as error:
        engine.dispose()
        raise StoreFault(f"the records at {place} are newer than this program; update it") from error
    except DBAPIError as error:
        engine.dispose()
        raise StoreFault(f"cannot open the records at {place}: {plain_words(error)}") from error
    return engine


def _keep_before_a_change(engine: Engine) -> None:
    """A file whose schema is about to change is copied first, so that there is a way back."""
    if file_of(engine) is None:
        return
    schema = schema_of(engine)
    if schema and schema < str(newest_schema()):
        from endfeel.records.backups import keep_as_it_was

        keep_as_it_was(engine, schema)


def is_postgresql(address: str) -> bool:
    """Whether an address names a server. Raises StoreFault for one of another kind."""
    scheme, mark, _ = address.partition("://")
    kind = scheme.partition("+")[0]
    if mark and kind not in ("sqlite", "postgresql"):
        raise StoreFault(f"records cannot be kept at {kind}://…; use postgresql://… or the path of a file")
    return kind == "postgresql" and bool(mark)


def _shown(address: str) -> str:
    """The address without a password."""
    return make_url(address).render_as_string(hide_password=True)


def key_of(engine: Engine) -> StoreKey | None:
    """The key by which a store was opened; None where it is not encrypted."""
    return _keys.get(engine)


def file_of(engine: Engine) -> Path | None:
    """The file a store lies in; None for a server or one in memory."""
    name = engine.url.database if engine.dialect.name == "sqlite" else None
    return Path(name) if name and name != IN_MEMORY else None


def sqlite_engine(name: str, key: StoreKey | None, *, keep: bool = True) -> Engine:
    """An engine on a file, as it is: no schema is made. With `keep` off nothing can be written through it."""
    module = {"module": driver()} if key else {}
    engine = create_engine(f"sqlite:///{name}", connect_args={"timeout": BUSY_SECONDS}, hide_parameters=True, **module)
    if key:
        _keys[engine] = key

    @event.listens_for(engine, "connect")
    def _connect(connection: Any, _: Any) -> None:
        connection.isolation_level = None
        unlock(connection, key)
        cursor = connection.cursor()
        if keep:
            cursor.execute("PRAGMA journal_mode=WAL")
            cursor.execute("PRAGMA synchronous=FULL")
        else:
            cursor.execute("PRAGMA query_only=ON")
        cursor.execute("PRAGMA foreign_keys=ON")
        cursor.execute("PRAGMA secure_delete=ON")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        reads = not keep or connection.get_execution_options().get(_READS)
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return engine


def _make_private(path: Path) -> None:
    """A new file of records is readable by its owner alone; SQLite gives its side files the same rights."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))


def _postgresql(address: str) -> Engine:
    try:
        url = make_url(address).set(drivername="postgresql+psycopg")
        engine = create_engine(url, hide_parameters=True, pool_use_lifo=True)
    except ModuleNotFoundError as error:
        raise StoreFault("PostgreSQL needs one more package: pip install 'endfeel[postgresql]'") from error
    except (ArgumentError, ValueError) as error:
        raise StoreFault("not a database address; write postgresql://user@host:5432/database") from error
    _ask_after_a_rest(engine)
    return engine


def _ask_after_a_rest(engine: Engine) -> None:
    """Whether a connection lives is asked before it is used again, unless it was in use a moment ago."""

    @event.listens_for(engine, "checkin")
    def _rests(_: Any, record: Any) -> None:
        record.info["since"] = monotonic()

    @event.listens_for(engine, "checkout")
    def _asked(connection: Any, record: Any, _: Any) -> None:
        if monotonic() - record.info.get("since", 0.0) > REST_SECONDS:
            try:
                engine.dialect.do_ping(connection)
            except connection.OperationalError as error:
                raise DisconnectionError from error


def forget_removed(engine: Engine) -> None:
    """After an erasure: nothing of it stays in the write-ahead file. What was removed is overwritten in the store."""
    if engine.dialect.name == "sqlite":
        connection = engine.raw_connection()
        try:
            cursor = connection.cursor()
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            cursor.close()
        finally:
            connection.close()


@contextmanager
def transaction(engine: Engine) -> Iterator[Session]:
    """One transaction: all of it is kept, or nothing.

    Raises StoreFault when the database fails (full, read-only, locked, damaged, gone), CannotRead when it cannot hold
    what it was given.
    """
    with _faults_told(), Session(engine, expire_on_commit=False) as session, session.begin():
        yield session
        write_waiting(session)


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """One state of the store throughout, while others go on writing; nothing of it is kept. Raises StoreFault."""
    options: dict[str, Any] = {_READS: True}
    if engine.dialect.name == "postgresql":
        options["isolation_level"] = "REPEATABLE READ"
    with (
        _faults_told(),
        engine.connect().execution_options(**options) as connection,
        Session(connection, expire_on_commit=False) as session,
    ):
        yield session
        session.rollback()


@contextmanager
def glancing(engine: Engine) -> Iterator[Connection]:
    """For questions that stand alone: neither session nor, on a server, a transaction around them. A transaction that
    is rolled back also makes the driver forget every statement the server had planned for this connection.

    Raises StoreFault."""
    options: dict[str, Any] = {_READS: True}
    if engine.dialect.name == "postgresql":
        options["isolation_level"] = "AUTOCOMMIT"
    with _faults_told(), engine.connect().execution_options(**options) as connection:
        yield connection


@contextmanager
def _faults_told() -> Iterator[None]:
    try:
        yield
    except DataError as error:
        raise CannotRead([Fault(f"the records cannot hold this: {error.orig}")]) from error
    except _A_BUG:
        raise
    except DBAPIError as error:
        raise StoreFault(
            f"the records could not be written or read: {plain_words(error)}; nothing half-done was kept"
        ) from error
