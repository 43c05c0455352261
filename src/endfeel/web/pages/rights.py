"""A person's rights in their record: who looked, what they agreed to, how long it is kept, its erasure."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from endfeel import care
from endfeel.vocabulary import CannotRead, Fault
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page
from endfeel.web.visit_values import RecentViews, Standings

router = APIRouter(include_in_schema=False)
_A_VISIT = re.compile(r"/visits/[A-Za-z0-9-]{1,36}")


@router.get("/people/{person_id}/rights")
def get_rights(request: Request, desk: AtDesk, person_id: str) -> HTMLResponse:
    """The page, printed as it is when the person asks who looked."""
    return _page(request, desk, person_id)


@router.post("/people/{person_id}/consent")
def post_consent(request: Request, desk: AtDesk, person_id: str, given: Fields) -> Response:
    """What was said about one purpose."""
    purpose, said = given.get("purpose", ""), given.get("given", "")
    try:
        if said not in ("yes", "no"):
            raise CannotRead([Fault("yes or no", said, "what the person said", field="given")])
        words, by = given.get("words", ""), given.get("by", "")
        care.record_consent(desk, person_id, purpose, said == "yes", words, by)
    except CannotRead as error:
        return _page(request, desk, person_id, error.faults, given, 422)
    back = given.get("back", "")
    return RedirectResponse(back if _A_VISIT.fullmatch(back) else f"/people/{person_id}/rights", status_code=303)


@router.post("/people/{person_id}/erase")
def post_erase(request: Request, desk: AtDesk, person_id: str, given: Fields) -> Response:
    """Remove the record, for a reason, when it need not be kept."""
    try:
        if given.get("sure") != "yes":
            raise CannotRead([Fault("tick that you mean it", "", "a tick", field="sure")])
        care.erase_person(desk, person_id, given.get("why", ""))
        request.app.state.views, request.app.state.standing = RecentViews(), Standings()
    except CannotRead as error:
        return _page(request, desk, person_id, error.faults, given, 422)
    return RedirectResponse("/", status_code=303)


def _page(
    request: Request,
    desk: care.Desk,
    person_id: str,
    faults: Iterable[Fault] = (),
    given: dict[str, str] | None = None,
    status: int = 200,
) -> HTMLResponse:
    values = {
        "view": care.view_rights(desk, person_id),
        "purposes": care.PURPOSE_WORDS,
        "faults": by_field(tuple(faults)),
        "given": given or {},
    }
    return page(request, "rights.html", values, status)
