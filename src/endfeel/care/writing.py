"""What every act does before it writes."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from endfeel.care.desk import Desk
from endfeel.records import queries
from endfeel.vocabulary import Refused

WITHOUT_CONSENT = frozenset(
    {"sign note", "undo", "redo", "override", "correct story", "correct finding", "correct retest", "take back area",
     "take back measure"}
)  # fmt: skip
"""What may be done after a person said no: to close, correct and take back what was recorded while it was yes."""
NO_CONSENT = (
    "this person does not agree to examination and treatment: nothing more is recorded; "
    "if that changed, write down first what they say now (Record and rights)"
)


def open_for_writing(session: Session, desk: Desk, visit_id: str, act: str, detail: str = "") -> Any:
    """Hold the visit, refuse when its note is signed, leave an audit row. Gives the visit's head, read while held."""
    queries.lock_visit(session, visit_id)
    return open_head(session, desk, queries.head_of(session, visit_id), act, detail)


def open_head(session: Session, desk: Desk, head: Any, act: str, detail: str = "") -> Any:
    """The same for a visit that is held and whose head is known."""
    if head.signed_id is not None:
        raise Refused(f"the note was signed by {head.signed_by}; add an addendum instead")
    if act not in WITHOUT_CONSENT and head.care is False:
        raise Refused(NO_CONSENT)
    queries.audit(session, desk.clock(), desk.who, act, head.person_id, head.id, detail)
    return head


def refuse_without_consent(session: Session, person_id: str) -> None:
    """Raises Refused when the person said no to examination and treatment, or took their yes back.

    Where nobody asked yet the pages warn and go on: somebody in danger is examined first.
    """
    if queries.said_about(session, person_id, "care") is False:
        raise Refused(NO_CONSENT)
