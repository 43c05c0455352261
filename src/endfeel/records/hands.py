"""How one's own hands agree with others', as a file of own agreement is written. The caller opens the transaction."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import String, Text, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from endfeel.records.replacing import put
from endfeel.records.tables import AuditRow, Table, UtcTime

FOUND = ("record finding", "record retest", "correct finding", "correct retest")
FROM_A_FILE = ("import case", "take over")


class OwnHandsRow(Table):
    """One examiner's own agreement: of who works here, or of the one therapist there is (no id)."""

    __tablename__ = "own_hands"
    owner: Mapped[str] = mapped_column(String(36), primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    told: Mapped[str] = mapped_column(Text)


def hands_of(session: Session, owner: str) -> str:
    """The words that were kept; empty where none were."""
    return session.scalar(select(OwnHandsRow.told).where(OwnHandsRow.owner == owner)) or ""


def keep_hands(session: Session, owner: str, at: datetime, told: str) -> None:
    """Keep these words in place of earlier ones."""
    put(session, OwnHandsRow, [{"owner": owner, "at": at, "told": told}])


def remove_hands(session: Session, owner: str) -> None:
    """Keep nothing of one's hands."""
    session.execute(delete(OwnHandsRow).where(OwnHandsRow.owner == owner))


def not_by_own_hands(session: Session, person_id: str, visit_id: str, who: str) -> str:
    """An act by which something of a visit was not found by `who`: a finding of somebody else, or a file from which
    the person's record came. Empty where there is none."""
    others = (AuditRow.visit_id == visit_id) & AuditRow.act.in_(FOUND) & (AuditRow.who != who)
    acts = select(AuditRow.act).where(AuditRow.person_id == person_id, others | AuditRow.act.in_(FROM_A_FILE))
    return session.scalar(acts.limit(1)) or ""
