"""What is read from and added to the tables of a clinic. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, bindparam, delete, func, select
from sqlalchemy.orm import Session

from endfeel.records.heads import CARED_FOR, STAFF, fetch, plain
from endfeel.records.staff_tables import (
    AssignmentRow,
    BreakGlassRow,
    PasskeyRow,
    PresentedRow,
    RecoveryCodeRow,
    SignInRow,
    StaffRow,
)
from endfeel.vocabulary import NotFound

_CARES, _SIGN_IN, _STAFF, _PASSKEY = (plain(of) for of in (AssignmentRow, SignInRow, StaffRow, PasskeyRow))
_ASSIGNED = select(_CARES.c.staff_id).where(
    _CARES.c.person_id == bindparam("person"), _CARES.c.staff_id == bindparam("staff")
)
_HERE = (
    select(
        _SIGN_IN.c.id.label("sign_in"), _SIGN_IN.c.second, _SIGN_IN.c.began_at, _SIGN_IN.c.seen_at,
        *(_STAFF.c[name] for name in ("id", "name", "role", "supervisor", "must_choose", "locked_until", "left_at")),
        _STAFF.c.totp.is_not(None).label("has_code"),
        select(func.count()).where(_PASSKEY.c.staff_id == _STAFF.c.id).scalar_subquery().label("passkeys"),
    )
    .select_from(_SIGN_IN.join(_STAFF, _SIGN_IN.c.staff_id == _STAFF.c.id))
    .where(_SIGN_IN.c.id == bindparam("token"))
)  # fmt: skip


def anybody(session: Session) -> bool:
    """Whether somebody signs in here: a clinic."""
    return session.scalar(select(StaffRow.id).limit(1)) is not None


def staff_rows(session: Session) -> Sequence[StaffRow]:
    """Everybody who works or worked here, by name."""
    return session.scalars(select(StaffRow).order_by(StaffRow.left_at.is_not(None), StaffRow.name)).all()


def staff_row(session: Session, staff_id: str) -> StaffRow:
    """One of them, held until the transaction ends. Raises NotFound."""
    row = session.scalar(select(StaffRow).where(StaffRow.id == staff_id).with_for_update())
    if row is None:
        raise NotFound("nobody of that id works here")
    return row


def staff_of(session: Session, staff_id: str) -> StaffRow:
    """One of them, not held. Raises NotFound."""
    row = session.get(StaffRow, staff_id)
    if row is None:
        raise NotFound("nobody of that id works here")
    return row


def by_name(session: Session, name: str) -> StaffRow | None:
    """Who has this name, however it is written."""
    return session.scalar(select(StaffRow).where(func.lower(StaffRow.name) == name.lower()))


def passkeys_of(session: Session, staff_id: str) -> Sequence[PasskeyRow]:
    """Their passkeys, the first one first."""
    return session.scalars(
        select(PasskeyRow).where(PasskeyRow.staff_id == staff_id).order_by(PasskeyRow.added_at)
    ).all()


def signed_in(connection: Connection, sign_in_id: str) -> Any:
    """A browser that is signed in, who it is, and how many passkeys they have. None when there is no such."""
    return connection.execute(_HERE, {"token": sign_in_id}).one_or_none()


def codes_left(session: Session, staff_id: str) -> Sequence[RecoveryCodeRow]:
    """Recovery codes that were not used yet."""
    wanted = select(RecoveryCodeRow).where(RecoveryCodeRow.staff_id == staff_id, RecoveryCodeRow.used_at.is_(None))
    return session.scalars(wanted).all()


def sessions_of(session: Session, staff_id: str) -> Sequence[SignInRow]:
    """Where somebody is signed in, the last seen first."""
    wanted = select(SignInRow).where(SignInRow.staff_id == staff_id)
    return session.scalars(wanted.order_by(SignInRow.seen_at.desc())).all()


def end_sessions(session: Session, staff_id: str, but: str = "") -> int:
    """Sign somebody out everywhere, but for one place; how many places it were."""
    gone = [one.id for one in sessions_of(session, staff_id) if one.id != but]
    session.execute(delete(SignInRow).where(SignInRow.id.in_(gone)))
    return len(gone)


def forget_sign_ins(session: Session, asked_before: datetime, begun_before: datetime) -> None:
    """Remove what nobody answered, and what is over."""
    unanswered = SignInRow.staff_id.is_(None) & (SignInRow.began_at < asked_before)
    session.execute(delete(SignInRow).where(unanswered | (SignInRow.began_at < begun_before)))


def forget_second(session: Session, staff_id: str) -> None:
    """Remove passkeys and recovery codes."""
    session.execute(delete(PasskeyRow).where(PasskeyRow.staff_id == staff_id))
    forget_codes(session, staff_id)


def forget_codes(session: Session, staff_id: str) -> None:
    """Remove the recovery codes, used ones too."""
    session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.staff_id == staff_id))


# ---- who cares for whom --------------------------------------------------------------------------------------------


def is_known(session: Session, person_id: str) -> bool:
    """Whether anybody cares for a person."""
    return session.scalar(select(AssignmentRow).where(AssignmentRow.person_id == person_id).limit(1)) is not None


def is_assigned(session: Session, person_id: str, staff_id: str) -> bool:
    """Whether somebody cares for a person."""
    if session.info.get(STAFF) == staff_id and person_id in session.info.get(CARED_FOR, ()):
        return True
    return bool(fetch(session, _ASSIGNED, person=person_id, staff=staff_id))


def team_of(session: Session, person_id: str) -> Sequence[StaffRow]:
    """Who cares for a person, by name."""
    wanted = select(StaffRow).join(AssignmentRow, AssignmentRow.staff_id == StaffRow.id)
    return session.scalars(wanted.where(AssignmentRow.person_id == person_id).order_by(StaffRow.name)).all()


def assign(session: Session, person_id: str, staff_id: str, at: datetime, by: str) -> None:
    """Let somebody care for a person; twice is once."""
    session.flush()
    if not is_assigned(session, person_id, staff_id):
        session.add(AssignmentRow(person_id=person_id, staff_id=staff_id, at=at, by=by))
        session.flush()


def unassign(session: Session, person_id: str, staff_id: str) -> None:
    """Let somebody care for a person no longer."""
    of = AssignmentRow.person_id == person_id, AssignmentRow.staff_id == staff_id
    session.execute(delete(AssignmentRow).where(*of))
    session.info.pop(CARED_FOR, None)


def open_glass(session: Session, person_id: str, staff_id: str, now: datetime) -> str | None:
    """Why somebody opened a record that is not assigned to them, while it lasts."""
    of = BreakGlassRow.person_id == person_id, BreakGlassRow.staff_id == staff_id, BreakGlassRow.until > now
    return session.scalar(select(BreakGlassRow.reason).where(*of).order_by(BreakGlassRow.number.desc()).limit(1))


def open_to(session: Session, staff_id: str, now: datetime) -> frozenset[str]:
    """Ids of the people somebody cares for or opened by break-glass."""
    cared = select(AssignmentRow.person_id).where(AssignmentRow.staff_id == staff_id)
    opened = select(BreakGlassRow.person_id).where(BreakGlassRow.staff_id == staff_id, BreakGlassRow.until > now)
    return frozenset(session.scalars(cared)) | frozenset(session.scalars(opened))


def glasses(session: Session) -> Sequence[BreakGlassRow]:
    """Every break-glass, what nobody noted first, then the newest first."""
    wanted = select(BreakGlassRow).order_by(BreakGlassRow.noted_at.is_not(None), BreakGlassRow.number.desc())
    return session.scalars(wanted).all()


# ---- counter-signature ---------------------------------------------------------------------------------------------


def presented_open(session: Session, visit_id: str | None = None) -> Sequence[PresentedRow]:
    """What waits for a counter-signature, the oldest first."""
    wanted = select(PresentedRow).where(PresentedRow.outcome.is_(None)).order_by(PresentedRow.at)
    return session.scalars(wanted.where(PresentedRow.visit_id == visit_id) if visit_id else wanted).all()


def presented_row(session: Session, presented_id: str) -> PresentedRow:
    """One of them, held until the transaction ends. Raises NotFound."""
    row = session.scalar(select(PresentedRow).where(PresentedRow.id == presented_id).with_for_update())
    if row is None:
        raise NotFound("nothing of that id was presented")
    return row


def presented_of(session: Session, visit_id: str) -> Sequence[PresentedRow]:
    """What was presented of a visit, the newest first."""
    wanted = select(PresentedRow).where(PresentedRow.visit_id == visit_id).order_by(PresentedRow.at.desc())
    return session.scalars(wanted).all()
