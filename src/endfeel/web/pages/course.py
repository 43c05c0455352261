"""How an episode goes: charts for eyes first, verdicts beyond error, what was to be expected, what now."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup
from pydantic import BaseModel, Field

from endfeel import care
from endfeel.evidence.figures import number
from endfeel.follow import HOW_ADDED, KINDS, VERDICT_SIGNS, VERDICT_WORDS
from endfeel.follow.chart import chart_words, line_chart
from endfeel.follow.json_form import followed_json
from endfeel.follow.outlook import leaning, questions, shift_words
from endfeel.follow.trajectory import interval
from endfeel.vocabulary import CAUTIONS, REVIEW_OUTCOMES
from endfeel.web.forms import entry_id_in
from endfeel.web.pages.api import FAULTS
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter()


@router.get("/visits/{visit_id}/course", include_in_schema=False)
def get_course_of_visit(desk: AtDesk, visit_id: str) -> Response:
    """From a visit to its episode."""
    return RedirectResponse(f"/episodes/{care.episode_of_visit(desk, visit_id)}/course", status_code=303)


@router.get("/episodes/{episode_id}/course", include_in_schema=False)
def get_course(request: Request, desk: AtDesk, episode_id: str, saved: str = "") -> Response:
    """The whole course on one page."""
    told = care.follow_episode(desk, episode_id)
    lines = told.followed.trajectories
    values = {
        "told": told.followed,
        "view": told.last,
        "visit_ids": told.visit_ids,
        "verdict": told.last.assessment.verdict,
        "minutes": 20,
        "main": [one for one in lines if one.line.is_outcome],
        "angles": [one for one in lines if not one.line.is_outcome],
        "chart": lambda one: Markup(line_chart(one)),  # noqa: S704 - drawn by us, every word of it escaped
        "chart_words": chart_words,
        "interval": interval,
        "signs": VERDICT_SIGNS,
        "words_of": VERDICT_WORDS,
        "kinds": KINDS,
        "how_added": HOW_ADDED,
        "questions": questions(desk.library),
        "leaning": leaning,
        "shift_words": shift_words,
        "number": number,
        "figure": desk.library.figure,
        "reviews": [(k, one) for k, one in enumerate(told.followed.visits, 1) if one.review],
        "outcomes": REVIEW_OUTCOMES,
        "new_id": care.new_id,
        "said_outlook": saved == "outlook",
        "said": {"yes": "Review kept.", "outlook": "Kept; the forecasts stand anew."}.get(saved, ""),
    }
    return page(request, "course.html", values)


@router.post("/visits/{visit_id}/review", include_in_schema=False)
def post_review(
    desk: AtDesk, visit_id: str, outcome: Annotated[str, Form()] = "", entry_id: Annotated[str, Form()] = ""
) -> Response:
    """The episode was reviewed in this visit; what was decided."""
    care.record_review(desk, visit_id, outcome, entry_id or None)
    return RedirectResponse(f"/episodes/{care.episode_of_visit(desk, visit_id)}/course?saved=yes", status_code=303)


@router.post("/visits/{visit_id}/outlook", include_in_schema=False)
def post_outlook(desk: AtDesk, visit_id: str, given: Fields) -> Response:
    """What else foretells of the person, as it was asked in this visit."""
    told = {one.id: given[one.id] for one in questions(desk.library) if given.get(one.id)}
    care.record_outlook(desk, visit_id, told, entry_id_in(given))
    return RedirectResponse(f"/episodes/{care.episode_of_visit(desk, visit_id)}/course?saved=outlook", status_code=303)


class FollowedOut(BaseModel):
    """An episode over its visits. Every figure carries its citation and provenance."""

    episode_id: str
    urgency: str = Field(description="Safety of the last visit: it comes before every rule.")
    action: str
    visits: list[dict[str, Any]]
    weeks: float
    measures: list[dict[str, Any]] = Field(description="One line each: readings, error, verdict, true value, forecast.")
    standing: dict[str, Any] = Field(description="How the outcome measures stand together.")
    decisions: list[dict[str, Any]] = Field(description="Rules that hold now, the weightiest kind first.")
    predictors: list[dict[str, Any]]
    predictors_note: str
    outlook: dict[str, str] = Field(description="What else foretells, as it was answered last: answers by question.")
    left_out: list[str]
    release: str
    cautions: list[str]


@router.get("/api/episodes/{episode_id}/course", tags=["visits"], responses=FAULTS)
def get_course_json(desk: AtDesk, episode_id: str) -> FollowedOut:
    """Verdicts, true values, forecasts, predictors and decision points of an episode."""
    told = care.follow_episode(desk, episode_id)
    return FollowedOut(
        episode_id=episode_id,
        urgency=told.last.assessment.verdict.urgency,
        action=told.last.assessment.verdict.action,
        release=desk.library.release,
        cautions=list(CAUTIONS),
        **followed_json(told.followed, desk.library),
    )
