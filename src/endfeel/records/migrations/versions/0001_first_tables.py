"""First tables; signed notes and addenda cannot be changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

FROZEN = ("signed_note", "addendum")
APPEND_ONLY = ("entry", "screen_answer", "verdict_override", "audit")


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=200), nullable=False),
        sa.Column("act", sa.String(length=40), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=True),
        sa.Column("visit_id", sa.String(length=36), nullable=True),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_audit")),
    )
    op.create_index(op.f("ix_audit_person_id"), "audit", ["person_id"], unique=False)
    op.create_table(
        "person",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("label", sa.String(length=200), nullable=False),
        sa.Column("age", sa.Integer(), nullable=True),
        sa.Column("sex", sa.String(length=10), nullable=True),
        sa.Column("dominant", sa.String(length=5), nullable=True),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
    )
    op.create_table(
        "episode",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=False),
        sa.Column("title", sa.String(length=300), nullable=False),
        sa.Column("side", sa.String(length=5), nullable=True),
        sa.Column("onset", sa.String(length=10), nullable=True),
        sa.Column("weeks", sa.Double(), nullable=True),
        sa.Column("irritability", sa.String(length=10), nullable=True),
        sa.Column("areas", sa.JSON(), nullable=False),
        sa.Column("story", sa.Text(), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_episode_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_episode")),
    )
    op.create_index(op.f("ix_episode_person_id"), "episode", ["person_id"], unique=False)
    op.create_table(
        "visit",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("episode_id", sa.String(length=36), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("position", sa.String(length=12), nullable=False),
        sa.ForeignKeyConstraint(
            ["episode_id"], ["episode.id"], name=op.f("fk_visit_episode_id_episode"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit")),
    )
    op.create_index(op.f("ix_visit_episode_id"), "visit", ["episode_id"], unique=False)
    op.create_table(
        "entry",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("visit_id", sa.String(length=36), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("supersedes", sa.String(length=36), nullable=True),
        sa.Column("retracts", sa.String(length=36), nullable=True),
        sa.Column("procedure", sa.String(length=60), nullable=True),
        sa.Column("side", sa.String(length=5), nullable=True),
        sa.Column("level", sa.String(length=4), nullable=True),
        sa.Column("mobility", sa.Integer(), nullable=True),
        sa.Column("end_feel", sa.String(length=20), nullable=True),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("unit", sa.String(length=8), nullable=True),
        sa.Column("other", sa.Double(), nullable=True),
        sa.Column("pain", sa.Double(), nullable=True),
        sa.Column("pain_onset", sa.Double(), nullable=True),
        sa.Column("resistance_onset", sa.Double(), nullable=True),
        sa.Column("familiar", sa.Boolean(), nullable=True),
        sa.Column("result", sa.String(length=12), nullable=True),
        sa.Column("apprehension", sa.Boolean(), nullable=True),
        sa.Column("strength", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("technique", sa.Text(), nullable=True),
        sa.Column("dose", sa.Text(), nullable=True),
        sa.CheckConstraint("kind IN ('finding', 'retest', 'treatment', 'retraction')", name=op.f("ck_entry_kind")),
        sa.CheckConstraint("side IS NULL OR side IN ('right', 'left')", name=op.f("ck_entry_side")),
        sa.CheckConstraint("mobility IS NULL OR (mobility >= 0 AND mobility <= 6)", name=op.f("ck_entry_mobility")),
        sa.CheckConstraint("pain IS NULL OR (pain >= 0 AND pain <= 10)", name=op.f("ck_entry_pain")),
        sa.ForeignKeyConstraint(["retracts"], ["entry.id"], name=op.f("fk_entry_retracts_entry")),
        sa.ForeignKeyConstraint(["supersedes"], ["entry.id"], name=op.f("fk_entry_supersedes_entry")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_entry_visit_id_visit"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("visit_id", "sequence", name=op.f("uq_entry_visit_id_sequence")),
    )
    op.create_table(
        "screen_answer",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("visit_id", sa.String(length=36), nullable=False),
        sa.Column("cue", sa.String(length=60), nullable=False),
        sa.Column("answer", sa.Boolean(), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_screen_answer_visit_id_visit"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_screen_answer")),
    )
    op.create_index(op.f("ix_screen_answer_visit_id"), "screen_answer", ["visit_id"], unique=False)
    op.create_table(
        "signed_note",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("visit_id", sa.String(length=36), nullable=False),
        sa.Column("signed_by", sa.String(length=200), nullable=False),
        sa.Column("signed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("case_text", sa.Text(), nullable=False),
        sa.Column("note", sa.JSON(), nullable=False),
        sa.Column("release", sa.String(length=64), nullable=False),
        sa.Column("program_version", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_signed_note_visit_id_visit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signed_note")),
        sa.UniqueConstraint("visit_id", name=op.f("uq_signed_note_visit_id")),
    )
    op.create_table(
        "verdict_override",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("visit_id", sa.String(length=36), nullable=False),
        sa.Column("urgency", sa.String(length=12), nullable=False),
        sa.Column("flags", sa.JSON(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_verdict_override_visit_id_visit"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_verdict_override")),
    )
    op.create_index(op.f("ix_verdict_override_visit_id"), "verdict_override", ["visit_id"], unique=False)
    op.create_table(
        "addendum",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("note_id", sa.String(length=36), nullable=False),
        sa.Column("by", sa.String(length=200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["note_id"], ["signed_note.id"], name=op.f("fk_addendum_note_id_signed_note")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_addendum")),
    )
    op.create_index(op.f("ix_addendum_note_id"), "addendum", ["note_id"], unique=False)
    _guard(op.get_bind().dialect.name)


def _guard(dialect: str) -> None:
    """The database itself refuses changes: signed notes for ever, other rows may only go with their visit."""
    if dialect == "postgresql":
        op.execute(
            "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME; END $$"
        )
        for table in FROZEN:
            op.execute(
                f"CREATE TRIGGER {table}_frozen BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )
        for table in APPEND_ONLY:
            op.execute(
                f"CREATE TRIGGER {table}_append_only BEFORE UPDATE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )
        return
    for table in FROZEN:
        for event in ("UPDATE", "DELETE"):
            _refuse(table, event)
    for table in APPEND_ONLY:
        _refuse(table, "UPDATE")


def _refuse(table: str, event: str) -> None:
    op.execute(
        f"CREATE TRIGGER {table}_no_{event.lower()} BEFORE {event} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
    )
