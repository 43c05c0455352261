"""A link, a picture or a page that is fetched ahead changes no record: every GET of every page, rows counted."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import func, select
from starlette.testclient import TestClient

from endfeel import care
from endfeel.records.tables import Table
from page_routes import page_routes

LOOKING = {"audit", "audit_head"}
"""A look leaves its row."""


def rows(desk: care.Desk) -> dict[str, int]:
    with desk.engine.connect() as connection:
        return {
            name: connection.scalar(select(func.count()).select_from(table)) or 0
            for name, table in Table.metadata.tables.items()
            if name not in LOOKING
        }


def gets(app: Any) -> list[str]:
    """The pattern of every page that is asked for."""
    return sorted({one.path for one in page_routes(app) if "GET" in one.methods})


def test_no_get_changes_a_record_and_none_fails(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    entry_id = care.record_line(desk, visit_id, "hawkins + p4")
    view = care.view_visit(desk, visit_id)
    known = {
        "visit_id": visit_id,
        "person_id": view.person_id,
        "episode_id": care.episode_of_visit(desk, visit_id),
        "entry_id": entry_id,
        "form": "json",
        "kind": "referral",
        "measure": "spadi",
    }
    before = rows(desk)
    patterns, failed = gets(client.app), {}
    assert len(patterns) > 50
    for pattern in patterns:
        path = re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: known.get(found[1], "x"), pattern)
        status = client.get(path).status_code
        if status >= 500:
            failed[path] = status
    assert not failed
    assert rows(desk) == before
