"""At a real terminal: the passphrase is asked twice and never shown, the recovery key is shown once."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import sys
import time
from pathlib import Path

from endfeel.records import open_engine
from endfeel.records.encryption import from_recovery

WORDS = "four plain words suffice"
OPENING = """
import os, sys
os.close(os.open(os.ttyname(0), os.O_RDWR))  # this terminal is ours
from endfeel.cli.passphrase import AtTerminal
from endfeel.records import open_engine
open_engine(sys.argv[1], AtTerminal()).dispose()
print("opened")
"""


def at_terminal(path: Path, *typed: str) -> str:
    """What a person sees who types this, one line after each question."""
    ours, theirs = pty.openpty()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("ENDFEEL_")}
    program = subprocess.Popen(
        [sys.executable, "-c", OPENING, str(path)], stdin=theirs, stdout=theirs, stderr=theirs, env=environment,
        start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    seen, waiting, until = "", list(typed), time.monotonic() + 120
    while time.monotonic() < until:
        if not select.select([ours], [], [], 1.0)[0]:
            continue
        try:
            part = os.read(ours, 4096).decode()
        except OSError:  # the other end is gone
            break
        seen += part
        if not part:
            break
        if waiting and re.search(r"(assphrase.*|again): $", seen):
            os.write(ours, (waiting.pop(0) + "\n").encode())
            seen += "<typed>"
    program.wait(timeout=60)
    os.close(ours)
    return seen


def test_a_new_store_asks_twice_and_shows_the_recovery_key_once(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    seen = at_terminal(path, WORDS, WORDS)
    assert "opened" in seen
    assert WORDS not in seen
    keys = [one for one in re.findall(r"(?:[A-Z2-7]{4}-){13}[A-Z2-7]{4}", seen) if from_recovery(one)]
    assert len(keys) == 1
    again = at_terminal(path, keys[0])
    assert "opened" in again
    assert keys[0] not in again

    class Typed:
        def passphrase(self, place: str, *, new: bool) -> str:  # noqa: ARG002
            return WORDS

        def recovery(self, place: str, key: str) -> None:  # noqa: ARG002
            raise AssertionError("it was made before")

    open_engine(str(path), Typed()).dispose()


def test_two_different_passphrases_make_nothing(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    assert "the two were not the same" in at_terminal(path, WORDS, "four other words suffice")
    assert not path.exists()
