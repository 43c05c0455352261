"""The page on handing over says what the program does: its tables are the program's own."""

from __future__ import annotations

from pathlib import Path

from endfeel.cli.main import main
from endfeel.evidence.library import Library
from endfeel.exchange.code_lists import END, START, exchange_tables
from endfeel.exchange.conformance import ABOUT_PEOPLE

PAGE = Path(__file__).resolve().parents[2] / "docs" / "exchange.md"


def test_the_tables_of_codes_are_those_of_the_vocabulary(library: Library, tmp_path: Path) -> None:
    page = PAGE.read_text(encoding="utf-8")
    written = page[page.index(START) : page.index(END) + len(END)]
    assert written == exchange_tables(library), "run `endfeel export --codes docs/exchange.md`"
    copy = tmp_path / "page.md"
    copy.write_text(page.replace("| `mobility` |", "| `wrong` |"), encoding="utf-8")
    assert main(["export", "--codes", str(copy)]) == 0
    assert copy.read_text(encoding="utf-8") == page
    copy.write_text("no marks", encoding="utf-8")
    assert main(["export", "--codes", str(copy)]) == 1


def test_every_kind_that_is_handed_over_stands_on_the_page() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert not [kind for kind in ABOUT_PEOPLE if kind not in page]
