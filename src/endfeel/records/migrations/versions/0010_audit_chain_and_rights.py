"""The audit becomes a chain; consent by purpose; a record whose time is over may go, signed notes included."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

START = "0" * 64
PURPOSE = ("care", "teaching", "shared_counts")
HEAD = sa.table(
    "audit_head", sa.column("id"), sa.column("place"), sa.column("hash"), sa.column("at", sa.DateTime(timezone=True))
)
AUDIT = sa.table(
    "audit",
    sa.column("number"),
    sa.column("at", sa.DateTime(timezone=True)),
    *(sa.column(name) for name in ("who", "act", "person_id", "visit_id", "detail")),
    *(sa.column(name) for name in ("place", "why", "previous", "hash")),
)
AT_A_TIME = 1000
UNCHANGED = "rows of {table} are never changed"
FOLLOWS = "rows of audit are never changed, and each follows the one before it"
ONWARDS = "the end of the audit only goes on to the next row"
CHAINED = "NOT EXISTS (SELECT 1 FROM audit_head WHERE place = NEW.place - 1 AND hash = NEW.previous)"
NEXT = (
    "NEW.id <> OLD.id OR NEW.place <> OLD.place + 1 "
    "OR NOT EXISTS (SELECT 1 FROM audit WHERE place = NEW.place AND hash = NEW.hash)"
)
OF_VISIT = (
    "(SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = {visit})"
)
SIGNED = (
    "SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id "
    "JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = NEW.person_id"
)
NOT_OVER = "(NEW.rule IS NULL OR NEW.kept_until IS NULL OR NEW.kept_until > NEW.at)"
NOT_PURGED = "NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = {person}{over})"
OF_NOTE = OF_VISIT.format(visit="OLD.visit_id")
OF_ADDENDUM = OF_VISIT.format(visit="(SELECT signed_note.visit_id FROM signed_note WHERE signed_note.id = OLD.note_id)")
OF_DOCUMENT_ADDENDUM = OF_VISIT.format(
    visit="(SELECT signed_document.visit_id FROM signed_document WHERE signed_document.id = OLD.document_id)"
)
WITH_DOCUMENT = SIGNED.replace("signed_note", "signed_document")
FROZEN_BEFORE = ("signed_note", "addendum", "signed_document", "document_addendum")
OVER = " AND purge.kept_until IS NOT NULL"
KEPT = {
    "signed_note": NOT_PURGED.format(person=OF_NOTE, over=OVER),
    "addendum": NOT_PURGED.format(person=OF_ADDENDUM, over=OVER),
    "signed_document": NOT_PURGED.format(person=OF_NOTE, over=OVER),
    "document_addendum": NOT_PURGED.format(person=OF_DOCUMENT_ADDENDUM, over=OVER),
    "consent": NOT_PURGED.format(person="OLD.person_id", over=""),
}
"""What stays whatever is asked: it goes with a purge of its person alone; a signed note when its time is over."""


def upgrade() -> None:
    postgresql = op.get_bind().dialect.name == "postgresql"
    added: dict[str, sa.types.TypeEngine[Any]] = {
        "place": sa.Integer(),
        "why": sa.Text(),
        "previous": sa.String(64),
        "hash": sa.String(64),
    }
    for name, kind in added.items():
        op.add_column("audit", sa.Column(name, kind, nullable=True))
    op.execute("DROP TRIGGER audit_append_only ON audit" if postgresql else "DROP TRIGGER audit_no_update")
    place, last, at = _chain()
    with op.batch_alter_table("audit", recreate="always" if not postgresql else "never") as batch:
        for name, kind in added.items():
            batch.alter_column(name, existing_type=kind, nullable=False)
        batch.create_unique_constraint(op.f("uq_audit_place"), ["place"])
    op.create_table(
        "audit_head",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("id = 1", name=op.f("ck_audit_head_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit_head")),
    )
    op.get_bind().execute(sa.insert(HEAD).values(id=1, place=place, hash=last, at=at))
    listed = ", ".join(f"'{word}'" for word in PURPOSE)
    op.create_table(
        "consent",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("person_id", sa.String(36), nullable=False),
        sa.Column("purpose", sa.String(16), nullable=False),
        sa.Column("given", sa.Boolean(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(f"purpose IS NULL OR purpose IN ({listed})", name=op.f("ck_consent_purpose")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_consent_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_consent")),
    )
    op.create_index(op.f("ix_consent_person_id"), "consent", ["person_id"])
    op.add_column("purge", sa.Column("rule", sa.String(80), nullable=True))
    op.add_column("purge", sa.Column("kept_until", sa.DateTime(timezone=True), nullable=True))
    op.add_column("signed_note", sa.Column("last_story", sa.Integer(), nullable=True))
    if postgresql:
        _guard_postgresql()
    else:
        _guard_sqlite()


def _chain() -> tuple[int, str, datetime | None]:
    """Give every row that is there its place and its hash, in the order of their numbers; the end of the chain."""
    connection = op.get_bind()
    place, last, at, number = 0, START, None, -1
    while True:
        wanted = sa.select(AUDIT).where(AUDIT.c.number > number).order_by(AUDIT.c.number).limit(AT_A_TIME)
        rows = connection.execute(wanted).all()
        if not rows:
            return place, last, at
        changes = []
        for row in rows:
            place, number = place + 1, row.number
            at = row.at if row.at.tzinfo else row.at.replace(tzinfo=UTC)
            moment = f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%fZ}"
            words = [last, place, moment, row.who, row.act, row.person_id, row.visit_id, row.detail, "care"]
            told = json.dumps(words, ensure_ascii=True, separators=(",", ":"))
            now = hashlib.sha256(told.encode()).hexdigest()
            changes.append({"n": number, "p": place, "b": last, "h": now})
            last = now
        change = sa.update(AUDIT).where(AUDIT.c.number == sa.bindparam("n"))
        connection.execute(
            change.values(place=sa.bindparam("p"), why="care", previous=sa.bindparam("b"), hash=sa.bindparam("h")),
            changes,
        )


def _guard_sqlite() -> None:
    same = "EXISTS (SELECT 1 FROM {table} WHERE {key})"
    _refuse("audit", "no_update", "UPDATE", "1")  # these went with the old copy of the table
    _refuse("audit", "no_delete", "DELETE", "1")
    _refuse("audit", "no_replace", "INSERT", same.format(table="audit", key="number = NEW.number OR place = NEW.place"))
    _refuse("audit", "chained", "INSERT", CHAINED, FOLLOWS)
    _refuse("audit_head", "no_delete", "DELETE", "1")
    _refuse("audit_head", "no_replace", "INSERT", "EXISTS (SELECT 1 FROM audit_head)")
    _refuse("audit_head", "onwards", "UPDATE", NEXT, ONWARDS)
    _refuse("consent", "no_update", "UPDATE", "1")
    _refuse("consent", "no_replace", "INSERT", same.format(table="consent", key="number = NEW.number"))
    for table in FROZEN_BEFORE:
        op.execute(f"DROP TRIGGER {table}_no_delete")
    for table, when in KEPT.items():
        _refuse(table, "kept", "DELETE", when)
    for name, signed in (("unsigned", SIGNED), ("no_document", WITH_DOCUMENT)):
        op.execute(f"DROP TRIGGER purge_{name}")
        _refuse("purge", name, "INSERT", f"EXISTS ({signed}) AND {NOT_OVER}")


def _refuse(table: str, name: str, event: str, when: str, told: str = UNCHANGED) -> None:
    op.execute(
        f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, '{told.format(table=table)}'); END"
    )


def _guard_postgresql() -> None:
    _trigger("audit", "append_only", "UPDATE", "ROW", "refuse_change")
    _function("refuse_unchained_audit", CHAINED, "NEW", FOLLOWS)
    _trigger("audit", "chained", "INSERT", "ROW", "refuse_unchained_audit")
    for name, event, each in (("no_delete", "DELETE", "ROW"), ("no_truncate", "TRUNCATE", "STATEMENT")):
        _trigger("audit_head", name, event, each, "refuse_change")
    _function("refuse_other_audit_head", NEXT, "NEW", ONWARDS)
    _trigger("audit_head", "onwards", "UPDATE", "ROW", "refuse_other_audit_head")
    _trigger("consent", "no_update", "UPDATE", "ROW", "refuse_change")
    _trigger("consent", "no_truncate", "TRUNCATE", "STATEMENT", "refuse_change")
    for table in ("signed_note", "addendum"):
        op.execute(f"DROP TRIGGER {table}_frozen ON {table}")
        _trigger(table, "frozen", "UPDATE", "ROW", "refuse_change")
    for table in ("signed_document", "document_addendum"):
        op.execute(f"DROP TRIGGER {table}_no_delete ON {table}")
    for table, when in KEPT.items():
        _function(f"refuse_delete_of_{table}", when, "OLD", UNCHANGED.format(table=table))
        _trigger(table, "kept", "DELETE", "ROW", f"refuse_delete_of_{table}")
    told = UNCHANGED.format(table="purge")
    for name, signed, function in (
        ("unsigned", SIGNED, "refuse_purge_when_signed"),
        ("no_document", WITH_DOCUMENT, "refuse_purge_of_documents"),
    ):
        op.execute(f"DROP TRIGGER purge_{name} ON purge")
        op.execute(f"DROP FUNCTION {function}()")
        _function(function, f"EXISTS ({signed}) AND {NOT_OVER}", "NEW", told)
        _trigger("purge", name, "INSERT", "ROW", function)


def _function(name: str, when: str, row: str, told: str) -> None:
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF {when} THEN "
        f"RAISE EXCEPTION '{told}' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$"
    )


def _trigger(table: str, name: str, event: str, each: str, function: str) -> None:
    op.execute(f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {function}()")
