"""The screen as it is asked: a few plain questions first, single cues behind them."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.evidence.library import Library


@dataclass(frozen=True, slots=True)
class Question:
    """One cue as a plain question."""

    id: str
    question: str
    group: str


@dataclass(frozen=True, slots=True)
class ScreenItem:
    """A first-screen question that covers several cues: "no" answers them all, "yes" opens them."""

    title: str
    question: str
    follow_up: tuple[Question, ...]


def questions(library: Library) -> tuple[Question, ...]:
    """Every cue in screening order; cues about age are read from the age and not asked."""
    cues = library.documents["safety_rules"]["cue"]
    return tuple(Question(c["id"], c["question"], c["group"]) for c in cues if not c["id"].startswith("age_"))


def first_screen(library: Library) -> tuple[ScreenItem, ...]:
    """The questions of every first visit, each with the cues behind it."""
    by_id = {question.id: question for question in questions(library)}
    return tuple(
        ScreenItem(item["title"], item["question"], tuple(by_id[cue] for cue in item["covers"]))
        for item in library.documents["safety_rules"]["first_screen"]
    )
