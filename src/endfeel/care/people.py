"""People, episodes and visits: opening them, listing them, taking them away."""

from __future__ import annotations

from typing import Any

from sqlalchemy.exc import DBAPIError

from endfeel.care.desk import Desk, new_id
from endfeel.records import PersonSummary, VisitRecord, queries
from endfeel.records.tables import EpisodeRow, PersonRow, ScreenRow, VisitRow
from endfeel.vocabulary import CannotRead, Case, Complaint, Fault, Person, Position, Refused
from endfeel.vocabulary.case_files import case_text

MAX_LABEL = 200


def list_people(desk: Desk) -> tuple[PersonSummary, ...]:
    """Everybody with their visits, newest first."""
    with desk.transaction() as session:
        found = queries.people(session)
        queries.audit(session, desk.clock(), desk.who, "list people", None, detail=f"{len(found)} people")
        return found


def new_person(desk: Desk, label: str, person: Person | None = None, *, invented: bool = False) -> str:
    """Open a record under a label of the therapist's choosing. Raises CannotRead for an empty or overlong label."""
    person = person or Person()
    label = " ".join(label.split())
    if not label or len(label) > MAX_LABEL:
        raise CannotRead([Fault("a person needs a label", label[:40], f"1 to {MAX_LABEL} letters", field="label")])
    person_id = new_id()
    with desk.transaction() as session:
        row = PersonRow(
            id=person_id,
            label=label,
            age=person.age,
            sex=person.sex,
            invented=invented,
            dominant=str(person.dominant) if person.dominant else None,
            created_at=desk.clock(),
        )
        session.add(row)
        queries.audit(session, desk.clock(), desk.who, "new person", person_id)
    return person_id


def open_episode(desk: Desk, person_id: str, complaint: Complaint, title: str = "") -> str:
    """Open an episode of care. Raises NotFound for an unknown person."""
    episode_id = new_id()
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        session.add(
            EpisodeRow(
                id=episode_id,
                person_id=person_id,
                title=title or _title(complaint),
                opened_at=desk.clock(),
                side=_word(complaint.side),
                onset=_word(complaint.onset),
                weeks=complaint.weeks,
                irritability=_word(complaint.irritability),
                areas=list(complaint.areas),
                story=complaint.story,
            )
        )
        queries.audit(session, desk.clock(), desk.who, "open episode", person_id)
    return episode_id


def _word(value: object) -> str | None:
    return str(value) if value is not None else None


def _title(complaint: Complaint) -> str:
    side = f"{complaint.side} " if complaint.side else ""
    return f"{side}shoulder girdle".capitalize()


def open_visit(desk: Desk, episode_id: str, position: Position = Position.SITTING) -> str:
    """Open a visit; the person arrives in `position`. Raises NotFound for an unknown episode."""
    visit_id = new_id()
    with desk.transaction() as session:
        episode = queries.row_of(session, EpisodeRow, episode_id, "episode")
        session.add(VisitRow(id=visit_id, episode_id=episode_id, opened_at=desk.clock(), position=str(position)))
        queries.audit(session, desk.clock(), desk.who, "open visit", episode.person_id, visit_id)
    return visit_id


def import_case(desk: Desk, case: Case, label: str = "") -> str:
    """Keep a written case as a person with one visit, all of it or nothing; returns the visit's id."""
    now, person_id, episode_id, visit_id = desk.clock(), new_id(), new_id(), new_id()
    person, complaint = case.person, case.complaint
    with desk.transaction() as session:
        session.add(
            PersonRow(
                id=person_id,
                label=label or case.title or "unnamed",
                age=person.age,
                sex=person.sex,
                dominant=_word(person.dominant),
                invented=case.invented,
                created_at=now,
            )
        )
        session.flush()
        session.add(
            EpisodeRow(
                id=episode_id,
                person_id=person_id,
                title=case.title or _title(complaint),
                opened_at=now,
                side=_word(complaint.side),
                onset=_word(complaint.onset),
                weeks=complaint.weeks,
                irritability=_word(complaint.irritability),
                areas=list(complaint.areas),
                story=complaint.story,
            )
        )
        session.flush()
        session.add(VisitRow(id=visit_id, episode_id=episode_id, opened_at=now, position=str(Position.SITTING)))
        session.flush()
        session.add_all(
            ScreenRow(visit_id=visit_id, cue=cue, answer=yes, answered_at=now) for cue, yes in case.screen.items()
        )
        for finding in case.findings:
            queries.add_entry(session, visit_id, new_id(), now, "finding", finding=finding)
        for treatment in case.treatments:
            queries.add_entry(session, visit_id, new_id(), now, "treatment", treatment=treatment)
        for finding in case.retests:
            queries.add_entry(session, visit_id, new_id(), now, "retest", finding=finding)
        queries.audit(session, now, desk.who, "import case", person_id, visit_id)
    return visit_id


def export_person(desk: Desk, person_id: str) -> dict[str, Any]:
    """Everything about a person as plain data, the access report included. Raises NotFound."""
    with desk.transaction() as session:
        person = queries.row_of(session, PersonRow, person_id, "person")
        queries.audit(session, desk.clock(), desk.who, "export", person_id)
        session.flush()
        summary = next(p for p in queries.people(session) if p.id == person_id)
        records = [queries.visit_record(session, visit.id) for visit in summary.visits]
        return {
            "person": {"label": person.label, "age": person.age, "sex": person.sex, "dominant": person.dominant},
            "visits": [_visit_data(record) for record in records],
            "access": [
                {"at": at.isoformat(), "who": who, "act": act, "detail": detail}
                for at, who, act, detail in queries.audit_of(session, person_id)
            ],
        }


def _visit_data(record: VisitRecord) -> dict[str, Any]:
    signed = record.signed
    return {
        "visit": record.visit_id,
        "case": case_text(record.case),
        "signed": None
        if signed is None
        else {"by": signed.signed_by, "at": signed.signed_at.isoformat(), "note": signed.note},
    }


def delete_person(desk: Desk, person_id: str) -> None:
    """Remove a person's unsigned record. Refused when a signed note exists: it must be kept."""
    try:
        with desk.transaction() as session:
            if any(visit.signed_by for p in queries.people(session) if p.id == person_id for visit in p.visits):
                raise Refused("a signed note exists and must be kept; export it and apply your retention rule")
            queries.delete_person(session, person_id)
            queries.audit(session, desk.clock(), desk.who, "delete person", person_id)
    except DBAPIError as error:
        raise Refused(f"the record could not be removed: {error.orig}") from error
