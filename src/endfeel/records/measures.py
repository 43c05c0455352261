"""What is read from and added to the outcome measures and preferences of a visit. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.tables import MeasureRow, PreferenceRow, VisitRow
from endfeel.vocabulary import Refused
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer, Series


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """An answered outcome measure as it stands, with its id and its visit."""

    id: str
    visit_id: str
    kept_at: datetime
    answer: OutcomeAnswer


@dataclass(frozen=True, slots=True)
class VisitDay:
    """A visit of an episode, in the order they were opened, from 1."""

    id: str
    number: int
    opened_at: datetime


def visits_of(session: Session, episode_id: str) -> tuple[VisitDay, ...]:
    """The visits of an episode in order."""
    wanted = select(VisitRow).where(VisitRow.episode_id == episode_id).order_by(VisitRow.opened_at, VisitRow.id)
    return tuple(VisitDay(row.id, number, row.opened_at) for number, row in enumerate(session.scalars(wanted), 1))


def answer_rows(session: Session, visit_id: str) -> list[MeasureRow]:
    """All rows of outcome measures of a visit, in order."""
    wanted = select(MeasureRow).where(MeasureRow.visit_id == visit_id).order_by(MeasureRow.number)
    return list(session.scalars(wanted))


def answers_of(session: Session, visit_id: str) -> tuple[KeptAnswer, ...]:
    """The answers of a visit that stand, in the order they were kept."""
    return standing_answers(answer_rows(session, visit_id))


def standing_answers(rows: Iterable[MeasureRow]) -> tuple[KeptAnswer, ...]:
    """Answers that were not taken back; of one series of one visit the latest, at the place of the first."""
    told = list(rows)
    gone = {row.takes_back for row in told}
    standing: dict[tuple[str, Series], KeptAnswer] = {}
    for row in told:
        if row.measure and row.id not in gone:
            answer = answer_from_row(row)
            standing[row.visit_id, answer.series] = KeptAnswer(row.id, row.visit_id, row.at, answer)
    return tuple(standing.values())


def answer_from_row(row: MeasureRow) -> OutcomeAnswer:
    """The answer a row holds."""
    assert row.measure is not None  # noqa: S101 - the database says so of a row that takes nothing back
    assert row.answered_on is not None  # noqa: S101
    return OutcomeAnswer(
        row.measure,
        row.answered_on,
        tuple(row.answers),
        row.total,
        Occasion(row.occasion) if row.occasion else None,
        tuple(row.activities),
        Answering(row.answering or Answering.PERSON),
        row.instrument,
        row.note,
    )


def answer_row(session: Session, answer_id: str) -> MeasureRow | None:
    """The row of an answer, standing or taken back; None when there is none."""
    return session.scalar(select(MeasureRow).where(MeasureRow.id == answer_id, MeasureRow.measure.is_not(None)))


def is_answered(session: Session, visit_id: str, answer_id: str, answer: OutcomeAnswer) -> bool:
    """Whether this very answer is there already (sent twice). Raises Refused when its id stands for another."""
    row = session.scalar(select(MeasureRow).where(MeasureRow.id == answer_id))
    if row is None:
        return False
    if row.visit_id != visit_id or row.measure is None or answer_from_row(row) != answer:
        raise Refused("this answer was already kept with other content; answer it anew")
    return True


def add_answer(session: Session, visit_id: str, at: datetime, answer_id: str, answer: OutcomeAnswer) -> None:
    """Append an answered measure. The caller holds the visit."""
    session.add(
        MeasureRow(
            id=answer_id,
            visit_id=visit_id,
            at=at,
            measure=answer.measure,
            answered_on=answer.answered_on,
            answers=list(answer.answers),
            total=answer.total,
            occasion=str(answer.occasion) if answer.occasion else None,
            activities=list(answer.activities),
            answering=str(answer.answering),
            instrument=answer.instrument,
            note=answer.note,
        )
    )
    session.flush()


def take_back_answer(session: Session, visit_id: str, at: datetime, row_id: str, answer_id: str) -> None:
    """Append the taking back of an answer. The caller holds the visit."""
    session.add(
        MeasureRow(
            id=row_id, visit_id=visit_id, at=at, takes_back=answer_id, answers=[], activities=[], instrument="", note=""
        )
    )


@dataclass(frozen=True, slots=True)
class KeptPreference:
    """What stands about a visit: what is not wanted, and by what and by whom is measured."""

    refused: frozenset[str] = frozenset()
    instrument: str = ""
    rater: str = ""
    visit_id: str = ""
    """The visit it was said in; empty when nothing was ever said."""


def preference_of(session: Session, visit_id: str) -> KeptPreference:
    """What was said in this visit, else in the last visit of the episode before it in which anything was."""
    visit = session.get(VisitRow, visit_id)
    if visit is None:
        return KeptPreference()
    days = visits_of(session, visit.episode_id)
    number = next(day.number for day in days if day.id == visit_id)
    for day in reversed(days[:number]):
        rows = session.scalars(
            select(PreferenceRow).where(PreferenceRow.visit_id == day.id).order_by(PreferenceRow.number)
        ).all()
        if rows:
            return _preference(rows, day.id)
    return KeptPreference()


def _preference(rows: Iterable[PreferenceRow], visit_id: str) -> KeptPreference:
    latest = {(row.kind, row.word if row.kind == "refuse" else ""): row for row in rows}
    refused = frozenset(word for (kind, word), row in latest.items() if kind == "refuse" and row.holds)
    told = {kind: row.word for (kind, _), row in latest.items() if kind != "refuse" and row.holds}
    return KeptPreference(refused, told.get("instrument", ""), told.get("rater", ""), visit_id)


def add_preference(session: Session, visit_id: str, at: datetime, kind: str, word: str, *, holds: bool) -> None:
    """Append one preference. The caller holds the visit."""
    session.add(PreferenceRow(visit_id=visit_id, kind=kind, word=word, holds=holds, at=at))
    session.flush()
