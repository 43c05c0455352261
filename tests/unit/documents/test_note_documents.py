"""The note says the same on every paper, starts with danger, and never lets a person's words become markup."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from pypdf import PdfReader

from endfeel.assessment import Assessment, assess, read_case
from endfeel.cli.main import main
from endfeel.documents import compose_note, note_from_dict, note_html, note_pdf, note_text, note_to_dict
from endfeel.documents.note import Block, BlockKind, Note, Section
from endfeel.documents.pdf import UNSHOWN, printable
from endfeel.evidence.library import Library
from endfeel.safety import override
from endfeel.vocabulary import CannotRead, Case, Refused
from papers import html_words, pdf_words, squeezed

STORIES = Path(__file__).resolve().parents[3] / "stories"
HOSTILE = [
    '#import "@preview/evil:0.1.0": *',
    "#panic() $x^2$ *bold* _it_ `raw` \\ @label <tag>",
    "<script>alert('x')</script> &amp; \"quoted\" 'single'",
    "{{ 7 * 7 }} {% raw %} ${jndi} %s %n",
]


def assessed(name: str, library: Library) -> Assessment:
    path = STORIES / name
    return assess(read_case(path.read_text(encoding="utf-8"), name, library), library)


@pytest.fixture(scope="module")
def first_visit(library: Library) -> Assessment:
    return assessed("first_visit.txt", library)


@pytest.fixture(scope="module")
def fracture(library: Library) -> Assessment:
    return assessed("danger_fracture.txt", library)


@pytest.fixture(scope="module")
def written(first_visit: Assessment, library: Library) -> Note:
    return compose_note(first_visit, written_at="2026-03-04 10:15", author="A. Example", signed=True, library=library)


def said(note: Note) -> list[str]:
    return [one for one in (squeezed(statement) for statement in note.statements()) if one]


@pytest.mark.parametrize("story", ["first_visit.txt", "danger_fracture.txt", "frozen.txt"])
def test_every_statement_stands_in_text_html_and_pdf(story: str, library: Library) -> None:
    note = compose_note(assessed(story, library), written_at="2026-03-04", author="A. Example", library=library)
    text, page, paper = squeezed(note_text(note)), html_words(note_html(note)), note_pdf(note)
    first_page = squeezed(PdfReader(io.BytesIO(paper)).pages[0].extract_text())
    printed = pdf_words(paper)
    statements = said(note)
    assert len(statements) > 60
    for statement in statements:
        assert statement.upper() in text.upper(), statement
        assert statement in page, statement
        assert statement in printed or statement in first_page, statement


def test_the_caution_and_the_page_number_stand_on_every_page(written: Note) -> None:
    pages = PdfReader(io.BytesIO(note_pdf(written))).pages
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        words = squeezed(page.extract_text())
        assert squeezed(written.footer) in words
        assert f"{number}/{len(pages)}" in words


def test_the_same_note_gives_the_same_bytes(written: Note) -> None:
    assert note_pdf(written) == note_pdf(note_from_dict(json.loads(json.dumps(note_to_dict(written)))))


def test_a_dated_note_is_archivable_and_accessible(written: Note) -> None:
    paper = PdfReader(io.BytesIO(note_pdf(written)))
    metadata = paper.trailer["/Root"]["/Metadata"].get_data().decode()  # type: ignore[index]
    assert "<pdfaid:part>2" in metadata
    assert "<pdfuaid:part>1" in metadata
    assert paper.trailer["/Root"]["/Lang"] == "en"  # type: ignore[index]


def test_an_undated_draft_is_accessible_only(first_visit: Assessment, library: Library) -> None:
    note = compose_note(first_visit, library=library)
    paper = PdfReader(io.BytesIO(note_pdf(note)))
    metadata = paper.trailer["/Root"]["/Metadata"].get_data().decode()  # type: ignore[index]
    assert "pdfuaid:part" in metadata
    assert "pdfaid:part" not in metadata
    assert note.status == "Draft: not signed"


def test_a_note_survives_its_json_form(written: Note) -> None:
    assert note_from_dict(json.loads(json.dumps(note_to_dict(written)))) == written


@pytest.mark.parametrize("broken", [{}, {"form": 99}, {"form": 1, "title": "x"}])
def test_json_that_is_no_note_is_a_fault(broken: dict[str, object]) -> None:
    with pytest.raises(CannotRead):
        note_from_dict(broken)


def test_the_note_carries_every_part_of_the_visit(written: Note) -> None:
    ids = [section.id for section in written.sections]
    assert ids == [
        "story", "safety", "screen", "baseline", "findings", "reasoning", "articular", "decision",
        "treatment", "plan",
        "cautions", "origin",
    ]  # fmt: skip
    words = note_text(written)
    assert "INVENTED EXAMPLE" in words
    assert "Signed by A. Example, 2026-03-04 10:15" in words
    assert written.release in words
    assert "90 % interval" in words
    assert "smallest detectable change (95 %)" in words
    assert "de Winter" in words
    assert written.sources


def test_every_footnote_number_has_its_source(written: Note) -> None:
    numbers = {source.number for source in written.sources}
    used = {
        int(one)
        for group in re.findall(r"\[(\d+(?:, \d+)*)\]", " ".join(written.statements()))
        for one in group.split(", ")
    }
    assert used
    assert used <= numbers
    assert numbers == set(range(1, len(numbers) + 1))


def test_unanswered_screening_is_never_a_no(first_visit: Assessment, library: Library) -> None:
    bare = replace(first_visit.case, screen={})
    screen = next(one for one in compose_note(assess(bare, library), library=library).sections if one.id == "screen")
    words = " ".join(block.text for block in screen.blocks)
    assert "UNANSWERED: injury" in words
    assert not any("no" in row for block in screen.blocks for row in block.rows)


def test_danger_comes_first_and_there_is_no_plan(fracture: Assessment, library: Library) -> None:
    note = compose_note(fracture, library=library)
    assert note.sections[0].id == "safety"
    assert note.sections[0].blocks[0].text.startswith("Safety verdict: emergency.")
    plan = next(section for section in note.sections if section.id == "plan")
    assert "treatment is withheld" in plan.blocks[0].text
    assert not any(block.kind is BlockKind.TABLE for block in plan.blocks)


def test_an_override_stands_with_its_reason(fracture: Assessment, library: Library) -> None:
    reason = "Radiographs this morning show no fracture; surgeon agrees."
    overridden = replace(fracture, verdict=override(fracture.verdict, reason, "Dr B. Example"))
    note = compose_note(overridden, library=library)
    assert note.sections[0].id == "safety"
    assert f"Overridden by Dr B. Example. Recorded reason: {reason}" in [one.text for one in note.sections[0].blocks]
    assert squeezed(reason) in squeezed(note_text(note))


@pytest.mark.parametrize("words", [*HOSTILE, "a" * 5000, "longer words " * 400, "ends\nhere\n\nreally"])
def test_a_persons_words_stay_words(words: str, first_visit: Assessment, library: Library) -> None:
    complaint = replace(first_visit.case.complaint, story=words)
    case = replace(first_visit.case, title=words[:200].replace("\n", " "), complaint=complaint)
    note = compose_note(replace(first_visit, case=case), written_at="2026-03-04", author=words[:80], library=library)
    assert squeezed(words) in squeezed(note_text(note))
    page = note_html(note)
    assert "<script" not in page
    assert squeezed(words) in html_words(page)
    assert squeezed(words) in pdf_words(note_pdf(note))


def test_other_scripts_and_signs_survive(first_visit: Assessment, library: Library) -> None:
    words = "naïve Ελλάδα Привет שלום مرحبا 痛み 😀 \u202eturned\u202c \x07"
    case = replace(first_visit.case, complaint=replace(first_visit.case.complaint, story=words))
    note = compose_note(replace(first_visit, case=case), written_at="2026-03-04", library=library)
    kept = words.replace("\x07", "\ufffd")
    assert kept in note_text(note)
    assert f"<bdi>{kept}</bdi>" in note_html(note)
    paper = pdf_words(note_pdf(note))
    assert squeezed("naïve Ελλάδα Привет") in paper
    assert "[grinningface]" in paper
    assert squeezed("?? [grinning face]") in paper
    assert squeezed(UNSHOWN) in paper
    for word in ("שלום", "مرحبا"):
        assert word in paper or word[::-1] in paper


def test_characters_without_a_shape_stand_by_name() -> None:
    assert printable("ok 😀 痛", frozenset("😀痛")) == "ok [grinning face] ?"


def test_a_table_cell_with_markup_stays_a_cell() -> None:
    block = Block(BlockKind.TABLE, columns=("A", "B"), rows=(("<td>", "#table()"), ("| x |", "[1]")))
    note = Note("t", "s", "d", False, False, (Section("x", "H", (block,)),), (), "footer", "r", "v")
    assert "&lt;td&gt;" in note_html(note)
    assert "#table()" in pdf_words(note_pdf(note))


def test_the_chart_says_in_words_what_it_draws(written: Note) -> None:
    page = note_html(written)
    chart = next(block for section in written.sections for block in section.blocks if block.kind is BlockKind.CHART)
    assert chart.alt.startswith("Probability with 90 % interval: ")
    assert all(name in chart.alt for name, *_ in chart.points)
    assert 'role="img"' in page
    assert f"<title>{chart.alt.split(';')[0]}" in unescape(page)


def test_the_fragment_is_the_page_without_its_frame(written: Note) -> None:
    fragment = note_html(written, whole_page=False)
    assert fragment.startswith('<article class="note">')
    assert fragment in note_html(written)


def test_another_language_is_refused(first_visit: Assessment, library: Library) -> None:
    with pytest.raises(Refused, match="en only"):
        compose_note(first_visit, language="xx", library=library)


def test_a_case_with_nothing_in_it_still_makes_a_note(library: Library) -> None:
    note = compose_note(assess(Case(), library), library=library)
    words = note_text(note)
    assert "No story was recorded." in words
    assert "No findings yet: nothing to reason from." in words
    assert "No treatment was recorded." in words
    assert squeezed("Unanswered is not no.") in pdf_words(note_pdf(note))


def test_the_command_writes_all_three(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case, paper = str(STORIES / "first_visit.txt"), tmp_path / "note.pdf"
    assert main(["note", case]) == 0
    assert capsys.readouterr().out.startswith("SHOULDER GIRDLE: EXAMINATION NOTE")
    assert main(["note", case, "--html"]) == 0
    assert capsys.readouterr().out.startswith("<!doctype html>")
    assert main(["note", case, "--pdf", str(paper)]) == 0
    assert paper.read_bytes().startswith(b"%PDF")
