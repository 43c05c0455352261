"""Person and complaint: told first, told of a new episode, told again."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.vocabulary import CannotRead, Complaint, Fault, Irritability, Onset, Person, Refused
from endfeel.web.forms import by_field, read_story, story_fields
from endfeel.web.pages.desk import AtDesk
from endfeel.web.plain import capital
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
CHOICES = {
    "onset_options": [(str(one), str(one)) for one in Onset],
    "irritability_options": [(str(one), str(one)) for one in Irritability],
}
PERSON: dict[str, Any] = {
    "heading": "New person",
    "action": "/people",
    "button": "Save and go to the safety screen",
    "with_person": True,
}
NO_LABEL = Fault("a label is needed to find the record again", would_do="a name or a number", field="label")


async def _given(request: Request) -> dict[str, str]:
    """The fields of the form, areas as one list with commas."""
    form = await request.form()
    given = {name: value for name, value in form.items() if isinstance(value, str)}
    areas = (one for one in form.getlist("areas") if isinstance(one, str))
    return {"label": "", **given, "areas": ", ".join(areas)}


Given = Annotated[dict[str, str], Depends(_given)]


@router.get("/people/new")
def get_new_person(request: Request) -> HTMLResponse:
    return _form(request, PERSON, {})


@router.post("/people")
def post_person(request: Request, desk: AtDesk, given: Given) -> Response:
    """A person, an episode and a first visit in one go; faults go back beside what was typed."""
    try:
        person, complaint = _read(given, with_person=True)
        person_id = care.new_person(desk, given["label"], person)
        visit_id = care.open_visit(desk, care.open_episode(desk, person_id, complaint))
    except CannotRead as error:
        return _form(request, PERSON, given, error.faults)
    return RedirectResponse(f"/visits/{visit_id}/screen", status_code=303)


@router.get("/people/{person_id}/episodes/new")
def get_new_episode(request: Request, desk: AtDesk, person_id: str) -> HTMLResponse:
    return _form(request, _episode(desk, person_id), {})


@router.post("/people/{person_id}/episodes")
def post_episode(request: Request, desk: AtDesk, person_id: str, given: Given) -> Response:
    """A new complaint of a person who is on record, with its first visit."""
    try:
        _, complaint = _read(given, with_person=False)
        visit_id = care.open_visit(desk, care.open_episode(desk, person_id, complaint))
    except CannotRead as error:
        return _form(request, _episode(desk, person_id), given, error.faults)
    return RedirectResponse(f"/visits/{visit_id}/screen", status_code=303)


@router.get("/visits/{visit_id}/story")
def get_story(
    request: Request, desk: AtDesk, visit_id: str, minutes: Annotated[float, Query(gt=0, le=240)] = DEFAULT_MINUTES
) -> HTMLResponse:
    """The story as it was told, to correct it."""
    view = care.view_visit(desk, visit_id, minutes)
    if view.signed:
        raise Refused(f"the note was signed by {view.signed.signed_by}; correct the story from a later visit")
    case = view.assessment.case
    return _form(request, _again(view), story_fields(view.label, case.person, case.complaint))


@router.post("/visits/{visit_id}/story")
def post_story(request: Request, desk: AtDesk, visit_id: str, given: Given) -> Response:
    """The story told again; what was told before stays on record."""
    before = given.pop("told_before", "")
    try:
        person, complaint = _read(given, with_person=True)
        told = int(before) if before.isdecimal() else None
        care.correct_story(desk, visit_id, given["label"], person, complaint, told)
    except CannotRead as error:
        return _form(request, _again(care.view_visit(desk, visit_id), before), given, error.faults)
    except Refused as error:
        view = care.view_visit(desk, visit_id)
        if view.signed:
            raise
        return _form(request, _again(view), given, [Fault(capital(str(error)))], status=409)
    return RedirectResponse(f"/visits/{visit_id}", status_code=303)


def _read(given: dict[str, str], *, with_person: bool) -> tuple[Person, Complaint]:
    """Raises CannotRead with every fault of the form."""
    faults = [NO_LABEL] if with_person and not given["label"].strip() else []
    try:
        told = read_story(given)
    except CannotRead as error:
        raise CannotRead([*error.faults, *faults]) from error
    if faults:
        raise CannotRead(faults)
    return told


def _episode(desk: care.Desk, person_id: str) -> dict[str, Any]:
    label = care.name_person(desk, person_id)
    return {
        "heading": f"New episode of {label}",
        "lead": "Another complaint of the same person. It has its own story, visits and safety screen.",
        "action": f"/people/{person_id}/episodes",
        "button": "Save and go to the safety screen",
        "with_person": False,
    }


def _again(view: care.VisitView, told_before: str = "") -> dict[str, Any]:
    return {
        "heading": "Correct the story",
        "lead": "What you save replaces what was told before, which stays on record. Signed notes stay as signed.",
        "action": f"/visits/{view.visit_id}/story",
        "button": "Save the story",
        "back": f"/visits/{view.visit_id}",
        "back_to": f"Visit of {view.label}",
        "with_person": True,
        "told_before": told_before or view.stories,
    }


def _form(
    request: Request,
    about: dict[str, Any],
    given: dict[str, str],
    faults: Any = (),
    status: int = 0,
) -> HTMLResponse:
    chosen = [one.strip() for one in given.get("areas", "").split(",") if one.strip()]
    values = {**CHOICES, **about, "given": given, "chosen_areas": chosen, "faults": by_field(faults)}
    return page(request, "story.html", values, status or (422 if faults else 200))
