"""Whole visits as values, many at once: a few plain statements however many visits, and no objects made of rows.

What a visit has none of is not asked for: one statement tells the last row of each kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.charts import EarlierChart, KeptArea, chart_of, earlier_chart
from endfeel.records.heads import BY_VISIT, IDS, fetch, heads_of, mark_of, plain
from endfeel.records.mapping import Entry, case_from_rows, entry_from_row, first_answers, last_to_redo, standing
from endfeel.records.tables import AddendumRow, EntryRow, SignedNoteRow, StoryRow, VisitRow
from endfeel.vocabulary import Case, Finding


@dataclass(frozen=True, slots=True)
class Override:
    """The latest override of a visit."""

    urgency: str
    flags: dict[str, str | None]
    """Flag id to its urgency when overridden; None where an early row did not keep it."""
    reason: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class SignedNote:
    """A frozen note with its addenda."""

    id: str
    signed_by: str
    signed_at: datetime
    case_text: str
    note: dict[str, Any]
    release: str
    program_version: str
    addenda: tuple[tuple[datetime, str, str], ...]
    last_story: int | None = None
    """Number of the last story told before it was signed; None where an early note did not keep it."""


@dataclass(frozen=True, slots=True)
class LastTime:
    """The visit before this one in the same episode, with what stood found in it."""

    visit_id: str
    opened_at: datetime
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class SafetyRecord:
    """What of a visit decides how it stands with safety."""

    case: Case
    first_answers: dict[str, bool]
    override: Override | None
    person_id: str


@dataclass(frozen=True, slots=True)
class VisitRecord:
    """Everything stored about one visit, as values."""

    visit_id: str
    episode_id: str
    person_id: str
    label: str
    opened_at: datetime
    number: int
    """Which visit of its episode it is, from 1."""
    position: str
    """The one the person is in now: that of the last turn, else of arrival."""
    first_answers: dict[str, bool]
    """Answers to the first questions of the screen themselves, by the name it is kept under."""
    screen_number: int
    """Number of the last answer to the screen; what a page has shown is told by it."""
    last_time: LastTime | None
    stories: int
    """How often the story was told again."""
    wishes: dict[str, str]
    """What the therapist wants of the plan, by procedure, the latest wish last: `must`, `never` or `next`."""
    case: Case
    entries: tuple[Entry, ...]
    override: Override | None
    signed: SignedNote | None
    can_undo: bool
    can_redo: bool
    care_agreed: bool | None = None
    """What the person said about examination and treatment; None while nobody asked."""
    chart: tuple[KeptArea, ...] = ()
    """Areas drawn on the body chart, as they stand."""
    earlier_chart: EarlierChart | None = None
    """The chart of an earlier visit to compare with."""
    mark: str = ""
    """Changes whenever anything is recorded in the visit; as it was before the rest was read."""


# ---- statements, written once --------------------------------------------------------------------------------------

_VISIT, _ENTRY, _STORY = plain(VisitRow), plain(EntryRow), plain(StoryRow)
_ENTRIES = select(*_ENTRY.c).where(_ENTRY.c.visit_id.in_(IDS)).order_by(_ENTRY.c.sequence)
_ROWS = {
    name: select(*table.c).where(table.c.visit_id.in_(IDS)).order_by(table.c.number) for name, table in BY_VISIT.items()
}
_STORIES = select(*_STORY.c).where(_STORY.c.person_id.in_(IDS)).order_by(_STORY.c.number.desc())
_SIBLINGS = (
    select(_VISIT.c.id, _VISIT.c.episode_id, _VISIT.c.opened_at)
    .where(_VISIT.c.episode_id.in_(IDS))
    .order_by(_VISIT.c.opened_at, _VISIT.c.id)
)


def entry_rows(session: Session, visit_id: str) -> Sequence[Any]:
    """All rows of a visit, in order."""
    return fetch(session, _ENTRIES, ids=[visit_id])


# ---- many visits ----------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Read:
    """Rows of several visits by whose they are."""

    entries: dict[str, list[Any]]
    stories: dict[str, list[Any]]
    rows: dict[str, dict[str, list[Any]]] = field(default_factory=dict)

    def of(self, name: str, visit_id: str) -> list[Any]:
        """Rows of one kind, in order."""
        return self.rows[name].get(visit_id, [])

    def told(self, head: Any) -> tuple[Any, Any, int]:
        """Rows that tell person and complaint, and how often the story was told again: the latest, the first rows
        where it was told once. Of a signed visit, only what was told before it was signed: by number, since a clock
        may be set back; by time where an early note kept no number."""
        known = self.stories.get(head.person_id, [])
        if head.signed_id is not None:
            last = head.signed_story
            known = [one for one in known if (one.at <= head.signed_at if last is None else one.number <= last)]
        mine = [one for one in known if one.episode_id == head.episode_id]
        return known[0] if known else head, mine[0] if mine else head, len(mine)

    def case(self, head: Any) -> Case:
        """The pure case of a visit."""
        person, complaint, _ = self.told(head)
        rows = self.entries.get(head.id, [])
        return case_from_rows(person, complaint, self.of("screen", head.id), rows, head.title, head.invented)

    def override(self, visit_id: str) -> Override | None:
        """The latest override."""
        given = self.of("override", visit_id)
        return override_from_row(given[-1]) if given else None

    def safety(self, head: Any) -> SafetyRecord:
        """What decides how a visit stands with safety."""
        return SafetyRecord(
            self.case(head), first_answers(self.of("screen", head.id)), self.override(head.id), head.person_id
        )


def _read(
    session: Session, heads: Mapping[str, Any], kinds: Iterable[str], more: Iterable[str] = (),
    entries: Sequence[Any] | None = None,
) -> Read:  # fmt: skip
    """Rows of these visits, of the kinds that are wanted; entries of `more` visits beside them, or those given."""
    people = {one.person_id for one in heads.values() if one.last_story is not None}
    if entries is None:
        written = [*(one.id for one in heads.values() if one.last_entry is not None), *more]
        entries = fetch(session, _ENTRIES, ids=written) if written else ()
    read = Read(
        _by("visit_id", entries), _by("person_id", fetch(session, _STORIES, ids=sorted(people)) if people else ())
    )
    for name in kinds:
        having = [one.id for one in heads.values() if getattr(one, f"last_{name}") is not None]
        read.rows[name] = _by("visit_id", fetch(session, _ROWS[name], ids=having) if having else ())
    return read


def _by(name: str, rows: Iterable[Any]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return found


def safety_records(session: Session, visit_ids: Iterable[str]) -> dict[str, SafetyRecord]:
    """Visit id → its case, first answers and override, as `visit_record` has them. Raises NotFound."""
    heads = heads_of(session, visit_ids)
    read = read_for_safety(session, heads)
    return {visit_id: read.safety(head) for visit_id, head in heads.items()}


def safety_with(session: Session, head: Any, entries: Sequence[Any]) -> SafetyRecord:
    """The same of one visit whose head and entries are known."""
    return _read(session, {head.id: head}, ("screen", "override"), entries=entries).safety(head)


def read_for_safety(session: Session, heads: Mapping[str, Any]) -> Read:
    """What decides how these visits stand with safety; each can be asked for, also with entries added to it."""
    return _read(session, heads, ("screen", "override"))


def visit_record(session: Session, visit_id: str) -> VisitRecord:
    """The whole of one visit. Raises NotFound."""
    return visit_records(session, [visit_id])[visit_id]


def visit_records(session: Session, visit_ids: Iterable[str]) -> dict[str, VisitRecord]:
    """Visit id → the whole of it, for many at once. Raises NotFound."""
    heads = heads_of(session, visit_ids)
    if not heads:
        return {}
    episodes = sorted({one.episode_id for one in heads.values()})
    siblings = _by("episode_id", fetch(session, _SIBLINGS, ids=episodes))
    before = {one.id: _visit_before(siblings[one.episode_id], one.id) for one in heads.values()}
    more = {one.id for one, _ in before.values() if one is not None} - set(heads)
    read = _read(session, heads, ("screen", "override", "wish"), sorted(more))
    return {visit_id: _record(session, read, head, *before[visit_id]) for visit_id, head in heads.items()}


def _visit_before(siblings: Sequence[Any], visit_id: str) -> tuple[Any, int]:
    """The visit before this one in its episode, None for the first; and which one this is."""
    at = next(number for number, other in enumerate(siblings) if other.id == visit_id)
    return (siblings[at - 1] if at else None), at + 1


def _record(session: Session, read: Read, head: Any, before: Any, number: int) -> VisitRecord:
    rows, screen = read.entries.get(head.id, []), read.of("screen", head.id)
    person, _, stories = read.told(head)
    alive = standing(rows)
    return VisitRecord(
        visit_id=head.id,
        episode_id=head.episode_id,
        person_id=head.person_id,
        label=person.label,
        opened_at=head.opened_at,
        number=number,
        position=head.position,
        first_answers=first_answers(screen),
        screen_number=head.last_screen or 0,
        last_time=_last_time(before, read.entries.get(before.id, [])) if before else None,
        stories=stories,
        wishes=wishes_from(read.of("wish", head.id)),
        case=read.case(head),
        entries=tuple(entry_from_row(row) for row in alive),
        override=read.override(head.id),
        signed=signed_note(session, head.id) if head.signed_id is not None else None,
        can_undo=bool(alive),
        can_redo=last_to_redo(rows) is not None,
        care_agreed=head.care,
        chart=chart_of(session, head.id) if head.drawn else (),
        earlier_chart=earlier_chart(session, head.id) if head.drawn else None,
        mark=mark_of(head),
    )


def _last_time(visit: Any, rows: Iterable[Any]) -> LastTime:
    last: dict[tuple[Any, ...], Finding] = {}
    for finding in (entry_from_row(row).finding for row in standing(rows)):
        if finding:
            last[finding.procedure, finding.side, finding.level] = finding
    return LastTime(visit.id, visit.opened_at, tuple(last.values()))


def wishes_from(rows: Iterable[Any]) -> dict[str, str]:
    """Procedure to wish as they stand, the latest last."""
    found: dict[str, str] = {}
    for row in rows:
        found.pop(row.procedure, None)
        if row.wish != "none":
            found[row.procedure] = row.wish
    return found


def override_from_row(row: Any) -> Override:
    """The override that a row holds; flags kept without an urgency have none."""
    flags: dict[str, str | None] = dict.fromkeys(row.flags)
    if isinstance(row.flags, dict):
        flags.update(row.flags)
    return Override(row.urgency, flags, row.reason, row.by, row.at)


def signed_note(session: Session, visit_id: str) -> SignedNote | None:
    """The signed note of a visit, when there is one."""
    row = session.scalar(select(SignedNoteRow).where(SignedNoteRow.visit_id == visit_id))
    if row is None:
        return None
    more = session.scalars(select(AddendumRow).where(AddendumRow.note_id == row.id).order_by(AddendumRow.at)).all()
    return SignedNote(
        row.id, row.signed_by, row.signed_at, row.case_text, row.note, row.release, row.program_version,
        tuple((one.at, one.by, one.text) for one in more), row.last_story,
    )  # fmt: skip
