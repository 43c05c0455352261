"""Nothing goes but by a purge of an unsigned person; person, episode, visit stay as written; a story is told again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

SIDE = ("right", "left")
SEX = ("female", "male", "other")
ONSET = ("trauma", "sudden", "gradual", "overuse", "unknown")
IRRITABILITY = ("low", "moderate", "high")
OF_VISIT = (
    "(SELECT episode.person_id FROM visit JOIN episode ON episode.id = visit.episode_id WHERE visit.id = OLD.visit_id)"
)
PERSON_OF = {
    "entry": OF_VISIT,
    "screen_answer": OF_VISIT,
    "turn": OF_VISIT,
    "verdict_override": OF_VISIT,
    "visit": "(SELECT episode.person_id FROM episode WHERE episode.id = OLD.episode_id)",
    "story": "OLD.person_id",
    "episode": "OLD.person_id",
    "person": "OLD.id",
}
"""Whose row it is, for every table of which a purge takes rows."""
GUARDED_BEFORE = ("entry", "screen_answer", "turn", "verdict_override")
NEW_KEYS: Mapping[str, str] = {
    "person": "id = NEW.id",
    "episode": "id = NEW.id",
    "visit": "id = NEW.id",
    "story": "number = NEW.number",
    "purge": "person_id = NEW.person_id",
}
"""Tables that are guarded from now on, and what an SQLite `INSERT OR REPLACE` would collide with."""
SIGNED = (
    "SELECT 1 FROM signed_note JOIN visit ON visit.id = signed_note.visit_id "
    "JOIN episode ON episode.id = visit.episode_id WHERE episode.person_id = {person}"
)
KEPT = "NOT EXISTS (SELECT 1 FROM purge WHERE purge.person_id = {person}) OR EXISTS (" + SIGNED + ")"  # noqa: S608


def upgrade() -> None:
    op.create_table(
        "story",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("person_id", sa.String(36), nullable=False),
        sa.Column("episode_id", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("label", sa.String(200), nullable=False),
        sa.Column("age", sa.Integer(), nullable=True),
        sa.Column("sex", sa.String(10), nullable=True),
        sa.Column("dominant", sa.String(5), nullable=True),
        sa.Column("side", sa.String(5), nullable=True),
        sa.Column("onset", sa.String(10), nullable=True),
        sa.Column("weeks", sa.Double(), nullable=True),
        sa.Column("irritability", sa.String(10), nullable=True),
        sa.Column("areas", sa.JSON(), nullable=False),
        sa.Column("story", sa.Text(), nullable=False),
        _words("sex", SEX),
        _words("dominant", SIDE),
        _words("side", SIDE),
        _words("onset", ONSET),
        _words("irritability", IRRITABILITY),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_story_person_id_person"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["episode_id"], ["episode.id"], name=op.f("fk_story_episode_id_episode"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_story")),
    )
    op.create_index(op.f("ix_story_person_id"), "story", ["person_id"])
    op.create_index(op.f("ix_story_episode_id"), "story", ["episode_id"])
    op.create_table(
        "purge",
        sa.Column("person_id", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_purge_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_purge")),
    )
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _words(column: str, words: Iterable[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IS NULL OR {column} IN ({listed})", name=op.f(f"ck_story_{column}"))


def _guard_sqlite() -> None:
    for table in GUARDED_BEFORE:
        op.execute(f"DROP TRIGGER {table}_kept")
    for table, person in PERSON_OF.items():
        _refuse(table, "kept", "DELETE", KEPT.format(person=person))
    for table, same in NEW_KEYS.items():
        _refuse(table, "no_update", "UPDATE", "1")
        _refuse(table, "no_replace", "INSERT", f"EXISTS (SELECT 1 FROM {table} WHERE {same})")  # noqa: S608
    _refuse("purge", "unsigned", "INSERT", f"EXISTS ({SIGNED.format(person='NEW.person_id')})")


def _refuse(table: str, name: str, event: str, when: str) -> None:
    op.execute(
        f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
    )


def _guard_postgresql() -> None:
    for table in GUARDED_BEFORE:
        op.execute(f"DROP TRIGGER {table}_kept ON {table}")
    op.execute("DROP FUNCTION refuse_delete_when_signed()")
    for table, person in PERSON_OF.items():
        _function(f"refuse_delete_of_{table}", KEPT.format(person=person), "OLD")
        _trigger(table, "kept", "DELETE", "ROW", f"refuse_delete_of_{table}")
    for table in NEW_KEYS:
        _trigger(table, "no_update", "UPDATE", "ROW", "refuse_change")
        _trigger(table, "no_truncate", "TRUNCATE", "STATEMENT", "refuse_change")
    _function("refuse_purge_when_signed", f"EXISTS ({SIGNED.format(person='NEW.person_id')})", "NEW")
    _trigger("purge", "unsigned", "INSERT", "ROW", "refuse_purge_when_signed")


def _function(name: str, when: str, row: str) -> None:
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF {when} THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        f"USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$"
    )


def _trigger(table: str, name: str, event: str, each: str, function: str) -> None:
    op.execute(f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {function}()")
