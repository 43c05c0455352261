"""What a student wrote: what waits, the paper as it would be signed, the counter-signature."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.vocabulary import CannotRead, NotAllowed, Refused
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.pages.note import article
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
KIND_WORDS = {
    "note": "note of the visit", "follow-up": "follow-up note", "referral": "referral letter",
    "discharge": "discharge summary", "insurer": "insurer summary", "handout": "home programme",
}  # fmt: skip


@router.get("/counter-signatures")
def get_all(request: Request, desk: AtDesk) -> Response:
    """Everything that waits and concerns who looks."""
    if desk.staff is None:
        raise Refused("this is for a clinic, where people sign in (docs/clinic.md)")
    return page(request, "presented.html", {"waiting": care.list_presented(desk), "kinds": KIND_WORDS})


@router.get("/counter-signatures/{presented_id}")
def get_one(request: Request, desk: AtDesk, presented_id: str) -> Response:
    """The paper, and what can be done with it."""
    return _show(request, desk, presented_id)


@router.post("/counter-signatures/{presented_id}")
def post_one(request: Request, desk: AtDesk, presented_id: str, given: Fields) -> Response:
    """Sign it, or give it back with words."""
    try:
        if given.get("do") == "sign":
            care.counter_sign(desk, presented_id, given.get("mark", "") or "none")
        else:
            care.give_back(desk, presented_id, given.get("remark", ""))
    except NotAllowed:
        raise
    except CannotRead as error:
        return _show(request, desk, presented_id, by_field(error.faults), 422)
    except Refused as error:
        return _show(request, desk, presented_id, {"sign": sentences(error)}, 409)
    return RedirectResponse("/counter-signatures", 303)


def _show(
    request: Request, desk: care.Desk, presented_id: str, faults: Mapping[str, list[str]] | None = None,
    status: int = 200,
) -> Response:  # fmt: skip
    told, paper, mark = care.view_presented(desk, presented_id)
    inside = article(paper) if "<article" in paper else ""
    values: dict[str, Any] = {
        "one": told,
        "paper": Markup(inside),  # noqa: S704 (the paper escapes every piece of text)
        "mark": mark,
        "kind": KIND_WORDS.get(told.kind, told.kind),
        "may_sign": desk.staff is not None and desk.staff.may("sign"),
        "faults": faults or {},
    }
    return page(request, "presented_one.html", values, status)
