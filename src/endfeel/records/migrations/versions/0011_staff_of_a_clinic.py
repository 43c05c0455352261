"""Who works in a clinic, how they sign in, whom they care for, what waits for a counter-signature."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

ROLES = ("therapist", "assistant", "student", "lead", "administrator")
OUTCOMES = ("signed", "returned")


def upgrade() -> None:
    op.create_table(
        "staff",
        _id(),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("supervisor", sa.String(36), nullable=True),
        _words("password"),
        sa.Column("must_choose", sa.Boolean(), nullable=False),
        sa.Column("totp", sa.String(64), nullable=True),
        sa.Column("totp_step", sa.Integer(), nullable=True),
        sa.Column("failures", sa.Integer(), nullable=False),
        _moment("locked_until", nullable=True),
        _moment("created_at"),
        _moment("left_at", nullable=True),
        _one_of("staff", "role", ROLES),
        _refers("staff", "supervisor", "staff"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff")),
        sa.UniqueConstraint("name", name=op.f("uq_staff_name")),
    )
    op.create_table(
        "passkey",
        sa.Column("id", sa.Text(), nullable=False),
        _staff(),
        _words("public_key"),
        sa.Column("uses", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        _moment("added_at"),
        _refers("passkey", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_passkey")),
    )
    op.create_table(
        "recovery_code",
        _number(),
        _staff(),
        sa.Column("hash", sa.String(64), nullable=False),
        _moment("used_at", nullable=True),
        _refers("recovery_code", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_recovery_code")),
    )
    op.create_table(
        "sign_in",
        sa.Column("id", sa.String(64), nullable=False),
        _staff(nullable=True),
        sa.Column("second", sa.Boolean(), nullable=False),
        sa.Column("challenge", sa.String(200), nullable=True),
        sa.Column("browser", sa.String(200), nullable=False),
        _moment("began_at"),
        _moment("seen_at"),
        _refers("sign_in", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in")),
    )
    op.create_table(
        "assignment",
        sa.Column("person_id", sa.String(36), nullable=False),
        _staff(),
        _moment("at"),
        sa.Column("by", sa.String(200), nullable=False),
        _refers("assignment", "person_id", "person", ondelete="CASCADE"),
        _refers("assignment", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("person_id", "staff_id", name=op.f("pk_assignment")),
    )
    op.create_table(
        "break_glass",
        _number(),
        sa.Column("person_id", sa.String(36), nullable=False),
        _staff(),
        _words("reason"),
        _moment("at"),
        _moment("until"),
        sa.Column("noted_by", sa.String(200), nullable=True),
        _moment("noted_at", nullable=True),
        _refers("break_glass", "person_id", "person", ondelete="CASCADE"),
        _refers("break_glass", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_break_glass")),
    )
    op.create_table(
        "presented",
        _id(),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("words", sa.JSON(), nullable=False),
        _staff(),
        _moment("at"),
        sa.Column("outcome", sa.String(10), nullable=True),
        _words("remark"),
        sa.Column("settled_by", sa.String(200), nullable=True),
        _moment("settled_at", nullable=True),
        _one_of("presented", "outcome", OUTCOMES),
        _refers("presented", "visit_id", "visit", ondelete="CASCADE"),
        _refers("presented", "staff_id", "staff"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_presented")),
    )
    for table, column in (
        ("passkey", "staff_id"),
        ("recovery_code", "staff_id"),
        ("sign_in", "staff_id"),
        ("break_glass", "person_id"),
        ("presented", "visit_id"),
    ):
        op.create_index(op.f(f"ix_{table}_{column}"), table, [column])


def _id() -> sa.Column[str]:
    return sa.Column("id", sa.String(36), nullable=False)


def _number() -> sa.Column[int]:
    return sa.Column("number", sa.Integer(), autoincrement=True, nullable=False)


def _staff(*, nullable: bool = False) -> sa.Column[str]:
    return sa.Column("staff_id", sa.String(36), nullable=nullable)


def _words(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[datetime]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _one_of(table: str, column: str, words: tuple[str, ...]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=op.f(f"ck_{table}_{column}"))


def _refers(table: str, column: str, to: str, ondelete: str | None = None) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}"), ondelete=ondelete)
