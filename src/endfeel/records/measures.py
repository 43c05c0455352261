"""What is read from and added to the outcome measures and preferences of a visit. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from endfeel.records.heads import IDS, fetch, plain
from endfeel.records.tables import MeasureRow, PreferenceRow, VisitRow
from endfeel.vocabulary import Refused
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer, Series

_VISIT, _MEASURE, _PREFERENCE = plain(VisitRow), plain(MeasureRow), plain(PreferenceRow)
_DAYS = (
    select(_VISIT.c.id, _VISIT.c.opened_at)
    .where(_VISIT.c.episode_id == bindparam("episode"))
    .order_by(_VISIT.c.opened_at, _VISIT.c.id)
)
_ANSWERS, _PREFERENCES = (
    select(*one.c).where(one.c.visit_id.in_(IDS)).order_by(one.c.number) for one in (_MEASURE, _PREFERENCE)
)


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
    found = fetch(session, _DAYS, episode=episode_id)
    return tuple(VisitDay(row.id, number, row.opened_at) for number, row in enumerate(found, 1))


def answer_rows(session: Session, visit_id: str) -> Sequence[Any]:
    """All rows of outcome measures of a visit, in order."""
    return fetch(session, _ANSWERS, ids=[visit_id])


def answers_of(session: Session, visit_id: str) -> tuple[KeptAnswer, ...]:
    """The answers of a visit that stand, in the order they were kept."""
    return standing_answers(answer_rows(session, visit_id))


def answers_by_visit(session: Session, visit_ids: Sequence[str]) -> dict[str, tuple[KeptAnswer, ...]]:
    """The same of several visits at once."""
    found: dict[str, list[KeptAnswer]] = {one: [] for one in visit_ids}
    for answer in standing_answers(fetch(session, _ANSWERS, ids=list(visit_ids))):
        found[answer.visit_id].append(answer)
    return {visit_id: tuple(several) for visit_id, several in found.items()}


def standing_answers(rows: Iterable[Any]) -> tuple[KeptAnswer, ...]:
    """Answers that were not taken back; of one series of one visit the latest, at the place of the first."""
    told = list(rows)
    gone = {row.takes_back for row in told}
    standing: dict[tuple[str, Series], KeptAnswer] = {}
    for row in told:
        if row.measure and row.id not in gone:
            answer = answer_from_row(row)
            standing[row.visit_id, answer.series] = KeptAnswer(row.id, row.visit_id, row.at, answer)
    return tuple(standing.values())


def answer_from_row(row: Any) -> OutcomeAnswer:
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
    return preferences_by_visit(session, visits_of(session, visit.episode_id))[visit_id]


def preferences_by_visit(session: Session, days: Sequence[VisitDay]) -> dict[str, KeptPreference]:
    """The same of several visits at once: `days` are the first visits of an episode, in order."""
    rows: dict[str, list[Any]] = {}
    for row in fetch(session, _PREFERENCES, ids=[day.id for day in days]):
        rows.setdefault(row.visit_id, []).append(row)
    stands, found = KeptPreference(), {}
    for day in days:
        stands = _preference(rows[day.id], day.id) if day.id in rows else stands
        found[day.id] = stands
    return found


def _preference(rows: Iterable[Any], visit_id: str) -> KeptPreference:
    latest = {(row.kind, row.word if row.kind == "refuse" else ""): row for row in rows}
    refused = frozenset(word for (kind, word), row in latest.items() if kind == "refuse" and row.holds)
    told = {kind: row.word for (kind, _), row in latest.items() if kind != "refuse" and row.holds}
    return KeptPreference(refused, told.get("instrument", ""), told.get("rater", ""), visit_id)


def add_preference(session: Session, visit_id: str, at: datetime, kind: str, word: str, *, holds: bool) -> None:
    """Append one preference. The caller holds the visit."""
    session.add(PreferenceRow(visit_id=visit_id, kind=kind, word=word, holds=holds, at=at))
    session.flush()
