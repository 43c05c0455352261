"""Every paper before a judge of archivable PDF that knows nothing of its typesetter; the judge before broken ones."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from archive_judge import archive_faults
from endfeel.assessment import assess, read_case
from endfeel.documents import (
    LETTERS,
    EpisodeOfCare,
    LetterWords,
    PastVisit,
    Written,
    compose_handout,
    compose_letter,
    compose_note,
    handout_pdf,
    note_pdf,
)
from endfeel.evidence.library import Library
from endfeel.inference import build_model
from endfeel.safety import verdict
from endfeel.treatment import home_programme

STORY = Path(__file__).resolve().parents[3] / "stories" / "first_visit.txt"
WRITTEN = Written("2026-03-11 09:30", "A. Therapist", about="Invented example")
WORDS = LetterWords("Dr Ü. Example", "12-345", "An opinion.", "That you will write back.", "The aim is reached.")


@pytest.fixture(scope="module")
def papers(library: Library) -> dict[str, bytes]:
    """One of every kind of document, and the sheet in its other language and size."""
    case = read_case(STORY.read_text(encoding="utf-8"), "first_visit.txt", library)
    found = assess(case, library, model=build_model(library))
    visits = tuple(PastVisit(f"2026-03-{day:02d}", case, verdict(case, library)) for day in (4, 11))
    episode = EpisodeOfCare(visits, found)
    made = {str(kind): note_pdf(compose_letter(kind, episode, WORDS, WRITTEN, library)) for kind in LETTERS}
    made["note"] = note_pdf(compose_note(found, written_at="2026-03-11 09:30", library=library))
    programme = home_programme(found.posterior, found.decision, found.verdict, library)
    for language, large in (("en", False), ("de", True)):
        sheet = compose_handout(programme, library, language=language, written_at="2026-03-11", large=large)
        made[f"handout-{language}"] = handout_pdf(sheet)
    return made


def test_no_paper_breaks_a_requirement_that_can_be_read_off_it(papers: dict[str, bytes]) -> None:
    assert set(papers) == {*map(str, LETTERS), "note", "handout-en", "handout-de"}
    assert {kind: archive_faults(paper) for kind, paper in papers.items()} == {kind: [] for kind in papers}


def of_type(writer: PdfWriter, name: str, value: str) -> Any:
    return next(
        one
        for one in (writer.get_object(number) for number in range(1, len(writer._objects) + 1))
        if isinstance(one, DictionaryObject) and one.get(name) == value
    )


def no_font(writer: PdfWriter) -> None:
    descriptor = of_type(writer, "/Type", "/FontDescriptor")
    for name in ("/FontFile", "/FontFile2", "/FontFile3"):
        descriptor.pop(name, None)


def no_letters(writer: PdfWriter) -> None:
    del of_type(writer, "/Subtype", "/Type0")["/ToUnicode"]


def no_intent(writer: PdfWriter) -> None:
    del writer._root_object["/OutputIntents"]


def no_language(writer: PdfWriter) -> None:
    del writer._root_object["/Lang"]


def no_structure(writer: PdfWriter) -> None:
    del writer._root_object["/StructTreeRoot"]


def no_heads(writer: PdfWriter) -> None:
    for number in range(1, len(writer._objects) + 1):
        one = writer.get_object(number)
        if isinstance(one, DictionaryObject) and one.get("/S") == "/TH":
            one[NameObject("/S")] = NameObject("/TD")


def no_metadata(writer: PdfWriter) -> None:
    del writer._root_object["/Metadata"]


def other_level(writer: PdfWriter) -> None:
    stream = writer._root_object["/Metadata"].get_object()
    stream.set_data(stream.get_data().replace(b"<pdfaid:conformance>A<", b"<pdfaid:conformance>B<"))


def strange_names(writer: PdfWriter) -> None:
    stream = writer._root_object["/Metadata"].get_object()
    stream.set_data(
        stream.get_data().replace(b"<pdfaid:part>", b'<x:y xmlns:x="http://x.example/">z</x:y><pdfaid:part>')
    )


def script(writer: PdfWriter) -> None:
    writer._root_object[NameObject("/Names")] = DictionaryObject({NameObject("/JavaScript"): DictionaryObject()})


def inner_file(writer: PdfWriter) -> None:
    writer.add_attachment("x.txt", b"x")


def page_action(writer: PdfWriter) -> None:
    action = DictionaryObject({NameObject("/S"): NameObject("/Launch"), NameObject("/Type"): NameObject("/Action")})
    writer.pages[0][NameObject("/AA")] = DictionaryObject({NameObject("/O"): action})


def hidden_note(writer: PdfWriter) -> None:
    note = DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Annot"),
            NameObject("/Subtype"): NameObject("/Text"),
            NameObject("/F"): NumberObject(2),
            NameObject("/Rect"): ArrayObject([NumberObject(0)] * 4),
            NameObject("/Contents"): TextStringObject("x"),
        }
    )
    writer.pages[0][NameObject("/Annots")] = ArrayObject([writer._add_object(note)])


def strange_blend(writer: PdfWriter) -> None:
    state = DictionaryObject({NameObject("/Type"): NameObject("/ExtGState"), NameObject("/BM"): NameObject("/Sparkle")})
    writer._add_object(state)


def strange_operator(writer: PdfWriter) -> None:
    stream = DecodedStreamObject()
    stream.set_data(b"q 1 0 0 1 0 0 zz Q")
    writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)


def wrong_width(writer: PdfWriter) -> None:
    font = of_type(writer, "/Subtype", "/CIDFontType0")
    font[NameObject("/W")] = ArrayObject([NumberObject(0), ArrayObject([NumberObject(123)] * 9)])


def long_string(writer: PdfWriter) -> None:
    writer._root_object[NameObject("/X")] = TextStringObject("x" * 40_000)


def secret(writer: PdfWriter) -> None:
    writer.encrypt("x")


BROKEN: dict[Callable[[PdfWriter], None], str] = {
    no_font: "6.2.11.4",
    no_letters: "6.2.11.7",
    no_intent: "6.2.3",
    no_language: "6.7.4",
    no_structure: "6.7.3",
    no_heads: "7.5 (accessibility)",
    no_metadata: "6.6.2.1",
    other_level: "6.6.4",
    strange_names: "6.6.2.3",
    script: "6.5.1",
    inner_file: "6.8",
    page_action: "6.5.2",
    hidden_note: "6.3.2",
    strange_blend: "6.2.10",
    strange_operator: "6.2.2",
    wrong_width: "6.2.11.5",
    long_string: "6.1.13",
    secret: "6.1.3",
}


@pytest.fixture(scope="module")
def whole(papers: dict[str, bytes]) -> tuple[bytes, set[str]]:
    """A letter as it is written again by another library, and what the judge says of it."""
    again = io.BytesIO()
    PdfWriter(clone_from=PdfReader(io.BytesIO(papers["referral"]))).write(again)
    return again.getvalue(), set(archive_faults(again.getvalue()))


@pytest.mark.parametrize("harm", BROKEN, ids=lambda one: one.__name__)
def test_the_judge_finds_what_was_broken_on_purpose(
    harm: Callable[[PdfWriter], None], whole: tuple[bytes, set[str]]
) -> None:
    writer, after = PdfWriter(clone_from=PdfReader(io.BytesIO(whole[0]))), io.BytesIO()
    harm(writer)
    writer.write(after)
    added = set(archive_faults(after.getvalue())) - whole[1]
    assert any(one.startswith(f"{BROKEN[harm]}:") for one in added), added
