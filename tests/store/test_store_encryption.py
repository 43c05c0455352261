"""A new store is encrypted; a passphrase or the recovery key opens it; an older one is encrypted by one command."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Engine

from endfeel.records import StoreFault, open_engine, transaction
from endfeel.records.audit import audit, verify
from endfeel.records.encryption import SHORTEST, StoreKey, from_recovery, is_encrypted
from endfeel.records.rekey import IN_USE, change_passphrase, encrypt_store
from endfeel.records.store import key_of, reading

WORDS = "four plain words suffice"
ONLY_HERE = "a word only a record would hold"


class Person:
    """Somebody at a terminal who types what the test says."""

    def __init__(self, *typed: str) -> None:
        self.typed = list(typed)
        self.copied: list[str] = []

    def passphrase(self, place: str, *, new: bool) -> str:  # noqa: ARG002
        return self.typed.pop(0)

    def recovery(self, place: str, key: str) -> None:  # noqa: ARG002
        self.copied.append(key)


@pytest.fixture(autouse=True)
def _encrypted(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("ENDFEEL_UNENCRYPTED", "ENDFEEL_PASSPHRASE", "ENDFEEL_PASSPHRASE_FILE"):
        monkeypatch.delenv(name, raising=False)


def write(engine: Engine) -> None:
    with transaction(engine) as session:
        audit(session, datetime.now(UTC), "A. Therapist", "view visit", None, detail=ONLY_HERE)


def rows(engine: Engine) -> int:
    with reading(engine) as session:
        found = verify(session)
    assert found.is_sound
    return found.rows


def made(path: Path) -> str:
    """An encrypted store with a row in it; its recovery key."""
    person = Person(WORDS)
    engine = open_engine(str(path), person)
    write(engine)
    engine.dispose()
    (key,) = person.copied
    return key


def test_nothing_of_a_new_store_can_be_read_without_the_passphrase(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    engine = open_engine(str(path), Person(WORDS))
    write(engine)
    kept = b"".join(one.read_bytes() for one in tmp_path.iterdir())
    assert len(kept) > 100_000
    assert ONLY_HERE.encode() not in kept
    assert b"SQLite format" not in kept
    assert b"CREATE TABLE" not in kept
    engine.dispose()
    with pytest.raises(sqlite3.DatabaseError):
        sqlite3.connect(path).execute("SELECT * FROM audit")


@pytest.mark.parametrize("spoil", [str, str.lower, lambda key: key.replace("-", " ")])
def test_passphrase_and_recovery_key_open_it_and_nothing_else_does(tmp_path: Path, spoil: object) -> None:
    path = tmp_path / "records.sqlite"
    recovery = made(path)
    assert callable(spoil)
    for typed in (WORDS, spoil(recovery)):
        engine = open_engine(str(path), Person(typed))
        assert rows(engine) == 1
        engine.dispose()
    miscopied = ("A" if recovery[0] != "A" else "B") + recovery[1:]
    assert from_recovery(miscopied) is None
    for typed in (WORDS + " ", "", miscopied):
        with pytest.raises(StoreFault, match=r"cannot open the records .* passphrase"):
            open_engine(str(path), Person(typed))


def test_any_program_of_the_format_opens_it_with_the_passphrase(tmp_path: Path) -> None:
    from sqlcipher3 import dbapi2

    made(tmp_path / "records.sqlite")
    connection = dbapi2.connect(str(tmp_path / "records.sqlite"))
    connection.execute(f"PRAGMA key = '{WORDS}'")
    assert connection.execute("SELECT detail FROM audit").fetchall() == [(ONLY_HERE,)]
    connection.close()


def test_without_a_passphrase_it_is_said_how_to_give_one(tmp_path: Path) -> None:
    with pytest.raises(StoreFault, match="ENDFEEL_PASSPHRASE_FILE"):
        open_engine(str(tmp_path / "records.sqlite"))
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(StoreFault, match=f"at least {SHORTEST}"):
        open_engine(str(tmp_path / "records.sqlite"), Person("short"))
    assert list(tmp_path.iterdir()) == []


def test_file_and_environment_hold_the_passphrase_of_a_service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "records.sqlite"
    (tmp_path / "words").write_text(WORDS + "\n")
    monkeypatch.setenv("ENDFEEL_PASSPHRASE_FILE", str(tmp_path / "words"))
    engine = open_engine(str(path))
    write(engine)
    engine.dispose()
    monkeypatch.delenv("ENDFEEL_PASSPHRASE_FILE")
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", WORDS)
    engine = open_engine(str(path))
    assert rows(engine) == 1
    engine.dispose()
    monkeypatch.setenv("ENDFEEL_PASSPHRASE_FILE", str(tmp_path / "nowhere"))
    with pytest.raises(StoreFault, match="cannot read the passphrase"):
        open_engine(str(path))


def test_the_key_is_not_shown_by_accident(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    engine = open_engine(str(path), Person(WORDS))
    key = key_of(engine)
    assert key is not None
    assert key.key.hex() not in f"{key!r} {engine!r} {engine.url}"
    engine.dispose()
    assert repr(StoreKey(b"a" * 32, b"b" * 16)) == "StoreKey()"


def test_an_unencrypted_store_keeps_opening_and_one_command_encrypts_it(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    engine = open_engine(str(path), unencrypted=True)
    write(engine)
    assert ONLY_HERE.encode() in b"".join(one.read_bytes() for one in tmp_path.iterdir())
    engine.dispose()
    engine = open_engine(str(path), Person())
    assert rows(engine) == 1
    with pytest.raises(StoreFault, match=IN_USE[:30]):
        encrypt_store(path, WORDS)
    assert not is_encrypted(path)
    assert rows(engine) == 1
    engine.dispose()
    recovery = encrypt_store(path, WORDS).recovery()
    assert [one.name for one in tmp_path.iterdir()] == ["records.sqlite"]
    assert ONLY_HERE.encode() not in path.read_bytes()
    for typed in (WORDS, recovery):
        engine = open_engine(str(path), Person(typed))
        rows_before = rows(engine)
        write(engine)
        assert rows(engine) == rows_before + 1
        with pytest.raises(Exception, match="never changed"), engine.begin() as connection:
            connection.exec_driver_sql("DELETE FROM audit")
        engine.dispose()
    with pytest.raises(StoreFault, match="already"):
        encrypt_store(path, WORDS)


def test_another_passphrase_takes_the_place_of_the_old_one_and_of_its_recovery_key(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    recovery = made(path)
    with pytest.raises(StoreFault):
        change_passphrase(path, "not the right words", "other words entirely")
    fresh = change_passphrase(path, recovery, "other words entirely").recovery()
    for typed in ("other words entirely", fresh):
        engine = open_engine(str(path), Person(typed))
        assert rows(engine) == 1
        engine.dispose()
    for typed in (WORDS, recovery):
        with pytest.raises(StoreFault):
            open_engine(str(path), Person(typed))


def test_several_programs_may_make_one_store_at_once(tmp_path: Path) -> None:
    opening = "import sys; from endfeel.records import open_engine; sys.stdin.readline(); open_engine(sys.argv[1])"
    given = os.environ | {"ENDFEEL_PASSPHRASE": WORDS}
    openers = [
        subprocess.Popen([sys.executable, "-c", opening, str(tmp_path / "records.sqlite")], env=given,
                         stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(3)
    ]  # fmt: skip
    told = [opener.communicate("now\n", timeout=120)[1] for opener in openers]
    assert [opener.returncode for opener in openers] == [0, 0, 0], told
    assert [one.name for one in tmp_path.iterdir()] == ["records.sqlite"]
    engine = open_engine(str(tmp_path / "records.sqlite"), Person(WORDS))
    assert rows(engine) == 0
    engine.dispose()
