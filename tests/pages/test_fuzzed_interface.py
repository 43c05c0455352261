"""The JSON interface by its own description, and every page by the fields its templates know: never a 5xx.

`make fuzz` sets ENDFEEL_FUZZ to more examples for each address.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi.openapi.utils import get_openapi
from hypothesis import HealthCheck, Phase, given, settings
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.web.app import make_app
from page_routes import page_routes

EXAMPLES = int(os.environ.get("ENDFEEL_FUZZ", "0"))
FEW = 12
TEMPLATES = Path(__file__).resolve().parents[2] / "src" / "endfeel" / "web" / "templates"
EMPTY = "age: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: moderate\n"
ADDRESS = "http://127.0.0.1:8710"
RENDERS = re.compile(r"\.(pdf|svg|png)$|scene|shoulder|learn|feedback")
"""Addresses that draw or print: asked in the longer run alone."""


@pytest.fixture(scope="module")
def client(made_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A store of its own: what is sent may be kept."""
    desk = care.open_desk(str(shutil.copy(made_file, tmp_path_factory.mktemp("fuzzed"))))
    with TestClient(make_app(desk), base_url=ADDRESS, raise_server_exceptions=False, follow_redirects=False) as made:
        yield made
    desk.engine.dispose()


@pytest.fixture(scope="module")
def known(client: TestClient) -> dict[str, str]:
    """Ids that are there, by the name an address gives them."""
    desk: care.Desk = client.app.state.desk  # type: ignore[attr-defined]
    visit = care.import_case(desk, read_case(EMPTY, "empty.txt", desk.library), "Invented")
    entry = care.record_line(desk, visit, "hawkins + p4")
    view = care.view_visit(desk, visit)
    return {
        "visit_id": visit,
        "visit": visit,
        "entry_id": entry,
        "person_id": view.person_id,
        "episode_id": care.episode_of_visit(desk, visit),
        "measure": "spadi",
        "kind": "referral",
    }


def how_many(least: int = FEW) -> Any:
    return settings(
        max_examples=EXAMPLES or least, deadline=None, database=None, derandomize=not EXAMPLES,
        phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip


def sent(client: TestClient, case: Any, known: dict[str, str], number: int) -> None:
    """Send one case; every second one about somebody who is there."""
    if number % 2:
        case.path_parameters = {**case.path_parameters, **{n: known[n] for n in case.path_parameters if n in known}}
        case.query = {**case.query, **({"visit": known["visit"]} if "visit" in case.query else {})}
    request = case.as_transport_kwargs(base_url=ADDRESS)
    request.pop("cookies", None)
    answer = client.request(**request)
    assert answer.status_code < 500, (case.method, case.formatted_path, case.query, case.body, answer.text[:300])


def operations(schema: Any) -> list[Any]:
    return [one.ok() for one in schema.get_all_operations()]


def try_all(client: TestClient, known: dict[str, str], schema: Any, least: int = FEW) -> int:
    tried = 0
    for operation in operations(schema):
        count = 0

        @how_many(least)
        @given(operation.as_strategy())
        def try_it(case: Any) -> None:
            nonlocal count
            count += 1
            sent(client, case, known, count)

        try_it()
        tried += count
    return tried


def test_the_interface_never_fails_whatever_is_sent(client: TestClient, known: dict[str, str]) -> None:
    schema = schemathesis.openapi.from_dict(client.get("/openapi.json").json())
    assert try_all(client, known, schema) >= 5 * FEW


def every_page(app: Any) -> dict[str, Any]:
    """A description of the pages: their addresses as the program knows them, forms with the fields of the templates."""
    routes = page_routes(app)
    if not EXAMPLES:
        routes = [one for one in routes if not RENDERS.search(one.path)]
    hidden = [one for one in routes if not one.include_in_schema]
    for one in hidden:
        one.include_in_schema = True
    described = get_openapi(title="pages", version="1", routes=routes)
    for one in hidden:
        one.include_in_schema = False
    fields = sorted(
        {
            name
            for path in TEMPLATES.glob("*.html")
            for name in re.findall(r'\sname="([a-z_]+)"', path.read_text("utf-8"))
        }
    )
    form = {"type": "object", "properties": {name: {"type": "string", "maxLength": 40} for name in fields}}
    for path in described["paths"].values():
        post = path.get("post")
        if post is not None and "requestBody" not in post:
            post["requestBody"] = {"content": {"application/x-www-form-urlencoded": {"schema": form}}}
    return described


@pytest.mark.skipif(not EXAMPLES, reason="part of the longer run: make fuzz")
def test_no_page_fails_whatever_is_sent(client: TestClient, known: dict[str, str]) -> None:
    schema = schemathesis.openapi.from_dict(every_page(client.app))
    assert try_all(client, known, schema) > 100
