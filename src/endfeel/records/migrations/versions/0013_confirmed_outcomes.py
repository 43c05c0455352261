"""What turned out to be so in an episode, by imaging, block, surgery or response. Never changed; taken back."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

TABLE = "confirmed_outcome"
SIDE = ("right", "left")
REFERENCE = ("imaging", "block", "surgery", "response")
SHAPE = (
    "(takes_back IS NULL) = (contributor IS NOT NULL)"
    " AND (takes_back IS NULL) = (confirmed IS NOT NULL)"
    " AND (takes_back IS NULL) = (reference IS NOT NULL)"
    " AND (takes_back IS NULL) = (known_on IS NOT NULL)"
)
SAME = f"EXISTS (SELECT 1 FROM {TABLE} WHERE number = NEW.number OR id = NEW.id)"  # noqa: S608
KEPT = (
    "NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = "
    "(SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id))"
)
TOLD = f"rows of {TABLE} are never changed"


def upgrade() -> None:
    op.create_table(
        TABLE,
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("episode_id", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("takes_back", sa.String(36), nullable=True),
        sa.Column("contributor", sa.String(60), nullable=True),
        sa.Column("side", sa.String(5), nullable=True),
        sa.Column("confirmed", sa.Boolean(), nullable=True),
        sa.Column("reference", sa.String(12), nullable=True),
        sa.Column("known_on", sa.Date(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("by", sa.String(200), nullable=False),
        _words("side", SIDE),
        _words("reference", REFERENCE),
        sa.CheckConstraint(SHAPE, name=op.f(f"ck_{TABLE}_shape")),
        sa.ForeignKeyConstraint(
            ["episode_id"], ["episode.id"], name=op.f(f"fk_{TABLE}_episode_id_episode"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f(f"pk_{TABLE}")),
        sa.UniqueConstraint("id", name=op.f(f"uq_{TABLE}_id")),
    )
    op.create_index(op.f(f"ix_{TABLE}_episode_id"), TABLE, ["episode_id"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _words(column: str, words: Iterable[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=op.f(f"ck_{TABLE}_{column}"))


def _guard_sqlite() -> None:
    for name, event, when in (("no_update", "UPDATE", "1"), ("no_replace", "INSERT", SAME), ("kept", "DELETE", KEPT)):
        op.execute(
            f"CREATE TRIGGER {TABLE}_{name} BEFORE {event} ON {TABLE} FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, '{TOLD}'); END"
        )


def _guard_postgresql() -> None:
    op.execute(
        f"CREATE FUNCTION refuse_delete_of_{TABLE}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF {KEPT} THEN "
        f"RAISE EXCEPTION '{TOLD}' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$"
    )
    for name, event, each, function in (
        ("no_update", "UPDATE", "ROW", "refuse_change"),
        ("no_truncate", "TRUNCATE", "STATEMENT", "refuse_change"),
        ("kept", "DELETE", "ROW", f"refuse_delete_of_{TABLE}"),
    ):
        op.execute(
            f"CREATE TRIGGER {TABLE}_{name} BEFORE {event} ON {TABLE} FOR EACH {each} EXECUTE FUNCTION {function}()"
        )
