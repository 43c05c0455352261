"""Rows of counted episodes, kept as long as nothing was recorded since; and counts that other sites sent. The caller
opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, Connection, ForeignKey, String, delete, func, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from endfeel.records.replacing import put
from endfeel.records.tables import (
    ConfirmedRow,
    EntryRow,
    EpisodeRow,
    MeasureRow,
    PersonRow,
    ScreenRow,
    SignedNoteRow,
    StoryRow,
    Table,
    TurnRow,
    UtcTime,
    VisitRow,
)


class CountedEpisodeRow(Table):
    """What an episode tells a count, reckoned. It follows from the other tables alone: it may be lost at any time."""

    __tablename__ = "counted_episode"
    episode_id: Mapped[str] = mapped_column(ForeignKey("episode.id", ondelete="CASCADE"), primary_key=True)
    mark: Mapped[str] = mapped_column(String(64))
    """What stood in the episode when it was reckoned, and by which evidence and program."""
    tests: Mapped[bool]
    """Whether it was reckoned which tests changed the choice: that takes most of the time."""
    rows: Mapped[list[list[Any]]] = mapped_column(JSON)


class SiteCountsRow(Table):
    """The newest counts of a site: tables of tests against what turned out, and nobody's record."""

    __tablename__ = "site_counts"
    site: Mapped[str] = mapped_column(String(64), primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    own: Mapped[bool]
    """Whether this site sent it: what was told once decides what may be told next."""
    document: Mapped[dict[str, Any]] = mapped_column(JSON)


def marks_of_people(session: Session, people: Iterable[str]) -> dict[str, str]:
    """Episode to a word that changes whenever anything in it that is counted changes: numbers of rows that are never
    changed. Only episodes with a visit; as many questions to the database for many people as for one."""
    wanted = list(people)
    mine = select(EpisodeRow.id).where(EpisodeRow.person_id.in_(wanted))
    visits = select(VisitRow.id).where(VisitRow.episode_id.in_(mine))
    found: dict[str, list[str]] = {}
    for number in (EntryRow.sequence, ScreenRow.number, TurnRow.number, MeasureRow.number):
        table = number.class_
        last = select(table.visit_id, func.max(number)).where(table.visit_id.in_(visits)).group_by(table.visit_id)
        for visit_id, most in session.execute(last):
            found.setdefault(visit_id, []).append(f"{table.__tablename__} {most}")
    signed = select(SignedNoteRow.visit_id).where(SignedNoteRow.visit_id.in_(visits))
    for visit_id in session.scalars(signed):
        found.setdefault(visit_id, []).append("signed")
    told = select(StoryRow.person_id, func.max(StoryRow.number)).where(StoryRow.person_id.in_(wanted))
    stories = {row[0]: row[1] for row in session.execute(told.group_by(StoryRow.person_id))}
    opened = (
        select(VisitRow.id, VisitRow.episode_id, EpisodeRow.person_id)
        .join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        .where(VisitRow.episode_id.in_(mine))
        .order_by(VisitRow.episode_id, VisitRow.opened_at, VisitRow.id)
    )
    marks: dict[str, list[str]] = {}
    for visit_id, episode_id, person_id in session.execute(opened):
        mark = marks.setdefault(episode_id, [f"story {stories.get(person_id, 0)}"])
        mark.append(" ".join([visit_id, *found.get(visit_id, ())]))
    return {episode_id: "\n".join(mark) for episode_id, mark in marks.items()}


def owners_of(session: Session, episodes: Iterable[str]) -> dict[str, str]:
    """Episode to person, the first opened first."""
    wanted = select(EpisodeRow.id, EpisodeRow.person_id).where(EpisodeRow.id.in_(list(episodes)))
    return {row[0]: row[1] for row in session.execute(wanted.order_by(EpisodeRow.opened_at, EpisodeRow.id))}


def kept_episodes(
    session: Session, episodes: Iterable[str], *, tests: bool
) -> dict[str, tuple[str, list[list[Any]]]]:  # fmt: skip
    """Episode to its mark when it was reckoned, and its rows; with `tests` those alone of which it is known which
    tests changed the choice."""
    wanted = select(CountedEpisodeRow).where(CountedEpisodeRow.episode_id.in_(list(episodes)))
    wanted = wanted.where(CountedEpisodeRow.tests.is_(True)) if tests else wanted
    return {row.episode_id: (row.mark, row.rows) for row in session.scalars(wanted)}


def held_owners(session: Session, episodes: Iterable[str]) -> dict[str, str]:
    """Episode to person of those that are there, held until the transaction ends: nobody is erased and nobody's word
    about consent comes meanwhile."""
    there = select(EpisodeRow.id, EpisodeRow.person_id).where(EpisodeRow.id.in_(list(episodes))).order_by(EpisodeRow.id)
    found = {row[0]: row[1] for row in session.execute(there.with_for_update(read=True, key_share=True))}
    people = select(PersonRow.id).where(PersonRow.id.in_(found.values())).order_by(PersonRow.id)
    session.execute(people.with_for_update()).all()
    return found


def keep_episodes(session: Session, reckoned: Mapping[str, tuple[str, list[list[Any]]]], *, tests: bool) -> None:
    """Keep what was reckoned of episodes that are held."""
    told = [
        {"episode_id": one, "mark": mark, "tests": tests, "rows": rows}
        for one, (mark, rows) in sorted(reckoned.items())
    ]  # fmt: skip
    put(session, CountedEpisodeRow, told)


def forget_episodes(session: Session, person_id: str) -> None:
    """Keep nothing reckoned of a person who is counted no longer."""
    mine = select(EpisodeRow.id).where(EpisodeRow.person_id == person_id)
    session.execute(delete(CountedEpisodeRow).where(CountedEpisodeRow.episode_id.in_(mine)))


def sites(session: Session) -> tuple[SiteCountsRow, ...]:
    """The newest document of each site, by its code."""
    return tuple(session.scalars(select(SiteCountsRow).order_by(SiteCountsRow.site)))


def anything_counted(connection: Connection) -> bool:
    """Whether anything turned out in any episode, or another site sent counts."""
    gone = select(ConfirmedRow.takes_back).where(ConfirmedRow.takes_back.is_not(None))
    here = select(ConfirmedRow.id).where(ConfirmedRow.takes_back.is_(None), ConfirmedRow.id.not_in(gone)).limit(1)
    there = select(SiteCountsRow.site).where(SiteCountsRow.own.is_(False)).limit(1)
    return connection.scalar(here) is not None or connection.scalar(there) is not None


def keep_site(session: Session, site: str, at: datetime, document: dict[str, Any], *, own: bool) -> None:
    """Keep a site's document in place of its earlier one."""
    put(session, SiteCountsRow, [{"site": site, "at": at, "document": document, "own": own}])


def remove_site(session: Session, site: str) -> None:
    """Keep nothing of another site."""
    session.execute(delete(SiteCountsRow).where(SiteCountsRow.site == site, SiteCountsRow.own.is_(False)))
