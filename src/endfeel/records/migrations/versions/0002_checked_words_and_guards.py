"""Words of closed vocabularies are checked; what was written cannot be replaced, emptied, or added to once signed."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

SIDE = ("right", "left")
SEX = ("female", "male", "other")
ONSET = ("trauma", "sudden", "gradual", "overuse", "unknown")
IRRITABILITY = ("low", "moderate", "high")
POSITION = ("standing", "sitting", "side_lying", "supine", "prone")
END_FEEL = (
    "soft_apposition",
    "firm_capsular",
    "firm_muscular",
    "firm_ligament",
    "hard_bone",
    "spasm",
    "empty",
    "springy_block",
    "loose",
    "boggy",
    "early_capsular",
)
UNIT = ("deg", "N", "mm", "cm", "s", "grade", "mmHg", "/min", "%", "kg")
RESULT = ("positive", "negative", "unclear", "normal", "reduced", "absent", "increased", "not_done")
KIND = ("finding", "retest", "treatment", "retraction")
SHAPE = (
    "(kind = 'retraction') = (retracts IS NOT NULL)"
    " AND (kind = 'treatment') = (technique IS NOT NULL)"
    " AND (kind IN ('finding', 'retest')) = (procedure IS NOT NULL)"
)
KEYS = {
    "signed_note": "id = NEW.id OR visit_id = NEW.visit_id",
    "addendum": "id = NEW.id",
    "entry": "id = NEW.id OR (visit_id = NEW.visit_id AND sequence = NEW.sequence)",
    "screen_answer": "number = NEW.number",
    "verdict_override": "number = NEW.number",
    "audit": "number = NEW.number",
}
"""What an SQLite `INSERT OR REPLACE` would collide with: it would remove the old row without asking a trigger."""
OF_A_VISIT = ("entry", "screen_answer", "verdict_override")
SIGNED = "SELECT 1 FROM signed_note WHERE signed_note.visit_id = {row}.visit_id"


def upgrade() -> None:
    _check("person", {"sex": _words("sex", SEX), "dominant": _words("dominant", SIDE)})
    _check(
        "episode",
        {
            "side": _words("side", SIDE),
            "onset": _words("onset", ONSET),
            "irritability": _words("irritability", IRRITABILITY),
        },
    )
    _check("visit", {"position": _words("position", POSITION)})
    _check(
        "entry",
        {
            "shape": SHAPE,
            "end_feel": _words("end_feel", END_FEEL),
            "unit": _words("unit", UNIT),
            "result": _words("result", RESULT),
            "strength": _scale("strength", 5),
        },
        already={
            "kind": _words("kind", KIND),
            "side": _words("side", SIDE),
            "mobility": _scale("mobility", 6),
            "pain": _scale("pain", 10),
        },
    )
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _words(column: str, words: Iterable[str]) -> str:
    listed = ", ".join(f"'{word}'" for word in words)
    return f"{column} IS NULL OR {column} IN ({listed})"


def _scale(column: str, high: int) -> str:
    return f"{column} IS NULL OR ({column} >= 0 AND {column} <= {high})"


def _check(table: str, conditions: dict[str, str], already: dict[str, str] | None = None) -> None:
    """Add conditions to a table. SQLite copies the table and forgets the conditions it had: they are said again."""
    kept = tuple(sa.CheckConstraint(text, name=op.f(f"ck_{table}_{name}")) for name, text in (already or {}).items())
    with op.batch_alter_table(table, table_args=kept) as batch:
        for name, text in conditions.items():
            batch.create_check_constraint(op.f(f"ck_{table}_{name}"), text)


def _guard_sqlite() -> None:
    _refuse("entry", "no_update", "UPDATE")  # went with the old copy of the table
    for table, same in KEYS.items():
        _refuse(table, "no_replace", "INSERT", f"EXISTS (SELECT 1 FROM {table} WHERE {same})")  # noqa: S608
    _refuse("audit", "no_delete", "DELETE")
    for table in OF_A_VISIT:
        _refuse(table, "closed", "INSERT", f"EXISTS ({SIGNED.format(row='NEW')})")
        _refuse(table, "kept", "DELETE", f"EXISTS ({SIGNED.format(row='OLD')})")


def _refuse(table: str, name: str, event: str, when: str = "") -> None:
    condition = f"WHEN {when} " if when else ""
    op.execute(
        f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH ROW {condition}"
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
    )


def _guard_postgresql() -> None:
    op.execute(
        "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for row, event in (("NEW", "insert"), ("OLD", "delete")):
        op.execute(
            f"CREATE FUNCTION refuse_{event}_when_signed() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN IF EXISTS ({SIGNED.format(row=row)}) THEN "
            "RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME "
            f"USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$"
        )
    for table in KEYS:
        op.execute(
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )
    op.execute("CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit FOR EACH ROW EXECUTE FUNCTION refuse_change()")
    for table in OF_A_VISIT:
        op.execute(
            f"CREATE TRIGGER {table}_closed BEFORE INSERT ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_insert_when_signed()"
        )
        op.execute(
            f"CREATE TRIGGER {table}_kept BEFORE DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_delete_when_signed()"
        )
