"""What leaves a record for others to learn from: only of people who agreed to that purpose, never under their label."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import select

from endfeel.care.desk import Desk
from endfeel.records import queries
from endfeel.records.tables import EpisodeRow, PersonRow, VisitRow
from endfeel.vocabulary import Case, Refused
from endfeel.vocabulary.case_files import case_text


def teaching_case(desk: Desk, person_id: str) -> str:
    """Every visit of a person as written cases, without label, title, dates and free words.

    Raises Refused for whoever did not agree to teaching, NotFound.
    """
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        queries.audit(session, desk.clock(), desk.who, "export for teaching", person_id)
        if not queries.said_about(session, person_id, "teaching"):
            raise Refused(
                "this person has not agreed to teaching; ask first, and write it down on the page Record and rights"
            )
        wanted = select(VisitRow.id).join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        visits = session.scalars(wanted.where(EpisodeRow.person_id == person_id).order_by(VisitRow.opened_at)).all()
        cases = [queries.visit_record(session, visit_id).case for visit_id in visits]
    return "\n".join(case_text(_without_words(one, number)) for number, one in enumerate(cases, 1))


def _without_words(case: Case, number: int) -> Case:
    bare = lambda one: replace(one, note=None)  # noqa: E731
    return replace(
        case,
        title=f"For teaching, visit {number}",
        complaint=replace(case.complaint, story=""),
        findings=tuple(map(bare, case.findings)),
        retests=tuple(map(bare, case.retests)),
        treatments=tuple(replace(one, note="") for one in case.treatments),
    )
