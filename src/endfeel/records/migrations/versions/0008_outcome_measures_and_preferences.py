"""Answered outcome measures and what the person does not want, kept with the visit. Guarded like its other rows."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

OCCASION = ("rest", "movement", "night", "worst", "usual", "since_start", "since_last")
ANSWERING = ("person", "read_aloud", "proxy", "clinician")
PREFERENCE = ("refuse", "instrument", "rater")
SHAPE = (
    "(takes_back IS NULL) = (measure IS NOT NULL)"
    " AND (takes_back IS NULL) = (answered_on IS NOT NULL)"
    " AND (takes_back IS NULL) = (answering IS NOT NULL)"
    " AND (takes_back IS NULL OR total IS NULL)"
)
OPEN = "SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id"
PERSON = (
    "(SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)"
)
SIGNED = (
    "SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id "
    "JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = {person}"
)
PURGED = "SELECT 1 FROM purge WHERE purge.person_id = {person}"
KEPT = f"NOT EXISTS ({PURGED}) OR EXISTS ({SIGNED})".format(person=PERSON)
SAME = {
    "outcome_answer": "EXISTS (SELECT 1 FROM outcome_answer WHERE number = NEW.number OR id = NEW.id)",
    "preference": "EXISTS (SELECT 1 FROM preference WHERE number = NEW.number)",
}
"""What a row of each table must not put itself in the place of."""


def upgrade() -> None:
    op.create_table(
        "outcome_answer",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("takes_back", sa.String(36), nullable=True),
        sa.Column("measure", sa.String(40), nullable=True),
        sa.Column("answered_on", sa.Date(), nullable=True),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("total", sa.Double(), nullable=True),
        sa.Column("occasion", sa.String(12), nullable=True),
        sa.Column("activities", sa.JSON(), nullable=False),
        sa.Column("answering", sa.String(12), nullable=True),
        sa.Column("instrument", sa.String(60), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        _words("outcome_answer", "occasion", OCCASION),
        _words("outcome_answer", "answering", ANSWERING),
        sa.CheckConstraint(SHAPE, name=op.f("ck_outcome_answer_shape")),
        _of_visit("outcome_answer"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_outcome_answer")),
        sa.UniqueConstraint("id", name=op.f("uq_outcome_answer_id")),
    )
    op.create_table(
        "preference",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("word", sa.String(60), nullable=False),
        sa.Column("holds", sa.Boolean(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        _words("preference", "kind", PREFERENCE),
        _of_visit("preference"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_preference")),
    )
    guard = _guard_postgresql if op.get_bind().dialect.name == "postgresql" else _guard_sqlite
    for table in SAME:
        op.create_index(op.f(f"ix_{table}_visit_id"), table, ["visit_id"])
        guard(table)


def _words(table: str, column: str, words: Iterable[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=op.f(f"ck_{table}_{column}"))


def _of_visit(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["visit_id"], ["visit.id"], name=op.f(f"fk_{table}_visit_id_visit"), ondelete="CASCADE"
    )


def _guard_sqlite(table: str) -> None:
    for name, event, when in (
        ("no_update", "UPDATE", "1"),
        ("no_replace", "INSERT", SAME[table]),
        ("closed", "INSERT", f"EXISTS ({OPEN})"),
        ("kept", "DELETE", KEPT),
    ):
        op.execute(
            f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
        )


def _guard_postgresql(table: str) -> None:
    op.execute(
        f"CREATE FUNCTION refuse_delete_of_{table}() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF {KEPT} THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$"
    )
    for name, event, each, function in (
        ("no_update", "UPDATE", "ROW", "refuse_change"),
        ("no_truncate", "TRUNCATE", "STATEMENT", "refuse_change"),
        ("closed", "INSERT", "ROW", "refuse_insert_when_signed"),
        ("kept", "DELETE", "ROW", f"refuse_delete_of_{table}"),
    ):
        op.execute(
            f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {function}()"
        )
