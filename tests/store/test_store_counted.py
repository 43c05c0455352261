"""Two counts at once on a server: each waits for the other, neither fails."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from bench.server import PrivateServer
from sqlalchemy import text
from sqlalchemy.orm import Session

from endfeel import care
from endfeel.records import counted, hands
from endfeel.records.store import transaction
from endfeel.vocabulary import Complaint, Person, Side

NOW = datetime(2026, 3, 9, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.xdist_group("postgresql")


@pytest.fixture(scope="module")
def desk(server: PrivateServer, made_database: str) -> Iterator[care.Desk]:
    opened = care.open_desk(server.new_store(like=made_database))
    yield opened
    opened.engine.dispose()


@pytest.fixture
def episode(desk: care.Desk) -> str:
    """An episode of somebody who agreed to be counted."""
    person = care.new_person(desk, "invented", Person(60, "female", Side.RIGHT), invented=True)
    care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
    made = care.open_episode(desk, person, Complaint(side=Side.RIGHT))
    care.open_visit(desk, made)
    return made


def meanwhile(desk: care.Desk, first: Callable[[Session], None], second: Callable[[], None]) -> None:
    """Do `second` in another thread, which has to wait for the transaction of `first`; raises what it raised."""
    failed: list[BaseException] = []

    def act() -> None:
        try:
            second()
        except BaseException as error:  # noqa: BLE001 (told below)
            failed.append(error)

    thread = threading.Thread(target=act)
    with transaction(desk.engine) as session:
        first(session)
        session.flush()
        thread.start()
        until = time.monotonic() + 20
        while thread.is_alive() and not waits(desk) and time.monotonic() < until:
            time.sleep(0.01)
        assert thread.is_alive(), "it waits"
    thread.join(20)
    assert not thread.is_alive()
    if failed:
        raise failed[0]


def waits(desk: care.Desk) -> bool:
    with desk.engine.connect() as connection:
        return bool(connection.scalar(text("SELECT count(*) FROM pg_locks WHERE NOT granted")))


def test_a_word_against_it_waits_for_the_count_and_then_takes_what_it_kept(desk: care.Desk, episode: str) -> None:
    def count(session: Session) -> None:
        assert list(counted.held_owners(session, [episode, "gone"])) == [episode]
        counted.keep_episodes(session, {episode: ("mark", [])}, tests=False)

    with transaction(desk.engine) as session:
        person = counted.owners_of(session, [episode])[episode]
    meanwhile(desk, count, lambda: care.record_consent(desk, person, "shared_counts", False, "said so", "A. T."))
    with transaction(desk.engine) as session:
        assert counted.kept_episodes(session, [episode], tests=False) == {}
    meanwhile(desk, count, lambda: care.erase_person(desk, person, "wished"))


def test_two_who_keep_the_same_at_once_both_end_well_and_the_later_stands(desk: care.Desk, episode: str) -> None:
    kinds: list[Callable[[Session, str], None]] = [
        lambda at, told: counted.keep_episodes(at, {episode: (told, [["visit", {}]])}, tests=False),
        lambda at, told: counted.keep_site(at, "grey-owl-2", NOW, {"told": told}, own=False),
        lambda at, told: hands.keep_hands(at, "", NOW, told),
    ]

    for keep in kinds:

        def later(keep: Callable[[Session, str], None] = keep) -> None:
            with transaction(desk.engine) as session:
                keep(session, "later")

        meanwhile(desk, lambda session, keep=keep: keep(session, "earlier"), later)  # type: ignore[misc]
    with transaction(desk.engine) as session:
        assert counted.kept_episodes(session, [episode], tests=False) == {episode: ("later", [["visit", {}]])}
        assert [row.document for row in counted.sites(session)] == [{"told": "later"}]
        assert hands.hands_of(session, "") == "later"
