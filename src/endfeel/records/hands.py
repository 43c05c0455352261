"""How one's own hands agree with others', as a file of own agreement is written. The caller opens the transaction."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import String, Text, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from endfeel.records.tables import AuditRow, Table, UtcTime

FOUND = ("record finding", "record retest", "correct finding", "correct retest")


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
    session.merge(OwnHandsRow(owner=owner, at=at, told=told))


def remove_hands(session: Session, owner: str) -> None:
    """Keep nothing of one's hands."""
    session.execute(delete(OwnHandsRow).where(OwnHandsRow.owner == owner))


def others_found(session: Session, visit_id: str, who: str) -> bool:
    """Whether anybody else recorded a finding in a visit."""
    found = select(AuditRow.number).where(AuditRow.visit_id == visit_id, AuditRow.act.in_(FOUND), AuditRow.who != who)
    return session.scalar(found.limit(1)) is not None
