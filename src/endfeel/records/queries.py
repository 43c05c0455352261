"""What is read from and added to the tables. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from endfeel.records.audit import audit as audit
from endfeel.records.audit import audit_of as audit_of
from endfeel.records.charts import EarlierChart, KeptArea, chart_of, earlier_chart
from endfeel.records.mapping import (
    Entry,
    case_from_rows,
    columns_of_finding,
    columns_of_treatment,
    entry_from_row,
    first_answers,
    latest_answers,
    retracted,
    standing,
)
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
from endfeel.vocabulary import Case, Finding, NotFound, Refused, Treatment

_HELD = "visits that are held"


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


@dataclass(frozen=True, slots=True)
class Override:
    """The latest override of a visit."""

    urgency: str
    flags: dict[str, str | None]
    """Flag id to its urgency when overridden; None where an early row did not keep it."""
    reason: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class SignedNote:
    """A frozen note with its addenda."""

    id: str
    signed_by: str
    signed_at: datetime
    case_text: str
    note: dict[str, Any]
    release: str
    program_version: str
    addenda: tuple[tuple[datetime, str, str], ...]
    last_story: int | None = None
    """Number of the last story told before it was signed; None where an early note did not keep it."""


@dataclass(frozen=True, slots=True)
class LastTime:
    """The visit before this one in the same episode, with what stood found in it."""

    visit_id: str
    opened_at: datetime
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class VisitRecord:
    """Everything stored about one visit, as values."""

    visit_id: str
    episode_id: str
    person_id: str
    label: str
    opened_at: datetime
    number: int
    """Which visit of its episode it is, from 1."""
    position: str
    """The one the person is in now: that of the last turn, else of arrival."""
    first_answers: dict[str, bool]
    """Answers to the first questions of the screen themselves, by the name it is kept under."""
    screen_number: int
    """Number of the last answer to the screen; what a page has shown is told by it."""
    last_time: LastTime | None
    stories: int
    """How often the story was told again."""
    wishes: dict[str, str]
    """What the therapist wants of the plan, by procedure, the latest wish last: `must`, `never` or `next`."""
    case: Case
    entries: tuple[Entry, ...]
    override: Override | None
    signed: SignedNote | None
    can_undo: bool
    can_redo: bool
    care_agreed: bool | None = None
    """What the person said about examination and treatment; None while nobody asked."""
    chart: tuple[KeptArea, ...] = ()
    """Areas drawn on the body chart, as they stand."""
    earlier_chart: EarlierChart | None = None
    """The chart of an earlier visit to compare with."""


def row_of(session: Session, kind: type[Any], key: str, what: str) -> Any:
    """A row by id. Raises NotFound."""
    row = session.get(kind, key)
    if row is None:
        raise NotFound(f"no {what} {key!r} in these records")
    return row


def visit_record(session: Session, visit_id: str) -> VisitRecord:
    """The whole of one visit. Raises NotFound."""
    visit = row_of(session, VisitRow, visit_id, "visit")
    episode = row_of(session, EpisodeRow, visit.episode_id, "episode")
    person = row_of(session, PersonRow, episode.person_id, "person")
    rows = entry_rows(session, visit_id)
    screen = session.scalars(select(ScreenRow).where(ScreenRow.visit_id == visit_id)).all()
    signed = signed_note(session, visit_id)
    stories = _stories(session, person.id, signed)
    told = next((one for one in stories if one.episode_id == episode.id), None)
    who = stories[0] if stories else person
    before, number = _visits_before(session, visit)
    return VisitRecord(
        visit_id=visit.id,
        episode_id=episode.id,
        person_id=person.id,
        label=who.label,
        opened_at=visit.opened_at,
        number=number,
        position=position_now(session, visit),
        first_answers=first_answers(screen),
        screen_number=max((row.number for row in screen), default=0),
        last_time=before,
        stories=sum(one.episode_id == episode.id for one in stories),
        wishes=wishes_of(session, visit_id),
        case=case_from_rows(who, told or episode, screen, rows, episode.title, person.invented),
        entries=tuple(entry_from_row(row) for row in standing(rows)),
        override=_override(session, visit_id),
        signed=signed,
        can_undo=last_to_undo(rows) is not None,
        can_redo=last_to_redo(rows) is not None,
        care_agreed=said_about(session, person.id, "care"),
        chart=chart_of(session, visit_id),
        earlier_chart=earlier_chart(session, visit_id),
    )


def said_about(session: Session, person_id: str, purpose: str) -> bool | None:
    """A person's latest word about a purpose; None while nobody asked."""
    wanted = select(ConsentRow.given).where(ConsentRow.person_id == person_id, ConsentRow.purpose == purpose)
    return session.scalar(wanted.order_by(ConsentRow.number.desc()).limit(1))


def _stories(session: Session, person_id: str, until: SignedNote | None) -> Sequence[StoryRow]:
    """What was told again of a person, the latest first; of a signed visit, only what was told before it was signed:
    by number, since a clock may be set back; by time where an early note kept no number."""
    wanted = select(StoryRow).where(StoryRow.person_id == person_id).order_by(StoryRow.number.desc())
    if until is not None and until.last_story is not None:
        wanted = wanted.where(StoryRow.number <= until.last_story)
    elif until is not None:
        wanted = wanted.where(StoryRow.at <= until.signed_at)
    return session.scalars(wanted).all()


def last_opened(session: Session, episode_id: str) -> datetime | None:
    """When the last visit of an episode was opened."""
    return session.scalar(select(func.max(VisitRow.opened_at)).where(VisitRow.episode_id == episode_id))


