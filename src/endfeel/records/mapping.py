"""Rows ↔ values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any, Protocol, TypeVar

from endfeel.records.tables import EntryRow, EpisodeRow, PersonRow, ScreenRow, StoryRow
from endfeel.vocabulary import (
    NO_TREATMENTS,
    Case,
    Complaint,
    EndFeel,
    Finding,
    Irritability,
    Onset,
    Person,
    Result,
    Side,
    Treatment,
    Unit,
)

FIRST = "first."
"""Before the name of a first question of the screen: an answer to it is kept under this, apart from the single cues."""
LinkT = TypeVar("LinkT", bound="Link")
_FINDING_FIELDS = tuple(f.name for f in fields(Finding))
_KINDS: dict[str, Any] = {"side": Side, "end_feel": EndFeel, "unit": Unit, "result": Result}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a visit as it counts now."""

    id: str
    sequence: int
    kind: str
    recorded_at: datetime
    finding: Finding | None = None
    treatment: Treatment | None = None


def finding_from_row(row: EntryRow) -> Finding:
    """The finding a row holds."""
    given = {name: getattr(row, name) for name in _FINDING_FIELDS}
    for name, kind in _KINDS.items():
        given[name] = kind(given[name]) if given[name] is not None else None
    return Finding(**given)


def columns_of_finding(finding: Finding) -> dict[str, Any]:
    """Column values of a finding; enumerations as their words."""
    given = {name: getattr(finding, name) for name in _FINDING_FIELDS}
    return {name: str(value) if name in _KINDS and value is not None else value for name, value in given.items()}


def columns_of_treatment(treatment: Treatment) -> dict[str, Any]:
    """Column values of a treatment."""
    return {"technique": treatment.technique, "dose": treatment.dose, "note": treatment.note}


def entry_from_row(row: EntryRow) -> Entry:
    """A finding, re-test or treatment row as a value."""
    if row.kind == "treatment":
        treatment = Treatment(row.technique or "", row.dose or "", row.note or "")
        return Entry(row.id, row.sequence, row.kind, row.recorded_at, treatment=treatment)
    return Entry(row.id, row.sequence, row.kind, row.recorded_at, finding=finding_from_row(row))


class Link(Protocol):
    """What decides whether an entry counts: its place, and which other entry it replaces or takes back."""

    @property
    def id(self) -> str: ...
    @property
    def sequence(self) -> int: ...
    @property
    def kind(self) -> str: ...
    @property
    def supersedes(self) -> str | None: ...
    @property
    def retracts(self) -> str | None: ...


def standing(rows: Iterable[LinkT]) -> list[LinkT]:
    """The rows that count now: not retracted (unless the retraction is itself retracted), not superseded.

    In the order of recording; a correction stands where the entry stood that it corrects, so that "the last one
    before treatment" stays the last one.
    """
    ordered = sorted(rows, key=lambda row: row.sequence)
    gone = retracted(ordered)
    alive = [row for row in ordered if row.kind != "retraction" and row.id not in gone]
    replaced = {row.supersedes for row in alive if row.supersedes}
    place: dict[str, int] = {}
    for row in ordered:
        place[row.id] = place.get(row.supersedes or "", row.sequence)
    return sorted((row for row in alive if row.id not in replaced), key=lambda row: place[row.id])


def retracted(rows: Iterable[LinkT]) -> frozenset[str]:
    """Ids of entries and retractions that are taken back. A later retraction may itself take one back."""
    gone: set[str] = set()
    for row in sorted(rows, key=lambda row: row.sequence, reverse=True):
        if row.retracts and row.id not in gone:
            gone.add(row.retracts)
    return frozenset(gone)


def last_to_undo(rows: Sequence[Link]) -> str | None:
    """The newest entry that still counts."""
    alive = standing(rows)
    return max(alive, key=lambda row: row.sequence).id if alive else None


def last_to_redo(rows: Sequence[Link]) -> str | None:
    """The newest standing retraction, as long as nothing was recorded after it."""
    gone = retracted(rows)
    for row in reversed(rows):
        if row.kind != "retraction":
            return None
        if row.id not in gone and not _undoes_retraction(row, rows):
            return row.id
    return None


def _undoes_retraction(row: Link, rows: Sequence[Link]) -> bool:
    return any(other.id == row.retracts and other.kind == "retraction" for other in rows)


def newest(rows: Iterable[EntryRow], entry_id: str) -> Entry | None:
    """What stands where an entry stood: itself, or the correction of it. None when nothing does."""
    ordered = list(rows)
    alive = {row.id: row for row in standing(ordered)}
    for row in sorted(ordered, key=lambda row: row.sequence):
        if row.supersedes == entry_id and row.id not in retracted(ordered):
            entry_id = row.id
    return entry_from_row(alive[entry_id]) if entry_id in alive else None


def answers(rows: Iterable[ScreenRow]) -> dict[str, bool]:
    """The latest answer of each cue; a taken-back answer is unanswered again."""
    return {cue: answer for cue, answer in latest_answers(rows).items() if not cue.startswith(FIRST)}


def first_answers(rows: Iterable[ScreenRow]) -> dict[str, bool]:
    """The latest answer to each first question, by the name it is kept under."""
    return {cue: answer for cue, answer in latest_answers(rows).items() if cue.startswith(FIRST)}


def latest_answers(rows: Iterable[ScreenRow]) -> dict[str, bool]:
    """The latest answers, of single cues and of first questions."""
    latest: dict[str, bool | None] = {}
    for row in sorted(rows, key=lambda row: row.number):
        latest[row.cue] = row.answer
    return {cue: answer for cue, answer in latest.items() if answer is not None}


def person_from_row(row: PersonRow | StoryRow) -> Person:
    """Age, sex and hand as a row tells them."""
    return Person(row.age, row.sex, Side(row.dominant) if row.dominant else None)


def complaint_from_row(row: EpisodeRow | StoryRow) -> Complaint:
    """The complaint as a row tells it."""
    return Complaint(
        Side(row.side) if row.side else None,
        Onset(row.onset) if row.onset else None,
        row.weeks,
        Irritability(row.irritability) if row.irritability else None,
        tuple(row.areas),
        row.story,
    )


def case_from_rows(
    person: PersonRow | StoryRow,
    episode: EpisodeRow | StoryRow,
    screen: Iterable[ScreenRow],
    entries: Iterable[EntryRow],
    title: str,
    invented: bool,
) -> Case:
    """The pure case that a visit's rows amount to: person and complaint as last told.

    When every treatment was taken back, what was done again after it is a finding like the others: there is nothing
    left for it to be compared across.
    """
    rows = list(entries)
    told = [entry_from_row(row) for row in standing(rows)]
    treatments = tuple(e.treatment for e in told if e.treatment and e.treatment.technique not in NO_TREATMENTS)
    untreated = any(row.kind == "treatment" and row.technique not in NO_TREATMENTS for row in rows) and not treatments
    kinds = ("finding", "retest") if untreated else ("finding",)
    return Case(
        person=person_from_row(person),
        complaint=complaint_from_row(episode),
        screen=answers(screen),
        findings=tuple(e.finding for e in told if e.kind in kinds and e.finding),
        treatments=treatments,
        retests=tuple(e.finding for e in told if e.kind == "retest" and e.finding and not untreated),
        title=title,
        invented=invented,
    )
