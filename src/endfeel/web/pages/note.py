"""The note: read, sign, print, add to."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.vocabulary import CannotRead, Refused
from endfeel.web.errors import sentences
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/visits/{visit_id}/note")
def get_note(request: Request, desk: AtDesk, visit_id: str) -> Response:
    return _show(request, desk, visit_id)


@router.post("/visits/{visit_id}/note")
def post_signature(request: Request, desk: AtDesk, visit_id: str, by: Annotated[str, Form()] = "") -> Response:
    """Sign the note with a name; it can no longer change."""
    try:
        care.sign_note(desk, visit_id, by)
    except Refused as error:
        return _show(request, desk, visit_id, faults=sentences(error), status=409)
    return RedirectResponse(f"/visits/{visit_id}/note", status_code=303)


@router.post("/visits/{visit_id}/addenda")
def post_addendum(
    request: Request, desk: AtDesk, visit_id: str, text: Annotated[str, Form()] = "", by: Annotated[str, Form()] = ""
) -> Response:
    """Words after signing; the note itself stays as it was."""
    try:
        care.add_addendum(desk, visit_id, text, by)
    except CannotRead as error:
        return _show(request, desk, visit_id, faults=sentences(error), given={"text": text, "by": by}, status=422)
    return RedirectResponse(f"/visits/{visit_id}/note", status_code=303)


@router.get("/visits/{visit_id}/note.pdf")
def get_pdf(desk: AtDesk, visit_id: str) -> Response:
    content = care.note_pdf(desk, visit_id)
    return Response(
        content, media_type="application/pdf", headers={"Content-Disposition": 'attachment; filename="note.pdf"'}
    )


def _show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    *,
    faults: list[str] | None = None,
    given: dict[str, str] | None = None,
    status: int = 200,
) -> Response:
    view = care.view_visit(desk, visit_id)
    note = Markup(_article(care.note_html(desk, visit_id)))  # noqa: S704 (the note escapes every piece of text itself)
    return page(
        request, "note.html", {"view": view, "note": note, "faults": faults or [], "given": given or {}}, status
    )


def _article(html: str) -> str:
    """The note without a page of its own around it: ours has the head, and its style stands in the style sheet."""
    return html[html.index("<article") : html.rindex("</article>") + len("</article>")]
