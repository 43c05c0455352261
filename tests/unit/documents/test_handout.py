"""The sheet of the home programme: the same in text, HTML and PDF, in every language, plain enough to read."""

from __future__ import annotations

import base64
import io
import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
import readability
from pypdf import PdfReader

from endfeel.assessment import read_case
from endfeel.documents import (
    Handout,
    catalogue,
    compose_handout,
    handout_from_dict,
    handout_html,
    handout_pdf,
    handout_picture,
    handout_text,
    handout_to_dict,
    languages,
    signed_handout,
    with_more,
)
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.pictures.exercise_poses import PICTURES
from endfeel.safety import verdict
from endfeel.treatment import HomeProgramme, decide, home_programme
from endfeel.vocabulary import CannotRead, Side
from papers import html_words, pdf_words, squeezed

STORIES = Path(__file__).resolve().parents[3] / "stories"
LANGUAGES = tuple(languages())


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def programme(library: Library, model: Model, name: str = "first_visit") -> HomeProgramme:
    case = read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)
    judged, posterior = verdict(case, library), infer(case, model)
    return home_programme(posterior, decide(posterior, library, judged), judged, library)


def sheet(library: Library, model: Model, language: str = "en", *, large: bool = False) -> Handout:
    made = programme(library, model)
    return compose_handout(made, library, language=language, written_at="2026-11-26", invented=True, large=large)


def every_exercise(library: Library, model: Model, language: str) -> Handout:
    """A sheet with all exercises there are, to measure every word of a catalogue."""
    made = programme(library, model)
    one = made.exercises[0]
    all_ = tuple(replace(one, id=name) for name in library.tables["exercises"].rows)
    return compose_handout(replace(made, exercises=all_), library, language=language)


def tokens(handout: Handout) -> str:
    """One sentence a line, words apart, as the measure takes it."""
    lines = [line for part in handout.sentences for line in re.split(r"(?<=[.!?:])\s+", part)]
    return "\n".join(" ".join(re.findall(r"[\w'’-]+", line)) for line in lines if line.strip())


