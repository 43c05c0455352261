"""A learner's side of a class: join by its code under a chosen name, the assigned cases, one's own progress."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web.errors import sentences, status_of
from endfeel.web.forms import by_field, entry_id_in
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.pages.learn import progress_values
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
OFFERED = 4
"""Names offered at a time."""


@router.get("/join")
def get_join(request: Request, desk: AtDesk, code: Annotated[str, Query(max_length=20)] = "") -> Response:
    """The form by which a learner comes in."""
    return _form(request, desk, {"code": code})


@router.post("/join")
def post_join(request: Request, desk: AtDesk, given: Fields) -> Response:
    """Come in; sent twice is one learner."""
    name = given.get("name", "").strip() or given.get("offered", "")
    try:
        member = care.join_class(desk, given.get("code", ""), name, entry_id_in(given, "member_id"))
    except (CannotRead, NotFound, Refused) as error:
        faults = by_field(error.faults) if isinstance(error, CannotRead) else {
            "code" if isinstance(error, NotFound) else "name": sentences(error)}  # fmt: skip
        return _form(request, desk, given, faults, status_of(error))
    return RedirectResponse(f"/join/{member}", 303)


@router.get("/join/{member_id}")
def get_cases(request: Request, desk: AtDesk, member_id: str) -> Response:
    """The learner's cases of this class."""
    view = care.view_member(desk, member_id)
    return page(request, "join_cases.html", {"view": view, "said": ""})


@router.post("/join/{member_id}/open")
def post_open(desk: AtDesk, member_id: str, given: Fields) -> Response:
    """Call an assigned patient in, or go on."""
    return RedirectResponse(f"/learn/{care.open_class_case(desk, member_id, given.get('code', ''))}", 303)


@router.get("/join/{member_id}/progress")
def get_progress(request: Request, desk: AtDesk, member_id: str) -> Response:
    """All closed cases of this learner in this class together."""
    member = care.view_member(desk, member_id).member
    values = progress_values(care.learner_progress(desk, member=member_id), member.name, f"/join/{member_id}")
    return page(request, "learn_progress.html", values)


def _form(
    request: Request, desk: care.Desk, given: Mapping[str, str], faults: Mapping[str, Any] | None = None,
    status: int = 200,
) -> Response:  # fmt: skip
    names = list(desk.library.documents["teaching"]["pseudonyms"]["names"])
    offered = [names.pop(secrets.randbelow(len(names))) for _ in range(OFFERED)]
    if given.get("offered"):
        offered = list(dict.fromkeys((given["offered"], *offered)))[:OFFERED]
    values = {
        "given": given, "faults": faults or {}, "offered": [(one, one, "") for one in offered],
        "member_id": care.new_id(), "said": "",
    }  # fmt: skip
    return page(request, "join.html", values, status)
