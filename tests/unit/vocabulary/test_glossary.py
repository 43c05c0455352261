"""The glossary explains the closed vocabularies of the program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from endfeel.vocabulary import MOBILITY_NAMES, EndFeel, Irritability, OutcomeKind

PAGE = (Path(__file__).resolve().parents[3] / "docs" / "glossary.md").read_text(encoding="utf-8")
WORDS = [
    *(feel.value.replace("_", " ") for feel in EndFeel),
    *MOBILITY_NAMES,
    *(kind.value for kind in OutcomeKind),
    *(level.value for level in Irritability),
    *("read", "memory", "practice", "emergency", "same day", "urgent", "refer", "monitor"),
]


@pytest.mark.parametrize("word", WORDS)
def test_each_word_of_the_closed_lists_stands_in_the_glossary(word: str) -> None:
    assert re.search(rf"\b{re.escape(word)}\b", PAGE)


def test_no_term_is_explained_twice() -> None:
    terms = [term.strip() for bold in re.findall(r"\*\*(.+?)\*\*", PAGE) for term in re.split("[,;]", bold)]
    assert sorted(terms) == sorted(set(terms))
