"""A finding may say the level a hand reached: one more unit in the closed list."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

UNIT = ("deg", "N", "mm", "cm", "s", "grade", "mmHg", "/min", "%", "kg", "level")
SIGNED = "SELECT 1 FROM signed_note WHERE signed_note.visit_id = {row}.visit_id"
SAME = "SELECT 1 FROM entry WHERE id = NEW.id OR (visit_id = NEW.visit_id AND sequence = NEW.sequence)"
GUARDS = (
    ("no_update", "UPDATE", ""),
    ("no_replace", "INSERT", f"WHEN EXISTS ({SAME}) "),
    ("closed", "INSERT", f"WHEN EXISTS ({SIGNED.format(row='NEW')}) "),
    ("kept", "DELETE", f"WHEN EXISTS ({SIGNED.format(row='OLD')}) "),
)
"""Triggers of `entry` in SQLite: they go with the old copy of the table and are said again."""


def upgrade() -> None:
    listed = ", ".join(f"'{word}'" for word in UNIT)
    with op.batch_alter_table("entry") as batch:
        batch.drop_constraint(op.f("ck_entry_unit"), type_="check")
        batch.create_check_constraint(op.f("ck_entry_unit"), sa.text(f"unit IS NULL OR unit IN ({listed})"))
    if op.get_bind().dialect.name == "sqlite":
        for name, event, when in GUARDS:
            op.execute(
                f"CREATE TRIGGER entry_{name} BEFORE {event} ON entry FOR EACH ROW {when}"
                "BEGIN SELECT RAISE(ABORT, 'rows of entry are never changed'); END"
            )
