"""What is told to whoever runs the program: nothing about anybody, and no secret; limits by address; readiness."""

from __future__ import annotations

import io
import json
import logging
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from prometheus_client import generate_latest
from sqlalchemy import text
from starlette.testclient import TestClient

from endfeel import care
from endfeel.care import custody
from endfeel.cli.daily_backups import look_once
from endfeel.web import journal
from endfeel.web.app import make_app
from endfeel.web.security import MOST_BYTES

MARK = "Wilhelmina"
SECRET = "several words nobody guesses"  # noqa: S105 (made up here)
ELSEWHERE = ("192.0.2.7", 50000)


@pytest.fixture(params=list(journal.Form))
def written(request: pytest.FixtureRequest) -> Iterator[io.StringIO]:
    """What the journal writes, in each of its forms; the lines of the test run are as before afterwards."""
    root, to = logging.getLogger(), io.StringIO()
    before, level = root.handlers[:], root.level
    root.handlers = []
    journal.configure(request.param, to)
    yield to
    root.handlers = before
    root.setLevel(level)
    journal.requests.setLevel(logging.NOTSET)


def test_no_secret_and_nothing_about_anybody_in_the_journal_or_the_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, written: io.StringIO
) -> None:
    monkeypatch.delenv("ENDFEEL_UNENCRYPTED")
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", SECRET)
    desk = care.open_desk(str(tmp_path / "s.sqlite"))
    app = make_app(desk)

    @app.get("/broken/{name}")
    def broken(name: str) -> None:
        with desk.engine.begin() as connection:
            connection.execute(text("INSERT INTO nowhere VALUES (:name)"), {"name": f"{MARK} {name}"})

    @app.get("/loud")
    def loud() -> None:
        logging.getLogger("some.library").warning("could not send %s", MARK)
        raise RuntimeError(f"{MARK} and {SECRET}")

    with TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False, follow_redirects=False) as client:
        made = client.post("/people", data={"label": f"{MARK} Example", "side": "right", "story": MARK})
        visit = made.headers["location"].removesuffix("/screen")
        client.post(f"{visit}/lines", data={"line": f"hawkins + note {MARK}"})
        client.post(f"{visit}/lines", data={"line": MARK})
        for path in (visit, f"/?q={MARK}", f"/{MARK}", f"/api/visits/{MARK}", f"/fhir/Patient?name={MARK}"):
            client.get(path)
        assert client.get(f"/broken/{MARK}").status_code == 500
        assert client.get("/loud").status_code == 500
    desk.engine.dispose()
    told = written.getvalue()
    for secret in (MARK, SECRET, visit.rpartition("/")[2], "testclient", "127.0.0.1"):
        assert secret not in told
        assert secret not in generate_latest(app.state.counts.registry).decode()
    assert "/visits/{visit_id}" in told
    assert "RuntimeError" in told
    assert "loud" in told
    assert "could not send %s" in told
    if told.startswith("{"):
        lines = [json.loads(line) for line in told.splitlines()]
        assert len({one["request"] for one in lines if "request" in one}) >= 9
        assert {one["level"] for one in lines} == {"info", "warning", "error"}
    else:
        assert all(line[:2] == "20" for line in told.splitlines()), "a line of the journal is one line"


def test_without_being_asked_only_faults_are_told(client: TestClient) -> None:
    root, to = logging.getLogger(), io.StringIO()
    before, level, root.handlers = root.handlers[:], root.level, []
    try:
        journal.configure(None, to)
        client.get("/shorthand")
        assert to.getvalue() == ""
        logging.getLogger("endfeel.backups").error("said")
        assert "said" in to.getvalue()
    finally:
        root.handlers = before
        root.setLevel(level)


def test_no_server_of_ours_writes_lines_of_its_own() -> None:
    """Its own lines would hold addresses, and what unexpected errors say."""
    sources = Path(journal.__file__).parents[1].rglob("*.py")
    made = [call for path in sources for call in re.findall(r"uvicorn\.Config\(([^)]*)\)", path.read_text("utf-8"))]
    assert len(made) >= 3
    assert all("log_config=None" in call and "access_log=False" in call for call in made)


