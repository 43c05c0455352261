"""What a person said about each purpose, and how old their record is. The caller opens the transaction."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from endfeel.records.queries import row_of
from endfeel.records.tables import (
    PURPOSES,
    AddendumRow,
    ConfirmedRow,
    ConsentRow,
    DocumentAddendumRow,
    EntryRow,
    EpisodeRow,
    MeasureRow,
    PersonRow,
    ScreenRow,
    SignedDocumentRow,
    SignedNoteRow,
    StoryRow,
    VisitRow,
)


@dataclass(frozen=True, slots=True)
class Consent:
    """What counts about one purpose. `given` is None while nobody has asked: that is no."""

    purpose: str
    given: bool | None = None
    words: str = ""
    by: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class RecordAge:
    """How old a record is, and whether anything in it must be kept."""

    person_id: str
    label: str
    age: int | None
    age_told_at: datetime
    last_at: datetime
    """The last moment of which the record tells anything."""
    signed: bool
    has_care: bool
    """Whether anything was found, done or signed."""


def consents_of(session: Session, person_id: str) -> dict[str, Consent]:
    """Purpose to what counts about it, every purpose in its order."""
    found = {purpose: Consent(purpose) for purpose in PURPOSES}
    wanted = select(ConsentRow).where(ConsentRow.person_id == person_id).order_by(ConsentRow.number)
    for row in session.scalars(wanted):
        found[row.purpose] = Consent(row.purpose, row.given, row.words, row.by, row.at)
    return found


def agreeing(session: Session, purpose: str) -> tuple[str, ...]:
    """Ids of the people whose latest word about a purpose is yes."""
    latest = select(func.max(ConsentRow.number)).where(ConsentRow.purpose == purpose).group_by(ConsentRow.person_id)
    wanted = select(ConsentRow.person_id).where(ConsentRow.number.in_(latest), ConsentRow.given.is_(True))
    return tuple(session.scalars(wanted.order_by(ConsentRow.person_id)))


def add_consent(session: Session, person_id: str, consent: Consent) -> None:
    """Append what was said."""
    session.add(
        ConsentRow(
            person_id=person_id, purpose=consent.purpose, given=consent.given, words=consent.words, by=consent.by,
            at=consent.at,
        )
    )  # fmt: skip


def record_age(session: Session, person_id: str) -> RecordAge:
    """Raises NotFound for an unknown person."""
    person: PersonRow = row_of(session, PersonRow, person_id, "person")
    story = session.scalar(
        select(StoryRow).where(StoryRow.person_id == person_id).order_by(StoryRow.number.desc()).limit(1)
    )
    episodes = select(EpisodeRow.id).where(EpisodeRow.person_id == person_id)
    visits = select(VisitRow.id).where(VisitRow.episode_id.in_(episodes))
    notes = select(SignedNoteRow.id).where(SignedNoteRow.visit_id.in_(visits))
    letters = select(SignedDocumentRow.id).where(SignedDocumentRow.visit_id.in_(visits))
    moments = (
        select(func.max(EpisodeRow.opened_at)).where(EpisodeRow.id.in_(episodes)),
        select(func.max(VisitRow.opened_at)).where(VisitRow.id.in_(visits)),
        select(func.max(EntryRow.recorded_at)).where(EntryRow.visit_id.in_(visits)),
        select(func.max(ScreenRow.answered_at)).where(ScreenRow.visit_id.in_(visits)),
        select(func.max(MeasureRow.at)).where(MeasureRow.visit_id.in_(visits)),
        select(func.max(ConfirmedRow.at)).where(ConfirmedRow.episode_id.in_(episodes)),
        select(func.max(SignedNoteRow.signed_at)).where(SignedNoteRow.visit_id.in_(visits)),
        select(func.max(AddendumRow.at)).where(AddendumRow.note_id.in_(notes)),
        select(func.max(SignedDocumentRow.signed_at)).where(SignedDocumentRow.visit_id.in_(visits)),
        select(func.max(DocumentAddendumRow.at)).where(DocumentAddendumRow.document_id.in_(letters)),
    )
    told = [moment for one in moments if (moment := session.scalar(one)) is not None]
    entries = session.scalar(select(func.count()).select_from(EntryRow).where(EntryRow.visit_id.in_(visits))) or 0
    signed = session.scalar(notes.limit(1)) or session.scalar(letters.limit(1))
    return RecordAge(
        person_id,
        story.label if story else person.label,
        story.age if story else person.age,
        story.at if story else person.created_at,
        max([person.created_at, *told]),
        bool(signed),
        bool(entries or signed),
    )


def everybody(session: Session) -> tuple[str, ...]:
    """Ids of all people."""
    return tuple(session.scalars(select(PersonRow.id).order_by(PersonRow.created_at, PersonRow.id)))
