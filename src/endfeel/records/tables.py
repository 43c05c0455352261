"""The tables. Rows are private to this room; `mapping.py` turns them into values and back."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Date,
    DateTime,
    Dialect,
    ForeignKey,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from endfeel.vocabulary import EndFeel, Irritability, Onset, Position, Result, Side, Unit
from endfeel.vocabulary.body_chart import INTENSITY, ChartView, SymptomDepth, SymptomQuality
from endfeel.vocabulary.confirmed import Reference
from endfeel.vocabulary.outcomes import Answering, Occasion

SEXES = ("female", "male", "other")
ENTRY_KINDS = ("finding", "retest", "treatment", "retraction")
ENTRY_SHAPE = (
    "(kind = 'retraction') = (retracts IS NOT NULL)"
    " AND (kind = 'treatment') = (technique IS NOT NULL)"
    " AND (kind IN ('finding', 'retest')) = (procedure IS NOT NULL)"
)
"""Each kind of entry holds its own columns; what is neither of them stays empty."""


class UtcTime(TypeDecorator[datetime]):
    """A moment in UTC, aware on the way in and out, on both databases."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is not None and value.tzinfo is None:
            raise ValueError("a stored moment needs a time zone")
        return value.astimezone(UTC) if value else None

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


class Table(DeclarativeBase):
    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


ID = String(36)


