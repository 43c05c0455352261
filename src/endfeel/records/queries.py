"""What is read from and added to the tables. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, delete, func, insert, select
from sqlalchemy.orm import Session

from endfeel.records.audit import audit as audit
from endfeel.records.audit import audit_of as audit_of
from endfeel.records.audit import may as may
from endfeel.records.heads import fetch, heads_of, hold_free, hold_visit, plain
from endfeel.records.heads import head_of as head_of
from endfeel.records.heads import mark_of as mark_of
from endfeel.records.heads import mark_seen as mark_seen
from endfeel.records.heads import note_who_cares as note_who_cares
from endfeel.records.heads import visit_mark as visit_mark
from endfeel.records.mapping import columns_of_finding, columns_of_treatment, latest_answers, standing
from endfeel.records.mapping import last_to_redo as last_to_redo
from endfeel.records.mapping import last_to_undo as last_to_undo
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
    PurgeRow,
    ScreenRow,
    SignedDocumentRow,
    SignedNoteRow,
    StoryRow,
    TurnRow,
    VisitRow,
    WishRow,
)
from endfeel.records.visit_records import entry_rows as entry_rows
from endfeel.records.visit_records import override_from_row as override_from_row
from endfeel.records.visit_records import read_for_safety as read_for_safety
from endfeel.records.visit_records import safety_with as safety_with
from endfeel.records.visit_records import signed_note as signed_note
from endfeel.records.visit_records import visit_record as visit_record
from endfeel.records.visit_records import visit_records as visit_records
from endfeel.vocabulary import Finding, NotFound, Refused, Treatment

_HELD = "visits that are held"
_ENTRY = plain(EntryRow)
_ADD, _IS_THERE = insert(_ENTRY), select(_ENTRY.c.sequence).where(_ENTRY.c.id == bindparam("id"))


@dataclass(frozen=True, slots=True)
class PersonSummary:
    """One line of the start page."""

    id: str
    label: str
    age: int | None
    sex: str | None
    invented: bool
    visits: tuple[VisitSummary, ...]


@dataclass(frozen=True, slots=True)
class VisitSummary:
    """One visit, in a list."""

    id: str
    episode_id: str
    title: str
    opened_at: datetime
    entries: int
    signed_by: str | None
    number: int = 1
    """Which visit of its episode it is, from 1."""
    mark: tuple[int, ...] = ()
    """Changes whenever anything is recorded that the verdict hangs on."""


def row_of(session: Session, kind: type[Any], key: str, what: str) -> Any:
    """A row by id. Raises NotFound."""
    row = session.get(kind, key)
    if row is None:
        raise NotFound(f"no {what} {key!r} in these records")
    return row


def said_about(session: Session, person_id: str, purpose: str) -> bool | None:
    """A person's latest word about a purpose; None while nobody asked."""
    wanted = select(ConsentRow.given).where(ConsentRow.person_id == person_id, ConsentRow.purpose == purpose)
    return session.scalar(wanted.order_by(ConsentRow.number.desc()).limit(1))


def last_opened(session: Session, episode_id: str) -> datetime | None:
    """When the last visit of an episode was opened."""
    return session.scalar(select(func.max(VisitRow.opened_at)).where(VisitRow.episode_id == episode_id))


def last_story(session: Session, person_id: str) -> int:
    """Number of the last story told again of a person, 0 when none was."""
    return session.scalar(select(func.max(StoryRow.number)).where(StoryRow.person_id == person_id)) or 0


def position_now(session: Session, visit: VisitRow) -> str:
    """Where the last turn left the person; the position of arrival when there was none."""
    last = select(TurnRow.position).where(TurnRow.visit_id == visit.id).order_by(TurnRow.number.desc()).limit(1)
    return session.scalar(last) or visit.position


def wishes_of(session: Session, visit_id: str) -> dict[str, str]:
    """Procedure to wish as they stand, the latest last."""
    found: dict[str, str] = {}
    for row in session.scalars(select(WishRow).where(WishRow.visit_id == visit_id).order_by(WishRow.number)):
        found.pop(row.procedure, None)
        if row.wish != "none":
            found[row.procedure] = row.wish
    return found


def screen_answers(session: Session, visit_id: str, until: int | None = None) -> dict[str, bool]:
    """Answers of the screen as they stand, or as they stood when answer number `until` was the last."""
    wanted = select(ScreenRow).where(ScreenRow.visit_id == visit_id)
    return latest_answers(session.scalars(wanted.where(ScreenRow.number <= until) if until is not None else wanted))


