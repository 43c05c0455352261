"""Letters on paper: the same in text, page and PDF, archivable, words never markup; the command that writes them."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from endfeel.cli.main import main
from endfeel.documents import (
    LETTERS,
    DocumentKind,
    EpisodeOfCare,
    LetterWords,
    Note,
    Written,
    compose_letter,
    note_from_dict,
    note_html,
    note_pdf,
    note_text,
    note_to_dict,
)
from endfeel.documents.words import clean
from endfeel.evidence.library import Library
from papers import Tags, html_words, metadata, objects, pdf_words, squeezed
from written_letters import STORIES, WORDS, WRITTEN


@pytest.mark.parametrize("kind", LETTERS)
def test_every_statement_stands_in_text_page_and_pdf(kind: DocumentKind, letters: dict[DocumentKind, Note]) -> None:
    letter = letters[kind]
    paper = note_pdf(letter)
    text, page, printed = squeezed(note_text(letter)), html_words(note_html(letter)), pdf_words(paper)
    statements = [one for one in map(squeezed, letter.statements()) if one and one != squeezed(letter.footer)]
    assert len(statements) > 40
    for statement in statements:
        assert statement.upper() in text.upper(), statement
        assert statement in page, statement
        assert statement in printed, statement
    for number, sheet in enumerate(PdfReader(io.BytesIO(paper)).pages, 1):
        words = squeezed(sheet.extract_text())
        assert squeezed(letter.footer) in words
        assert f"{number}/" in words


@pytest.mark.parametrize("kind", LETTERS)
def test_each_pdf_is_archivable_with_its_fonts_and_nothing_that_runs(
    kind: DocumentKind, letters: dict[DocumentKind, Note]
) -> None:
    paper = note_pdf(letters[kind])
    told = metadata(paper)
    assert re.search(r"<pdfaid:part>2<", told)
    assert re.search(r"<pdfaid:conformance>A<", told)
    assert re.search(r"<pdfuaid:part>1<", told)
    found = objects(paper)
    fonts = [one for one in found if one.get("/Type") == "/FontDescriptor"]
    assert fonts
    assert all({"/FontFile", "/FontFile2", "/FontFile3"} & one.keys() for one in fonts)
    intents = [one for one in found if one.get("/S") == "/GTS_PDFA1"]
    assert len(intents) == 1
    assert "/DestOutputProfile" in intents[0]
    for one in found:
        assert not {"/JS", "/JavaScript", "/AA", "/OpenAction", "/EmbeddedFiles", "/XFA"} & one.keys()
        assert one.get("/S") not in ("/JavaScript", "/Launch", "/SubmitForm", "/ImportData")
    reader = PdfReader(io.BytesIO(paper))
    assert not reader.is_encrypted
    assert "/StructTreeRoot" in reader.trailer["/Root"]  # type: ignore[operator]
    assert "/ID" in reader.trailer
    assert note_pdf(letters[kind]) == paper


def test_a_letter_without_a_day_is_not_called_archivable(two: EpisodeOfCare, library: Library) -> None:
    letter = compose_letter(DocumentKind.REFERRAL, two, WORDS, Written(), library)
    told = metadata(note_pdf(letter))
    assert "pdfuaid:part" in told
    assert "pdfaid:part" not in told


def test_pictures_are_in_the_papers_that_reason(letters: dict[DocumentKind, Note]) -> None:
    for kind in (DocumentKind.FOLLOW_UP, DocumentKind.REFERRAL, DocumentKind.DISCHARGE):
        assert "<svg" in note_html(letters[kind])


def test_every_footnote_has_its_source(letters: dict[DocumentKind, Note]) -> None:
    for letter in letters.values():
        groups = re.findall(r"\[(\d+(?:, \d+)*)\]", " ".join(letter.statements()))
        used = {int(one) for group in groups for one in group.split(", ")}
        assert used == {source.number for source in letter.sources} != set()


def test_a_letter_survives_its_json_form_and_says_what_it_is(letters: dict[DocumentKind, Note]) -> None:
    for kind, letter in letters.items():
        again = note_from_dict(json.loads(json.dumps(note_to_dict(letter))))
        assert again == letter
        assert again.kind == kind.value


hostile = st.text(
    st.sampled_from("<>&\"'{}[]()#$*_`\\@/%!=;:-.,| \n\u202e\u00e9\u4e2da1") | st.characters(exclude_categories=["Cs"]),
    max_size=60,
)


@pytest.mark.parametrize("kind", LETTERS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=hostile)
def test_words_of_a_person_are_data_everywhere(
    kind: DocumentKind, words: str, two: EpisodeOfCare, library: Library
) -> None:
    def letter(said: str) -> Note:
        case = two.visits[-1].case
        told = replace(case, complaint=replace(case.complaint, story=said), title=said)
        visits = (two.visits[0], replace(two.visits[1], case=told))
        episode = replace(two, visits=visits, assessment=replace(two.assessment, case=told), exercises=(said,))
        return compose_letter(
            kind, episode, LetterWords(said, said, said, said, said), Written("2026-03-11", said, about=said), library
        )

    said = f"x{words}x"
    page = note_html(letter(said))
    assert Tags(page).found == Tags(note_html(letter("xx"))).found
    assert squeezed(clean(said)) in squeezed(note_text(letter(said)))
    assert letter(said) == note_from_dict(json.loads(json.dumps(note_to_dict(letter(said)))))


@pytest.mark.parametrize(
    "words", ['#import "@preview/evil:0.1.0": *', "#panic() $x^2$ *b* _i_ `r` \\ @l <t>", "<script>x</script>{{ 7 }}"]
)
def test_hostile_words_are_printed_and_not_run(words: str, two: EpisodeOfCare, library: Library) -> None:
    said = LetterWords(words, words, words, words, words)
    letter = compose_letter(DocumentKind.DISCHARGE, two, said, replace(WRITTEN, about=words, by=words), library)
    for told in (squeezed(note_text(letter)), html_words(note_html(letter)), pdf_words(note_pdf(letter))):
        assert told.count(squeezed(words)) >= 4


def test_the_command_writes_each_letter(tmp_path: Path, capsys: pytest.CaptureFixture[str], library: Library) -> None:
    case, paper = str(STORIES / "anterior_laxity.txt"), tmp_path / "letter.pdf"
    assert main(["letter", case, "--to", "Dr B. Example", "--told", "You will hear from them."]) == 0
    said = capsys.readouterr().out
    assert said.startswith("SHOULDER GIRDLE: REFERRAL LETTER")
    assert "You will hear from them." in said
    assert main(["letter", case, case, "--kind", "discharge", "--html"]) == 0
    assert capsys.readouterr().out.startswith("<!doctype html>")
    assert main(["letter", case, "--date", "2026-03-04", "--pdf", str(paper)]) == 0
    assert "pdfaid:part" in metadata(paper.read_bytes())


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        (["--date", "4 March"], "not a day"),
        (["--day", "2026-03-04"], "not one day for each visit"),
        (["--day", "2026-03-04", "--day", "2026-03-01"], "wrong order"),
    ],
)
def test_days_that_cannot_be_are_told(more: list[str], fault: str, capsys: pytest.CaptureFixture[str]) -> None:
    case = str(STORIES / "first_visit.txt")
    assert main(["letter", case, case, *more]) == 1
    assert fault in capsys.readouterr().err
