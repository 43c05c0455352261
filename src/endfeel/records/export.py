"""Every row about one person, as plain data: what was corrected and taken back included."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import inspect, select
from sqlalchemy.orm import Session

from endfeel.records.counted import CountedEpisodeRow
from endfeel.records.staff_tables import AssignmentRow, BreakGlassRow, PresentedRow
from endfeel.records.tables import (
    AddendumRow,
    ChartAreaRow,
    ConfirmedRow,
    ConsentRow,
    DocumentAddendumRow,
    EntryRow,
    EpisodeRow,
    MeasureRow,
    OverrideRow,
    PersonRow,
    PreferenceRow,
    ScreenRow,
    SignedDocumentRow,
    SignedNoteRow,
    StoryRow,
    Table,
    TurnRow,
    VisitRow,
    WishRow,
)


def rows_about(session: Session, person_id: str) -> dict[str, list[dict[str, Any]]]:
    """Table name to rows, in the order they were written."""
    episodes = select(EpisodeRow.id).where(EpisodeRow.person_id == person_id)
    visits = select(VisitRow.id).where(VisitRow.episode_id.in_(episodes))
    notes = select(SignedNoteRow.id).where(SignedNoteRow.visit_id.in_(visits))
    documents = select(SignedDocumentRow.id).where(SignedDocumentRow.visit_id.in_(visits))
    wanted = (
        select(PersonRow).where(PersonRow.id == person_id),
        select(EpisodeRow).where(EpisodeRow.id.in_(episodes)).order_by(EpisodeRow.opened_at),
        select(StoryRow).where(StoryRow.person_id == person_id).order_by(StoryRow.number),
        select(VisitRow).where(VisitRow.id.in_(visits)).order_by(VisitRow.opened_at),
        select(EntryRow).where(EntryRow.visit_id.in_(visits)).order_by(EntryRow.visit_id, EntryRow.sequence),
        select(ScreenRow).where(ScreenRow.visit_id.in_(visits)).order_by(ScreenRow.number),
        select(TurnRow).where(TurnRow.visit_id.in_(visits)).order_by(TurnRow.number),
        select(WishRow).where(WishRow.visit_id.in_(visits)).order_by(WishRow.number),
        select(ChartAreaRow).where(ChartAreaRow.visit_id.in_(visits)).order_by(ChartAreaRow.number),
        select(MeasureRow).where(MeasureRow.visit_id.in_(visits)).order_by(MeasureRow.number),
        select(ConfirmedRow).where(ConfirmedRow.episode_id.in_(episodes)).order_by(ConfirmedRow.number),
        select(CountedEpisodeRow).where(CountedEpisodeRow.episode_id.in_(episodes)),
        select(PreferenceRow).where(PreferenceRow.visit_id.in_(visits)).order_by(PreferenceRow.number),
        select(OverrideRow).where(OverrideRow.visit_id.in_(visits)).order_by(OverrideRow.number),
        select(SignedNoteRow).where(SignedNoteRow.visit_id.in_(visits)).order_by(SignedNoteRow.signed_at),
        select(ConsentRow).where(ConsentRow.person_id == person_id).order_by(ConsentRow.number),
        select(AddendumRow).where(AddendumRow.note_id.in_(notes)).order_by(AddendumRow.at),
        select(SignedDocumentRow).where(SignedDocumentRow.visit_id.in_(visits)).order_by(SignedDocumentRow.signed_at),
        select(DocumentAddendumRow)
        .where(DocumentAddendumRow.document_id.in_(documents))
        .order_by(DocumentAddendumRow.at),
        select(PresentedRow).where(PresentedRow.visit_id.in_(visits)).order_by(PresentedRow.at),
        select(AssignmentRow).where(AssignmentRow.person_id == person_id).order_by(AssignmentRow.at),
        select(BreakGlassRow).where(BreakGlassRow.person_id == person_id).order_by(BreakGlassRow.number),
    )
    return {
        statement.column_descriptions[0]["type"].__tablename__: [_plain(row) for row in session.scalars(statement)]
        for statement in wanted
    }


def _plain(row: Table) -> dict[str, Any]:
    given = {column.key: getattr(row, column.key) for column in inspect(row).mapper.column_attrs}
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in given.items()}
