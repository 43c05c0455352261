"""Every store test runs on SQLite and on a real PostgreSQL server started for the tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from bench.server import NoServer, PrivateServer

from endfeel import care
from endfeel.records import open_engine


@pytest.fixture(scope="session")
def server() -> Iterator[PrivateServer]:
    """A private PostgreSQL server, reachable by nobody else."""
    try:
        made = PrivateServer()
    except NoServer as missing:
        pytest.fail(str(missing))
    yield made
    made.close()


BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.xdist_group("postgresql"))]


@pytest.fixture(scope="session")
def made_database(server: PrivateServer) -> str:
    """The address of an empty PostgreSQL store at the newest schema, from which the others are copied."""
    address = server.new_store()
    open_engine(address).dispose()
    return address


@pytest.fixture(params=BOTH)
def store_address(request: pytest.FixtureRequest) -> str:
    """An empty store at the newest schema on each database."""
    if request.param == "sqlite":
        return str(request.getfixturevalue("store_file"))
    server: PrivateServer = request.getfixturevalue("server")
    return server.new_store(like=request.getfixturevalue("made_database"))


@pytest.fixture(params=BOTH)
def bare_address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A place for a store on each database, without any table yet."""
    if request.param == "sqlite":
        return str(tmp_path / "records.sqlite")
    server: PrivateServer = request.getfixturevalue("server")
    return server.new_store()


@pytest.fixture
def desk(store_address: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store_address)
    yield opened
    opened.engine.dispose()
