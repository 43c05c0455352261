"""Taking over what others recorded: shown first, then kept, once however often it is sent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from endfeel.care.checks import MAX_NAME, check_findings, kept_words
from endfeel.care.desk import Desk
from endfeel.care.measures import check_words
from endfeel.care.people import new_rows
from endfeel.care.writing import refuse_without_consent
from endfeel.exchange import Intake, ObservationRead, PersonRead, read_intake
from endfeel.exchange.elements import derived_id
from endfeel.exchange.reading import GENERAL
from endfeel.exchange.reading_findings import FROM_ELSEWHERE
from endfeel.records import measures, queries
from endfeel.records.queries import NewEntry
from endfeel.records.tables import EntryRow, EpisodeRow, PersonRow, VisitRow
from endfeel.vocabulary import CannotRead, Complaint, Fault, Finding, Person, Position
from endfeel.vocabulary.outcomes import OutcomeAnswer

TITLE = FROM_ELSEWHERE
NEW, KEPT_BEFORE, DIFFERS, NOT_KEPT = "new", "kept before", "differs from what was kept", "not kept"


@dataclass(frozen=True, slots=True)
class TakenPerson:
    """A person of the file and where they go."""

    id: str
    read: PersonRead | None
    """None for a person on record to whom observations without a person of their own go."""
    label: str
    on_record: bool


@dataclass(frozen=True, slots=True)
class TakenEntry:
    """One observation and what becomes of it."""

    id: str
    person_id: str
    at: datetime
    read: ObservationRead | None
    """None for what was told of the person and has no place of its own."""
    finding: Finding | None
    """None for an outcome measure, which `read` holds, and for what is not kept."""
    status: str
    reasons: tuple[str, ...]

    @property
    def answer(self) -> OutcomeAnswer | None:
        """The answered outcome measure it is, if it is one."""
        return self.read.answer if self.read else None


@dataclass(frozen=True, slots=True)
class TakeOver:
    """What a file holds and what would become of it, or became of it."""

    intake: Intake
    people: tuple[TakenPerson, ...]
    entries: tuple[TakenEntry, ...]
    visits: Mapping[str, datetime] = field(default_factory=dict)
    """Visits that were written to, once it is kept, each with its day."""

    def count(self, status: str) -> int:
        """How many entries stand so."""
        return sum(one.status == status for one in self.entries)

    @property
    def new_people(self) -> int:
        return sum(not one.on_record for one in self.people)


def look_at(desk: Desk, text: str, person_id: str | None = None) -> TakeOver:
    """What the file holds and what would become of it; nothing is kept. `person_id`: to whom it goes.

    Raises CannotRead when it is not to be read, or when one person is named for a file with several; NotFound.
    """
    intake = read_intake(text, desk.library, desk.clock())
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "look at a file to take over", person_id)
        plan = _planned(session, desk, intake, person_id)
        for one in plan.people:
            if one.on_record and one.id != person_id:
                queries.audit(session, desk.clock(), desk.who, "look at a file to take over", one.id)
        return plan


def take_over(desk: Desk, text: str, person_id: str | None = None) -> TakeOver:
    """Keep it, all or nothing. The same file twice changes nothing; what differs from what was kept is not touched."""
    intake = read_intake(text, desk.library, desk.clock())
    with desk.transaction() as session:
        plan = _planned(session, desk, intake, person_id)
        check_findings(desk, (one.finding for one in plan.entries if one.status == NEW and one.finding))
        for one in plan.entries:
            if one.answer is not None:
                check_words(one.answer)
        for person in {one.id: one for one in plan.people}.values():
            if not person.on_record and person.read:
                _add_person(session, desk, person.read)
        visits = dict(_keep(session, desk, plan.entries))
        for person in plan.people:
            mine = [one for one in plan.entries if one.person_id == person.id]
            told = f"{sum(one.status == NEW for one in mine)} new, {len(mine)} in the file"
            queries.audit(session, desk.clock(), desk.who, "take over", person.id, detail=told)
    return replace(plan, visits=visits)


def _planned(session: Session, desk: Desk, intake: Intake, person_id: str | None) -> TakeOver:
    people = tuple(_people(session, intake, person_id))
    by_name = {name: one for one in people if one.read for name in one.read.names}
    found = [*_from_people(session, desk, people)]
    for read in intake.observations:
        unnamed = not read.of or (person_id is not None and not intake.people)
        owner = by_name.get(read.of) or (people[0] if unnamed and len(people) == 1 else None)
        found.append(_from_observation(session, desk, read, owner))
    return TakeOver(intake, people, tuple(sorted(_each_once(found), key=lambda one: one.at)))


def _each_once(entries: Iterable[TakenEntry]) -> Iterator[TakenEntry]:
    """What stands twice in one file is new once."""
    seen: dict[str, tuple[Finding | None, OutcomeAnswer | None]] = {}
    for one in entries:
        told = one.finding, one.answer
        if one.status == NEW and one.id in seen:
            yield replace(one, status=KEPT_BEFORE if seen[one.id] == told else DIFFERS)
        else:
            seen[one.id] = told
            yield one


def _people(session: Session, intake: Intake, person_id: str | None) -> Iterator[TakenPerson]:
    if person_id is not None:
        label = queries.label_of(session, person_id)
        if len(intake.people) > 1:
            read = f"{len(intake.people)} people"
            raise CannotRead([Fault("the file holds several people", read, "no person named, or a file of one person")])
        yield TakenPerson(person_id, intake.people[0] if intake.people else None, label, on_record=True)
        return
    for one in intake.people:
        row = session.get(PersonRow, one.id)
        label = queries.label_of(session, one.id) if row is not None else one.label[:MAX_NAME]
        yield TakenPerson(one.id, one, label, on_record=row is not None)


def _from_people(session: Session, desk: Desk, people: Iterable[TakenPerson]) -> Iterator[TakenEntry]:
    """What was told of a person and has no field of its own is kept in words."""
    for one in people:
        if one.read is not None and one.read.left:
            note = f"{FROM_ELSEWHERE}, of the person: {'; '.join(one.read.left)}"
            finding = Finding(GENERAL, note=note)
            yield _entry(session, one, derived_id(one.id, "told", note), desk.clock(), None, finding, ())


def _from_observation(session: Session, desk: Desk, read: ObservationRead, owner: TakenPerson | None) -> TakenEntry:
    at = read.at or desk.clock()
    if owner is None:
        why = f"nobody in the file is {read.of}" if read.of else "it does not say whose it is"
        return TakenEntry(read.key, "", at, read, None, NOT_KEPT, (why, "name the person it goes to", *read.reasons))
    same_record = read.ours and owner.read is not None and owner.id == owner.read.id
    entry_id = read.key if same_record else derived_id(owner.id, read.key)
    return _entry(session, owner, entry_id, at, read, read.finding, read.reasons)


def _entry(
    session: Session,
    owner: TakenPerson,
    entry_id: str,
    at: datetime,
    read: ObservationRead | None,
    finding: Finding | None,
    reasons: tuple[str, ...],
) -> TakenEntry:
    answer = read.answer if read else None
    if answer is not None:
        status = _status_of_answer(session, owner.id, entry_id, answer)
        return TakenEntry(entry_id, owner.id, at, read, None, status, reasons)
    status = NOT_KEPT if finding is None else NEW
    row = session.get(EntryRow, entry_id)
    if row is None and finding is not None and measures.answer_row(session, entry_id) is not None:
        status = DIFFERS
    if row is not None and finding is not None:
        entry = NewEntry(entry_id, row.kind, finding, supersedes=row.supersedes)
        same = queries.person_of_visit(session, row.visit_id) == owner.id
        same = same and all(getattr(row, name) == value for name, value in entry.columns().items())
        status = KEPT_BEFORE if same else DIFFERS
    return TakenEntry(entry_id, owner.id, at, read, finding, status, reasons)


def _status_of_answer(session: Session, person_id: str, answer_id: str, answer: OutcomeAnswer) -> str:
    """An answer that was taken back since stays as it is on record: it was kept before."""
    row = measures.answer_row(session, answer_id)
    if row is None:
        return NEW if session.get(EntryRow, answer_id) is None else DIFFERS
    same = queries.person_of_visit(session, row.visit_id) == person_id
    return KEPT_BEFORE if same and _plain(measures.answer_from_row(row)) == _plain(answer) else DIFFERS


def _plain(answer: OutcomeAnswer) -> OutcomeAnswer:
    """With words as the standard hands them over: spaces of one kind."""
    words = (" ".join(one.split()) for one in answer.activities)
    note = " ".join(answer.note.split())
    return replace(answer, activities=tuple(words), note=note, instrument=" ".join(answer.instrument.split()))


def _add_person(session: Session, desk: Desk, read: PersonRead) -> None:
    label = kept_words(read.label[:MAX_NAME], "label") or "unnamed"
    person, _ = new_rows(desk, label, read.person, Complaint(), TITLE, invented=read.invented)
    person.id = read.id
    session.add(person)
    session.flush()
    queries.audit(session, desk.clock(), desk.who, "new person", read.id)


def _keep(session: Session, desk: Desk, entries: Iterable[TakenEntry]) -> Iterator[tuple[str, datetime]]:
    """Append what is new, each day's under a visit of its own; the visits written to, with their day."""
    for one in entries:
        if one.status != NEW:
            continue
        refuse_without_consent(session, one.person_id)
        visit_id = _visit(session, desk, one.person_id, one.at)
        if one.finding is not None:
            queries.add_entry(session, visit_id, one.at, NewEntry(one.id, "finding", one.finding))
        elif one.answer is not None:
            measures.add_answer(session, visit_id, desk.clock(), one.id, one.answer)
        yield visit_id, one.at


def _visit(session: Session, desk: Desk, person_id: str, at: datetime) -> str:
    """The visit of that day of what was taken over, opened where there is none; a signed one is left alone."""
    episode_id = derived_id(person_id, "episode")
    if session.get(EpisodeRow, episode_id) is None:
        _, episode = new_rows(desk, "-", Person(), Complaint(), TITLE, invented=False)
        episode.id, episode.person_id, episode.opened_at = episode_id, person_id, at
        session.add(episode)
        session.flush()
    number = 0
    while True:
        visit_id = derived_id(episode_id, f"{at:%Y-%m-%d}", str(number))
        if session.get(VisitRow, visit_id) is None:
            row: Any = VisitRow(id=visit_id, episode_id=episode_id, opened_at=at, position=str(Position.SITTING))
            session.add(row)
            session.flush()
            return visit_id
        if queries.signed_note(session, visit_id) is None:
            queries.lock_visit(session, visit_id)
            return visit_id
        number += 1
