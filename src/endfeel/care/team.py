"""Who cares for whom, and the way to a record that is not assigned: with a reason, for a while, told to the lead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from endfeel.care.allowed import GLASS_LASTS, LOOK, RIGHTS, Staff
from endfeel.care.checks import kept_words
from endfeel.care.desk import Desk
from endfeel.care.way_in import staff_from
from endfeel.records import queries
from endfeel.records import staff as kept
from endfeel.records.staff_tables import BreakGlassRow
from endfeel.records.tables import PersonRow
from endfeel.vocabulary import CannotRead, Fault, NotFound, Refused

REASON_LETTERS = 10
"""A reason shorter than this says nothing."""


@dataclass(frozen=True, slots=True)
class Team:
    """Who cares for a person, and who could."""

    members: tuple[Staff, ...]
    others: tuple[Staff, ...]


@dataclass(frozen=True, slots=True)
class Glass:
    """One break-glass, as a lead sees it."""

    number: int
    who: str
    person_id: str
    label: str
    reason: str
    at: datetime
    until: datetime
    noted_by: str | None


def view_team(desk: Desk, person_id: str) -> Team:
    """Who cares for a person. Raises NotFound, NotAllowed."""
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        queries.audit(session, desk.clock(), desk.who, "view team", person_id)
        members = tuple(staff_from(session, row) for row in kept.team_of(session, person_id) if row.left_at is None)
        there = {one.id for one in members}
        here = [row for row in kept.staff_rows(session) if row.left_at is None and LOOK in RIGHTS[row.role]]
        return Team(members, tuple(staff_from(session, row) for row in here if row.id not in there))


def assign(desk: Desk, person_id: str, staff_id: str) -> None:
    """Let somebody care for a person; a student with the supervisor. Raises NotFound, NotAllowed."""
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        row = kept.staff_of(session, staff_id)
        queries.audit(session, desk.clock(), desk.who, "assign", person_id, detail=row.name)
        if row.left_at is not None or LOOK not in RIGHTS[row.role]:
            raise Refused(f"{row.name} cares for nobody here")
        for one in filter(None, (row.id, row.supervisor)):
            kept.assign(session, person_id, one, desk.clock(), desk.who)


def unassign(desk: Desk, person_id: str, staff_id: str) -> None:
    """Let somebody care for a person no longer. Refused for the last one."""
    with desk.transaction() as session:
        row = kept.staff_of(session, staff_id)
        queries.audit(session, desk.clock(), desk.who, "unassign", person_id, detail=row.name)
        team = {one.id for one in kept.team_of(session, person_id) if one.left_at is None}
        if team <= {staff_id}:
            raise Refused("somebody has to care for this person; assign another one first")
        kept.unassign(session, person_id, staff_id)


def break_glass(desk: Desk, label: str, reason: str) -> str:
    """Open a record that is not assigned to one, by its exact label or id, for a written reason; the person's id.

    It ends by itself; every lead is told, and every look meanwhile says why. Raises CannotRead, NotAllowed.
    """
    reason, now = kept_words(reason, "reason", 300), desk.clock()
    if desk.staff is None:
        raise Refused("there is nothing to break: every record is open to you")
    faults = []
    if len(reason) < REASON_LETTERS:
        would_do = "a sentence; the lead and the person will read it"
        faults = [Fault("say why you need this record now", would_do=would_do, field="reason")]
    with desk.transaction() as session:
        found = queries.ids_labelled(session, label.strip())
        if len(found) != 1:
            says = "several have this label; ask the lead" if found else "nobody has exactly this label"
            faults.append(Fault(says, label, "the whole label", field="label"))
        person_id = None if faults else found[0]
        told = "" if person_id else "not opened"
        queries.audit(session, now, desk.who, "break-glass", person_id, detail=told, why=reason or "no reason given")
        if person_id:
            session.add(
                BreakGlassRow(
                    person_id=person_id, staff_id=desk.staff.id, reason=reason, at=now, until=now + GLASS_LASTS
                )
            )
    if person_id is None:
        raise CannotRead(faults)
    return person_id


def list_glass(desk: Desk) -> tuple[Glass, ...]:
    """Every break-glass, what nobody noted first. For a lead."""
    with desk.transaction() as session:
        found = kept.glasses(session)
        queries.audit(session, desk.clock(), desk.who, "list break-glass", None, detail=f"{len(found)} of them")
        return tuple(
            Glass(row.number, kept.staff_of(session, row.staff_id).name, row.person_id,
                  queries.label_of(session, row.person_id), row.reason, row.at, row.until, row.noted_by)
            for row in found
        )  # fmt: skip


def note_glass(desk: Desk, number: int) -> None:
    """A lead has seen it. Raises NotFound."""
    with desk.transaction() as session:
        row = session.get(BreakGlassRow, number)
        if row is None:
            raise NotFound("there was no such break-glass")
        queries.audit(session, desk.clock(), desk.who, "break-glass noted", row.person_id)
        if row.noted_at is None:
            row.noted_by, row.noted_at = desk.who, desk.clock()
