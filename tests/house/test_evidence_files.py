"""The data files shipped with the program keep their own rules."""

from __future__ import annotations

import re
from pathlib import Path

from endfeel.evidence.census import END, START, census_markdown
from endfeel.evidence.check import check_library
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.evidence.load import SHIPPED, load_folder

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "evidence.md"


def test_no_data_file_has_a_fault_and_none_is_undeclared_and_no_source_unused() -> None:
    assert [fault.sentence() for fault in check_library()] == []


def test_everything_read_at_once_is_what_is_read_when_needed(library: Library) -> None:
    whole = load_folder(SHIPPED)
    assert whole.release == library.release
    assert set(whole.figures) == set(library.figures)


def test_the_counts_in_the_documents_are_those_of_the_files(library: Library) -> None:
    page = PAGE.read_text(encoding="utf-8")
    written = page[page.index(START) : page.index(END) + len(END)]
    assert written == census_markdown(library), "run `endfeel evidence --counts docs/evidence.md`"


def test_every_row_the_documents_speak_about_exists(library: Library) -> None:
    page = PAGE.read_text(encoding="utf-8")
    prefixes = {
        row_id[:2]: table
        for table in library.tables.values()
        for row_id in table.rows
        if re.fullmatch(r"[a-z]{2}\d{3}", row_id)
    }
    named = set(re.findall(r"\b([a-z]{2}\d{3})\b", page))
    assert len(named) > 10
    assert all(row_id in prefixes[row_id[:2]].rows for row_id in named)


def test_every_row_that_contradicts_itself_is_in_the_list_of_corrections(library: Library) -> None:
    page = PAGE.read_text(encoding="utf-8")
    doubted = [row.id for table in library.tables.values() for row in table if row.text.get("doubt")]
    assert doubted
    assert not [row_id for row_id in doubted if row_id not in page]


def test_what_must_not_carry_weight_is_marked(library: Library) -> None:
    weightless = {row.id for table in library.tables.values() for row in table if not row.carries_weight}
    assert {"da017", "da162", "me103"} <= weightless
    assert "da001" not in weightless


def test_every_procedure_names_a_known_source_and_a_label(library: Library) -> None:
    for procedure in library.catalogue:
        assert procedure.source in library.sources
        assert Provenance.from_label(procedure.provenance)


def test_a_segment_is_named_by_its_upper_vertebra(library: Library) -> None:
    levels = {level for procedure in library.catalogue for level in procedure.levels}
    assert not [level for level in levels if "-" in level]
    assert library.catalogue["th_pa_central"].levels == ("T3", "T4", "T5", "T6", "T7", "T8", "T9")
    assert library.catalogue["ct_pa"].levels == ("C7", "T1", "T2")
    assert not library.catalogue["th_pa_central"].sided
    assert library.catalogue["th_pa_uni"].sided


def test_no_questionnaire_wording_is_shipped(library: Library) -> None:
    measures = library.documents["outcome_measures"]["measure"]
    assert len(measures) >= 20
    assert not [one["id"] for one in measures if one["ship_item_text"] or "items" in one]
