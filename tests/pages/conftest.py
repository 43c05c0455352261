"""A desk with an empty store, and a client that speaks to its pages."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.web.app import make_app

STORIES = Path(__file__).parents[2] / "stories"


@pytest.fixture
def desk(store_file: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store_file)
    yield opened
    opened.engine.dispose()


@pytest.fixture
def client(desk: care.Desk) -> Iterator[TestClient]:
    with TestClient(
        make_app(desk), base_url="http://127.0.0.1:8710", raise_server_exceptions=False, follow_redirects=False
    ) as made:
        yield made


def story(desk: care.Desk, name: str) -> str:
    """A written story as a visit; its id."""
    return care.import_case(desk, read_case((STORIES / name).read_text(encoding="utf-8"), name, desk.library))


@pytest.fixture
def visit_id(desk: care.Desk) -> str:
    """An empty visit of a person with a right-sided complaint."""
    text = "age: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: moderate\n"
    return care.import_case(desk, read_case(text, "empty.txt", desk.library), "Person one")


@pytest.fixture
def example_id(desk: care.Desk) -> str:
    return story(desk, "first_visit.txt")


@pytest.fixture
def danger_id(desk: care.Desk) -> str:
    """A visit whose findings raise an urgent flag that nobody ticked."""
    return story(desk, "danger_apical.txt")
