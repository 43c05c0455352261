"""Whose class it is; the rows of a counted episode, kept by content; counts of sites; one's own hands."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("learning_class", sa.Column("staff_id", sa.String(36), nullable=True))
    op.create_table(
        "counted_episode",
        sa.Column("episode_id", sa.String(36), nullable=False),
        sa.Column("mark", sa.String(64), nullable=False),
        sa.Column("tests", sa.Boolean(), nullable=False),
        sa.Column("rows", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["episode_id"], ["episode.id"], name=op.f("fk_counted_episode_episode_id_episode"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("episode_id", name=op.f("pk_counted_episode")),
    )
    op.create_table(
        "site_counts",
        sa.Column("site", sa.String(64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("own", sa.Boolean(), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("site", name=op.f("pk_site_counts")),
    )
    op.create_table(
        "own_hands",
        sa.Column("owner", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("owner", name=op.f("pk_own_hands")),
    )
