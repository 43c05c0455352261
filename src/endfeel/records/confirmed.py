"""What turned out to be so in an episode: read and added. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.tables import ConfirmedRow, EpisodeRow
from endfeel.vocabulary import Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference


@dataclass(frozen=True, slots=True)
class KeptOutcome:
    """A confirmed outcome as it stands."""

    id: str
    episode_id: str
    kept_at: datetime
    outcome: ConfirmedOutcome


def outcomes_of(session: Session, episodes: Iterable[str]) -> tuple[KeptOutcome, ...]:
    """What stands in these episodes, in the order it was kept; of one contributor, side and reference the latest."""
    wanted = select(ConfirmedRow).where(ConfirmedRow.episode_id.in_(list(episodes))).order_by(ConfirmedRow.number)
    rows = session.scalars(wanted).all()
    gone = {row.takes_back for row in rows}
    standing: dict[tuple[object, ...], KeptOutcome] = {}
    for row in rows:
        if row.takes_back is None and row.id not in gone:
            key = row.episode_id, row.contributor, row.side, row.reference
            standing.pop(key, None)
            standing[key] = KeptOutcome(row.id, row.episode_id, row.at, outcome_from_row(row))
    return tuple(standing.values())


def outcome_from_row(row: ConfirmedRow) -> ConfirmedOutcome:
    """The outcome a row holds."""
    assert row.contributor is not None  # noqa: S101 - the database says so of a row that takes nothing back
    assert row.known_on is not None  # noqa: S101
    return ConfirmedOutcome(
        row.contributor,
        Side(row.side) if row.side else None,
        bool(row.confirmed),
        Reference(row.reference or Reference.RESPONSE),
        row.known_on,
        row.words,
        row.by,
    )


def kept_before(session: Session, outcome_id: str) -> ConfirmedRow | None:
    """The row with this id."""
    return session.scalar(select(ConfirmedRow).where(ConfirmedRow.id == outcome_id))


def add_outcome(session: Session, episode_id: str, at: datetime, outcome_id: str, told: ConfirmedOutcome) -> None:
    """Append one."""
    session.add(
        ConfirmedRow(
            id=outcome_id, episode_id=episode_id, at=at, contributor=told.contributor,
            side=str(told.side) if told.side else None, confirmed=told.confirmed, reference=str(told.reference),
            known_on=told.known_on, words=told.words, by=told.by,
        )
    )  # fmt: skip
    session.flush()


def take_back(session: Session, episode_id: str, at: datetime, row_id: str, outcome_id: str, by: str) -> None:
    """Append the taking back of one."""
    session.add(ConfirmedRow(id=row_id, episode_id=episode_id, at=at, takes_back=outcome_id, words="", by=by))


def episodes_with_outcomes(session: Session, people: Iterable[str]) -> dict[str, str]:
    """Episode to person, of these people, where anything was ever confirmed."""
    wanted = (
        select(EpisodeRow.id, EpisodeRow.person_id)
        .where(EpisodeRow.person_id.in_(list(people)))
        .where(EpisodeRow.id.in_(select(ConfirmedRow.episode_id)))
        .order_by(EpisodeRow.opened_at, EpisodeRow.id)
    )
    return {row.id: row.person_id for row in session.execute(wanted)}