def test_english_and_german_are_there() -> None:
    assert {"en", "de"} <= set(LANGUAGES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_catalogue_is_complete_and_names_every_exercise_and_picture(language: str, library: Library) -> None:
    mine, english = catalogue(language), catalogue("en")
    assert set(mine) == set(english)
    assert set(mine["exercise"]) == set(PICTURES) == set(library.tables["exercises"].rows)
    for name, told in mine["exercise"].items():
        assert told["name"]
        assert len(told["steps"]) == len(english["exercise"][name]["steps"])
        assert ("end" in told) == ("end" in english["exercise"][name])
    for key, value in english.items():
        if isinstance(value, list):
            assert len(mine[key]) == len(value) or key == "formulas"
        if isinstance(value, str):
            assert set(re.findall(r"{\w+}", value)) == set(re.findall(r"{\w+}", mine[key]))


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_reads_as_easily_as_it_says(language: str, library: Library, model: Model) -> None:
    say = catalogue(language)
    measured = readability.getmeasures(tokens(every_exercise(library, model, language)), lang=language)
    grades = measured["readability grades"]
    assert measured["sentence info"]["words"] > 300
    for formula in say["formulas"]:
        assert grades[formula] <= say["most"], (formula, grades[formula])
    assert str(say["most"]) in say["reading"]


def test_the_stated_grade_is_below_what_is_advised(library: Library) -> None:
    row = library.tables["treatment_parameters"].rows["tp019"]
    assert catalogue("en")["most"] <= (row.figures["value"].low or 0)


def test_a_hard_text_would_be_caught() -> None:
    hard = "Glenohumeral capsular contracture necessitates incremental mobilisation throughout rehabilitation " * 4
    assert readability.getmeasures(hard, lang="en")["readability grades"]["Kincaid"] > catalogue("en")["most"]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("large", [False, True])
def test_text_page_and_pdf_say_the_same_on_two_pages_at_most(
    language: str, large: bool, library: Library, model: Model
) -> None:
    made = sheet(library, model, language, large=large)
    paper = PdfReader(io.BytesIO(handout_pdf(made)))
    assert len(paper.pages) <= 2
    printed = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
    plain, html = " ".join(handout_text(made).split()), handout_html(made)
    for words in (*made.sentences, *(one.name for one in made.exercises), *(one.dose for one in made.exercises)):
        assert words in plain
        assert words.replace("'", "&#x27;") in html
        assert words.replace(" ", "") in printed.replace(" ", ""), words
    assert made.invented in printed
    assert paper.trailer["/Root"]["/Lang"] == language
    assert handout_pdf(made) == handout_pdf(made)


def test_the_rules_carry_the_numbers_of_the_evidence(library: Library, model: Model) -> None:
    made = sheet(library, model)
    assert "pain up to 3 is fine" in " ".join(made.pain)
    assert "24 hours" in " ".join(made.pain)
    assert "6 weeks" in made.review
    assert "Diercks 2004" in made.sources
    assert made.sources in handout_text(made)
    assert made.sources in handout_html(made)


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_is_sound_says_what_it_shows_and_turns_for_the_left(
    name: str, library: Library, model: Model
) -> None:
    made = every_exercise(library, model, "en")
    one = next(exercise for exercise in made.exercises if exercise.id == name)
    right, left = handout_picture(one, left=False), handout_picture(one, left=True)
    tree = ElementTree.fromstring(right)  # noqa: S314 (our own picture)
    assert one.steps[0] in (tree.findtext("{http://www.w3.org/2000/svg}desc") or "")
    assert len(tree.findall(".//{http://www.w3.org/2000/svg}g")) == len(one.labels)
    assert right != left
    assert "scale(-1 1)" in left
    assert "nan" not in right.lower()


def test_pictures_stand_inside_the_page_of_its_own(library: Library, model: Model) -> None:
    html = handout_html(sheet(library, model))
    drawn = re.findall(r"data:image/svg\+xml;base64,([^\"]+)", html)
    assert len(drawn) == 4
    assert all(base64.b64decode(one).startswith(b"<svg") for one in drawn)
    assert "<script" not in html


def test_the_left_shoulder_gets_the_left_picture_and_word(library: Library, model: Model) -> None:
    made = programme(library, model, "frozen")
    assert made.side is Side.LEFT
    told = compose_handout(made, library)
    assert told.left_side
    assert "left" in told.subtitle


def test_an_unknown_language_and_an_empty_programme_are_told(library: Library, model: Model) -> None:
    made = programme(library, model)
    for wrong in ("xx", "../en", "EN en"):
        with pytest.raises(CannotRead):
            compose_handout(made, library, language=wrong)
    with pytest.raises(CannotRead):
        compose_handout(replace(made, exercises=()), library)


def test_every_catalogue_is_readable_toml() -> None:
    folder = Path(__file__).resolve().parents[3] / "src" / "endfeel" / "documents" / "languages"
    for path in folder.glob("*.toml"):
        assert tomllib.loads(path.read_text(encoding="utf-8"))["language"] == path.stem


def test_the_drawn_sign_is_on_every_form_and_makes_no_third_page(library: Library, model: Model) -> None:
    drawn = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 72 64"><circle cx="36" cy="32" r="20"/></svg>'
    for language in LANGUAGES:
        for large in (False, True):
            plain = sheet(library, model, language, large=large)
            made = compose_handout(
                programme(library, model), library, language=language, written_at="2026-11-26", invented=True,
                large=large, sign_picture=drawn,
            )  # fmt: skip
            assert made == replace(plain, sign_title=made.sign_title, sign=made.sign, sign_picture=drawn)
            assert made.sign in handout_text(made)
            assert base64.b64encode(drawn.encode()).decode() in handout_html(made)
            pages = PdfReader(io.BytesIO(handout_pdf(made))).pages
            assert len(pages) <= 2
            told = " ".join(" ".join(page.extract_text() for page in pages).split())
            assert large or made.sign in told
    assert "sign" not in handout_html(plain).split("</style>")[1]


def test_a_signed_sheet_keeps_its_name_survives_its_json_form_and_takes_words_as_words(
    library: Library, model: Model
) -> None:
    hostile = "<script>x</script> #panic() $x^2$ *b* [l]"
    given = signed_handout(sheet(library, model), hostile, "2026-11-26")
    assert handout_from_dict(json.loads(json.dumps(handout_to_dict(given)))) == given
    with pytest.raises(CannotRead):
        handout_from_dict({"handout": 99})
    with pytest.raises(CannotRead):
        handout_from_dict({"handout": 1, "title": "x"})
    told = with_more(given, (("2026-11-27", "A. Therapist", hostile),))
    assert told.kept[0] == given.kept[0]
    assert handout_text(told).count(hostile) == 2
    assert "<script>" not in handout_html(told)
    assert html_words(handout_html(told)).count(squeezed(hostile)) == 2
    assert pdf_words(handout_pdf(told)).count(squeezed(hostile)) == 2
