"""Start page, new person, the invented example, help for the shorthand."""

from __future__ import annotations

from importlib import resources
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from endfeel import care
from endfeel.assessment import read_case, shorthand_of
from endfeel.vocabulary import CannotRead, EndFeel, Fault, Irritability, Onset, Side
from endfeel.vocabulary.shorthand import finding_text, parse_finding
from endfeel.web.forms import by_field, read_story
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
CHOICES = {
    "onset_options": [(str(one), str(one)) for one in Onset],
    "irritability_options": [(str(one), str(one)) for one in Irritability],
}
EXAMPLE = "first_visit.txt"
EXAMPLE_LINES = (
    "R GH post glide 2 firm p4 fam",
    "gh er at side 35° other 65 early capsular p5",
    "T5/6 central PA slightly hypomobile",
    "hawkins + p6 familiar",
    "load and shift ant m5 loose apprehensive",
    "iso er 4/5 painfree",
    "act abd 100 other 170 p6 p@80 fam",
    "rib 4 spring 2",
)


@router.get("/")
def get_start(request: Request, desk: AtDesk) -> HTMLResponse:
    return page(request, "start.html", {"people": care.list_people(desk)})


@router.post("/example")
def post_example(desk: AtDesk) -> Response:
    """A fresh copy of the invented example."""
    text = (resources.files("endfeel") / "examples" / EXAMPLE).read_text(encoding="utf-8")
    visit_id = care.import_case(desk, read_case(text, EXAMPLE, desk.library), "Invented example")
    return RedirectResponse(f"/visits/{visit_id}", status_code=303)


@router.get("/people/new")
def get_new_person(request: Request) -> HTMLResponse:
    return page(request, "new_person.html", {**CHOICES, "given": {}, "chosen_areas": [], "faults": {}})


@router.post("/people")
def post_person(
    request: Request,
    desk: AtDesk,
    label: Annotated[str, Form()] = "",
    age: Annotated[str, Form()] = "",
    sex: Annotated[str, Form()] = "",
    dominant: Annotated[str, Form()] = "",
    side: Annotated[str, Form()] = "",
    onset: Annotated[str, Form()] = "",
    weeks: Annotated[str, Form()] = "",
    irritability: Annotated[str, Form()] = "",
    areas: Annotated[list[str] | None, Form()] = None,
    story: Annotated[str, Form()] = "",
) -> Response:
    """A person, an episode and a first visit in one go; faults go back beside what was typed."""
    given = {
        "label": label,
        "age": age,
        "sex": sex,
        "dominant": dominant,
        "side": side,
        "onset": onset,
        "weeks": weeks,
        "irritability": irritability,
        "areas": ", ".join(areas or []),
        "story": story,
    }
    faults: list[Fault] = []
    try:
        person, complaint = read_story(given)
    except CannotRead as error:
        faults += error.faults
    if not label.strip():
        faults.append(Fault("a label is needed to find the record again", would_do="a name or a number", field="label"))
    if not faults:
        try:
            person_id = care.new_person(desk, label.strip(), person)
            visit_id = care.open_visit(desk, care.open_episode(desk, person_id, complaint))
            return RedirectResponse(f"/visits/{visit_id}/screen", status_code=303)
        except CannotRead as error:
            faults += error.faults
    shown = {**CHOICES, "given": given, "chosen_areas": areas or [], "faults": by_field(faults)}
    return page(request, "new_person.html", shown, status=422)


@router.post("/episodes/{episode_id}/visits")
def post_visit(desk: AtDesk, episode_id: str) -> Response:
    """The next visit of an episode: the story stays, the screen is asked again."""
    return RedirectResponse(f"/visits/{care.open_visit(desk, episode_id)}/screen", status_code=303)


@router.get("/shorthand")
def get_shorthand(request: Request, desk: AtDesk) -> HTMLResponse:
    shorthand = shorthand_of(desk.library)
    read = [(line, finding_text(parse_finding(line, shorthand, Side.RIGHT))) for line in EXAMPLE_LINES]
    return page(request, "shorthand.html", {"read": read, "end_feels": list(EndFeel)})


@router.get("/health")
def get_health(desk: AtDesk) -> dict[str, str]:
    return {"status": "ready", "release": desk.library.release}
