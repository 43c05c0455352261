"""The safety screen: plain questions, each yes, no or unanswered; nothing unanswered becomes a no."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.safety import Question, ScreenItem, first_screen, questions
from endfeel.web.forms import answer_of
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
WHICH = "You answered yes: mark below which of these it is. Until then they count as unanswered."
AGAINST = "You answered no, but yes to a question below: the yes is kept."


@dataclass(frozen=True, slots=True)
class Asked:
    """A first question as it stands, with the questions behind it."""

    name: str
    item: ScreenItem
    state: str
    follow_up: tuple[tuple[Question, str], ...]
    fault: str = ""


@router.get("/visits/{visit_id}/screen")
def get_screen(
    request: Request, desk: AtDesk, visit_id: str, minutes: Annotated[float, Query(gt=0, le=240)] = DEFAULT_MINUTES
) -> Response:
    view = care.view_visit(desk, visit_id, minutes)
    answers = view.assessment.case.screen
    asked = [_asked(f"item{number}", item, answers) for number, item in enumerate(first_screen(desk.library))]
    return _page(request, desk, view, asked, answers, minutes)


@router.post("/visits/{visit_id}/screen")
def post_screen(request: Request, desk: AtDesk, visit_id: str, given: Fields) -> Response:
    """Keep what was answered. A yes that says not yet which of its questions goes back open."""
    items = {f"item{number}": item for number, item in enumerate(first_screen(desk.library))}
    known = {question.id for question in questions(desk.library)}
    answers = {cue: answer_of(given[cue]) for cue in known if cue in given}
    open_: dict[str, str] = {}
    for name, item in items.items():
        cues = [question.id for question in item.follow_up]
        fault = _settle(answer_of(given.get(name, "")), cues, answers)
        if fault:
            open_[name] = fault
    before = care.view_visit(desk, visit_id).assessment.case.screen
    care.set_screen(desk, visit_id, {cue: a for cue, a in answers.items() if a is not before.get(cue)})
    if not open_:
        return RedirectResponse(f"/visits/{visit_id}", status_code=303)
    view = care.view_visit(desk, visit_id)
    kept = view.assessment.case.screen
    asked = [_asked(name, item, kept, open_.get(name, "")) for name, item in items.items()]
    return _page(request, desk, view, asked, kept, DEFAULT_MINUTES, status=422 if WHICH in open_.values() else 200)


def _settle(answer: bool | None, cues: list[str], answers: dict[str, bool | None]) -> str:
    """Bring a first answer and those behind it together; returns what has to be said about it."""
    told_yes = any(answers.get(cue) for cue in cues)
    if answer is False:
        for cue in cues:
            answers[cue] = bool(answers.get(cue))
        return AGAINST if told_yes else ""
    if answer is True and not told_yes:
        if len(cues) == 1:
            answers[cues[0]] = True
            return ""
        return WHICH
    return ""


def _asked(name: str, item: ScreenItem, answers: Mapping[str, bool], fault: str = "") -> Asked:
    told = [answers.get(question.id) for question in item.follow_up]
    state = "yes" if any(told) or fault == WHICH else "no" if all(one is False for one in told) else "open"
    return Asked(
        name, item, state, tuple((question, _word(answers.get(question.id))) for question in item.follow_up), fault
    )


def _word(answer: bool | None) -> str:
    return "open" if answer is None else "yes" if answer else "no"


def _page(
    request: Request,
    desk: care.Desk,
    view: care.VisitView,
    asked: list[Asked],
    answers: Mapping[str, bool],
    minutes: float,
    status: int = 200,
) -> Response:
    covered = {question.id for one in asked for question, _ in one.follow_up}
    rest = [
        (question, _word(answers.get(question.id)))
        for question in questions(desk.library)
        if question.id not in covered
    ]
    values = {"view": view, "verdict": view.assessment.verdict, "asked": asked, "rest": rest, "minutes": minutes}
    return page(request, "screen.html", values, status)
