"""Stores filled with invented people, quickly: rows as the program writes them, without an act for each."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import TextClause, insert, text

from endfeel import care
from endfeel.assessment import read_case
from endfeel.records.mapping import columns_of_finding
from endfeel.records.tables import EntryRow, EpisodeRow, PersonRow, VisitRow
from endfeel.vocabulary import Finding

STORY = Path(__file__).resolve().parents[1] / "stories" / "first_visit.txt"
AT_ONCE = 5000


@dataclass(frozen=True, slots=True)
class Filled:
    """Ids of what was made: people, one episode each, and the visits of each episode in order."""

    people: list[str]
    episodes: list[str]
    visits: list[list[str]]


def told(desk: care.Desk) -> tuple[Finding, ...]:
    """The findings of an invented first visit."""
    return read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library).findings


def fill(desk: care.Desk, people: int, visits: int, findings: int) -> Filled:
    """So many people with an episode of so many visits, a week apart, of so many findings each."""
    now = desk.clock()
    made = Filled(_ids(people), _ids(people), [_ids(visits) for _ in range(people)])
    days = [now - timedelta(days=7 * (visits - number)) for number in range(visits)]
    first = made.visits[0][0]
    columns = [columns_of_finding(one) for one in told(desk)]
    tables: list[tuple[Any, Iterator[dict[str, Any]]]] = [
        (PersonRow, (
            {"id": one, "label": f"Invented {at}", "age": 54, "sex": "female", "dominant": "right", "invented": True,
             "created_at": days[0]} for at, one in enumerate(made.people))),
        (EpisodeRow, (
            {"id": one, "person_id": made.people[at], "title": "Invented", "side": "right", "onset": "gradual",
             "weeks": 16.0, "irritability": "moderate", "areas": ["lateral"], "story": "", "opened_at": days[0]}
            for at, one in enumerate(made.episodes))),
        (VisitRow, (
            {"id": one, "episode_id": made.episodes[at], "opened_at": days[number], "position": "sitting"}
            for at, several in enumerate(made.visits) for number, one in enumerate(several))),
        (EntryRow, (
            {"id": str(uuid.uuid4()), "visit_id": first, "sequence": number + 1, "kind": "finding",
             "recorded_at": days[0], **columns[number % len(columns)]} for number in range(findings))),
    ]  # fmt: skip
    for table, rows in tables:
        with desk.engine.begin() as connection:
            for batch in _batches(rows):
                connection.execute(insert(table), batch)
    with desk.engine.begin() as connection:
        connection.execute(_copy(desk, first))
    if desk.engine.dialect.name == "postgresql":
        with desk.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("ANALYZE")
    return made


def _copy(desk: care.Desk, first: str) -> TextClause:
    """The entries of one visit copied into every other, by the database itself."""
    columns = [one.name for one in EntryRow.__table__.columns if one.name not in ("id", "visit_id", "recorded_at")]
    names, told = ", ".join(columns), ", ".join(f"entry.{one}" for one in columns)
    on_a_server = desk.engine.dialect.name == "postgresql"
    made = "gen_random_uuid()::text" if on_a_server else "lower(hex(randomblob(16)))"
    wanted = (
        f"INSERT INTO entry (id, visit_id, recorded_at, {names}) "  # noqa: S608 - names of our own columns
        f"SELECT {made}, visit.id, visit.opened_at, {told} "
        "FROM visit CROSS JOIN entry WHERE entry.visit_id = :first AND visit.id <> :first"
    )
    return text(wanted.replace("::", "\\:\\:")).bindparams(first=first)


def _ids(number: int) -> list[str]:
    return [str(uuid.uuid4()) for _ in range(number)]


def _batches(rows: Iterator[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    batch: list[dict[str, Any]] = []
    for row in rows:
        batch.append(row)
        if len(batch) == AT_ONCE:
            yield batch
            batch = []
    if batch:
        yield batch
