"""Signed letters, summaries and handouts with their addenda: never changed, never removed, nor is their person."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

KINDS = ("referral", "discharge", "insurer", "handout")
SAME = {
    "signed_document": "EXISTS (SELECT 1 FROM signed_document WHERE id = NEW.id OR (visit_id = NEW.visit_id"
    " AND kind = NEW.kind AND recipient = NEW.recipient))",
    "document_addendum": "EXISTS (SELECT 1 FROM document_addendum WHERE id = NEW.id)",
}
"""What a row of each table must not put itself in the place of."""
SIGNED = (
    "SELECT 1 FROM signed_document JOIN visit ON visit.id = signed_document.visit_id "
    "JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id"
)


def upgrade() -> None:
    listed = ", ".join(f"'{word}'" for word in KINDS)
    op.create_table(
        "signed_document",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("recipient", sa.String(200), nullable=False),
        sa.Column("signed_by", sa.String(200), nullable=False),
        sa.Column("signed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("release", sa.String(64), nullable=False),
        sa.Column("program_version", sa.String(40), nullable=False),
        sa.CheckConstraint(f"kind IS NULL OR kind IN ({listed})", name=op.f("ck_signed_document_kind")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_signed_document_visit_id_visit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signed_document")),
        sa.UniqueConstraint("visit_id", "kind", "recipient", name=op.f("uq_signed_document_visit_id_kind_recipient")),
    )
    op.create_table(
        "document_addendum",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("document_id", sa.String(36), nullable=False),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["document_id"], ["signed_document.id"], name=op.f("fk_document_addendum_document_id_signed_document")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_document_addendum")),
    )
    op.create_index(op.f("ix_document_addendum_document_id"), "document_addendum", ["document_id"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _guard_sqlite() -> None:
    for table, same in SAME.items():
        _refuse(table, "no_update", "UPDATE", "1")
        _refuse(table, "no_delete", "DELETE", "1")
        _refuse(table, "no_replace", "INSERT", same)
    _refuse("purge", "no_document", "INSERT", f"EXISTS ({SIGNED})")


def _refuse(table: str, name: str, event: str, when: str) -> None:
    op.execute(
        f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
    )


def _guard_postgresql() -> None:
    for table in SAME:
        for name, event, each in (
            ("no_update", "UPDATE", "ROW"),
            ("no_delete", "DELETE", "ROW"),
            ("no_truncate", "TRUNCATE", "STATEMENT"),
        ):
            _trigger(table, name, event, each, "refuse_change")
    op.execute(
        "CREATE FUNCTION refuse_purge_of_documents() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF EXISTS ({SIGNED}) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$"
    )
    _trigger("purge", "no_document", "INSERT", "ROW", "refuse_purge_of_documents")


def _trigger(table: str, name: str, event: str, each: str, function: str) -> None:
    op.execute(f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {function}()")
