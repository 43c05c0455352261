"""Every store test runs on SQLite and on a real PostgreSQL server started for the tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from bench.server import NoServer, PrivateServer

from endfeel import care


@pytest.fixture(scope="session")
def server() -> Iterator[PrivateServer]:
    """A private PostgreSQL server, reachable by nobody else."""
    try:
        made = PrivateServer()
    except NoServer as missing:
        pytest.fail(str(missing))
    yield made
    made.close()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.xdist_group("postgresql"))])
def store_address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty store on each database."""
    if request.param == "sqlite":
        return str(tmp_path / "records.sqlite")
    server: PrivateServer = request.getfixturevalue("server")
    return server.new_store()


@pytest.fixture
def desk(store_address: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store_address)
    yield opened
    opened.engine.dispose()
