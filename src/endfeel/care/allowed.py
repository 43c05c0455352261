"""What each may do in a clinic, by role and by person. What is not listed here is refused.

Every act leaves a row in the audit, and the row is where it is asked: no row, no look. The administrator keeps the
list of staff and sees no record; who owns the machine and its passphrase is outside all of this.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from endfeel.records import staff as kept
from endfeel.vocabulary import NotAllowed

LOOK, RECORD, OPEN, SIGN, PRESENT, GIVE, CONSENT, TEAM, GLASS, TEACH, LEAD, STAFF, OWN = (
    "look", "record", "open", "sign", "present", "give", "consent", "team", "glass", "teach", "lead", "staff",
    "own",
)  # fmt: skip
ACTS: dict[str, tuple[str, ...]] = {
    LOOK: (
        "list people", "list standing", "list documents", "view name", "view visit", "view entry", "view episode",
        "view measures", "view preference", "view body chart", "view document", "view presented", "view outcomes",
        "view label",
    ),
    RECORD: (
        "open visit", "screen", "turn", "wish", "prefer", "undo", "redo", "record finding", "record retest",
        "record treatment", "record review", "record outlook", "record measure", "take back measure", "correct finding",
        "correct retest", "draw area", "take back area", "record outcome", "take back outcome",
    ),
    OPEN: ("new person", "open episode", "correct story", "import case"),
    SIGN: ("sign note", "sign document", "addendum", "document addendum", "override", "give back presented"),
    PRESENT: ("present for signature",),
    GIVE: ("export", "hand over", "take over", "look at a file to take over", "export for teaching",
           "count caseload", "count outcomes"),
    CONSENT: ("view access report", "view consent", "consent given", "consent refused"),
    TEAM: ("view team", "assign", "unassign"),
    GLASS: ("break-glass",),
    TEACH: ("teach class",),
    LEAD: ("list consent", "list retention", "list break-glass", "break-glass noted", "erase person",
           "delete person", "send counts", "take counts of a site", "remove counts of a site"),
    STAFF: ("list staff", "add staff", "change staff", "end staff", "reset sign-in"),
    OWN: ("view own sign-in", "choose password", "add code generator", "add passkey", "remove passkey",
          "new recovery codes", "end session", "list presented", "view own hands", "keep own hands",
          "remove own hands"),
}  # fmt: skip
"""Right to the acts, by their name in the audit."""
RIGHT_OF = {act: right for right, acts in ACTS.items() for act in acts}
RIGHTS: dict[str, frozenset[str]] = {
    "assistant": frozenset({OWN, LOOK, RECORD, CONSENT, GLASS}),
    "student": frozenset({OWN, LOOK, RECORD, OPEN, CONSENT, PRESENT}),
    "therapist": frozenset({OWN, LOOK, RECORD, OPEN, SIGN, GIVE, CONSENT, TEAM, GLASS, TEACH}),
    "lead": frozenset({OWN, LOOK, RECORD, OPEN, SIGN, GIVE, CONSENT, TEAM, TEACH, LEAD}),
    "administrator": frozenset({OWN, STAFF}),
}
ROLE_WORDS = {
    "therapist": "examines, treats and signs; sees the people assigned to them",
    "assistant": "records findings and treatment for the people assigned to them; does not sign",
    "student": "as a therapist under supervision; what they write counts when the supervisor has counter-signed it",
    "lead": "sees everybody, assigns people, is told of every break-glass, erases",
    "administrator": "keeps the list of staff; sees no record",
}
SEES_ALL = "lead"
BEGINS = ("new person", "import case")
"""Whoever opens a record has it assigned."""
GLASS_LASTS = timedelta(hours=2)
"""Longer than any visit, shorter than a shift: judgement, no source."""


@dataclass(frozen=True, slots=True)
class Staff:
    """One who works here."""

    id: str
    name: str
    role: str
    supervisor_id: str | None = None
    must_choose: bool = False
    has_code: bool = False
    passkeys: int = 0
    locked_until: datetime | None = None
    left: bool = False

    @property
    def has_second(self) -> bool:
        """Whether a second factor is set up."""
        return self.has_code or self.passkeys > 0

    def may(self, right: str) -> bool:
        """Whether their role has a right."""
        return right in RIGHTS.get(self.role, frozenset())


def gate(staff: Staff, clock: Callable[[], datetime]) -> Callable[[Session, str, str | None], str]:
    """What is asked before an act of theirs goes into the audit; gives why, where there is a reason of its own."""

    def ask(session: Session, act: str, person_id: str | None) -> str:
        if RIGHT_OF.get(act) not in RIGHTS.get(staff.role, frozenset()):
            raise NotAllowed(f"that is not for {_one(staff.role)} to do ({act})", act, person_id)
        if person_id is None:
            return ""
        if act in BEGINS and not kept.is_known(session, person_id):
            _assign(session, person_id, staff, clock())
            return ""
        return check_person(session, staff, person_id, act, clock())

    return ask


def check_person(session: Session, staff: Staff, person_id: str, act: str, now: datetime) -> str:
    """The reason of an open break-glass, or nothing. Raises NotAllowed when the person is not assigned to them."""
    if staff.role == SEES_ALL or act == "break-glass" or kept.is_assigned(session, person_id, staff.id):
        return ""
    reason = kept.open_glass(session, person_id, staff.id, now) if staff.may(GLASS) else None
    if reason is None:
        raise NotAllowed("this person is not assigned to you", act, person_id)
    return f"break-glass: {reason}"


def _assign(session: Session, person_id: str, staff: Staff, now: datetime) -> None:
    kept.assign(session, person_id, staff.id, now, staff.name)
    if staff.supervisor_id:
        kept.assign(session, person_id, staff.supervisor_id, now, staff.name)


def sees(session: Session, staff: Staff | None, now: datetime) -> frozenset[str] | None:
    """Ids of the people somebody may look at now; None for everybody."""
    if staff is None or staff.role == SEES_ALL:
        return None
    return kept.open_to(session, staff.id, now)


def _one(role: str) -> str:
    return f"{'an' if role[0] in 'aeiou' else 'a'} {role}"
