"""The list of staff, for the administrator: who works here, in which role, whose sign-in is made anew, who left."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.vocabulary import CannotRead, Fault, Refused
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/staff")
def get_staff(request: Request, desk: AtDesk) -> Response:
    return _show(request, desk)


@router.post("/staff")
def post_staff(request: Request, desk: AtDesk, given: Fields) -> Response:
    """Somebody new; the password that serves once is shown once."""
    name, role = given.get("name", ""), given.get("role", "")
    _of_a_clinic(desk)
    try:
        _, once = care.add_staff(desk, name, role, given.get("supervisor", ""))
    except CannotRead as error:
        return _show(request, desk, given=given, faults=by_field(error.faults), status=422)
    return _show(request, desk, once=(" ".join(name.split()), once))


@router.post("/staff/{staff_id}")
def post_one(request: Request, desk: AtDesk, staff_id: str, given: Fields) -> Response:
    """Another role, a sign-in made anew, or the end."""
    do = given.get("do", "")
    _of_a_clinic(desk)
    try:
        if do == "reset":
            name = next((one.name for one in care.list_staff(desk) if one.id == staff_id), "")
            return _show(request, desk, once=(name, care.reset_sign_in(desk, staff_id)))
        if do == "end":
            care.end_staff(desk, staff_id)
        elif do == "role":
            care.change_staff(desk, staff_id, given.get("role", ""), given.get("supervisor", ""))
        else:
            raise CannotRead([Fault("nothing of that kind is done here", do, "role, reset, end")])
    except (CannotRead, Refused) as error:
        if type(error) not in (CannotRead, Refused):
            raise
        return _show(request, desk, told=sentences(error), status=422)
    return RedirectResponse("/staff", 303)


def _of_a_clinic(desk: care.Desk) -> None:
    if desk.staff is None:
        raise Refused("the first administrator is made at the terminal: endfeel staff add NAME")


def _show(
    request: Request,
    desk: care.Desk,
    *,
    once: tuple[str, str] | None = None,
    given: dict[str, str] | None = None,
    faults: dict[str, list[str]] | None = None,
    told: list[str] | None = None,
    status: int = 200,
) -> Response:
    everybody = care.list_staff(desk)
    values: dict[str, Any] = {
        "everybody": everybody,
        "names": {one.id: one.name for one in everybody},
        "supervisors": [(one.id, one.name) for one in everybody if not one.left and one.role in ("therapist", "lead")],
        "roles": [(role, role, words) for role, words in care.ROLE_WORDS.items()],
        "once": once,
        "given": given or {},
        "faults": faults or {},
        "told": told or [],
        "now": desk.clock(),
    }
    return page(request, "staff.html", values, status)