def one_of(column: str, words: Iterable[str]) -> CheckConstraint:
    """A word of a closed vocabulary, or nothing. A new word needs a migration: the database knows the list."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=column)


def between(column: str, low: int, high: int) -> CheckConstraint:
    """A number on a scale, or nothing."""
    return CheckConstraint(f"{column} IS NULL OR ({column} >= {low} AND {column} <= {high})", name=column)


class PersonRow(Table):
    __tablename__ = "person"
    __table_args__ = (one_of("sex", SEXES), one_of("dominant", Side))
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    label: Mapped[str] = mapped_column(String(200))
    age: Mapped[int | None]
    sex: Mapped[str | None] = mapped_column(String(10))
    dominant: Mapped[str | None] = mapped_column(String(5))
    invented: Mapped[bool]
    created_at: Mapped[datetime] = mapped_column(UtcTime)


class EpisodeRow(Table):
    __tablename__ = "episode"
    __table_args__ = (one_of("side", Side), one_of("onset", Onset), one_of("irritability", Irritability))
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    title: Mapped[str] = mapped_column(String(300))
    side: Mapped[str | None] = mapped_column(String(5))
    onset: Mapped[str | None] = mapped_column(String(10))
    weeks: Mapped[float | None]
    irritability: Mapped[str | None] = mapped_column(String(10))
    areas: Mapped[list[str]] = mapped_column(JSON)
    story: Mapped[str] = mapped_column(Text)
    opened_at: Mapped[datetime] = mapped_column(UtcTime)


class VisitRow(Table):
    __tablename__ = "visit"
    __table_args__ = (one_of("position", Position),)
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    episode_id: Mapped[str] = mapped_column(ForeignKey("episode.id", ondelete="CASCADE"), index=True)
    opened_at: Mapped[datetime] = mapped_column(UtcTime)
    position: Mapped[str] = mapped_column(String(12))


class StoryRow(Table):
    """Person and complaint as they were told again; the rows told first stay as they are. The latest counts: of the
    person for label, age, sex and hand, of the episode for the rest."""

    __tablename__ = "story"
    __table_args__ = (
        one_of("sex", SEXES),
        one_of("dominant", Side),
        one_of("side", Side),
        one_of("onset", Onset),
        one_of("irritability", Irritability),
    )
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    episode_id: Mapped[str] = mapped_column(ForeignKey("episode.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    label: Mapped[str] = mapped_column(String(200))
    age: Mapped[int | None]
    sex: Mapped[str | None] = mapped_column(String(10))
    dominant: Mapped[str | None] = mapped_column(String(5))
    side: Mapped[str | None] = mapped_column(String(5))
    onset: Mapped[str | None] = mapped_column(String(10))
    weeks: Mapped[float | None]
    irritability: Mapped[str | None] = mapped_column(String(10))
    areas: Mapped[list[str]] = mapped_column(JSON)
    story: Mapped[str] = mapped_column(Text)


class PurgeRow(Table):
    """Opened before a person's record is removed; it goes with the person. Without it nothing is removed.

    A person with a signed note takes one with a rule of retention and the day it kept the record until, which is over.
    """

    __tablename__ = "purge"
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    rule: Mapped[str | None] = mapped_column(String(80))
    kept_until: Mapped[datetime | None] = mapped_column(UtcTime)


PURPOSES = ("care", "teaching", "shared_counts")


class ConsentRow(Table):
    """What a person said about one purpose; the latest about it counts, and what was never asked is no."""

    __tablename__ = "consent"
    __table_args__ = (one_of("purpose", PURPOSES),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    person_id: Mapped[str] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    purpose: Mapped[str] = mapped_column(String(16))
    given: Mapped[bool]
    words: Mapped[str] = mapped_column(Text)
    """How it was given or taken back: on which form, in whose presence."""
    by: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime] = mapped_column(UtcTime)


class EntryRow(Table):
    """One thing recorded in a visit. Never changed, never removed: a correction supersedes, an undo retracts."""

    __tablename__ = "entry"
    __table_args__ = (
        UniqueConstraint("visit_id", "sequence"),
        one_of("kind", ENTRY_KINDS),
        CheckConstraint(ENTRY_SHAPE, name="shape"),
        one_of("side", Side),
        one_of("end_feel", EndFeel),
        one_of("unit", Unit),
        one_of("result", Result),
        between("mobility", 0, 6),
        between("pain", 0, 10),
        between("strength", 0, 5),
    )
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"))
    sequence: Mapped[int]
    kind: Mapped[str] = mapped_column(String(12))
    recorded_at: Mapped[datetime] = mapped_column(UtcTime)
    supersedes: Mapped[str | None] = mapped_column(ForeignKey("entry.id"))
    retracts: Mapped[str | None] = mapped_column(ForeignKey("entry.id"))
    procedure: Mapped[str | None] = mapped_column(String(60))
    side: Mapped[str | None] = mapped_column(String(5))
    level: Mapped[str | None] = mapped_column(String(4))
    mobility: Mapped[int | None]
    end_feel: Mapped[str | None] = mapped_column(String(20))
    value: Mapped[float | None]
    unit: Mapped[str | None] = mapped_column(String(8))
    other: Mapped[float | None]
    pain: Mapped[float | None]
    pain_onset: Mapped[float | None]
    resistance_onset: Mapped[float | None]
    familiar: Mapped[bool | None]
    result: Mapped[str | None] = mapped_column(String(12))
    apprehension: Mapped[bool | None]
    strength: Mapped[int | None]
    note: Mapped[str | None] = mapped_column(Text)
    technique: Mapped[str | None] = mapped_column(Text)
    dose: Mapped[str | None] = mapped_column(Text)


class ScreenRow(Table):
    """One answer to one screen item; the latest counts; an empty answer takes an earlier one back."""

    __tablename__ = "screen_answer"
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    cue: Mapped[str] = mapped_column(String(60))
    answer: Mapped[bool | None]
    answered_at: Mapped[datetime] = mapped_column(UtcTime)


class TurnRow(Table):
    """The person turned to a position; the latest counts."""

    __tablename__ = "turn"
    __table_args__ = (one_of("position", Position),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    position: Mapped[str] = mapped_column(String(12))
    at: Mapped[datetime] = mapped_column(UtcTime)


WISHES = ("must", "never", "next", "none")


class WishRow(Table):
    """What the therapist wants of the plan about one procedure; the latest about it counts."""

    __tablename__ = "wish"
    __table_args__ = (one_of("wish", WISHES),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    procedure: Mapped[str] = mapped_column(String(60))
    wish: Mapped[str] = mapped_column(String(8))
    at: Mapped[datetime] = mapped_column(UtcTime)


CHART_SHAPE = "(takes_back IS NULL) = (view IS NOT NULL)"
"""A row of a chart either draws an area or takes one back."""


class ChartAreaRow(Table):
    """One area drawn on the body chart of a visit, or the taking back of one. Never changed, never removed."""

    __tablename__ = "chart_area"
    __table_args__ = (
        UniqueConstraint("id"),
        one_of("view", ChartView),
        one_of("quality", SymptomQuality),
        one_of("depth", SymptomDepth),
        between("intensity", *INTENSITY),
        CheckConstraint(CHART_SHAPE, name="shape"),
    )
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    id: Mapped[str] = mapped_column(ID)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    takes_back: Mapped[str | None] = mapped_column(ID)
    view: Mapped[str | None] = mapped_column(String(8))
    path: Mapped[list[list[float]]] = mapped_column(JSON)
    quality: Mapped[str | None] = mapped_column(String(12))
    depth: Mapped[str | None] = mapped_column(String(8))
    intensity: Mapped[int | None]


MEASURE_SHAPE = (
    "(takes_back IS NULL) = (measure IS NOT NULL)"
    " AND (takes_back IS NULL) = (answered_on IS NOT NULL)"
    " AND (takes_back IS NULL) = (answering IS NOT NULL)"
    " AND (takes_back IS NULL OR total IS NULL)"
)
"""A row of outcome measures either holds an answered one or takes one back."""


class MeasureRow(Table):
    """One answered outcome measure of a visit, or the taking back of one. Never changed, never removed."""

    __tablename__ = "outcome_answer"
    __table_args__ = (
        UniqueConstraint("id"),
        one_of("occasion", Occasion),
        one_of("answering", Answering),
        CheckConstraint(MEASURE_SHAPE, name="shape"),
    )
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    id: Mapped[str] = mapped_column(ID)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    takes_back: Mapped[str | None] = mapped_column(ID)
    measure: Mapped[str | None] = mapped_column(String(40))
    answered_on: Mapped[date | None] = mapped_column(Date)
    answers: Mapped[list[float | None]] = mapped_column(JSON)
    total: Mapped[float | None]
    occasion: Mapped[str | None] = mapped_column(String(12))
    activities: Mapped[list[str]] = mapped_column(JSON)
    answering: Mapped[str | None] = mapped_column(String(12))
    instrument: Mapped[str] = mapped_column(String(60))
    note: Mapped[str] = mapped_column(Text)


CONFIRMED_SHAPE = (
    "(takes_back IS NULL) = (contributor IS NOT NULL)"
    " AND (takes_back IS NULL) = (confirmed IS NOT NULL)"
    " AND (takes_back IS NULL) = (reference IS NOT NULL)"
    " AND (takes_back IS NULL) = (known_on IS NOT NULL)"
)
"""A row of confirmed outcomes either holds one or takes one back."""


class ConfirmedRow(Table):
    """What turned out to be so in an episode, or the taking back of it. Never changed, never removed."""

    __tablename__ = "confirmed_outcome"
    __table_args__ = (
        UniqueConstraint("id"),
        one_of("side", Side),
        one_of("reference", Reference),
        CheckConstraint(CONFIRMED_SHAPE, name="shape"),
    )
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    id: Mapped[str] = mapped_column(ID)
    episode_id: Mapped[str] = mapped_column(ForeignKey("episode.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    takes_back: Mapped[str | None] = mapped_column(ID)
    contributor: Mapped[str | None] = mapped_column(String(60))
    side: Mapped[str | None] = mapped_column(String(5))
    confirmed: Mapped[bool | None]
    reference: Mapped[str | None] = mapped_column(String(12))
    known_on: Mapped[date | None] = mapped_column(Date)
    words: Mapped[str] = mapped_column(Text)
    by: Mapped[str] = mapped_column(String(200))


PREFERENCES = ("refuse", "instrument", "rater")


class PreferenceRow(Table):
    """What the person does not want of treatment, and by what and by whom is measured; the latest about it counts."""

    __tablename__ = "preference"
    __table_args__ = (one_of("kind", PREFERENCES),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str] = mapped_column(String(12))
    word: Mapped[str] = mapped_column(String(60))
    holds: Mapped[bool]
    at: Mapped[datetime] = mapped_column(UtcTime)


class OverrideRow(Table):
    """An urgent verdict overridden, with name and reason."""

    __tablename__ = "verdict_override"
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id", ondelete="CASCADE"), index=True)
    urgency: Mapped[str] = mapped_column(String(12))
    flags: Mapped[dict[str, str] | list[str]] = mapped_column(JSON)
    """Flags that stood when it was overridden, each with its urgency then; early rows hold the ids alone."""
    reason: Mapped[str] = mapped_column(Text)
    by: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime] = mapped_column(UtcTime)


class SignedNoteRow(Table):
    """What was found and concluded when the note was signed. The database refuses to change or remove it."""

    __tablename__ = "signed_note"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), unique=True)
    signed_by: Mapped[str] = mapped_column(String(200))
    signed_at: Mapped[datetime] = mapped_column(UtcTime)
    case_text: Mapped[str] = mapped_column(Text)
    note: Mapped[dict[str, Any]] = mapped_column(JSON)
    release: Mapped[str] = mapped_column(String(64))
    program_version: Mapped[str] = mapped_column(String(40))
    last_story: Mapped[int | None]
    """Number of the last story told before it was signed, 0 when none was; early rows go by the time alone."""


class AddendumRow(Table):
    """Words added after signing."""

    __tablename__ = "addendum"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    note_id: Mapped[str] = mapped_column(ForeignKey("signed_note.id"), index=True)
    by: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime] = mapped_column(UtcTime)
    text: Mapped[str] = mapped_column(Text)


DOCUMENT_KINDS = ("referral", "discharge", "insurer", "handout")
"""Documents that are kept beside the note; a follow-up note is the note of its visit."""


class SignedDocumentRow(Table):
    """A letter, summary or handout as it was signed, one of a kind and reader a visit. The database refuses to change
    or remove it."""

    __tablename__ = "signed_document"
    __table_args__ = (UniqueConstraint("visit_id", "kind", "recipient"), one_of("kind", DOCUMENT_KINDS))
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"))
    kind: Mapped[str] = mapped_column(String(12))
    recipient: Mapped[str] = mapped_column(String(200))
    """Who reads it; empty for what has no reader of its own."""
    signed_by: Mapped[str] = mapped_column(String(200))
    signed_at: Mapped[datetime] = mapped_column(UtcTime)
    document: Mapped[dict[str, Any]] = mapped_column(JSON)
    release: Mapped[str] = mapped_column(String(64))
    program_version: Mapped[str] = mapped_column(String(40))


class DocumentAddendumRow(Table):
    """Words added to a signed document."""

    __tablename__ = "document_addendum"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    document_id: Mapped[str] = mapped_column(ForeignKey("signed_document.id"), index=True)
    by: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime] = mapped_column(UtcTime)
    text: Mapped[str] = mapped_column(Text)


class AuditRow(Table):
    """Who looked at or changed whose record, when and why. Each row carries the hash of the one before it."""

    __tablename__ = "audit"
    __table_args__ = (UniqueConstraint("place"),)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    place: Mapped[int]
    """1, 2, 3 … without a gap."""
    at: Mapped[datetime] = mapped_column(UtcTime)
    who: Mapped[str] = mapped_column(String(200))
    act: Mapped[str] = mapped_column(String(40))
    person_id: Mapped[str | None] = mapped_column(String(36), index=True)
    visit_id: Mapped[str | None] = mapped_column(String(36))
    detail: Mapped[str] = mapped_column(Text)
    why: Mapped[str] = mapped_column(Text)
    previous: Mapped[str] = mapped_column(String(64))
    hash: Mapped[str] = mapped_column(String(64))


class AuditHeadRow(Table):
    """Where the chain of audit rows ends. One row, held by whoever adds to the chain; it only goes forward."""

    __tablename__ = "audit_head"
    __table_args__ = (CheckConstraint("id = 1", name="id"),)
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    place: Mapped[int]
    hash: Mapped[str] = mapped_column(String(64))
    at: Mapped[datetime | None] = mapped_column(UtcTime)
