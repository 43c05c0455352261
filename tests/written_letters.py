"""What tests of letters are made of: two visits of an invented story, and words of a writer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from endfeel.assessment import read_case
from endfeel.documents import (
    EpisodeOfCare,
    LetterWords,
    Note,
    Written,
)
from endfeel.evidence.library import Library
from endfeel.vocabulary import Case

STORIES = Path(__file__).resolve().parents[1] / "stories"
BETTER = (
    ("act flex 125 other 165 p5 p@100 fam", "act flex 130 other 165 p5"),
    ("act abd 100 other 170 p6 p@80 fam", "act abd 140 other 170 p3"),
    ("T2 ct pa 3 p1\n", ""),
    ("ER lag neg", "ER lag pos"),
    ("iso er 5/5 p2", "iso er 5/5 p2\nneer + p3"),
)
"""What a second visit of the first story finds: one sign clearly better, one within error, one left out, one new."""
WRITTEN = Written("2026-03-11 09:30", "A. Therapist", about="Invented example")
WORDS = LetterWords("Dr B. Example", "12-345", "An opinion.", "That you will write back.", "The aim is reached.")
Make = Callable[..., EpisodeOfCare]


def story(library: Library, name: str = "first_visit", changes: tuple[tuple[str, str], ...] = ()) -> Case:
    text = (STORIES / f"{name}.txt").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_case(text, name, library)


def section(letter: Note, name: str) -> str:
    """Everything one section says."""
    found = next(one for one in letter.sections if one.id == name)
    parts = [found.heading]
    for block in found.blocks:
        parts += [block.text, *block.items, *block.columns, *(cell for row in block.rows for cell in row)]
    return " | ".join(parts)
