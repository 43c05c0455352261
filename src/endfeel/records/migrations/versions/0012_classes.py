"""Classes that learn on simulated patients: their cases and their learners. What a learner did lies in lesson files."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "learning_class",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("teacher", sa.String(200), nullable=False),
        sa.Column("join_code", sa.String(12), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_learning_class")),
        sa.UniqueConstraint("join_code", name=op.f("uq_learning_class_join_code")),
    )
    op.create_table(
        "class_case",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("class_id", sa.String(36), nullable=False),
        sa.Column("code", sa.String(12), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        _of_class("class_case"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_class_case")),
        sa.UniqueConstraint("class_id", "code", name=op.f("uq_class_case_class_id_code")),
    )
    op.create_index(op.f("ix_class_case_class_id"), "class_case", ["class_id"])
    op.create_table(
        "class_member",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("class_id", sa.String(36), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        _of_class("class_member"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_class_member")),
        sa.UniqueConstraint("class_id", "name", name=op.f("uq_class_member_class_id_name")),
    )
    op.create_index(op.f("ix_class_member_class_id"), "class_member", ["class_id"])


def _of_class(table: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_class_id_learning_class")
    return sa.ForeignKeyConstraint(["class_id"], ["learning_class.id"], name=name, ondelete="CASCADE")
