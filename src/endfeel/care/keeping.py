"""Findings kept, and how their visits stand with safety after it: one alone, or of several visits in one act."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from endfeel.care.checks import check_findings, entry_id_of
from endfeel.care.desk import Desk
from endfeel.care.findings import as_found, keep_finding
from endfeel.care.standing import Standing, stands
from endfeel.care.writing import open_head
from endfeel.records import SafetyRecord, queries
from endfeel.records.queries import NewEntry
from endfeel.records.store import transaction
from endfeel.records.tables import EntryRow
from endfeel.vocabulary import EndfeelError, Finding, Position

KeptSafely = tuple[Standing, str]
"""How the visit stands with safety after a finding, and its mark."""


@dataclass(frozen=True, slots=True)
class NewFinding:
    """A finding that was checked and is to be kept, by whom and in which visit."""

    desk: Desk
    visit_id: str
    entry: NewEntry
    position: Position | None = None


def new_finding(
    desk: Desk, visit_id: str, kind: str, finding: Finding, entry_id: str, position: Position | None = None
) -> NewFinding:
    """A finding to be kept (`kind` finding or retest). Raises CannotRead when it cannot be so, NotFound."""
    check_findings(desk, [finding])
    return NewFinding(desk, visit_id, NewEntry(entry_id_of(entry_id), kind, finding), position)


def keep_and_stand(one: NewFinding) -> KeptSafely | None:
    """Keep a finding as `record_finding` does, and tell by what the same act read how the visit stands then. None when
    it was kept already. Raises as `record_finding` does."""
    with one.desk.transaction() as session:
        kept = keep_finding(session, one.desk, one.visit_id, one.entry, one.position)
        record = queries.safety_with(session, kept.head, kept.rows) if kept else None
    return (stands(one.desk, record), kept.mark) if kept and record else None


def keep_together(several: Sequence[NewFinding]) -> list[KeptSafely | None]:
    """Keep findings of different visits in one transaction; all that are told of are on the disk then.

    None stands beside each that was not kept, and then nothing of it was: somebody else holds its visit, another one
    of these is of the same visit, it was kept already, the person turns for it, it is refused, or the database
    refused one of them. It is to be kept alone (`keep_and_stand`), which says what is wrong where something is.
    """
    first: dict[str, NewFinding] = {}
    for one in several:
        first.setdefault(one.visit_id, one)
    told: dict[str, KeptSafely] = {}
    with suppress(EndfeelError, DBAPIError):
        with transaction(several[0].desk.engine) as session:
            kept = _keep_each(session, first)
        for visit_id, (record, mark) in kept.items():  # only what is committed is told
            told[visit_id] = stands(first[visit_id].desk, record), mark
    return [told.get(one.visit_id) if first[one.visit_id] is one else None for one in several]


def _keep_each(session: Session, wanted: dict[str, NewFinding]) -> dict[str, tuple[SafetyRecord, str]]:
    heads = queries.hold_heads(session, wanted)
    read = queries.read_for_safety(session, heads)
    told: dict[str, tuple[SafetyRecord, str]] = {}
    placed: list[dict[str, Any]] = []
    for visit_id, one in wanted.items():
        head, rows = heads.get(visit_id), read.entries.setdefault(visit_id, [])
        entry = as_found(rows, one.entry)
        if head is None or one.position not in (None, head.position) or any(row.id == entry.id for row in rows):
            continue
        one.desk.sit_down(session)
        queries.note_who_cares(session, [head])
        try:
            open_head(session, one.desk, head, f"record {entry.kind}", entry.finding.procedure if entry.finding else "")
        except EndfeelError:
            continue
        placed.append(entry.placed(visit_id, (head.last_entry or 0) + 1, one.desk.clock()))
        rows.append(EntryRow(**placed[-1]))
        told[visit_id] = read.safety(head), queries.mark_of(head, more=1)
    if placed:
        queries.add_entries(session, placed)
    return told