def lock_visit(session: Session, visit_id: str) -> Any:
    """The visit, held against other writers until the transaction ends; asked for again it is held already.

    Raises NotFound."""
    held: dict[str, Any] = session.info.setdefault(_HELD, {})
    if visit_id not in held:
        held[visit_id] = hold_visit(session, visit_id)
    return held[visit_id]


def hold_heads(session: Session, visit_ids: Iterable[str]) -> dict[str, Any]:
    """Heads of those visits that nobody else holds, held until the transaction ends. Nobody is waited for."""
    return heads_of(session, hold_free(session, visit_ids))


@dataclass(frozen=True, slots=True)
class NewEntry:
    """What is to be appended: exactly one of finding, treatment and retracted entry."""

    id: str
    kind: str
    finding: Finding | None = None
    treatment: Treatment | None = None
    supersedes: str | None = None
    retracts: str | None = None

    def columns(self) -> dict[str, Any]:
        """Everything but place and time."""
        told = columns_of_finding(self.finding) if self.finding else {}
        told |= columns_of_treatment(self.treatment) if self.treatment else {}
        return {"kind": self.kind, "supersedes": self.supersedes, "retracts": self.retracts, **told}

    def placed(self, visit_id: str, sequence: int, at: datetime) -> dict[str, Any]:
        """All columns."""
        return {"id": self.id, "visit_id": visit_id, "sequence": sequence, "recorded_at": at, **self.columns()}


def is_kept(session: Session, visit_id: str, entry: NewEntry) -> bool:
    """Whether this very entry is there already (sent twice). Raises Refused when its id stands for something else."""
    if not fetch(session, _IS_THERE, id=entry.id):
        return False
    row = row_of(session, EntryRow, entry.id, "entry")
    if row.visit_id != visit_id or any(getattr(row, name) != value for name, value in entry.columns().items()):
        raise Refused("this entry was already recorded with other content; correct it, or record anew")
    return True


def add_entry(session: Session, visit_id: str, at: datetime, entry: NewEntry, sequence: int | None = None) -> EntryRow:
    """Append one entry with the visit's next number, or with this one; gives its row. The caller holds the visit."""
    if sequence is None:
        last = session.scalar(select(func.max(EntryRow.sequence)).where(EntryRow.visit_id == visit_id)) or 0
        sequence = last + 1
    told = entry.placed(visit_id, sequence, at)
    add_entries(session, [told])
    return EntryRow(**told)


def add_entries(session: Session, told: list[dict[str, Any]]) -> None:
    """Append placed entries of one kind, each of another visit. The caller holds the visits."""
    session.flush()
    session.connection().execute(_ADD, told)


def people(session: Session) -> tuple[PersonSummary, ...]:
    """Everybody, newest first, each with the visits."""
    signed = {row[0]: row[1] for row in session.execute(select(SignedNoteRow.visit_id, SignedNoteRow.signed_by))}
    counts = _standing_counts(session)
    marks = _marks(session)
    told: dict[str, PersonRow | StoryRow] = {
        story.person_id: story for story in session.scalars(select(StoryRow).order_by(StoryRow.number))
    }
    visits: dict[str, list[VisitSummary]] = {}
    numbers: dict[str, int] = {}
    joined = (
        select(VisitRow, EpisodeRow)
        .join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        .order_by(VisitRow.opened_at, VisitRow.id)
    )
    for visit, episode in session.execute(joined):
        numbers[episode.id] = numbers.get(episode.id, 0) + 1
        story = told.get(episode.person_id)
        line = VisitSummary(
            visit.id, episode.id, episode.title, visit.opened_at, counts.get(visit.id, 0), signed.get(visit.id),
            numbers[episode.id], (*marks.get(visit.id, ()), story.number if isinstance(story, StoryRow) else 0),
        )  # fmt: skip
        visits.setdefault(episode.person_id, []).insert(0, line)
    rows = session.scalars(select(PersonRow).order_by(PersonRow.created_at.desc())).all()
    return tuple(
        PersonSummary(p.id, who.label, who.age, who.sex, p.invented, tuple(visits.get(p.id, ())))
        for p in rows
        for who in (told.get(p.id, p),)
    )


def _marks(session: Session) -> dict[str, tuple[int, ...]]:
    """The last entry, screen answer and override of each visit."""
    marks: dict[str, list[int]] = {}
    for at, number in enumerate((EntryRow.sequence, ScreenRow.number, OverrideRow.number)):
        owner = number.class_.visit_id
        for visit_id, last in session.execute(select(owner, func.max(number)).group_by(owner)):
            marks.setdefault(visit_id, [0, 0, 0])[at] = last
    return {visit_id: tuple(mark) for visit_id, mark in marks.items()}