# ---- limits --------------------------------------------------------------------------------------------------------


def test_one_address_that_asks_too_much_is_told_to_wait_and_others_go_on(desk: care.Desk, visit_id: str) -> None:
    app = make_app(desk, a_minute=8)
    address = f"/visits/{visit_id}/lines"
    with (
        TestClient(app, base_url="http://127.0.0.1", client=ELSEWHERE, follow_redirects=False) as one,
        TestClient(app, base_url="http://127.0.0.1", client=("192.0.2.8", 1), follow_redirects=False) as other,
        TestClient(app, base_url="http://127.0.0.1", client=("127.0.0.1", 1), follow_redirects=False) as here,
    ):
        kept = [one.post(address, data={"line": "hawkins +"}).status_code for _ in range(3)]
        assert kept == [303, 303, 429]
        assert [one.get("/shorthand").status_code for _ in range(7)].count(200) == 5
        refused = one.get("/shorthand")
        assert refused.status_code == 429
        assert int(refused.headers["retry-after"]) > 0
        assert "content-security-policy" in refused.headers
        assert one.get("/static/endfeel.css").status_code == 200
        assert other.get("/shorthand").status_code == 200
        assert {here.get("/health").status_code for _ in range(30)} == {200}
    assert len(care.view_visit(desk, visit_id).entries) == 2


def test_a_limit_of_none_counts_nothing(desk: care.Desk) -> None:
    with TestClient(make_app(desk, a_minute=0), base_url="http://127.0.0.1", client=ELSEWHERE) as one:
        assert {one.get("/health").status_code for _ in range(50)} == {200}


@pytest.mark.parametrize("path", ["/take-over", "/agreement", "/visits/{visit}/readings"])
def test_a_file_that_is_too_long_or_of_unknown_length_is_refused(client: TestClient, visit_id: str, path: str) -> None:
    address = path.format(visit=visit_id)
    assert client.post(address, files={"file": ("a.csv", b"1" * MOST_BYTES)}).status_code == 413
    pieces = (piece for piece in (b"a=1", b"&b=2"))
    plain = {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post(address, content=pieces, headers=plain).status_code == 413
    assert client.post(address, content=b"", headers={"Content-Length": "-1"}).status_code in (400, 413)


# ---- state ---------------------------------------------------------------------------------------------------------


def test_it_lives_while_its_records_are_away_and_is_not_ready(client: TestClient, desk: care.Desk) -> None:
    assert client.get("/ready").json() == {
        "status": "ready",
        "database": "answers",
        "schema": "as this program needs it",
        "evidence": desk.library.release,
    }
    with desk.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0001'"))
    answer = client.get("/ready")
    assert (answer.status_code, answer.json()["schema"]) == (503, "another one")
    path = Path(str(desk.engine.url.database))
    desk.engine.dispose()
    path.unlink()
    path.mkdir()
    answer = client.get("/ready")
    assert (answer.status_code, answer.json()["database"]) == (503, "does not answer")
    assert client.get("/health").json() == {"status": "alive"}


def test_a_backup_that_failed_is_told_on_the_start_page_until_one_succeeds(
    client: TestClient, desk: care.Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch = client.app.state.backups  # type: ignore[attr-defined]
    monkeypatch.setenv("ENDFEEL_BACKUPS", "2")
    monkeypatch.setenv("ENDFEEL_BACKUP_FOLDER", str(tmp_path / "taken"))
    assert 'class="alarm"' not in client.get("/").text
    (tmp_path / "taken").write_text("a file where the folder should be", encoding="utf-8")
    look_once(desk.engine, watch)
    html = client.get("/").text
    assert "The backup failed: no backup could be made" in html
    assert "There is none yet." in html
    (tmp_path / "taken").unlink()
    look_once(desk.engine, watch)
    assert 'class="alarm"' not in client.get("/").text
    later = datetime.now(UTC) + timedelta(days=3)
    assert custody.backup_warning(desk.engine, watch, later).startswith("The backup is overdue. The newest is of ")
