"""The safety screen: plain questions, each yes, no or unanswered; nothing unanswered becomes a no."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.safety import Question, ScreenItem, questions
from endfeel.web.forms import answer_of
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
Answers = Mapping[str, bool | None]
WHICH = "Your yes is kept: mark below which of these it is. Until then it stays on the safety strip, to be asked."
AGAINST = "You answered no, but yes to a question below: the yes is kept."
MEANWHILE = "Not all was kept: some answers were changed on another page meanwhile. Both are shown; answer them again."


@dataclass(frozen=True, slots=True)
class Asked:
    """A first question as it stands, with the questions behind it."""

    name: str
    item: ScreenItem
    state: str
    follow_up: tuple[tuple[Question, str], ...]
    faults: tuple[str, ...] = ()


@router.get("/visits/{visit_id}/screen")
def get_screen(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    asks: bool = False,
    minutes: Annotated[float, Query(gt=0, le=240)] = DEFAULT_MINUTES,
) -> Response:
    """The screen; `asks` brings the first yes that is not specified into view."""
    view = care.view_visit(desk, visit_id, minutes)
    return _page(request, desk, view, minutes, bring=asks)


@router.post("/visits/{visit_id}/screen")
def post_screen(request: Request, desk: AtDesk, visit_id: str, given: Fields) -> Response:
    """Keep what the person changed on the page they saw. A new yes that says not which goes back to be specified."""
    items = _items(desk)
    known = {question.id for question in questions(desk.library)}
    answers: dict[str, bool | None] = {cue: answer_of(given[cue]) for cue in known if cue in given}
    against: dict[str, str] = {}
    for field, (name, item) in items.items():
        if field in given:
            answers[name] = answer_of(given[field])
            if _settle(answers[name], [question.id for question in item.follow_up], answers):
                del answers[name]
                against[field] = AGAINST
    shown = int(given["shown"]) if given.get("shown", "").isdecimal() else 0
    refused = care.answer_screen(desk, visit_id, answers, shown)
    view = care.view_visit(desk, visit_id)
    known_open = given.get("unspecified", "").split(",")
    fresh = [title for title in view.unspecified if title not in known_open]
    if not (refused or against or fresh):
        return RedirectResponse(f"/visits/{visit_id}?was={given.get('was', '')}#safety", status_code=303)
    said = MEANWHILE if refused else f"Kept, but not specified: {'; '.join(fresh)}." if fresh else AGAINST
    return _page(
        request, desk, view, DEFAULT_MINUTES, said=said, against=against, refused=refused, bring=True,
        status=409 if refused else 200,
    )  # fmt: skip


def _items(desk: care.Desk) -> dict[str, tuple[str, ScreenItem]]:
    """Field of the form → name and item of each first question."""
    return {f"item{number}": one for number, one in enumerate(care.first_questions(desk.library).items())}


def _settle(answer: bool | None, cues: list[str], answers: dict[str, bool | None]) -> bool:
    """Bring a first answer and those behind it together; whether a no stands against a yes behind it."""
    told_yes = any(answers.get(cue) for cue in cues)
    if answer is False:
        answers.update((cue, bool(answers.get(cue))) for cue in cues)
        return told_yes
    if answer is True and not told_yes and len(cues) == 1:
        answers[cues[0]] = True
    return False


def _asked(field: str, item: ScreenItem, first: bool | None, answers: Answers, faults: tuple[str, ...]) -> Asked:
    told = [answers.get(question.id) for question in item.follow_up]
    yes = any(told) or first is True
    state = "yes" if yes else "no" if first is False or all(one is False for one in told) else "open"
    return Asked(field, item, state, tuple((one, word(answers.get(one.id))) for one in item.follow_up), faults)


def word(answer: bool | None) -> str:
    return "open" if answer is None else "yes" if answer else "no"


def _page(
    request: Request,
    desk: care.Desk,
    view: care.VisitView,
    minutes: float,
    *,
    said: str = "",
    against: Mapping[str, str] | None = None,
    refused: Answers | None = None,
    bring: bool = False,
    status: int = 200,
) -> Response:
    answers, refused = view.assessment.case.screen, refused or {}
    asked = []
    for field, (name, item) in _items(desk).items():
        faults = [against[field]] if against and field in against else []
        faults += [WHICH] if item.title in view.unspecified else []
        faults += [_both(item.question, view.first_answers.get(name), refused[name])] if name in refused else []
        faults += [_both(q.question, answers.get(q.id), refused[q.id]) for q in item.follow_up if q.id in refused]
        asked.append(_asked(field, item, view.first_answers.get(name), answers, tuple(faults)))
    covered = {question.id for one in asked for question, _ in one.follow_up}
    rest = [one for one in questions(desk.library) if one.id not in covered]
    values = {
        "view": view,
        "verdict": view.assessment.verdict,
        "asked": asked,
        "rest": [(question, word(answers.get(question.id))) for question in rest],
        "rest_faults": [_both(q.question, answers.get(q.id), refused[q.id]) for q in rest if q.id in refused],
        "minutes": minutes,
        "said": said,
        "alarm": bool(said),
        "bring": next((one.name for one in asked if one.faults), "") if bring else "",
    }
    return page(request, "screen.html", values, status)


def _both(question: str, stands: bool | None, given: bool | None) -> str:
    says = {"open": "unanswered", "yes": "yes", "no": "no"}
    return f"{question} On another page: {says[word(stands)]}, which stands. Here you answered: {says[word(given)]}."
