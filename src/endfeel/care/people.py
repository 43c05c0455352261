"""People, episodes and visits: opening them, listing them, taking them away."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from sqlalchemy.exc import DBAPIError

from endfeel.care.allowed import sees
from endfeel.care.checks import MAX_NAME, MAX_TITLE, check_cues, check_findings, kept_words, name_of
from endfeel.care.desk import Desk, new_id
from endfeel.care.writing import open_for_writing, refuse_without_consent
from endfeel.records import PersonSummary, VisitRecord, documents, queries
from endfeel.records.export import rows_about
from endfeel.records.queries import NewEntry
from endfeel.records.tables import SEXES, EpisodeRow, PersonRow, ScreenRow, StoryRow, VisitRow
from endfeel.vocabulary import CannotRead, Case, Complaint, Fault, NotFound, Person, Position, Refused
from endfeel.vocabulary.case_files import case_text
from endfeel.vocabulary.ranges import AGE_YEARS


def list_people(desk: Desk) -> tuple[PersonSummary, ...]:
    """Everybody with their visits, newest first."""
    with desk.transaction() as session:
        found, open_to = queries.people(session), sees(session, desk.staff, desk.clock())
        found = found if open_to is None else tuple(one for one in found if one.id in open_to)
        queries.audit(session, desk.clock(), desk.who, "list people", None, detail=f"{len(found)} people")
        return found


def new_person(desk: Desk, label: str, person: Person | None = None, *, invented: bool = False) -> str:
    """Open a record under a label of the therapist's choosing. Raises CannotRead for an empty or overlong label."""
    row = _person_row(desk, label, person or Person(), invented)
    with desk.transaction() as session:
        session.add(row)
        queries.audit(session, desk.clock(), desk.who, "new person", row.id)
    return row.id


def open_episode(desk: Desk, person_id: str, complaint: Complaint, title: str = "") -> str:
    """Open an episode of care. Raises NotFound for an unknown person."""
    row = _episode_row(desk, person_id, complaint, title)
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        queries.audit(session, desk.clock(), desk.who, "open episode", person_id)
        refuse_without_consent(session, person_id)
        session.add(row)
    return row.id


