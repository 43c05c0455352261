"""The tables of a clinic: who works here, how they sign in, whom they care for. Empty for one therapist alone."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from endfeel.records.tables import ID, Table, UtcTime, one_of

ROLES = ("therapist", "assistant", "student", "lead", "administrator")
OUTCOMES = ("signed", "returned")
_STAFF = "staff.id"
_PERSON = "person.id"


class StaffRow(Table):
    """One who works here. Never removed: what they did stays theirs."""

    __tablename__ = "staff"
    __table_args__ = (one_of("role", ROLES),)
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    name: Mapped[str] = mapped_column(String(80), unique=True)
    role: Mapped[str] = mapped_column(String(16))
    supervisor: Mapped[str | None] = mapped_column(ForeignKey(_STAFF))
    """Who counter-signs what a student writes."""
    password: Mapped[str] = mapped_column(Text)
    """Argon2id, as the library writes it."""
    must_choose: Mapped[bool]
    """The password was made by somebody else and serves once."""
    totp: Mapped[str | None] = mapped_column(String(64))
    totp_step: Mapped[int | None]
    """The last step of time whose code was taken: no code serves twice."""
    failures: Mapped[int]
    locked_until: Mapped[datetime | None] = mapped_column(UtcTime)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    left_at: Mapped[datetime | None] = mapped_column(UtcTime)


class PasskeyRow(Table):
    """A passkey: its public half."""

    __tablename__ = "passkey"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    """The credential's id, base64url."""
    staff_id: Mapped[str] = mapped_column(ForeignKey(_STAFF), index=True)
    public_key: Mapped[str] = mapped_column(Text)
    uses: Mapped[int]
    """The device's own count; one that goes back tells of a copy."""
    name: Mapped[str] = mapped_column(String(80))
    added_at: Mapped[datetime] = mapped_column(UtcTime)


class RecoveryCodeRow(Table):
    """A code on paper that stands for the second factor, once."""

    __tablename__ = "recovery_code"
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    staff_id: Mapped[str] = mapped_column(ForeignKey(_STAFF), index=True)
    hash: Mapped[str] = mapped_column(String(64))
    used_at: Mapped[datetime | None] = mapped_column(UtcTime)


class SignInRow(Table):
    """A browser that is signed in, or on the way to it. The browser holds the token, this its hash."""

    __tablename__ = "sign_in"
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    staff_id: Mapped[str | None] = mapped_column(ForeignKey(_STAFF), index=True)
    second: Mapped[bool]
    """Whether the second factor was given, too."""
    challenge: Mapped[str | None] = mapped_column(String(200))
    """What a passkey must answer, or the secret of a code generator that is being set up."""
    browser: Mapped[str] = mapped_column(String(200))
    began_at: Mapped[datetime] = mapped_column(UtcTime)
    seen_at: Mapped[datetime] = mapped_column(UtcTime)


class AssignmentRow(Table):
    """Who cares for whom now. What was before stands in the audit."""

    __tablename__ = "assignment"
    person_id: Mapped[str] = mapped_column(ForeignKey(_PERSON, ondelete="CASCADE"), primary_key=True)
    staff_id: Mapped[str] = mapped_column(ForeignKey(_STAFF), primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    by: Mapped[str] = mapped_column(String(200))


class BreakGlassRow(Table):
    """A record opened by somebody it was not assigned to, for a reason, for a while."""

    __tablename__ = "break_glass"
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    person_id: Mapped[str] = mapped_column(ForeignKey(_PERSON, ondelete="CASCADE"), index=True)
    staff_id: Mapped[str] = mapped_column(ForeignKey(_STAFF))
    reason: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime] = mapped_column(UtcTime)
    until: Mapped[datetime] = mapped_column(UtcTime)
    noted_by: Mapped[str | None] = mapped_column(String(200))
    noted_at: Mapped[datetime | None] = mapped_column(UtcTime)


class PresentedRow(Table):
    """What a student presented for counter-signature, and what became of it. It is no signature."""

    __tablename__ = "presented"
    __table_args__ = (one_of("outcome", OUTCOMES),)
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str] = mapped_column(String(12))
    words: Mapped[dict[str, Any]] = mapped_column(JSON)
    """What the student added, as the document's form holds it."""
    staff_id: Mapped[str] = mapped_column(ForeignKey(_STAFF))
    at: Mapped[datetime] = mapped_column(UtcTime)
    outcome: Mapped[str | None] = mapped_column(String(10))
    remark: Mapped[str] = mapped_column(Text)
    settled_by: Mapped[str | None] = mapped_column(String(200))
    settled_at: Mapped[datetime | None] = mapped_column(UtcTime)
