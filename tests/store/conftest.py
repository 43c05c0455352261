"""Every store test runs on SQLite and on a real PostgreSQL server started for the tests."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from endfeel import care


def _program(name: str) -> str:
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}")) or [Path(p) for p in [shutil.which(name)] if p]
    if not found:
        pytest.fail("PostgreSQL is needed for the store tests: sudo apt-get install postgresql")
    return str(found[-1])


def _as_server_user(command: list[str]) -> list[str]:
    """The server refuses to run as root."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The socket folder of a private server, reachable by nobody else."""
    folder = Path(tempfile.mkdtemp(prefix="endfeel-pg-"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    data = folder / "data"
    subprocess.run(
        _as_server_user([_program("initdb"), "-D", str(data), "-A", "trust", "-U", "endfeel", "-E", "UTF8"]),
        check=True,
        capture_output=True,
        cwd="/",
    )
    options = f"-k {folder} -c listen_addresses='' -c fsync=off"
    start = [_program("pg_ctl"), "-D", str(data), "-o", options, "-l", str(folder / "log"), "-w", "start"]
    subprocess.run(_as_server_user(start), check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/")
    yield str(folder)
    subprocess.run(
        _as_server_user([_program("pg_ctl"), "-D", str(data), "-m", "immediate", "stop"]),
        check=True,
        capture_output=True,
        cwd="/",
    )
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.xdist_group("postgresql"))])
def store_address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty store on each database."""
    if request.param == "sqlite":
        return str(tmp_path / "records.sqlite")
    socket = request.getfixturevalue("postgresql")
    name = f"t{uuid.uuid4().hex[:12]}"
    engine = create_engine(f"postgresql+psycopg://endfeel@/postgres?host={socket}", isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    engine.dispose()
    return f"postgresql://endfeel@/{name}?host={socket}"


@pytest.fixture
def desk(store_address: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store_address)
    yield opened
    opened.engine.dispose()
