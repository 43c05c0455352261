"""The note: read, sign, print, add to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.safety import questions
from endfeel.vocabulary import CannotRead, Refused
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


Minutes = Annotated[float, Query(gt=0, le=240)]
FormMinutes = Annotated[float, Form(gt=0, le=240)]
MOSTLY = 0.5
"""Share of the screen that must be answered for a note to be signed without a second thought."""


@router.get("/visits/{visit_id}/note")
def get_note(request: Request, desk: AtDesk, visit_id: str, minutes: Minutes = DEFAULT_MINUTES) -> Response:
    return _show(request, desk, visit_id, minutes)


@router.post("/visits/{visit_id}/note")
def post_signature(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    by: Annotated[str, Form()] = "",
    sure: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """Sign the note with a name; it can no longer change. What speaks against signing now is confirmed first."""
    by = desk.signer(by)
    given = {"by": by, "sure": sure}
    if not by.strip():
        return _show(request, desk, visit_id, minutes, faults={"by": ["A note is signed with a name."]}, status=409)
    if sure != "yes" and doubts(desk, care.view_visit(desk, visit_id, minutes)):
        faults = {"sure": ["Not signed: read this first, and confirm it when the note shall be signed all the same."]}
        return _show(request, desk, visit_id, minutes, faults=faults, given=given, status=409)
    try:
        if is_supervised(desk):
            care.present(desk, visit_id, "note")
        else:
            care.sign_note(desk, visit_id, by, minutes)
    except Refused as error:
        return _show(request, desk, visit_id, minutes, faults={"by": sentences(error)}, given=given, status=409)
    return RedirectResponse(f"/visits/{visit_id}/note#signed", status_code=303)


def is_supervised(desk: care.Desk) -> bool:
    """Whether what is signed here waits for somebody else's name."""
    return desk.staff is not None and desk.staff.role == "student"


def presented_values(desk: care.Desk, visit_id: str, kind: str) -> dict[str, Any]:
    """What became of what a student presented, for the page where it is signed."""
    told = care.presented_in(desk, visit_id) if desk.staff is not None else ()
    return {"presented": told, "presented_kind": kind}


def doubts(desk: care.Desk, view: care.VisitView) -> list[str]:
    """What speaks against signing now, in sentences."""
    verdict = view.assessment.verdict
    said = [f"Safety stands at {verdict.urgency.words}: {verdict.action}"] if verdict.stops_plan else []
    asked, open_ = len(questions(desk.library)), len(verdict.unanswered)
    if open_ > (1 - MOSTLY) * asked:
        said.append(f"{open_} of {asked} questions of the safety screen are unanswered.")
    if view.unspecified:
        said.append(f"Answered yes, not specified: {'; '.join(view.unspecified)}.")
    return said


@router.post("/visits/{visit_id}/addenda")
def post_addendum(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    text: Annotated[str, Form()] = "",
    by: Annotated[str, Form()] = "",
    addendum_id: Annotated[str, Form()] = "",
) -> Response:
    """Words after signing; the note itself stays as it was. The same form sent twice is kept once."""
    try:
        care.add_addendum(desk, visit_id, text, by, addendum_id or None)
    except CannotRead as error:
        given = {"text": text, "by": by}
        faults = by_field(error.faults)
        return _show(request, desk, visit_id, DEFAULT_MINUTES, faults=faults, given=given, status=422)
    return RedirectResponse(f"/visits/{visit_id}/note#addenda", status_code=303)


@router.get("/visits/{visit_id}/note.pdf")
def get_pdf(desk: AtDesk, visit_id: str, minutes: Minutes = DEFAULT_MINUTES) -> Response:
    view = care.view_visit(desk, visit_id, minutes)
    content = care.note_pdf(desk, visit_id, minutes)
    return Response(content, media_type="application/pdf", headers={"Content-Disposition": _named(view)})


def _named(view: care.VisitView) -> str:
    """The file's name: label and day of the visit, in letters every system takes, and as they are written."""
    name = f"{view.label} {view.opened_at.astimezone():%Y-%m-%d}"
    plain = re.sub(r"[^A-Za-z0-9.-]+", "-", name).strip("-.")
    return f"attachment; filename=\"note-{plain}.pdf\"; filename*=UTF-8''{quote(f'note-{name}.pdf', safe='')}"


def _show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    minutes: float,
    *,
    faults: Mapping[str, list[str]] | None = None,
    given: Mapping[str, str] | None = None,
    status: int = 200,
) -> Response:
    view = care.view_visit(desk, visit_id, minutes)
    note = Markup(article(care.note_html(desk, visit_id, minutes)))  # noqa: S704 (the note escapes every piece of text)
    values = {
        "view": view,
        "note": note,
        "minutes": minutes,
        "faults": faults or {},
        "given": given or {},
        "doubts": [] if view.signed else doubts(desk, view),
        "addendum_id": care.new_id(),
        "said": "Not signed: see below." if faults and not view.signed else "Not added: see below." if faults else "",
        "alarm": bool(faults),
        **presented_values(desk, visit_id, "note"),
    }
    return page(request, "note.html", values, status)


def article(html: str) -> str:
    """The note without a page of its own around it: ours has the head, and its style stands in the style sheet."""
    return html[html.index("<article") : html.rindex("</article>") + len("</article>")]
