"""How visits stand with safety: many at once for a list, one by itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from endfeel.care.allowed import check_person
from endfeel.care.desk import Desk
from endfeel.care.screen import unspecified
from endfeel.care.visit import standing_verdict
from endfeel.records import SafetyRecord, queries, safety_records
from endfeel.safety import Verdict


@dataclass(frozen=True, slots=True)
class Standing:
    """How a visit stands with safety, in a list."""

    verdict: Verdict
    unspecified: tuple[str, ...]


def stand_visits(desk: Desk, visit_ids: Iterable[str]) -> dict[str, Standing]:
    """How each of these visits stands with safety. Raises NotFound."""
    with desk.transaction() as session:
        records = safety_records(session, visit_ids)
        if desk.staff is not None:
            for person_id in {one.person_id for one in records.values()}:
                check_person(session, desk.staff, person_id, "list standing", desk.clock())
        queries.audit(session, desk.clock(), desk.who, "list standing", None, detail=f"{len(records)} visits")
    return {visit_id: stands(desk, one) for visit_id, one in records.items()}


def stand_visit(desk: Desk, visit_id: str) -> tuple[Standing, str]:
    """How a visit stands with safety, and what `visit_mark` says after it. Raises NotFound."""
    with desk.transaction() as session:
        head = queries.head_of(session, visit_id)
        if desk.staff is not None:
            check_person(session, desk.staff, head.person_id, "list standing", desk.clock())
        queries.audit(session, desk.clock(), desk.who, "list standing", None, detail="1 visits")
        record = queries.safety_with(session, head, queries.entry_rows(session, visit_id))
    return stands(desk, record), queries.mark_of(head)


def stands(desk: Desk, one: SafetyRecord) -> Standing:
    """How a visit stands with safety by what was read of it."""
    return Standing(standing_verdict(one, desk), unspecified(one.first_answers, one.case.screen, desk.library))
