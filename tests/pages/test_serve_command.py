"""`endfeel serve`: where it listens, and what it says when it cannot."""

from __future__ import annotations

import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from endfeel.cli.main import main


def test_a_taken_port_is_told_with_what_would_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert main(["serve", "--port", str(port), "--store", str(tmp_path / "s.sqlite")]) == 3
    said = capsys.readouterr().err
    assert f"127.0.0.1 port {port}" in said
    assert f"--port {port + 1 if port < 65535 else 8710}" in said
    assert not (tmp_path / "s.sqlite").exists()


@pytest.mark.parametrize("port", ["-1", "70000"])
def test_a_port_that_cannot_be_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--port", port]) == 3
    assert "no port" in capsys.readouterr().err


def test_it_serves_on_this_machine_says_how_to_stop_and_stops(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", str(tmp_path / "s.sqlite")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        said = program.stdout.readline()
        assert said.startswith("Endfeel is at http://127.0.0.1:")
        assert "Ctrl-C" in said
        with urllib.request.urlopen(said.split()[3] + "health", timeout=20) as answer:  # noqa: S310 (our own loopback)
            assert answer.status == 200
        program.send_signal(2)
        assert program.wait(timeout=20) in (0, -2, 130)
