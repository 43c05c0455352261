"""Which position the person is in: every turn is a row, guarded like the others."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

POSITION = ("standing", "sitting", "side_lying", "supine", "prone")
SIGNED = "SELECT 1 FROM signed_note WHERE signed_note.visit_id = {row}.visit_id"
REFUSED = "'rows of turn are never changed'"


def upgrade() -> None:
    listed = ", ".join(f"'{word}'" for word in POSITION)
    op.create_table(
        "turn",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("position", sa.String(12), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(f"position IS NULL OR position IN ({listed})", name=op.f("ck_turn_position")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_turn_visit_id_visit"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_turn")),
    )
    op.create_index(op.f("ix_turn_visit_id"), "turn", ["visit_id"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _guard_sqlite() -> None:
    for name, event, when in (
        ("no_update", "UPDATE", "1"),
        ("no_replace", "INSERT", "EXISTS (SELECT 1 FROM turn WHERE number = NEW.number)"),
        ("closed", "INSERT", f"EXISTS ({SIGNED.format(row='NEW')})"),
        ("kept", "DELETE", f"EXISTS ({SIGNED.format(row='OLD')})"),
    ):
        op.execute(
            f"CREATE TRIGGER turn_{name} BEFORE {event} ON turn FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, {REFUSED}); END"
        )


def _guard_postgresql() -> None:
    for name, event, each, function in (
        ("no_update", "UPDATE", "ROW", "refuse_change"),
        ("no_truncate", "TRUNCATE", "STATEMENT", "refuse_change"),
        ("closed", "INSERT", "ROW", "refuse_insert_when_signed"),
        ("kept", "DELETE", "ROW", "refuse_delete_when_signed"),
    ):
        op.execute(f"CREATE TRIGGER turn_{name} BEFORE {event} ON turn FOR EACH {each} EXECUTE FUNCTION {function}()")
