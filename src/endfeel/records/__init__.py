"""What was observed, kept: tables, mapping, queries, migrations."""

from endfeel.records.classes import AssignedCase, ClassRecord, Member
from endfeel.records.counted import CountedEpisodeRow
from endfeel.records.faults import StoreFault
from endfeel.records.hands import OwnHandsRow
from endfeel.records.mapping import Entry
from endfeel.records.queries import PersonSummary, VisitSummary
from endfeel.records.staff_tables import ROLES
from endfeel.records.store import default_path, open_engine, transaction
from endfeel.records.visit_records import (
    LastTime,
    Override,
    SafetyRecord,
    SignedNote,
    VisitRecord,
    safety_records,
)

__all__ = [
    "ROLES",
    "AssignedCase",
    "ClassRecord",
    "CountedEpisodeRow",
    "Entry",
    "LastTime",
    "Member",
    "Override",
    "OwnHandsRow",
    "PersonSummary",
    "SafetyRecord",
    "SignedNote",
    "StoreFault",
    "VisitRecord",
    "VisitSummary",
    "default_path",
    "open_engine",
    "safety_records",
    "transaction",
]
