"""What a therapist wants of the plan: this test in any case, this one never, this one next. Guarded like the others."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

WISH = ("must", "never", "next", "none")
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
REFUSED = "'rows of wish are never changed'"


def upgrade() -> None:
    listed = ", ".join(f"'{word}'" for word in WISH)
    op.create_table(
        "wish",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("procedure", sa.String(60), nullable=False),
        sa.Column("wish", sa.String(8), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(f"wish IS NULL OR wish IN ({listed})", name=op.f("ck_wish_wish")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_wish_visit_id_visit"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_wish")),
    )
    op.create_index(op.f("ix_wish_visit_id"), "wish", ["visit_id"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _guard_sqlite() -> None:
    for name, event, when in (
        ("no_update", "UPDATE", "1"),
        ("no_replace", "INSERT", "EXISTS (SELECT 1 FROM wish WHERE number = NEW.number)"),
        ("closed", "INSERT", f"EXISTS ({OPEN})"),
        ("kept", "DELETE", KEPT),
    ):
        op.execute(
            f"CREATE TRIGGER wish_{name} BEFORE {event} ON wish FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, {REFUSED}); END"
        )


def _guard_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_delete_of_wish() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF {KEPT} THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$"
    )
    for name, event, each, function in (
        ("no_update", "UPDATE", "ROW", "refuse_change"),
        ("no_truncate", "TRUNCATE", "STATEMENT", "refuse_change"),
        ("closed", "INSERT", "ROW", "refuse_insert_when_signed"),
        ("kept", "DELETE", "ROW", "refuse_delete_of_wish"),
    ):
        op.execute(f"CREATE TRIGGER wish_{name} BEFORE {event} ON wish FOR EACH {each} EXECUTE FUNCTION {function}()")
