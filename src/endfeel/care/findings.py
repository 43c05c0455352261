"""A finding: recorded, repeated after treatment, corrected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy.orm import Session

from endfeel.assessment import shorthand_of
from endfeel.care.checks import check_findings, entry_id_of
from endfeel.care.desk import Desk
from endfeel.care.writing import open_for_writing
from endfeel.records import queries
from endfeel.records.mapping import entry_from_row, standing
from endfeel.records.queries import NewEntry
from endfeel.records.tables import EntryRow, TurnRow
from endfeel.vocabulary import NO_TREATMENTS, Finding, NotFound, Position
from endfeel.vocabulary.shorthand import parse_finding


def record_finding(
    desk: Desk, visit_id: str, finding: Finding, entry_id: str | None = None, position: Position | None = None
) -> str:
    """Append a finding; the same `entry_id` twice is kept once. Raises CannotRead when it cannot be so.

    What was found before a treatment of this visit and is found again after it is kept as a re-test.

    `position` is where the person was for it: they are there now.
    """
    return _record(desk, visit_id, "finding", finding, entry_id, position)


def record_retest(
    desk: Desk, visit_id: str, finding: Finding, entry_id: str | None = None, position: Position | None = None
) -> str:
    """Append a finding repeated after treatment."""
    return _record(desk, visit_id, "retest", finding, entry_id, position)


def record_line(desk: Desk, visit_id: str, line: str, entry_id: str | None = None, *, retest: bool = False) -> str:
    """Append the finding written in shorthand. Raises CannotRead with every fault; nothing is kept then."""
    with desk.transaction() as session:
        side = queries.visit_record(session, visit_id).case.complaint.side
    finding = parse_finding(line, shorthand_of(desk.library), side)
    return _record(desk, visit_id, "retest" if retest else "finding", finding, entry_id)


def correct_finding(desk: Desk, visit_id: str, wrong_id: str, finding: Finding, entry_id: str | None = None) -> str:
    """Replace what a finding or re-test says; the earlier row stays. Raises NotFound when it does not stand."""
    check_findings(desk, [finding])
    entry_id = entry_id_of(entry_id)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        kind = queries.row_of(session, EntryRow, wrong_id, "entry").kind
        entry = NewEntry(entry_id, kind, finding, supersedes=wrong_id)
        if queries.is_kept(session, visit_id, entry):
            return entry_id
        standing = {one.id for one in queries.visit_record(session, visit_id).entries if one.finding}
        if wrong_id not in standing:
            raise NotFound(f"no standing finding {wrong_id!r} in this visit")
        open_for_writing(session, desk, visit_id, f"correct {kind}", finding.procedure)
        queries.add_entry(session, visit_id, desk.clock(), entry)
    return entry_id


def _record(
    desk: Desk, visit_id: str, kind: str, finding: Finding, entry_id: str | None, position: Position | None = None
) -> str:
    entry = NewEntry(entry_id_of(entry_id), kind, finding)
    check_findings(desk, [finding])
    with desk.transaction() as session:
        keep_finding(session, desk, visit_id, entry, position)
    return entry.id


@dataclass(frozen=True, slots=True)
class AsKept:
    """A visit just after a finding was kept in it, still held."""

    head: Any
    rows: Sequence[Any]
    mark: str


def keep_finding(
    session: Session, desk: Desk, visit_id: str, entry: NewEntry, position: Position | None
) -> AsKept | None:
    """Append a finding that was checked, within an act of the caller's. None when it was kept already: then nobody
    was asked whether this record is theirs to see."""
    queries.lock_visit(session, visit_id)
    rows = queries.entry_rows(session, visit_id)
    entry = as_found(rows, entry)
    if queries.is_kept(session, visit_id, entry):
        return None
    detail = entry.finding.procedure if entry.finding else ""
    head = open_for_writing(session, desk, visit_id, f"record {entry.kind}", detail)
    added = queries.add_entry(session, visit_id, desk.clock(), entry, (rows[-1].sequence if rows else 0) + 1)
    if position is None or head.position == position:
        return AsKept(head, [*rows, added], queries.mark_of(head, more=1))
    turn(session, desk, visit_id, position)
    return AsKept(head, [*rows, added], queries.visit_mark(session, visit_id))


def as_found(rows: Sequence[Any], entry: NewEntry) -> NewEntry:
    """The entry as it is kept beside what the visit has: a finding made again after treatment is a re-test."""
    again = entry.kind == "finding" and _was_found_before_treatment(rows, entry.finding)
    return replace(entry, kind="retest") if again else entry


def _was_found_before_treatment(rows: Sequence[Any], finding: Finding | None) -> bool:
    """Whether the same was found on the same side and level before a treatment of this visit: it is then a re-test.
    An answered form that is kept among what was done treats nobody."""
    if finding is None or not any(row.kind == "treatment" and row.technique not in NO_TREATMENTS for row in rows):
        return False
    told = [entry_from_row(row) for row in standing(rows)]
    treated = next(
        (k for k, row in enumerate(told) if row.treatment and row.treatment.technique not in NO_TREATMENTS), 0
    )
    what = finding.procedure, finding.side, finding.level
    before = (row.finding for row in told[:treated] if row.finding)
    return any((one.procedure, one.side, one.level) == what for one in before)


def turn(session: Session, desk: Desk, visit_id: str, position: Position) -> None:
    """Keep where the person is now, within an act of the caller's; the same position twice is kept once."""
    visit = queries.lock_visit(session, visit_id)
    if queries.position_now(session, visit) != position:
        session.add(TurnRow(visit_id=visit_id, position=str(position), at=desk.clock()))
