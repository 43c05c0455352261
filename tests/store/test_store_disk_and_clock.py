"""A real disk that is full or read-only, a server that goes and comes back, a clock that is set back."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from bench.server import NoServer, PrivateServer

from endfeel import care
from endfeel.care import custody
from endfeel.records import StoreFault, open_engine, queries
from endfeel.records.audit import verify
from endfeel.records.backups import BackupPlan, backups_of, make_backup
from endfeel.records.store import reading
from endfeel.vocabulary import Complaint, Finding, Person, Side

TOLD = Finding("gh_post", Side.RIGHT, mobility=2)
SIZE, SPARE = "4m", 40_000


def new_visit(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40), invented=True)
    return care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))


def stored(desk: care.Desk, visit: str) -> list[str]:
    with reading(desk.engine) as session:
        return [row.id for row in queries.entry_rows(session, visit)]


def is_sound(desk: care.Desk) -> bool:
    with reading(desk.engine) as session:
        return verify(session).is_sound


def _mount(place: Path) -> bool:
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(place)]
    return (
        shutil.which("mount") is not None and not subprocess.run(command, capture_output=True, check=False).returncode
    )


def _unmount(place: Path) -> None:
    subprocess.run(["umount", "-l", str(place)], check=True)


def _may_mount() -> bool:
    with tempfile.TemporaryDirectory() as place:
        may = _mount(Path(place))
        if may:
            _unmount(Path(place))
    return may


MOUNTS = ("a disk of its own",) if _may_mount() else ()
"""Only who may mount has a small disk of their own; others have a limit on files, and permissions."""


@pytest.fixture
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path]:
    """Where the store goes: a small disk, or a folder."""
    made = tmp_path / "place"
    made.mkdir()
    if request.param not in MOUNTS:
        yield made
        return
    assert _mount(made)
    yield made
    _unmount(made)


@contextmanager
def no_more_room(place: Path, *, mounted: bool) -> Iterator[None]:
    """Fill the disk but for some pages, or let no file grow beyond the largest and some pages."""
    if mounted:
        told = os.statvfs(place)
        (place / "filler").write_bytes(b"x" * (told.f_bavail * told.f_frsize - SPARE))
        yield
        (place / "filler").unlink()
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    largest = max(one.stat().st_size for one in place.iterdir() if one.is_file())
    resource.setrlimit(resource.RLIMIT_FSIZE, (largest + SPARE, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("place", [*MOUNTS, "a limit on files"], indirect=True)
def test_a_really_full_disk_is_said_and_what_was_acknowledged_stays(
    place: Path, request: pytest.FixtureRequest
) -> None:
    mounted = any(name in request.node.name for name in MOUNTS)
    desk = care.open_desk(str(place / "records.sqlite"))
    visit = new_visit(desk)
    acknowledged = [care.record_finding(desk, visit, TOLD)]

    def go_on() -> None:
        while True:
            acknowledged.append(care.record_finding(desk, visit, TOLD))

    with no_more_room(place, mounted=mounted):
        with pytest.raises(StoreFault, match=r"the disk (is full|did not answer).*nothing half-done was kept"):
            go_on()
        assert stored(desk, visit) == acknowledged
        if mounted:
            with pytest.raises(StoreFault, match=r"no backup could be made"):
                make_backup(desk.engine, BackupPlan(place / "backups"), datetime.now(UTC))
            assert backups_of(BackupPlan(place / "backups")) == []
    acknowledged.append(care.record_finding(desk, visit, TOLD))
    assert stored(desk, visit) == acknowledged
    assert is_sound(desk)
    desk.engine.dispose()


@pytest.mark.parametrize("place", MOUNTS or ("permissions",), indirect=True)
def test_a_place_that_turned_read_only_is_said_and_works_again_afterwards(place: Path) -> None:
    desk = care.open_desk(str(place / "records.sqlite"))
    visit = new_visit(desk)
    kept = care.record_finding(desk, visit, TOLD)
    desk.engine.dispose()
    turn(place, "ro")
    with pytest.raises(StoreFault, match=r"read-only|cannot be reached or written"):
        care.record_finding(desk, visit, TOLD)
    with pytest.raises(StoreFault, match="cannot open the records"):
        open_engine(str(place / "records.sqlite"))
    desk.engine.dispose()
    turn(place, "rw")
    again = care.record_finding(desk, visit, TOLD)
    assert stored(desk, visit) == [kept, again]
    desk.engine.dispose()


def turn(place: Path, how: str) -> None:
    """Make a place read-only, or writable again."""
    if MOUNTS:
        subprocess.run(["mount", "-o", f"remount,{how}", str(place)], check=True)
        return
    (place / "records.sqlite").chmod(0o400 if how == "ro" else 0o600)
    place.chmod(0o500 if how == "ro" else 0o700)


@pytest.fixture
def own_server() -> Iterator[PrivateServer]:
    """A server nobody else uses: it will be stopped."""
    try:
        made = PrivateServer(synced=True)
    except NoServer as missing:
        pytest.fail(str(missing))
    yield made
    made.close()


@pytest.mark.xdist_group("postgresql")
def test_a_database_that_goes_and_comes_back_loses_nothing_and_needs_no_restart(own_server: PrivateServer) -> None:
    desk = care.open_desk(own_server.new_store())
    visit = new_visit(desk)
    acknowledged = [care.record_finding(desk, visit, TOLD) for _ in range(3)]
    for _ in range(2):
        own_server.stop("immediate")
        with pytest.raises(StoreFault, match=r"the database (went away|does not answer)"):
            care.record_finding(desk, visit, TOLD)
        own_server.start()
        acknowledged.append(care.record_finding(desk, visit, TOLD))
    assert stored(desk, visit) == acknowledged
    assert is_sound(desk)
    desk.engine.dispose()


def test_after_the_clock_was_set_back_the_order_and_signed_visits_stay(desk: care.Desk) -> None:
    def by(hour: int) -> care.Desk:
        clock: Callable[[], datetime] = lambda: datetime(2026, 11, 26, hour, tzinfo=UTC)  # noqa: E731
        return replace(desk, clock=clock)

    noon, morning = by(12), by(9)
    first = new_visit(noon)
    care.record_finding(noon, first, TOLD)
    care.sign_note(noon, first, "A. Therapist")
    (person,) = care.list_people(noon)
    second = care.open_visit(morning, person.visits[0].episode_id)
    care.record_finding(morning, second, TOLD)
    care.correct_story(morning, second, "P-2", Person(61), Complaint(side=Side.LEFT))
    assert (care.view_visit(morning, first).number, care.view_visit(morning, second).number) == (1, 2)
    assert care.view_visit(morning, first).assessment.case.person.age == 40, "signed before the story was told again"
    assert care.view_visit(morning, second).assessment.case.person.age == 61
    last = care.view_visit(morning, second).last_time
    assert last is not None
    assert last.visit_id == first
    assert is_sound(desk)
    acts = [row.act for row in care.access_report(noon, person.id).rows]
    assert acts.count("open visit") == 2
    assert acts[0] == "new person"
    assert custody.look_at_store(desk.engine, "tester").check.is_sound
    assert timedelta(0) < care.view_visit(morning, second).opened_at - care.view_visit(morning, first).opened_at
