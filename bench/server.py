"""A private PostgreSQL server in a temporary folder, reachable through its socket alone."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import uuid
from pathlib import Path

from sqlalchemy import create_engine, make_url, text


class NoServer(Exception):  # noqa: N818 - says what is missing
    """PostgreSQL's programs are not installed."""


class PrivateServer:
    """Made, started, stopped and started again; `close` removes it."""

    def __init__(self, *, synced: bool = False) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="endfeel-pg-"))
        self._options = f"-k {self.folder} -c listen_addresses='' -c fsync={'on' if synced else 'off'}"
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres", "postgres")
        self._run("initdb", "-A", "trust", "-U", "endfeel", "-E", "UTF8")
        self.start()

    def start(self) -> None:
        """Start, and come back when it answers."""
        self._run("pg_ctl", "-o", self._options, "-l", str(self.folder / "log"), "-w", "start")

    def stop(self, mode: str = "immediate") -> None:
        """Stop; `immediate` is as if it had been killed."""
        self._run("pg_ctl", "-m", mode, "-w", "stop")

    def close(self) -> None:
        """Stop it, if it runs, and remove all of it."""
        if (self.folder / "data" / "postmaster.pid").exists():
            self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def new_store(self, like: str = "") -> str:
        """The address of a new database: empty, or a copy of the one at the address `like`, which nobody has open."""
        name = f"t{uuid.uuid4().hex[:12]}"
        engine = create_engine(
            f"postgresql+psycopg://endfeel@/postgres?host={self.folder}", isolation_level="AUTOCOMMIT"
        )
        with engine.connect() as connection:
            model = f" TEMPLATE {make_url(like).database}" if like else ""
            connection.execute(text(f"CREATE DATABASE {name}{model}"))
        engine.dispose()
        return f"postgresql://endfeel@/{name}?host={self.folder}"

    def _run(self, program: str, *words: str) -> None:
        command = [_program(program), "-D", str(self.folder / "data"), *words]
        if os.geteuid() == 0:  # the server refuses to run as root
            command = ["runuser", "-u", "postgres", "--", *command]
        quiet = subprocess.DEVNULL
        subprocess.run(command, check=True, stdout=quiet, stderr=quiet, cwd="/")  # noqa: S603


def _program(name: str) -> str:
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}")) or [Path(p) for p in [shutil.which(name)] if p]
    if not found:
        raise NoServer("PostgreSQL is needed: sudo apt-get install postgresql")
    return str(found[-1])
