"""Handing a record over: the person, or one episode, as resources of an open standard."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.care.desk import Desk
from endfeel.care.documents import document_file, kept_document
from endfeel.care.home import view_home
from endfeel.care.measures import VisitMeasure, measures_of
from endfeel.care.people import list_people
from endfeel.care.standing import stand_visits
from endfeel.exchange import (
    EpisodeTold,
    Measured,
    PersonTold,
    Planned,
    Recorded,
    SafetyTold,
    Signed,
    Visited,
    collection,
    person_resources,
    practitioner_id,
)
from endfeel.exchange.elements import derived_id
from endfeel.exchange.resources import patient
from endfeel.records import SignedNote, VisitRecord, queries
from endfeel.records.documents import SignedDocument, documents_of
from endfeel.records.mapping import complaint_from_row, person_from_row
from endfeel.records.tables import (
    EntryRow,
    EpisodeRow,
    MeasureRow,
    PersonRow,
    SignedDocumentRow,
    SignedNoteRow,
    StoryRow,
    VisitRow,
)
from endfeel.safety import Verdict
from endfeel.vocabulary import NotFound, Person

Json = dict[str, Any]


def fhir_resources(
    desk: Desk, person_id: str, episode_id: str | None = None, *, documents: bool = True, plan: bool = True
) -> tuple[Json, ...]:
    """Everything observed and signed about a person, or in one episode, as FHIR R4 resources.

    Without `documents` notes are not rendered, without `plan` nothing is concluded: for answers that need neither.
    Raises NotFound.
    """
    told = _person(desk, person_id, episode_id, documents=documents, plan=plan)
    return tuple(person_resources(told, desk.library))


def fhir_patients(desk: Desk) -> tuple[Json, ...]:
    """Everybody on record, newest first."""
    return tuple(
        patient(PersonTold(one.id, one.label, Person(one.age, one.sex), desk.clock(), one.invented))
        for one in list_people(desk)
    )


def fhir_bundle(desk: Desk, person_id: str, episode_id: str | None = None) -> Json:
    """The same in one bundle that stands alone. Raises NotFound."""
    now = desk.clock()
    name = derived_id("bundle", person_id, episode_id or "", now.isoformat())
    return collection(fhir_resources(desk, person_id, episode_id), now, name)


def person_of_episode(desk: Desk, episode_id: str) -> str:
    """Whose episode it is. Raises NotFound."""
    with desk.transaction() as session:
        return str(queries.row_of(session, EpisodeRow, episode_id, "episode").person_id)


def _person(desk: Desk, person_id: str, episode_id: str | None, *, documents: bool, plan: bool) -> PersonTold:
    with desk.transaction() as session:
        person = queries.row_of(session, PersonRow, person_id, "person")
        if episode_id and queries.row_of(session, EpisodeRow, episode_id, "episode").person_id != person_id:
            raise NotFound(f"no episode {episode_id!r} of this person in these records")
        wanted = select(EpisodeRow).where(EpisodeRow.person_id == person_id).order_by(EpisodeRow.opened_at)
        episodes = [row for row in session.scalars(wanted) if episode_id in (None, row.id)]
        records = {row.id: _records(session, row.id) for row in episodes}
        letters = [one for row in episodes for one in documents_of(session, row.id)]
        story = session.scalar(
            select(StoryRow).where(StoryRow.person_id == person_id).order_by(StoryRow.number.desc()).limit(1)
        )
        queries.audit(session, desk.clock(), desk.who, "hand over", person_id, detail=episode_id or "")
        summary = next(one for one in queries.people(session) if one.id == person_id)
    who = story or person
    told = tuple(_episode(desk, row, records[row.id], letters, documents=documents, plan=plan) for row in episodes)
    return PersonTold(
        person_id,
        summary.label,
        person_from_row(who),
        who.at if isinstance(who, StoryRow) else person.created_at,
        person.invented,
        told,
        desk.who,
    )


def _records(session: Session, episode_id: str) -> list[VisitRecord]:
    wanted = select(VisitRow.id).where(VisitRow.episode_id == episode_id).order_by(VisitRow.opened_at, VisitRow.id)
    return [queries.visit_record(session, visit_id) for visit_id in session.scalars(wanted)]


def _episode(
    desk: Desk,
    row: EpisodeRow,
    records: list[VisitRecord],
    letters: Iterable[SignedDocument],
    *,
    documents: bool,
    plan: bool,
) -> EpisodeTold:
    measures = measures_of(desk, row.id)
    standing = stand_visits(desk, [one.visit_id for one in records])
    visits = tuple(
        replace(
            _visit(desk, one, standing[one.visit_id].verdict, measures, documents=documents),
            letters=tuple(_letter(desk, it, documents=documents) for it in letters if it.visit_id == one.visit_id),
        )
        for one in records
    )
    complaint = records[-1].case.complaint if records else complaint_from_row(row)
    planned = _plan(desk, records[-1].visit_id) if plan and records else None
    return EpisodeTold(row.id, row.title, row.opened_at, complaint, visits, planned)


def _visit(
    desk: Desk, record: VisitRecord, verdict: Verdict, measures: Iterable[VisitMeasure], *, documents: bool
) -> Visited:
    raised = tuple(flag.name for flag in verdict.raised)
    gone_on = f"overridden by {verdict.override_by}: {verdict.override_reason}" if verdict.is_overridden else ""
    return Visited(
        record.visit_id,
        record.opened_at,
        record.number,
        record.case.person,
        record.case.complaint,
        record.case.screen,
        tuple(Recorded(e.id, e.kind, e.recorded_at, e.finding, e.treatment) for e in record.entries),
        SafetyTold(str(verdict.urgency), verdict.words, verdict.action, raised, gone_on),
        tuple(_measured(desk, one) for one in measures if one.visit_id == record.visit_id),
        _signed(desk, record.visit_id, record.signed, documents=documents),
    )


def _measured(desk: Desk, one: VisitMeasure) -> Measured:
    answer = one.answer
    names = {m["id"]: m["name"] for m in desk.library.documents["outcome_measures"]["measure"]}
    name = one.score.name if one.score else names.get(answer.measure, answer.measure)
    total = one.score.total if one.score else answer.total
    told = one.id, answer.measure, name, answer.answered_on, total, answer.answers, answer.activities, answer.note
    return Measured(*told, answer.occasion, answer.answering, answer.instrument, one.no_score)


def _signed(desk: Desk, visit_id: str, signed: SignedNote | None, *, documents: bool) -> Signed | None:
    from endfeel.care.visit import note_pdf, visit_note
    from endfeel.documents import note_text

    if signed is None:
        return None
    text = note_text(visit_note(desk, visit_id)) if documents else ""
    pdf = note_pdf(desk, visit_id) if documents else b""
    return Signed(signed.id, signed.signed_by, signed.signed_at, text, pdf, signed.release, signed.program_version)


def _letter(desk: Desk, kept: SignedDocument, *, documents: bool) -> Signed:
    from endfeel.documents import TITLES, DocumentKind

    text, pdf = "", b""
    if documents:
        paper = kept_document(desk, kept.id).document
        text, pdf = document_file(paper, "txt").decode(), document_file(paper, "pdf")
    title = TITLES[DocumentKind(kept.kind)].lower()
    told = kept.id, kept.signed_by, kept.signed_at, text, pdf, kept.release, kept.program_version
    return Signed(*told, kept.kind, title, kept.recipient)


def _plan(desk: Desk, visit_id: str) -> Planned:
    """The home programme as the last visit has it, or why there is none."""
    home = view_home(desk, visit_id)
    verdict = home.visit.assessment.verdict
    if home.chosen is None:
        return Planned("Referral first", f"Treatment is withheld ({verdict.words}): {verdict.action}")
    if home.sheet is None:
        return Planned("Next steps", "Nothing found calls for a home exercise.")
    exercises = tuple((one.id, one.name, one.dose) for one in home.sheet.exercises)
    return Planned("Home programme", " ".join((*home.sheet.pain, home.sheet.review)), exercises)


# ---- finding the owner of a resource -------------------------------------------------------------------------------


def owner_of(desk: Desk, kind: str, resource_id: str) -> str:
    """Id of the person a resource is about; of a practitioner any person of theirs. Raises NotFound."""
    with desk.transaction() as session:
        found = _owner(session, desk, kind, resource_id)
    if found is None:
        raise NotFound(f"no {kind} {resource_id!r} in these records")
    return found


_PREFIXES = ("age-", "hand-", "safety-", "screen-", "items-", "plan-", "signed-")
"""Before the id of the row a made resource belongs to."""


def _owner(session: Session, desk: Desk, kind: str, resource_id: str) -> str | None:
    if kind == "Practitioner":
        return _practitioner_owner(session, desk, resource_id)
    row_id = next((resource_id.removeprefix(one) for one in _PREFIXES if resource_id.startswith(one)), resource_id)
    for table in (PersonRow, EpisodeRow, VisitRow, EntryRow, SignedNoteRow, SignedDocumentRow):
        row = session.get(table, row_id)
        if row is not None:
            return _person_of(session, row)
    measure = session.scalar(select(MeasureRow).where(MeasureRow.id == row_id))
    return queries.person_of_visit(session, measure.visit_id) if measure is not None else None


def _person_of(session: Session, row: Any) -> str:
    if isinstance(row, PersonRow):
        return row.id
    if isinstance(row, EpisodeRow):
        return row.person_id
    return queries.person_of_visit(session, row.id if isinstance(row, VisitRow) else row.visit_id)


def _practitioner_owner(session: Session, desk: Desk, wanted: str) -> str | None:
    for person in queries.people(session):
        names = {desk.who, *(visit.signed_by for visit in person.visits if visit.signed_by)}
        if wanted in {practitioner_id(name) for name in names}:
            return person.id
    for letter in session.scalars(select(SignedDocumentRow)):
        if practitioner_id(letter.signed_by) == wanted:
            return queries.person_of_visit(session, letter.visit_id)
    return None
