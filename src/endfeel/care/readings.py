"""Readings of an instrument kept as findings: each once, however often its table is pasted."""

from __future__ import annotations

import uuid
from collections.abc import Iterable

from endfeel.care.desk import Desk
from endfeel.care.findings import record_finding, record_retest
from endfeel.instruments.readings import Reading
from endfeel.records import queries

_SPACE = uuid.UUID("0f6d5c2a-5b1e-5e43-9b0a-6a0f3d1f2c11")
"""A name space of our own: the same reading in the same visit always has the same id."""


def reading_id(visit_id: str, reading: Reading, *, retest: bool) -> str:
    """The id under which a reading is kept in a visit."""
    return str(uuid.uuid5(_SPACE, f"{visit_id}|{'retest' if retest else 'finding'}|{reading.key}"))


def kept_before(desk: Desk, visit_id: str, readings: Iterable[Reading], *, retest: bool = False) -> frozenset[str]:
    """Keys of the readings that were kept in this visit already, also those taken back since. Raises NotFound."""
    with desk.transaction() as session:
        queries.person_of_visit(session, visit_id)
        ids = {row.id for row in queries.entry_rows(session, visit_id)}
    return frozenset(one.key for one in readings if reading_id(visit_id, one, retest=retest) in ids)


def keep_readings(desk: Desk, visit_id: str, readings: Iterable[Reading], *, retest: bool = False) -> int:
    """Keep every reading that became a finding and is not kept yet, one after the other; returns how many.

    Each by the same act as a finding by touch. What stops half-way is finished by doing it again.
    """
    readable = [one for one in readings if one.finding is not None]
    before = kept_before(desk, visit_id, readable, retest=retest)
    record = record_retest if retest else record_finding
    kept = 0
    for one in readable:
        if one.key not in before and one.finding is not None:
            record(desk, visit_id, one.finding, reading_id(visit_id, one, retest=retest))
            kept += 1
    return kept
