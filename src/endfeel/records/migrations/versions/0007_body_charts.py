"""Areas drawn on a body chart, and their taking back. Guarded like the other rows of a visit."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

VIEW = ("front", "back", "right", "left")
QUALITY = ("aching", "sharp", "burning", "throbbing", "tingling", "numb", "tight")
DEPTH = ("surface", "deep")
SHAPE = "(takes_back IS NULL) = (view IS NOT NULL)"
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
REFUSED = "'rows of chart_area are never changed'"


def upgrade() -> None:
    op.create_table(
        "chart_area",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("takes_back", sa.String(36), nullable=True),
        sa.Column("view", sa.String(8), nullable=True),
        sa.Column("path", sa.JSON(), nullable=False),
        sa.Column("quality", sa.String(12), nullable=True),
        sa.Column("depth", sa.String(8), nullable=True),
        sa.Column("intensity", sa.Integer(), nullable=True),
        _words("view", VIEW),
        _words("quality", QUALITY),
        _words("depth", DEPTH),
        sa.CheckConstraint(
            "intensity IS NULL OR (intensity >= 0 AND intensity <= 10)", name=op.f("ck_chart_area_intensity")
        ),
        sa.CheckConstraint(SHAPE, name=op.f("ck_chart_area_shape")),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_chart_area_visit_id_visit"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_chart_area")),
        sa.UniqueConstraint("id", name=op.f("uq_chart_area_id")),
    )
    op.create_index(op.f("ix_chart_area_visit_id"), "chart_area", ["visit_id"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _words(column: str, words: Iterable[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=op.f(f"ck_chart_area_{column}"))


def _guard_sqlite() -> None:
    same = "EXISTS (SELECT 1 FROM chart_area WHERE number = NEW.number OR id = NEW.id)"
    for name, event, when in (
        ("no_update", "UPDATE", "1"),
        ("no_replace", "INSERT", same),
        ("closed", "INSERT", f"EXISTS ({OPEN})"),
        ("kept", "DELETE", KEPT),
    ):
        op.execute(
            f"CREATE TRIGGER chart_area_{name} BEFORE {event} ON chart_area FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, {REFUSED}); END"
        )


def _guard_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_delete_of_chart_area() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF {KEPT} THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$"
    )
    for name, event, each, function in (
        ("no_update", "UPDATE", "ROW", "refuse_change"),
        ("no_truncate", "TRUNCATE", "STATEMENT", "refuse_change"),
        ("closed", "INSERT", "ROW", "refuse_insert_when_signed"),
        ("kept", "DELETE", "ROW", "refuse_delete_of_chart_area"),
    ):
        op.execute(
            f"CREATE TRIGGER chart_area_{name} BEFORE {event} ON chart_area FOR EACH {each} "
            f"EXECUTE FUNCTION {function}()"
        )
