"""`endfeel serve --workers`: several processes at one port, on PostgreSQL alone."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
import uuid
from pathlib import Path

import pytest
from bench.server import PrivateServer

from endfeel import care
from endfeel.cli import workers
from endfeel.cli.main import main
from endfeel.records import queries
from endfeel.vocabulary import Complaint, Side

SERVE = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--workers", "3", "--store"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--workers", "2"], "PostgreSQL"),
        (["--workers", "0"], "1 to"),
        (["--workers", "2", "--phone", "127.0.0.1", "--store", "postgresql://nobody@/none"], "--phone"),
        (["--workers", "2", "--class", "127.0.0.1", "--store", "postgresql://nobody@/none"], "--class"),
    ],
)
def test_where_there_can_be_one_alone_several_are_refused_before_anything_is_made(
    words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "s.sqlite"
    assert main(["serve", "--port", "0", "--store", str(file), *words]) == 3
    assert said in capsys.readouterr().err
    assert not file.exists()


@pytest.mark.xdist_group("postgresql")
def test_several_keep_one_record_and_none_stays_behind_when_the_first_process_is_killed(
    server: PrivateServer, made_database: str
) -> None:
    address = server.new_store(like=made_database)
    desk = care.open_desk(address)
    person = care.new_person(desk, "invented", invented=True)
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))
    with subprocess.Popen([*SERVE, address], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as program:
        assert program.stdout is not None
        home = program.stdout.readline().split()[3]
        assert len(_children(program.pid)) == 3
        sent = [_keep(home, visit) for _ in range(6)]
        program.kill()
    until = time.monotonic() + 30
    while _answers(home) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _answers(home)
    with desk.transaction() as session:
        assert [row.id for row in queries.entry_rows(session, visit)] == sent
    desk.engine.dispose()


def test_one_that_dies_is_started_anew_and_all_stop_when_asked(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(workers, "TOO_SOON_SECONDS", 0.0)
    heard, say = os.pipe()

    def stay(place: int) -> None:
        os.write(say, f"{place} {os.getpid()}\n".encode())
        signal.pause()

    def look() -> None:
        with os.fdopen(heard) as lines:
            told = [lines.readline().split() for _ in range(2)]
            first = next(pid for place, pid in told if place == "0")
            os.kill(int(first), signal.SIGKILL)
            told.append(lines.readline().split())
        seen.extend(told)
        os.kill(os.getpid(), signal.SIGTERM)

    seen: list[list[str]] = []
    assert workers.work_together(2, stay, threading.Thread(target=look).start) == 0
    os.close(say)
    assert sorted(place for place, _ in seen) == ["0", "0", "1"]
    assert len({pid for _, pid in seen}) == 3
    assert "worker 1 ended by itself (-9)" in capfd.readouterr().err


def test_one_that_ends_at_once_stops_all(capfd: pytest.CaptureFixture[str]) -> None:
    started: list[bool] = []

    def end(place: int) -> None:
        if place == 1:
            os._exit(7)
        signal.pause()

    before = signal.getsignal(signal.SIGTERM)
    assert workers.work_together(2, end, lambda: started.append(True)) == 1
    assert started
    assert signal.getsignal(signal.SIGTERM) is before
    assert "worker 2 ended by itself (7)" in capfd.readouterr().err


def _keep(home: str, visit: str) -> str:
    one = str(uuid.uuid4())
    told = f'{{"entries": [{{"id": "{one}", "what": "lines", "fields": {{"line": "gh post glide 2"}}}}]}}'
    asked = urllib.request.Request(  # noqa: S310 (our own loopback)
        f"{home}visits/{visit}/arrivals", told.encode(), {"Content-Type": "application/json"}
    )
    with urllib.request.urlopen(asked, timeout=60) as answer:  # noqa: S310
        assert one in answer.read().decode()
    return one


def _answers(home: str) -> bool:
    try:
        with urllib.request.urlopen(f"{home}health", timeout=10):  # noqa: S310
            return True
    except (urllib.error.URLError, ConnectionError):
        return False


def _children(parent: int) -> list[int]:
    return [int(one) for one in Path(f"/proc/{parent}/task/{parent}/children").read_text().split()]
