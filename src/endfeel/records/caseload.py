"""What is read of many episodes at once for counting: as many questions to the database for a hundred as for one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.measures import KeptAnswer, standing_answers
from endfeel.records.tables import EpisodeRow, MeasureRow, TurnRow, VisitRow
from endfeel.records.visit_records import safety_records
from endfeel.vocabulary import Case


@dataclass(frozen=True, slots=True)
class CountedVisit:
    """One visit as it is counted."""

    id: str
    opened_at: datetime
    turns: int
    """How often the person turned to another position."""
    case: Case
    answers: tuple[KeptAnswer, ...]


@dataclass(frozen=True, slots=True)
class CountedEpisode:
    """One episode with its visits in order; at least one."""

    id: str
    person_id: str
    visits: tuple[CountedVisit, ...]


def episodes_of_people(session: Session, people: Iterable[str]) -> tuple[CountedEpisode, ...]:
    """Every episode of these people that has a visit, in the order of people and first visits."""
    wanted = list(people)
    opened = (
        select(VisitRow, EpisodeRow.person_id)
        .join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        .where(EpisodeRow.person_id.in_(wanted))
        .order_by(VisitRow.opened_at, VisitRow.id)
    )
    visits: dict[tuple[str, str], list[VisitRow]] = {}
    for visit, person_id in session.execute(opened):
        visits.setdefault((person_id, visit.episode_id), []).append(visit)
    ids = [visit.id for mine in visits.values() for visit in mine]
    cases = safety_records(session, ids)
    rows: dict[str, list[MeasureRow]] = {}
    for row in session.scalars(select(MeasureRow).where(MeasureRow.visit_id.in_(ids)).order_by(MeasureRow.number)):
        rows.setdefault(row.visit_id, []).append(row)
    turned: dict[str, list[str]] = {}
    for turn in session.scalars(select(TurnRow).where(TurnRow.visit_id.in_(ids)).order_by(TurnRow.number)):
        turned.setdefault(turn.visit_id, []).append(turn.position)
    order = {person_id: place for place, person_id in enumerate(wanted)}
    return tuple(
        CountedEpisode(
            episode_id,
            person_id,
            tuple(
                CountedVisit(
                    one.id,
                    one.opened_at,
                    _changes([one.position, *turned.get(one.id, [])]),
                    cases[one.id].case,
                    standing_answers(rows.get(one.id, [])),
                )
                for one in mine
            ),
        )
        for (person_id, episode_id), mine in sorted(visits.items(), key=lambda pair: order[pair[0][0]])
    )


def _changes(positions: list[str]) -> int:
    return sum(before != after for before, after in pairwise(positions))
