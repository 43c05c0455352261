"""The store looked after from the command line: backup, drill, audit, encryption, what may be erased."""

from __future__ import annotations

import json
import socket
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from endfeel import care
from endfeel.cli.main import main
from endfeel.records import open_engine
from endfeel.vocabulary import Complaint, Person

WORDS = "four plain words suffice"


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A store with one invented person."""
    monkeypatch.setenv("ENDFEEL_BACKUPS", "2")
    path = tmp_path / "records.sqlite"
    desk = care.open_desk(str(path), clock=lambda: datetime(2026, 1, 5, 12, tzinfo=UTC))
    person = care.new_person(desk, "One of a kind", Person(40), invented=True)
    care.record_line(desk, care.open_visit(desk, care.open_episode(desk, person, Complaint())), "gh post glide right 2")
    desk.engine.dispose()
    return str(path)


def told(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main(list(words))
    return code, " ".join(capsys.readouterr().out.split())


def test_a_drill_says_in_plain_words_what_it_restored(store: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["records", "drill", "--store", store]) == 3
    assert "no backup yet" in capsys.readouterr().err
    code, said = told(capsys, "records", "backup", "--store", store)
    assert code == 0
    assert "read back from end to end" in said
    code, said = told(capsys, "records", "drill", "--store", store)
    assert code == 0
    for words in ("restored into a scratch place and opened", "Every page", "each follows the one before it",
                  "1 people, 1 episodes, 1 visits, 1 entries", "scratch place has been removed",
                  "This backup can be restored."):  # fmt: skip
        assert words in said
    code, said = told(capsys, "records", "check", "--store", store)
    assert code == 0
    assert "1 backups in" in said


@pytest.mark.parametrize(
    "words",
    [["records", "check"], ["records", "drill"], ["records", "calendar"], ["records", "encrypt"], ["audit", "verify"],
     ["audit", "person", "somebody"]],
)  # fmt: skip
def test_looking_after_a_store_never_makes_one(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*words, "--store", str(tmp_path / "none.sqlite")]) == 3
    assert "there is no store at" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_without_backups_the_drill_says_so(
    store: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ENDFEEL_BACKUPS", "0")
    assert main(["records", "drill", "--store", store]) == 3
    assert "ENDFEEL_BACKUPS is 0" in capsys.readouterr().err


def test_nothing_goes_onto_the_network(
    store: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("asked for the network")

    for name in ("connect", "connect_ex", "sendto"):
        monkeypatch.setattr(socket.socket, name, refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    for words in (["records", "backup"], ["records", "drill"], ["records", "check"], ["audit", "verify"]):
        assert main([*words, "--store", store]) == 0
    assert "This backup can be restored." in capsys.readouterr().out


def test_a_damaged_audit_is_said_and_the_exit_code_tells(store: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, said = told(capsys, "audit", "verify", "--store", store)
    assert code == 0
    assert "The audit is sound: 4 rows" in said
    code, end = told(capsys, "audit", "end", "--store", store)
    witness = Path(store).with_name("end.txt")
    witness.write_text(end)
    assert told(capsys, "audit", "verify", "--store", store, "--witness", str(witness))[0] == 0
    engine = open_engine(store)
    with engine.begin() as connection:
        connection.execute(text("DROP TRIGGER audit_no_update"))
        connection.execute(text("UPDATE audit SET who = 'nobody' WHERE place = 2"))
    engine.dispose()
    code, said = told(capsys, "audit", "verify", "--store", store)
    assert code == 1
    assert "row 2 (open episode" in said
    assert json.loads(told(capsys, "audit", "verify", "--store", store, "--json")[1])["sound"] is False
    witness.write_text("nonsense")
    assert main(["audit", "verify", "--store", store, "--witness", str(witness)]) == 3


def test_the_persons_own_report(store: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, said = told(capsys, "audit", "person", "one of a kind", "--store", store)
    assert code == 0
    for words in ("the record of One of a kind", "therapist: record finding (gh_post); why: care", "right of access"):
        assert words in said
    report = json.loads(told(capsys, "audit", "person", "One of a kind", "--store", store, "--json")[1])
    assert report["rows"][0]["what"] == "new person"
    assert main(["audit", "person", "nobody", "--store", store]) == 3


def test_encrypting_asks_for_a_passphrase_and_shows_no_key_without_a_terminal(
    store: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert main(["records", "encrypt", "--store", store]) == 3
    assert "ENDFEEL_PASSPHRASE_FILE" in capsys.readouterr().err
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", WORDS)
    assert main(["records", "encrypt", "--store", store]) == 0
    shown = capsys.readouterr()
    assert "is encrypted now" in shown.out
    assert "no file or log" in shown.err
    assert told(capsys, "records", "check", "--store", store)[0] == 0
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", "not the right words")
    assert main(["records", "check", "--store", store]) == 3
    assert "the passphrase is not that of this file" in capsys.readouterr().err


def test_a_backup_is_restored_where_no_store_is(store: str, capsys: pytest.CaptureFixture[str]) -> None:
    main(["records", "backup", "--store", store])
    (made,) = (Path(store).parent / "backups").glob("*.sqlite")
    assert main(["records", "restore", str(made), "--to", store]) == 3
    elsewhere = str(Path(store).with_name("again.sqlite"))
    code, said = told(capsys, "records", "restore", str(made), "--to", elsewhere)
    assert code == 0
    assert "endfeel serve --store" in said
    assert told(capsys, "audit", "verify", "--store", elsewhere)[0] == 0


def test_the_calendar_and_erasing(
    store: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ENDFEEL_RETENTION", "germany")
    code, said = told(capsys, "records", "calendar", "--store", store)
    assert code == 0
    assert "2036-01-05 One of a kind" in said
    assert "section 630f" in said
    assert main(["records", "erase", "One of a kind", "--why", "asked", "--store", store]) == 3
    assert "must be kept until 2036-01-05" in capsys.readouterr().err
    monkeypatch.delenv("ENDFEEL_RETENTION")
    assert main(["records", "erase", "One of a kind", "--why", "opened by mistake", "--store", store]) == 0
    assert "Nobody is on record." in told(capsys, "records", "calendar", "--store", store)[1]