def last_story(session: Session, person_id: str) -> int:
    """Number of the last story told again of a person, 0 when none was."""
    return session.scalar(select(func.max(StoryRow.number)).where(StoryRow.person_id == person_id)) or 0


def _visits_before(session: Session, visit: VisitRow) -> tuple[LastTime | None, int]:
    """The visit before this one in its episode, and which one this is."""
    others = session.execute(
        select(VisitRow.id, VisitRow.opened_at)
        .where(VisitRow.episode_id == visit.episode_id)
        .order_by(VisitRow.opened_at, VisitRow.id)
    ).all()
    at = next(number for number, other in enumerate(others) if other.id == visit.id)
    if not at:
        return None, 1
    rows = [entry_from_row(row) for row in standing(entry_rows(session, others[at - 1].id))]
    last: dict[tuple[Any, ...], Finding] = {}
    for finding in (one.finding for one in rows if one.finding):
        last[finding.procedure, finding.side, finding.level] = finding
    return LastTime(others[at - 1].id, others[at - 1].opened_at, tuple(last.values())), at + 1


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


def entry_rows(session: Session, visit_id: str) -> Sequence[EntryRow]:
    """All rows of a visit, in order."""
    return session.scalars(select(EntryRow).where(EntryRow.visit_id == visit_id).order_by(EntryRow.sequence)).all()


def lock_visit(session: Session, visit_id: str) -> VisitRow:
    """The visit, held against other writers until the transaction ends; asked for again it is held already.

    Raises NotFound."""
    held: dict[str, VisitRow] = session.info.setdefault(_HELD, {})
    if visit_id not in held:
        visit = session.scalar(select(VisitRow).where(VisitRow.id == visit_id).with_for_update())
        if visit is None:
            raise NotFound(f"no visit {visit_id!r} in these records")
        held[visit_id] = visit
    return held[visit_id]


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


def is_kept(session: Session, visit_id: str, entry: NewEntry) -> bool:
    """Whether this very entry is there already (sent twice). Raises Refused when its id stands for something else."""
    row = session.get(EntryRow, entry.id)
    if row is None:
        return False
    if row.visit_id != visit_id or any(getattr(row, name) != value for name, value in entry.columns().items()):
        raise Refused("this entry was already recorded with other content; correct it, or record anew")
    return True


def add_entry(session: Session, visit_id: str, at: datetime, entry: NewEntry) -> None:
    """Append one entry with the visit's next number. The caller holds the visit."""
    last = session.scalar(select(func.max(EntryRow.sequence)).where(EntryRow.visit_id == visit_id)) or 0
    session.add(EntryRow(id=entry.id, visit_id=visit_id, sequence=last + 1, recorded_at=at, **entry.columns()))
    session.flush()


def last_to_undo(rows: Sequence[EntryRow]) -> str | None:
    """The newest entry that still counts."""
    alive = standing(rows)
    return max(alive, key=lambda row: row.sequence).id if alive else None


def last_to_redo(rows: Sequence[EntryRow]) -> str | None:
    """The newest standing retraction, as long as nothing was recorded after it."""
    gone = retracted(rows)
    for row in reversed(rows):
        if row.kind != "retraction":
            return None
        if row.id not in gone and not _undoes_retraction(row, rows):
            return row.id
    return None


def _undoes_retraction(row: EntryRow, rows: Sequence[EntryRow]) -> bool:
    return any(other.id == row.retracts and other.kind == "retraction" for other in rows)


def _override(session: Session, visit_id: str) -> Override | None:
    row = session.scalar(
        select(OverrideRow).where(OverrideRow.visit_id == visit_id).order_by(OverrideRow.number.desc()).limit(1)
    )
    return None if row is None else override_from_row(row)


def override_from_row(row: OverrideRow) -> Override:
    """The override that a row holds; flags kept without an urgency have none."""
    flags: dict[str, str | None] = dict.fromkeys(row.flags)
    if isinstance(row.flags, dict):
        flags.update(row.flags)
    return Override(row.urgency, flags, row.reason, row.by, row.at)


def signed_note(session: Session, visit_id: str) -> SignedNote | None:
    """The signed note of a visit, when there is one."""
    row = session.scalar(select(SignedNoteRow).where(SignedNoteRow.visit_id == visit_id))
    if row is None:
        return None
    more = session.scalars(select(AddendumRow).where(AddendumRow.note_id == row.id).order_by(AddendumRow.at)).all()
    return SignedNote(
        row.id, row.signed_by, row.signed_at, row.case_text, row.note, row.release, row.program_version,
        tuple((one.at, one.by, one.text) for one in more), row.last_story,
    )  # fmt: skip


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


def visit_mark(session: Session, visit_id: str, person_id: str = "") -> str:
    """Changes whenever anything is recorded in the visit, by whichever device. Raises NotFound."""
    person_id = person_id or person_of_visit(session, visit_id)
    kept = (ScreenRow, TurnRow, WishRow, MeasureRow, PreferenceRow, OverrideRow)
    numbers = (EntryRow.sequence, *(table.number for table in kept))
    last = [select(func.max(one)).where(one.class_.visit_id == visit_id).scalar_subquery() for one in numbers]
    told = select(func.max(StoryRow.number)).where(StoryRow.person_id == person_id).scalar_subquery()
    signed = select(func.count(SignedNoteRow.id)).where(SignedNoteRow.visit_id == visit_id).scalar_subquery()
    return "-".join(str(one or 0) for one in session.execute(select(*last, told, signed)).one())


def label_of(session: Session, person_id: str) -> str:
    """The label under which a person is kept now. Raises NotFound."""
    person = row_of(session, PersonRow, person_id, "person")
    stories = _stories(session, person_id, None)
    return str(stories[0].label if stories else person.label)


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
