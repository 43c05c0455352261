"""Shared fixtures: the evidence library is loaded once."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from endfeel.cli.machine import prepare_machine

prepare_machine()
"""As the command line does, and before NumPy is there: beside other work a second thread waits for a processor."""


from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.records import open_engine
from endfeel.vocabulary.shorthand import Shorthand

os.environ["ENDFEEL_UNENCRYPTED"] = "1"
os.environ["ENDFEEL_BACKUPS"] = "0"
"""Stores made by tests and by the programs they start are neither encrypted nor backed up, except where that is the
point."""


@pytest.fixture(scope="session")
def made_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty store at the newest schema, made once: walking all migrations for every test takes minutes."""
    made = tmp_path_factory.mktemp("made") / "records.sqlite"
    open_engine(str(made)).dispose()
    return made


@pytest.fixture
def store_file(made_file: Path, tmp_path: Path) -> str:
    """The path of an empty SQLite store of the test's own."""
    return str(shutil.copy(made_file, tmp_path / "records.sqlite"))


@pytest.fixture(scope="session")
def scheduler() -> Iterator[str]:
    """The address of a scheduler with two worker processes. Any free port serves: test processes run side by side."""
    import distributed

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address="127.0.0.1:0") as cluster:
        yield cluster.scheduler_address


@pytest.fixture(scope="session")
def library() -> Library:
    return load_library()


@pytest.fixture(scope="session")
def shorthand(library: Library) -> Shorthand:
    return Shorthand.of(library.catalogue, library.documents["aliases"], library.documents["ranges"])


@pytest.fixture(scope="session")
def cues(library: Library) -> tuple[str, ...]:
    """Ids of the screen's cues."""
    return tuple(cue["id"] for cue in library.documents["safety_rules"]["cue"])
