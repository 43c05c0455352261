"""Who cares for whom, and break-glass: a record that is not assigned opened with a reason, which the lead is told."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/people/{person_id}/team")
def get_team(request: Request, desk: AtDesk, person_id: str) -> Response:
    """Who cares for a person; in a clinic."""
    _of_a_clinic(desk)
    team, label = care.view_team(desk, person_id), care.name_person(desk, person_id)
    return page(request, "team.html", {"team": team, "label": label, "person_id": person_id})


@router.post("/people/{person_id}/team")
def post_team(desk: AtDesk, person_id: str, given: Fields) -> Response:
    """One more, or one less."""
    _of_a_clinic(desk)
    act = care.unassign if given.get("do") == "unassign" else care.assign
    act(desk, person_id, given.get("staff", ""))
    return RedirectResponse(f"/people/{person_id}/team", 303)


@router.get("/break-glass")
def get_glass(request: Request, desk: AtDesk) -> Response:
    """The way to a record that is not assigned; for a lead, every time it was gone."""
    return _show(request, desk, {})


@router.post("/break-glass")
def post_glass(request: Request, desk: AtDesk, given: Fields) -> Response:
    """Open it, for a reason, for a while."""
    _of_a_clinic(desk)
    try:
        care.break_glass(desk, given.get("label", ""), given.get("reason", ""))
    except CannotRead as error:
        return _show(request, desk, given, by_field(error.faults), 422)
    return RedirectResponse("/", 303)


@router.post("/break-glass/{number}/noted")
def post_noted(desk: AtDesk, number: int) -> Response:
    """A lead has seen it."""
    _of_a_clinic(desk)
    if not 0 < number < 2**31:
        raise NotFound("there was no such break-glass")
    care.note_glass(desk, number)
    return RedirectResponse("/break-glass", 303)


def _of_a_clinic(desk: care.Desk) -> None:
    if desk.staff is None:
        raise Refused("this is for a clinic, where people sign in (docs/clinic.md)")


def _show(
    request: Request, desk: care.Desk, given: dict[str, str], faults: dict[str, list[str]] | None = None,
    status: int = 200,
) -> Response:  # fmt: skip
    _of_a_clinic(desk)
    leads = desk.staff is not None and desk.staff.role == care.SEES_ALL
    may = desk.staff is not None and desk.staff.may("glass")
    values = {
        "glasses": care.list_glass(desk) if leads else (),
        "leads": leads,
        "may": may,
        "given": given,
        "faults": faults or {},
        "now": desk.clock(),
    }
    return page(request, "break_glass.html", values, status)
