"""What every act does before it writes."""

from __future__ import annotations

from sqlalchemy.orm import Session

from endfeel.care.desk import Desk
from endfeel.records import queries
from endfeel.vocabulary import Refused


def open_for_writing(session: Session, desk: Desk, visit_id: str, act: str, detail: str = "") -> None:
    """Hold the visit, refuse when its note is signed, leave an audit row."""
    queries.lock_visit(session, visit_id)
    signed = queries.signed_note(session, visit_id)
    if signed is not None:
        raise Refused(f"the note was signed by {signed.signed_by}; add an addendum instead")
    person_id = queries.person_of_visit(session, visit_id)
    queries.audit(session, desk.clock(), desk.who, act, person_id, visit_id, detail)
