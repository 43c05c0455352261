"""Rows that are no record of their own and take the place of earlier ones. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from endfeel.records.heads import plain
from endfeel.records.tables import Table


def put(session: Session, of: type[Table], rows: Sequence[dict[str, Any]]) -> None:
    """Keep whole rows in place of those with the same key, each in one statement: where two do so at once, the later
    waits for the earlier and then stands, and neither fails."""
    if not rows:
        return
    table = plain(of)
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    made = insert(table)
    keys = [one.name for one in table.primary_key]
    told = {one.name: made.excluded[one.name] for one in table.columns if one.name not in keys}
    session.execute(made.on_conflict_do_update(index_elements=keys, set_=told), list(rows))
