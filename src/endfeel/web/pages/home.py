"""The home programme: exercises chosen, changed by ticking, printed on a sheet in plain words."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from endfeel import care
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
_KINDS = {
    "pdf": "application/pdf",
    "html": "text/html; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
}
Exercises = Annotated[list[str] | None, Query(max_length=8)]
Language = Annotated[str, Query(pattern="^[a-z]{2}$")]


@router.get("/visits/{visit_id}/home")
def get_home(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    exercise: Exercises = None,
    language: Language = "en",
    large: bool = False,
) -> Response:
    """The programme with its pictures, and what may be chosen instead."""
    view = care.view_home(desk, visit_id, exercise, language=language, large=large)
    chosen = [one.id for one in view.chosen.exercises] if view.chosen else []
    told = [*(("exercise", one) for one in chosen), ("language", language), *([("large", "true")] if large else [])]
    before = care.examined_before(desk, view.visit) if view.chosen and exercise is None else None
    earlier = care.view_home(desk, before.id).chosen if before else None
    side = view.visit.assessment.case.complaint.side
    values = {
        "home": view,
        "view": view.visit,
        "verdict": view.visit.assessment.verdict,
        "minutes": 20,
        "chosen": chosen,
        "before": before,
        "earlier": urlencode([("exercise", one.id) for one in earlier.exercises]) if earlier else "",
        "query": urlencode(told),
        "language": language,
        "languages": care.home_languages(),
        "large": large,
        "left": bool(side and side.value == "left"),
        "figures": [desk.library.figure(one) for one in view.chosen.figures] if view.chosen else [],
        "by_id": {one.id: one for one in view.chosen.exercises} if view.chosen else {},
        "said": "",
    }
    return page(request, "home.html", values)


@router.get("/visits/{visit_id}/handout.{form}")
def get_sheet(
    desk: AtDesk,
    visit_id: str,
    form: str,
    exercise: Exercises = None,
    language: Language = "en",
    large: bool = False,
) -> Response:
    """The sheet as a file: `pdf`, `html` or `txt`."""
    if form not in _KINDS:
        form = "pdf"
    content = care.home_sheet(desk, visit_id, form, exercise, language=language, large=large)
    return Response(
        content,
        media_type=_KINDS[form],
        headers={"Content-Disposition": f'attachment; filename="home-programme.{form}"'},
    )


@router.get("/exercises/{exercise}.svg")
def get_picture(exercise: str, left: bool = False, language: Language = "en") -> Response:
    """One exercise drawn."""
    drawn = care.home_picture(exercise, left=left, language=language)
    return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "private, max-age=3600"})
