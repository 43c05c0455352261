"""Classes that learn together: their tables and queries. No patient is in them, simulated or real; learners are, by
whatever name they chose. What the learners did lies in the lesson files. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ForeignKey, String, UniqueConstraint, delete, func, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from endfeel.records.tables import ID, Table, UtcTime
from endfeel.vocabulary import NotFound


class ClassRow(Table):
    """A group of learners under one teacher, found by a short word."""

    __tablename__ = "learning_class"
    __table_args__ = (UniqueConstraint("join_code"),)
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    teacher: Mapped[str] = mapped_column(String(200))
    join_code: Mapped[str] = mapped_column(String(12))
    opened_at: Mapped[datetime] = mapped_column(UtcTime)
    staff_id: Mapped[str | None] = mapped_column(ID)
    """Whose class it is; nobody's where one therapist works alone, or made at the terminal."""


class ClassCaseRow(Table):
    """A simulated patient assigned to a class."""

    __tablename__ = "class_case"
    __table_args__ = (UniqueConstraint("class_id", "code"),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    class_id: Mapped[str] = mapped_column(ForeignKey("learning_class.id", ondelete="CASCADE"), index=True)
    code: Mapped[str] = mapped_column(String(12))
    minutes: Mapped[float]
    at: Mapped[datetime] = mapped_column(UtcTime)


class ClassMemberRow(Table):
    """A learner of a class. The id is the learner's own key: whoever holds it is that learner."""

    __tablename__ = "class_member"
    __table_args__ = (UniqueConstraint("class_id", "name"),)
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    class_id: Mapped[str] = mapped_column(ForeignKey("learning_class.id", ondelete="CASCADE"), index=True)
    name: Mapped[str] = mapped_column(String(60))
    joined_at: Mapped[datetime] = mapped_column(UtcTime)


@dataclass(frozen=True, slots=True)
class AssignedCase:
    code: str
    minutes: float
    at: datetime


@dataclass(frozen=True, slots=True)
class Member:
    id: str
    name: str
    joined_at: datetime


@dataclass(frozen=True, slots=True)
class ClassRecord:
    """A class with its cases as they were assigned and its learners as they came."""

    id: str
    name: str
    teacher: str
    join_code: str
    opened_at: datetime
    cases: tuple[AssignedCase, ...]
    members: tuple[Member, ...]
    staff_id: str | None = None
    """Whose class it is."""


def add_class(
    session: Session, class_id: str, name: str, teacher: str, join_code: str, at: datetime, staff_id: str | None = None
) -> None:
    """Keep a new class; one that is kept already is left as it is."""
    if session.get(ClassRow, class_id) is None:
        session.add(
            ClassRow(id=class_id, name=name, teacher=teacher, join_code=join_code, opened_at=at, staff_id=staff_id)
        )


def join_code_taken(session: Session, join_code: str) -> bool:
    return session.scalar(select(func.count()).where(ClassRow.join_code == join_code)) != 0


def add_cases(session: Session, class_id: str, codes: Iterable[str], minutes: float, at: datetime) -> None:
    """Assign cases; one that is assigned already is left as it is."""
    known = set(session.scalars(select(ClassCaseRow.code).where(ClassCaseRow.class_id == class_id)))
    for code in dict.fromkeys(codes):
        if code not in known:
            session.add(ClassCaseRow(class_id=class_id, code=code, minutes=minutes, at=at))


def add_member(session: Session, class_id: str, member_id: str, name: str, at: datetime) -> None:
    session.add(ClassMemberRow(id=member_id, class_id=class_id, name=name, joined_at=at))


def class_id_of(session: Session, join_code: str) -> str:
    """Raises NotFound for a code of no class."""
    found = session.scalar(select(ClassRow.id).where(ClassRow.join_code == join_code))
    if found is None:
        raise NotFound("there is no class of this code")
    return found


def class_of_member(session: Session, member_id: str) -> str:
    """Raises NotFound for nobody's key."""
    found = session.scalar(select(ClassMemberRow.class_id).where(ClassMemberRow.id == member_id))
    if found is None:
        raise NotFound("nobody joined a class with this address")
    return found


def class_record(session: Session, class_id: str) -> ClassRecord:
    """Raises NotFound for an unknown class."""
    row = session.get(ClassRow, class_id)
    if row is None:
        raise NotFound("there is no such class")
    cases = select(ClassCaseRow).where(ClassCaseRow.class_id == class_id).order_by(ClassCaseRow.number)
    members = select(ClassMemberRow).where(ClassMemberRow.class_id == class_id)
    return ClassRecord(
        row.id, row.name, row.teacher, row.join_code, row.opened_at,
        tuple(AssignedCase(one.code, one.minutes, one.at) for one in session.scalars(cases)),
        tuple(Member(one.id, one.name, one.joined_at)
              for one in session.scalars(members.order_by(ClassMemberRow.joined_at, ClassMemberRow.name))),
        row.staff_id,
    )  # fmt: skip


def all_classes(session: Session, staff_id: str | None = None) -> tuple[ClassRecord, ...]:
    """Every class, or those of one who works here, the newest first."""
    wanted = select(ClassRow.id).order_by(ClassRow.opened_at.desc(), ClassRow.id)
    ids = session.scalars(wanted if staff_id is None else wanted.where(ClassRow.staff_id == staff_id)).all()
    return tuple(class_record(session, one) for one in ids)


def remove_class(session: Session, class_id: str) -> None:
    """Take a class away with its cases and learners."""
    session.execute(delete(ClassRow).where(ClassRow.id == class_id))