def name_person(desk: Desk, person_id: str) -> str:
    """The label under which a person is kept now. Raises NotFound."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view name", person_id)
        return queries.label_of(session, person_id)


def correct_story(
    desk: Desk, visit_id: str, label: str, person: Person, complaint: Complaint, told_before: int | None = None
) -> None:
    """Tell person and complaint again; what was told before stays on record, and signed notes as they were signed.

    `told_before` is how often the page that is answered showed the story told again. Raises CannotRead when something
    in it cannot be, Refused when the visit is signed or the story was told again meanwhile.
    """
    row = _person_row(desk, label, person, invented=False)
    episode = _episode_row(desk, "", complaint, "")
    names = ("side", "onset", "weeks", "irritability", "areas", "story")
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "correct story")
        record = queries.visit_record(session, visit_id)
        if (record.label, record.case.person, record.case.complaint) == (row.label, person, complaint):
            return
        if told_before not in (None, record.stories):
            raise Refused("the story was corrected on another page meanwhile; look at it and correct it again")
        session.add(
            StoryRow(
                person_id=record.person_id,
                episode_id=record.episode_id,
                at=desk.clock(),
                label=row.label,
                age=row.age,
                sex=row.sex,
                dominant=row.dominant,
                **{name: getattr(episode, name) for name in names},
            )
        )


def open_visit(desk: Desk, episode_id: str, position: Position = Position.SITTING) -> str:
    """Open a visit; the person arrives in `position`. Raises NotFound for an unknown episode.

    It is never before the last visit of the episode, even when the clock was set back meanwhile.
    """
    visit_id = new_id()
    with desk.transaction() as session:
        episode = queries.row_of(session, EpisodeRow, episode_id, "episode")
        refuse_without_consent(session, episode.person_id)
        last, now = queries.last_opened(session, episode_id), desk.clock()
        at = now if last is None else max(now, last + timedelta(microseconds=1))
        session.add(VisitRow(id=visit_id, episode_id=episode_id, opened_at=at, position=str(position)))
        queries.audit(session, desk.clock(), desk.who, "open visit", episode.person_id, visit_id)
    return visit_id


def _person_row(desk: Desk, label: str, person: Person, invented: bool) -> PersonRow:
    label = name_of(label, "label")
    faults = [] if label else [Fault("a person needs a label", "", f"1 to {MAX_NAME} letters", field="label")]
    if person.sex not in (None, *SEXES):
        faults.append(Fault("not a sex the records know", str(person.sex), ", ".join(SEXES), field="sex"))
    low, high = AGE_YEARS
    if person.age is not None and not low <= person.age <= high:
        faults.append(Fault("not an age", str(person.age), f"{low} to {high} years", field="age"))
    if faults:
        raise CannotRead(faults)
    return PersonRow(
        id=new_id(),
        label=label,
        age=person.age,
        sex=person.sex,
        dominant=_word(person.dominant),
        invented=invented,
        created_at=desk.clock(),
    )


def _episode_row(desk: Desk, person_id: str, complaint: Complaint, title: str) -> EpisodeRow:
    return EpisodeRow(
        id=new_id(),
        person_id=person_id,
        title=kept_words(title, "title", MAX_TITLE) or _title(complaint),
        opened_at=desk.clock(),
        side=_word(complaint.side),
        onset=_word(complaint.onset),
        weeks=complaint.weeks,
        irritability=_word(complaint.irritability),
        areas=list(complaint.areas),
        story=kept_words(complaint.story, "story"),
    )


def new_rows(
    desk: Desk, label: str, person: Person, complaint: Complaint, title: str, *, invented: bool
) -> tuple[PersonRow, EpisodeRow]:
    """A person and an episode as rows, checked and not yet kept. Raises CannotRead."""
    told = _person_row(desk, label, person, invented)
    return told, _episode_row(desk, told.id, complaint, title)


def _word(value: object) -> str | None:
    return str(value) if value is not None else None


def _title(complaint: Complaint) -> str:
    side = f"{complaint.side} " if complaint.side else ""
    return f"{side}shoulder girdle".capitalize()


def import_case(desk: Desk, case: Case, label: str = "") -> str:
    """Keep a written case as a person with one visit, all of it or nothing; returns the visit's id.

    Raises CannotRead when something in it cannot be.
    """
    check_cues(desk, case.screen)
    check_findings(desk, (*case.findings, *case.retests))
    person = _person_row(desk, label or case.title[:MAX_NAME] or "unnamed", case.person, case.invented)
    episode = _episode_row(desk, person.id, case.complaint, case.title)
    visit = VisitRow(id=new_id(), episode_id=episode.id, opened_at=desk.clock(), position=str(Position.SITTING))
    with desk.transaction() as session:
        for row in (person, episode, visit):
            session.add(row)
            session.flush()
        session.add_all(
            ScreenRow(visit_id=visit.id, cue=cue, answer=yes, answered_at=desk.clock())
            for cue, yes in case.screen.items()
        )
        for entry in _entries_of(case):
            queries.add_entry(session, visit.id, desk.clock(), entry)
        queries.audit(session, desk.clock(), desk.who, "import case", person.id, visit.id)
    return visit.id


def _entries_of(case: Case) -> Iterator[NewEntry]:
    yield from (NewEntry(new_id(), "finding", finding) for finding in case.findings)
    yield from (NewEntry(new_id(), "treatment", treatment=treatment) for treatment in case.treatments)
    yield from (NewEntry(new_id(), "retest", finding) for finding in case.retests)


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
            "rows": rows_about(session, person_id),
            "access": [
                {"at": one.at.isoformat(), "who": one.who, "act": one.act, "detail": one.detail, "why": one.why}
                for one in queries.audit_of(session, person_id)
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


def look_again(desk: Desk, visit_id: str) -> None:
    """A look at what was concluded before is a look. Raises NotFound when the record is gone, NotAllowed."""
    with desk.transaction() as session:
        owner = queries.person_of_visit(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "view visit", owner, visit_id)


def delete_person(desk: Desk, person_id: str) -> None:
    """Remove a person's unsigned record. Refused when a signed note exists: it must be kept."""
    try:
        with desk.transaction() as session:
            if any(visit.signed_by for p in queries.people(session) if p.id == person_id for visit in p.visits):
                raise Refused("a signed note exists and must be kept; export it and apply your retention rule")
            if documents.has_documents(session, person_id):
                raise Refused("a signed document exists and must be kept; export it and apply your retention rule")
            queries.delete_person(session, person_id, desk.clock())
            queries.audit(session, desk.clock(), desk.who, "delete person", person_id)
    except DBAPIError as error:
        raise Refused(f"the record could not be removed: {error.orig}") from error
    desk.concluded.forget()


def find_person(desk: Desk, said: str) -> str:
    """The id of the person of this label or id. Raises NotFound, Refused when several have that label.

    An id of nobody on record is given back as it is when the audit knows it: the record was erased.
    """
    everybody = list_people(desk)
    if any(one.id == said for one in everybody):
        return said
    found = [one.id for one in everybody if one.label.lower() == said.strip().lower()]
    if len(found) > 1:
        raise Refused(f"several people have the label {said!r}: {', '.join(found)}; name one by its id")
    if found:
        return found[0]
    with desk.transaction() as session:
        if queries.audit_of(session, said):
            return said
    raise NotFound(f"nobody is on record as {said!r}")
