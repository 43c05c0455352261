"""Every row of a store into another one, from either database to either: how a store on a server becomes a file of a
backup, and how that file becomes a store on a server again."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine, Integer, delete, func, insert, select, text
from sqlalchemy import Table as SqlTable
from sqlalchemy.orm import Session

from endfeel.records.faults import StoreFault
from endfeel.records.store import reading, transaction
from endfeel.records.tables import AuditRow, PersonRow, Table

AT_A_TIME = 1000


def copy_rows(source: Engine, to: Engine) -> None:
    """All rows of one state of `source` into `to`, which is at the newest schema and holds nothing yet.

    All of them, or none. Raises StoreFault when there is something in `to`, or a database fails.
    """
    with reading(source) as read, transaction(to) as write:
        if any(write.scalar(select(func.count()).select_from(one)) for one in (PersonRow, AuditRow)):
            raise StoreFault("there are records already where these were to go; nothing was changed. Name an empty one")
        tables = Table.metadata.sorted_tables
        with _guards_away(write):
            for table in reversed(tables):
                write.execute(delete(table))
            for table in tables:
                wanted = select(table).order_by(*_order(table)).execution_options(yield_per=AT_A_TIME)
                for rows in read.execute(wanted).mappings().partitions():
                    write.execute(insert(table), [dict(row) for row in rows])
            if to.dialect.name == "postgresql":
                _numbers_go_on(write, tables)


def _order(table: SqlTable) -> list[str]:
    """What a row of the same table refers to comes before it: entries of a visit refer to earlier ones."""
    return ["visit_id", "sequence"] if "sequence" in table.c else [column.name for column in table.primary_key]


@contextmanager
def _guards_away(session: Session) -> Iterator[None]:
    """The guards refuse what a therapist may not do; here rows that passed them once come in, and all come back."""
    names = [table.name for table in Table.metadata.sorted_tables]
    if session.get_bind().dialect.name == "postgresql":
        for name in names:
            session.execute(text(f"ALTER TABLE {name} DISABLE TRIGGER USER"))
        yield
        for name in names:
            session.execute(text(f"ALTER TABLE {name} ENABLE TRIGGER USER"))
        return
    guards = session.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")).all()
    for guard, _ in guards:
        session.execute(text(f"DROP TRIGGER {guard}"))
    yield
    raw = session.connection()
    for _, words in guards:
        raw.exec_driver_sql(words)


def _numbers_go_on(session: Session, tables: list[SqlTable]) -> None:
    """A server counts on from the last number that was copied."""
    for table in tables:
        (key, *more) = table.primary_key
        if more or not isinstance(key.type, Integer) or key.autoincrement is False:
            continue
        last = session.scalar(select(func.max(key)))
        place = func.pg_get_serial_sequence(table.name, key.name)
        session.execute(select(func.setval(place, last or 1, last is not None)))
