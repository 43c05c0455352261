"""The audit is a chain: no edit, gap, re-order or truncation goes unseen, and two writers never fork it."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from endfeel.records import open_engine, transaction
from endfeel.records.audit import AuditEntry, Verification, Witness, audit, audit_of, digest, head_of, verify
from endfeel.records.store import reading

NOON = datetime(2026, 11, 26, 12, tzinfo=UTC)


@pytest.fixture
def engine(store_address: str) -> Iterator[Engine]:
    opened = open_engine(store_address)
    yield opened
    opened.dispose()


def look(engine: Engine, times: int = 1, at: datetime = NOON, person: str | None = "p-1") -> None:
    for number in range(times):
        with transaction(engine) as session:
            audit(session, at + timedelta(minutes=number), "A. Therapist", "view visit", person, "v-1", "knee", "care")


def verified(engine: Engine, *witnesses: Witness) -> Verification:
    with reading(engine) as session:
        return verify(session, witnesses)


def by_hand(engine: Engine, *statements: str) -> None:
    """What somebody could do who owns the database: switch the guards off, then change rows."""
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL session_replication_role = replica"))
        else:
            wanted = text("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name LIKE 'audit%'")
            for name in connection.execute(wanted).scalars().all():
                connection.execute(text(f"DROP TRIGGER {name}"))
        for statement in statements:
            connection.execute(text(statement))


def test_a_chain_that_nobody_touched_is_sound(engine: Engine) -> None:
    assert verified(engine) == Verification(0, (), Witness(0, "0" * 64), 0)
    look(engine, 3)
    with transaction(engine) as session:
        for act in ("one", "two"):
            audit(session, NOON + timedelta(hours=1), "B", act, None)
    found = verified(engine)
    assert found.is_sound
    assert (found.rows, found.head.place) == (5, 5)
    assert found.head != Witness(0, "0" * 64)


MISDEEDS = {
    "edit": (("UPDATE audit SET who = 'nobody' WHERE place = 3",), r"row 3 .* was changed"),
    "another time": (("UPDATE audit SET at = '2020-01-01 00:00:00' WHERE place = 2",), r"row 2 .* was changed"),
    "gap": (("DELETE FROM audit WHERE place = 3",), "row 3 is missing between row 2 and row 4"),
    "wide gap": (("DELETE FROM audit WHERE place IN (2, 3)",), "rows 2 to 3 are missing"),
    "first gone": (("DELETE FROM audit WHERE place = 1",), "row 1 is missing"),
    "end gone": (("DELETE FROM audit WHERE place >= 4",), "should end with row 5, it ends with row 3"),
    "all gone": (("DELETE FROM audit",), "should end with row 5, it ends with row 0"),
    "re-order": (
        (
            "UPDATE audit SET place = 99 WHERE place = 2",
            "UPDATE audit SET place = 2 WHERE place = 3",
            "UPDATE audit SET place = 3 WHERE place = 99",
        ),
        "row 2 does not follow the row before it",
    ),
    "gap closed up": (
        ("DELETE FROM audit WHERE place = 3", "UPDATE audit SET place = 3 WHERE place = 4",
         "UPDATE audit SET place = 4 WHERE place = 5", "UPDATE audit_head SET place = 4"),
        "row 3 does not follow the row before it",
    ),
    "put in": (
        ("INSERT INTO audit (number, place, at, who, act, detail, why, previous, hash) "
         "SELECT 900, 6, at, who, act, detail, why, hash, hash FROM audit WHERE place = 5",),
        r"row 6 .* was changed",
    ),
}  # fmt: skip


@pytest.mark.parametrize("misdeed", MISDEEDS)
def test_every_misdeed_by_the_owner_of_the_database_is_found(engine: Engine, misdeed: str) -> None:
    look(engine, 5)
    statements, told = MISDEEDS[misdeed]
    by_hand(engine, *statements)
    found = verified(engine)
    assert not found.is_sound
    with pytest.raises(AssertionError, match=told):
        raise AssertionError("; ".join(found.faults))


def test_a_shorter_chain_with_its_end_forged_is_found_by_an_end_written_down(engine: Engine) -> None:
    look(engine, 5)
    with reading(engine) as session:
        end = head_of(session)
    by_hand(
        engine,
        "DELETE FROM audit WHERE place > 3",
        "UPDATE audit_head SET place = 3, hash = (SELECT hash FROM audit WHERE place = 3)",
    )
    assert verified(engine).is_sound, "the store alone cannot know"
    found = verified(engine, end)
    assert found.faults == ("row 5 was written down earlier and is not there any more",)
    look(engine, 4, NOON + timedelta(hours=1))
    assert "written anew" in verified(engine, end).faults[0]


@pytest.mark.parametrize(
    "wrong",
    [
        "UPDATE audit SET who = 'x'",
        "DELETE FROM audit",
        "INSERT INTO audit (number, place, at, who, act, detail, why, previous, hash) VALUES "
        "(900, 3, '2026-11-26 12:00:00', 'x', 'x', '', '', 'x', 'x')",
        "UPDATE audit_head SET place = 1",
        "UPDATE audit_head SET place = place + 1",
        "DELETE FROM audit_head",
    ],
)
def test_the_database_itself_keeps_the_chain(engine: Engine, wrong: str) -> None:
    look(engine, 2)
    with pytest.raises(DBAPIError, match=r"never changed|follows|next row"), engine.begin() as connection:
        connection.execute(text(wrong))
    assert verified(engine).is_sound


def _look_and_fail(session: Session) -> None:
    audit(session, NOON, "A", "view visit", None)
    raise ZeroDivisionError


def test_an_act_that_fails_leaves_no_row(engine: Engine) -> None:
    with pytest.raises(ZeroDivisionError), transaction(engine) as session:
        _look_and_fail(session)
    assert verified(engine).rows == 0


def test_writers_at_once_never_fork_the_chain(store_address: str) -> None:
    faults: list[Exception] = []

    def write(who: Engine) -> None:
        try:
            for _ in range(40):
                look(who, 1)
        except Exception as error:  # noqa: BLE001
            faults.append(error)

    engines = [open_engine(store_address) for _ in range(3)]
    writers = [threading.Thread(target=write, args=(one,)) for one in engines]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    found = verified(engines[0])
    for one in engines:
        one.dispose()
    assert not faults
    assert found.is_sound, found.faults
    assert found.rows == 120


def test_a_clock_that_was_set_back_is_told_in_the_chain_and_the_order_stays(engine: Engine) -> None:
    look(engine, 2)
    look(engine, 1, NOON - timedelta(hours=3))
    look(engine, 1, NOON - timedelta(hours=3) + timedelta(seconds=1))
    found = verified(engine)
    assert found.is_sound
    with engine.connect() as connection:
        acts = connection.execute(text("SELECT act, detail FROM audit ORDER BY place")).all()
    assert [one.act for one in acts] == ["view visit", "view visit", "clock went back", "view visit", "view visit"]
    assert "2026-11-26 12:01:00 UTC" in acts[2].detail


def test_who_what_when_and_why_are_read_back_for_one_person(engine: Engine) -> None:
    look(engine, 1)
    look(engine, 1, person="p-2")
    with transaction(engine) as session:
        told = audit_of(session, "p-1")
    assert told == (AuditEntry(1, NOON, "A. Therapist", "view visit", "p-1", "v-1", "knee", "care"),)


def test_the_hash_is_the_same_wherever_it_is_computed() -> None:
    entry = AuditEntry(1, NOON, "Ä. Therapist", "view visit", None, None, "", "care")
    told = '["%s",1,"2026-11-26T12:00:00.000000Z","\\u00c4. Therapist","view visit",null,null,"","care"]' % ("0" * 64)
    assert digest("0" * 64, entry) == hashlib.sha256(told.encode()).hexdigest()


def test_a_chain_read_while_others_write_is_sound(engine: Engine, store_address: str) -> None:
    look(engine, 3)
    act: Callable[[], None] = lambda: look(engine, 1, NOON + timedelta(hours=1))  # noqa: E731
    with reading(engine) as session:
        assert verify(session).rows == 3
        writer = threading.Thread(target=act)
        writer.start()
        writer.join()
        assert verify(session).rows == 3
    assert verified(engine).rows == 4
