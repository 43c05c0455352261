"""Everything a person owns in one file: every row is in it, and no table does anything when it is opened."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from endfeel import care
from endfeel.assessment import read_case
from endfeel.care.archive import LONGEST_CELL, OPENERS, TOO_LONG, table_csv
from endfeel.cli.main import main
from endfeel.records.tables import Table
from endfeel.vocabulary import Finding, NotFound, Side, Treatment

STORIES = Path(__file__).resolve().parents[3] / "stories"
NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)
BOMB = '=HYPERLINK("http://example.org","press")'


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(tmp_path_factory.mktemp("store") / "records.sqlite")


@pytest.fixture(scope="module")
def desk(store: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store, clock=lambda: NOON)
    yield opened
    opened.engine.dispose()


@pytest.fixture(scope="module")
def person_id(desk: care.Desk) -> str:
    case = read_case((STORIES / "first_visit.txt").read_text(encoding="utf-8"), "first_visit.txt", desk.library)
    visit = care.import_case(desk, case, BOMB)
    care.record_finding(desk, visit, Finding("gh_post", Side.LEFT, mobility=2, note="-1+2"))
    care.undo(desk, visit)
    care.record_treatment(desk, visit, Treatment("@technique", "+3", "ordinary, with a comma\nand a line"))
    care.sign_note(desk, visit, "A. Therapist")
    care.add_addendum(desk, visit, "Later words.", "A. Therapist")
    return care.view_visit(desk, visit).person_id


def in_store(desk: care.Desk) -> dict[str, int]:
    """Rows of every table about people, counted behind the program's back."""
    with desk.engine.connect() as connection:
        counts = {t.name: len(connection.execute(select(t)).all()) for t in Table.metadata.sorted_tables}
    return {name: count for name, count in counts.items() if count and name not in ("audit", "audit_head", "purge")}


def files_of(content: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name).decode() for name in archive.namelist()}


def test_the_json_holds_every_row_and_every_column(desk: care.Desk, person_id: str) -> None:
    rows: dict[str, list[dict[str, Any]]] = json.loads(care.person_json(desk, person_id))["rows"]
    assert {name: len(found) for name, found in rows.items() if found} == in_store(desk)
    for table in Table.metadata.sorted_tables:
        for row in rows.get(table.name, []):
            assert set(row) == {column.key for column in table.columns}, table.name


def test_every_table_that_hangs_on_a_person_is_in_the_export(desk: care.Desk, person_id: str) -> None:
    """A new table is forgotten here sooner than anywhere else."""
    owned = {"person"}
    for _ in Table.metadata.sorted_tables:
        owned |= {
            table.name
            for table in Table.metadata.sorted_tables
            if any(key.column.table.name in owned for key in table.foreign_keys)
        }
    assert owned - {"purge"} == set(care.export_person(desk, person_id)["rows"])


def test_the_zip_has_a_table_a_kind_and_the_tables_say_what_the_json_says(desk: care.Desk, person_id: str) -> None:
    files = files_of(care.person_archive(desk, person_id))
    whole = json.loads(files["person.json"])
    kept = {name: rows for name, rows in whole["rows"].items() if rows} | {"access": whole["access"]}
    assert set(files) == {"README.txt", "person.json", *(f"{name}.csv" for name in kept)}
    for name, rows in kept.items():
        read = list(csv.DictReader(io.StringIO(files[f"{name}.csv"], newline="")))
        assert len(read) == len(rows)
        assert f"{name}.csv: {len(rows)} rows" in files["README.txt"]
        for cells, row in zip(read, rows, strict=True):
            assert list(cells) == list(row)
            for column, value in row.items():
                if cells[column] == TOO_LONG:
                    assert len(json.dumps(value)) > LONGEST_CELL
                elif isinstance(value, str):
                    assert cells[column].removeprefix("'") == value.removeprefix("'"), (name, column)
                elif isinstance(value, int | float) and not isinstance(value, bool):
                    assert float(cells[column]) == value
                elif isinstance(value, list | dict):
                    assert json.loads(cells[column]) == value


def test_no_cell_of_words_can_be_taken_for_a_formula(desk: care.Desk, person_id: str) -> None:
    files = files_of(care.person_archive(desk, person_id))
    cells = [
        cell
        for name, text in files.items()
        if name.endswith(".csv")
        for row in csv.reader(io.StringIO(text, newline=""))
        for cell in row
    ]
    assert f"'{BOMB}" in cells
    assert "'@technique" in cells
    assert "'-1+2" in cells
    assert not [cell for cell in cells if cell.lstrip().startswith(OPENERS) and not _is_number(cell)]


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@settings(deadline=None)
@given(st.lists(st.text("=+-@＝＠\t\r\n '\",0aé", max_size=8), min_size=1, max_size=4))
def test_any_words_come_back_and_none_begins_a_formula(words: list[str]) -> None:
    (_, cells) = csv.reader(io.StringIO(table_csv([{str(k): word for k, word in enumerate(words)}]), newline=""))
    for cell, word in zip(cells, words, strict=True):
        assert cell in (word, f"'{word}")
        assert not cell.startswith(OPENERS)


def test_a_negative_number_stays_a_number() -> None:
    assert table_csv([{"value": -2.5, "yes": True, "none": None}]) == "value,yes,none\r\n-2.5,yes,\r\n"


def test_the_command_lists_people_and_writes_by_id_or_label(
    store: str, person_id: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "record.zip"
    assert main(["export", "--store", store]) == 0
    assert person_id in capsys.readouterr().out
    assert main(["export", BOMB, "--store", store, "--out", str(out)]) == 0
    assert out.stat().st_mode & 0o077 == 0
    assert "person.json" in files_of(out.read_bytes())
    assert main(["export", person_id, "--store", store, "--out", str(tmp_path / "record.json")]) == 0
    assert json.loads((tmp_path / "record.json").read_text(encoding="utf-8"))["person"]["label"] == BOMB
    capsys.readouterr()
    assert main(["export", "nobody", "--store", store]) == 3
    assert main(["export", person_id, "--store", store, "--out", "record.doc"]) == 1
    said = capsys.readouterr().err
    assert "lists everybody" in said
    assert ".zip or .json" in said


def test_an_unknown_person_has_no_record(desk: care.Desk) -> None:
    with pytest.raises(NotFound):
        care.person_archive(desk, "nobody")
