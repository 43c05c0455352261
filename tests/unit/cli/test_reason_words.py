"""`reason`, the note and `plan` speak words first, numbers on demand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from endfeel.assessment import assess, read_case
from endfeel.cli.main import main
from endfeel.documents import compose_note, note_text
from endfeel.evidence.library import Library

STORIES = Path(__file__).resolve().parents[3] / "stories"
FIGURE_ID = re.compile(r"\b(links|diagnostic_accuracy|computed_links|reliability)\.[a-z]{2}\d+\.")


def test_reason_says_it_in_words_and_in_numbers_when_asked(capsys: pytest.CaptureFixture[str]) -> None:
    story = str(STORIES / "first_visit.txt")
    assert main(["reason", story]) == 0
    plain = capsys.readouterr().out
    assert re.search(r"(strongly|clearly|slightly) (for|against)", plain)
    assert " dB" not in plain
    assert " bits" not in plain
    assert not FIGURE_ID.search(plain)
    assert main(["reason", story, "--numbers"]) == 0
    numbers = capsys.readouterr().out
    assert " dB" in numbers
    assert FIGURE_ID.search(numbers)


def test_the_note_says_it_in_words_with_sources_as_footnotes(library: Library) -> None:
    case = read_case((STORIES / "first_visit.txt").read_text(encoding="utf-8"), "first_visit", library)
    said = note_text(compose_note(assess(case, library), library=library))
    assert re.search(r"(strongly|clearly|slightly) (for|against) it", said)
    assert "deciban" not in said
    assert not FIGURE_ID.search(said)


def test_asked_for_and_refused_at_once_is_said_to_clash(capsys: pytest.CaptureFixture[str]) -> None:
    story = str(STORIES / "first_visit.txt")
    assert main(["plan", story, "--afresh", "--pin", "hawkins", "--forbid", "hawkins"]) != 0
    said = capsys.readouterr()
    assert "asked for" in said.err + said.out
    assert "refused" in said.err + said.out