def label_of(session: Session, person_id: str) -> str:
    """The label under which a person is kept now. Raises NotFound."""
    person = row_of(session, PersonRow, person_id, "person")
    told = select(StoryRow.label).where(StoryRow.person_id == person_id).order_by(StoryRow.number.desc()).limit(1)
    return str(session.scalar(told) or person.label)


def _standing_counts(session: Session) -> dict[str, int]:
    """Entries that count now, by visit. Only visits with an undo or a correction need a look at each entry."""
    counted = session.execute(select(EntryRow.visit_id, func.count()).group_by(EntryRow.visit_id))
    counts: dict[str, int] = {row[0]: row[1] for row in counted}
    links = (EntryRow.visit_id, EntryRow.id, EntryRow.sequence, EntryRow.kind, EntryRow.supersedes, EntryRow.retracts)
    changed = select(EntryRow.visit_id).where(EntryRow.supersedes.is_not(None) | EntryRow.retracts.is_not(None))
    by_visit: dict[str, list[Any]] = {}
    for link in session.execute(select(*links).where(EntryRow.visit_id.in_(changed))):
        by_visit.setdefault(link.visit_id, []).append(link)
    return counts | {visit_id: len(standing(rows)) for visit_id, rows in by_visit.items()}


def person_of_visit(session: Session, visit_id: str) -> str:
    """The person a visit belongs to. Raises NotFound."""
    wanted = select(EpisodeRow.person_id).join(VisitRow, VisitRow.episode_id == EpisodeRow.id)
    found = session.scalar(wanted.where(VisitRow.id == visit_id))
    if found is None:
        raise NotFound(f"no visit {visit_id!r} in these records")
    return found


def episode_of_visit(session: Session, visit_id: str) -> str:
    """The episode a visit belongs to. Raises NotFound."""
    return str(row_of(session, VisitRow, visit_id, "visit").episode_id)


def ids_labelled(session: Session, said: str) -> tuple[str, ...]:
    """Ids of the people whose label now, or whose id, is exactly this; small and large letters alike."""
    told = select(PersonRow.id).where((PersonRow.id == said) | (func.lower(PersonRow.label) == said.lower()))
    again = select(StoryRow.person_id).where(func.lower(StoryRow.label) == said.lower())
    found = {*session.scalars(told), *session.scalars(again)}
    return tuple(sorted(one for one in found if one == said or label_of(session, one).lower() == said.lower()))


def delete_person(
    session: Session, person_id: str, at: datetime, rule: str | None = None, kept_until: datetime | None = None
) -> None:
    """Remove a person with everything about them.

    The database refuses when a signed note exists, unless a rule of retention is named whose time was over at `at`.
    """
    row_of(session, PersonRow, person_id, "person")
    session.add(PurgeRow(person_id=person_id, at=at, rule=rule, kept_until=kept_until))
    session.flush()
    visits = (
        select(VisitRow.id)
        .join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        .where(EpisodeRow.person_id == person_id)
    )
    if rule:
        notes = select(SignedNoteRow.id).where(SignedNoteRow.visit_id.in_(visits))
        session.execute(delete(AddendumRow).where(AddendumRow.note_id.in_(notes)))
        session.execute(delete(SignedNoteRow).where(SignedNoteRow.visit_id.in_(visits)))
        letters = select(SignedDocumentRow.id).where(SignedDocumentRow.visit_id.in_(visits))
        session.execute(delete(DocumentAddendumRow).where(DocumentAddendumRow.document_id.in_(letters)))
        session.execute(delete(SignedDocumentRow).where(SignedDocumentRow.visit_id.in_(visits)))
    for table in (EntryRow, ScreenRow, TurnRow, WishRow, ChartAreaRow, MeasureRow, PreferenceRow, OverrideRow,
                  PresentedRow):  # fmt: skip
        session.execute(delete(table).where(table.visit_id.in_(visits)))
    session.execute(delete(VisitRow).where(VisitRow.id.in_(visits)))
    episodes = select(EpisodeRow.id).where(EpisodeRow.person_id == person_id)
    session.execute(delete(ConfirmedRow).where(ConfirmedRow.episode_id.in_(episodes)))
    for owned in (StoryRow, ConsentRow, AssignmentRow, BreakGlassRow, EpisodeRow):
        session.execute(delete(owned).where(owned.person_id == person_id))
    session.execute(delete(PersonRow).where(PersonRow.id == person_id))
