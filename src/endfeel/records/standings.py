"""What safety reads of many visits at once: as many questions to the database for a hundred visits as for one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.mapping import case_from_rows, first_answers
from endfeel.records.queries import Override, override_from_row
from endfeel.records.tables import (
    EntryRow,
    EpisodeRow,
    OverrideRow,
    PersonRow,
    ScreenRow,
    SignedNoteRow,
    StoryRow,
    VisitRow,
)
from endfeel.vocabulary import Case, NotFound


@dataclass(frozen=True, slots=True)
class SafetyRecord:
    """What of a visit decides how it stands with safety."""

    case: Case
    first_answers: dict[str, bool]
    override: Override | None
    person_id: str


def safety_records(session: Session, visit_ids: Iterable[str]) -> dict[str, SafetyRecord]:
    """Visit id → its case, first answers and override, as `visit_record` has them. Raises NotFound."""
    wanted = list(dict.fromkeys(visit_ids))
    joined = (
        select(VisitRow, EpisodeRow, PersonRow, SignedNoteRow.signed_at)
        .join(EpisodeRow, VisitRow.episode_id == EpisodeRow.id)
        .join(PersonRow, EpisodeRow.person_id == PersonRow.id)
        .outerjoin(SignedNoteRow, SignedNoteRow.visit_id == VisitRow.id)
        .where(VisitRow.id.in_(wanted))
    )
    found = {visit.id: (episode, person, signed_at) for visit, episode, person, signed_at in session.execute(joined)}
    for visit_id in wanted:
        if visit_id not in found:
            raise NotFound(f"no visit {visit_id!r} in these records")
    entries: dict[str, list[EntryRow]] = {}
    for entry in session.scalars(select(EntryRow).where(EntryRow.visit_id.in_(wanted)).order_by(EntryRow.sequence)):
        entries.setdefault(entry.visit_id, []).append(entry)
    screens: dict[str, list[ScreenRow]] = {}
    for answer in session.scalars(select(ScreenRow).where(ScreenRow.visit_id.in_(wanted))):
        screens.setdefault(answer.visit_id, []).append(answer)
    given = select(OverrideRow).where(OverrideRow.visit_id.in_(wanted)).order_by(OverrideRow.number)
    overrides = {one.visit_id: override_from_row(one) for one in session.scalars(given)}
    people = {person.id for _, person, _ in found.values()}
    stories: dict[str, list[StoryRow]] = {}
    for story in session.scalars(
        select(StoryRow).where(StoryRow.person_id.in_(people)).order_by(StoryRow.number.desc())
    ):
        stories.setdefault(story.person_id, []).append(story)
    records = {}
    for visit_id in wanted:
        episode, person, signed_at = found[visit_id]
        known = [one for one in stories.get(person.id, ()) if signed_at is None or one.at <= signed_at]
        told = next((one for one in known if one.episode_id == episode.id), None)
        screen = screens.get(visit_id, [])
        case = case_from_rows(
            known[0] if known else person, told or episode, screen, entries.get(visit_id, []), episode.title,
            person.invented,
        )  # fmt: skip
        records[visit_id] = SafetyRecord(case, first_answers(screen), overrides.get(visit_id), person.id)
    return records
