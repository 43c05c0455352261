"""Answering the safety screen: single cues, and the first questions that stand before them."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sqlalchemy.orm import Session

from endfeel.care.checks import check_cues
from endfeel.care.desk import Desk
from endfeel.care.writing import open_for_writing
from endfeel.evidence.library import Library
from endfeel.records import queries
from endfeel.records.mapping import FIRST
from endfeel.records.tables import ScreenRow
from endfeel.safety import ScreenItem, first_screen

Answers = Mapping[str, bool | None]
"""Cue, or `first.` and the name of a first question → yes, no, or taken back."""


def first_questions(library: Library) -> Mapping[str, ScreenItem]:
    """The first questions by the name under which their own answer is kept."""
    if library.release not in _FIRST_QUESTIONS:
        _FIRST_QUESTIONS[library.release] = _named(library)
    return _FIRST_QUESTIONS[library.release]


_FIRST_QUESTIONS: dict[str, Mapping[str, ScreenItem]] = {}


def _named(library: Library) -> Mapping[str, ScreenItem]:
    return {FIRST + re.sub(r"\W+", "_", item.title.lower()): item for item in first_screen(library)}


def set_screen(desk: Desk, visit_id: str, answers: Answers) -> None:
    """Answer screen items; None takes an answer back. Raises CannotRead for an unknown item, all of them at once."""
    _check(desk, answers)
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "screen")
        _keep(session, desk, visit_id, answers)


def answer_screen(desk: Desk, visit_id: str, given: Answers, shown: int) -> Answers:
    """Keep what was changed on a page that showed the answers up to number `shown`.

    Returns what was not kept: answers to questions that were answered otherwise meanwhile, together with the other
    answers behind the same first question. Nothing that stands is taken back by a page that did not show it.
    """
    _check(desk, given)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        was, now = queries.screen_answers(session, visit_id, shown), queries.screen_answers(session, visit_id)
        changed = {name: answer for name, answer in given.items() if answer is not was.get(name)}
        moved = {name for name, answer in changed.items() if now.get(name) not in (was.get(name), answer)}
        against = {name for group in _groups(desk.library) if moved & group for name in group} | moved
        kept = {name: answer for name, answer in changed.items() if name not in against and answer is not now.get(name)}
        if changed:
            open_for_writing(session, desk, visit_id, "screen")
            _keep(session, desk, visit_id, kept)
    return {name: answer for name, answer in changed.items() if name in against and answer is not now.get(name)}


def unspecified(first: Mapping[str, bool], screen: Mapping[str, bool], library: Library) -> tuple[str, ...]:
    """Titles of first questions answered yes of which no single question was: a yes that nothing else stands for."""
    items = first_questions(library)
    told = (name for name, yes in first.items() if yes)
    return tuple(
        items[name].title if name in items else name.removeprefix(FIRST).replace("_", " ")
        for name in told
        if name not in items or not any(screen.get(question.id) for question in items[name].follow_up)
    )


def _groups(library: Library) -> list[set[str]]:
    return [{name, *(one.id for one in item.follow_up)} for name, item in first_questions(library).items()]


def _check(desk: Desk, answers: Answers) -> None:
    first = first_questions(desk.library)
    check_cues(desk, [name for name in answers if name not in first])


def _keep(session: Session, desk: Desk, visit_id: str, answers: Answers) -> None:
    now = desk.clock()
    session.add_all(ScreenRow(visit_id=visit_id, cue=c, answer=a, answered_at=now) for c, a in answers.items())
