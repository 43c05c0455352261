"""The list of staff, kept by the administrator: who works here, in which role, whose sign-in is made anew, who left."""

from __future__ import annotations

import secrets
from collections.abc import Iterable

from sqlalchemy.orm import Session

from endfeel.care.allowed import Staff
from endfeel.care.checks import kept_words
from endfeel.care.desk import Desk, new_id
from endfeel.care.way_in import hashed, staff_from
from endfeel.records import queries
from endfeel.records import staff as kept
from endfeel.records.staff_tables import ROLES, StaffRow
from endfeel.vocabulary import CannotRead, Fault, Refused

MOST_LETTERS = 80
SUPERVISES = ("therapist", "lead")
ADMINISTRATOR = "administrator"
_WHY = "list of staff"
_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"


def list_staff(desk: Desk) -> tuple[Staff, ...]:
    """Everybody who works or worked here; who left comes last."""
    with desk.transaction() as session:
        found = tuple(staff_from(session, row) for row in kept.staff_rows(session))
        queries.audit(session, desk.clock(), desk.who, "list staff", None, detail=f"{len(found)} people", why=_WHY)
        return found


def add_staff(desk: Desk, name: str, role: str, supervisor_id: str = "") -> tuple[str, str]:
    """Somebody who works here; their id, and a password that serves once. The first one is an administrator.

    Raises CannotRead with everything that is wrong.
    """
    name = " ".join(kept_words(name, "name", MOST_LETTERS).split())
    once, staff_id = _once(), new_id()
    told = hashed(once)
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "add staff", None, detail=f"{name}, {role}", why=_WHY)
        faults = [] if name else [Fault("a name is needed", would_do="the name below what they sign", field="name")]
        if kept.by_name(session, name):
            faults.append(Fault("somebody of that name works or worked here", name, "another name", field="name"))
        if not kept.anybody(session) and role != ADMINISTRATOR:
            faults.append(Fault("the first one keeps the list of staff", role, ADMINISTRATOR, field="role"))
        supervisor = _supervisor(session, role, supervisor_id, staff_id, faults)
        if faults:
            raise CannotRead(faults)
        session.add(
            StaffRow(
                id=staff_id, name=name, role=role, supervisor=supervisor, password=told, must_choose=True, failures=0,
                created_at=desk.clock(),
            )
        )  # fmt: skip
    return staff_id, once


def _supervisor(session: Session, role: str, supervisor_id: str, own_id: str, faults: list[Fault]) -> str | None:
    """Who counter-signs: for a student somebody, for nobody else."""
    if role not in ROLES:
        faults.append(Fault("no such role", role, ", ".join(ROLES), field="role"))
    if role != "student":
        return None
    able = {row.id for row in kept.staff_rows(session) if row.role in SUPERVISES and row.left_at is None}
    if supervisor_id not in able - {own_id}:
        faults.append(Fault("a student has a supervisor", would_do="a therapist or a lead", field="supervisor"))
        return None
    return supervisor_id


def change_staff(desk: Desk, staff_id: str, role: str, supervisor_id: str = "") -> None:
    """Another role, another supervisor. Raises CannotRead, Refused for the last administrator, NotFound."""
    with desk.transaction() as session:
        row = kept.staff_row(session, staff_id)
        queries.audit(session, desk.clock(), desk.who, "change staff", None, detail=f"{row.name}: {row.role} to {role}",
                      why=_WHY)  # fmt: skip
        faults: list[Fault] = []
        supervisor = _supervisor(session, role, supervisor_id, staff_id, faults)
        if faults:
            raise CannotRead(faults)
        if role != ADMINISTRATOR:
            _not_the_last(session, row)
        if row.role in SUPERVISES and role not in SUPERVISES:
            _supervises_nobody(session, row)
        row.role, row.supervisor = role, supervisor


def reset_sign_in(desk: Desk, staff_id: str) -> str:
    """A password that serves once; second factors, recovery codes and the lock are gone, and every browser is out."""
    once = _once()
    told = hashed(once)
    with desk.transaction() as session:
        row = kept.staff_row(session, staff_id)
        queries.audit(session, desk.clock(), desk.who, "reset sign-in", None, detail=row.name, why=_WHY)
        row.password, row.must_choose, row.totp, row.totp_step = told, True, None, None
        row.failures, row.locked_until = 0, None
        kept.forget_second(session, row.id)
        kept.end_sessions(session, row.id)
    return once


def end_staff(desk: Desk, staff_id: str) -> None:
    """Somebody works here no longer: no way in, from this moment on. Refused for the last administrator."""
    with desk.transaction() as session:
        row = kept.staff_row(session, staff_id)
        queries.audit(session, desk.clock(), desk.who, "end staff", None, detail=row.name, why=_WHY)
        _not_the_last(session, row)
        _supervises_nobody(session, row)
        row.left_at = desk.clock()
        kept.forget_second(session, row.id)
        kept.end_sessions(session, row.id)


def _not_the_last(session: Session, row: StaffRow) -> None:
    others = [one for one in _here(session) if one.role == ADMINISTRATOR and one.id != row.id]
    if row.role == ADMINISTRATOR and not others:
        raise Refused("this is the last administrator; make another one first")


def _supervises_nobody(session: Session, row: StaffRow) -> None:
    students = [one.name for one in _here(session) if one.supervisor == row.id]
    if students:
        raise Refused(f"{row.name} supervises {', '.join(students)}; give them another supervisor first")


def _here(session: Session) -> Iterable[StaffRow]:
    return [one for one in kept.staff_rows(session) if one.left_at is None]


def _once() -> str:
    """Four groups of four signs: 79 bits, easy to read out."""
    return "-".join("".join(secrets.choice(_SIGNS) for _ in range(4)) for _ in range(4))
