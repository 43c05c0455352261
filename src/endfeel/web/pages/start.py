"""Start page, new person, the invented example, help for the shorthand."""

from __future__ import annotations

from importlib import resources
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from endfeel import care
from endfeel.assessment import read_case, shorthand_of
from endfeel.care import custody
from endfeel.vocabulary import EndFeel, Side
from endfeel.vocabulary.shorthand import finding_text, parse_finding
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
MANY = 6
"""People from whom on a filter is shown."""
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
def get_start(request: Request, desk: AtDesk, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Everybody whose label or titles hold all of these words, what is urgent first said."""
    if desk.staff is not None and desk.staff.may("staff"):
        return RedirectResponse("/staff", status_code=303)
    everybody, wanted = care.list_people(desk), q.lower().split()
    found = [one for one in everybody if all(word in _searched(one) for word in wanted)]
    standing = request.app.state.standing.of(desk, [visit for one in found for visit in one.visits])
    warning = custody.backup_warning(desk.engine, request.app.state.backups, desk.clock())
    values = {
        "people": found,
        "q": q,
        "many": len(everybody) > MANY,
        "anybody": bool(everybody),
        "standing": standing,
        "glasses": _glasses(desk),
    }
    return page(request, "start.html", {**values, "backup_warning": warning})


def _glasses(desk: care.Desk) -> int:
    """How many break-glasses nobody noted yet, for a lead."""
    leads = desk.staff is not None and desk.staff.role == care.SEES_ALL
    return sum(one.noted_by is None for one in care.list_glass(desk)) if leads else 0


def _searched(person: care.PersonSummary) -> str:
    return " ".join([person.label, *(visit.title for visit in person.visits)]).lower()


@router.post("/example")
def post_example(desk: AtDesk) -> Response:
    """A fresh copy of the invented example."""
    text = (resources.files("endfeel") / "examples" / EXAMPLE).read_text(encoding="utf-8")
    visit_id = care.import_case(desk, read_case(text, EXAMPLE, desk.library), "Invented example")
    return RedirectResponse(f"/visits/{visit_id}", status_code=303)


@router.post("/episodes/{episode_id}/visits")
def post_visit(desk: AtDesk, episode_id: str) -> Response:
    """The next visit of an episode: the story stays, the screen is asked again."""
    return RedirectResponse(f"/visits/{care.open_visit(desk, episode_id)}/screen", status_code=303)


@router.get("/shorthand")
def get_shorthand(request: Request, desk: AtDesk) -> HTMLResponse:
    shorthand = shorthand_of(desk.library)
    read = [(line, finding_text(parse_finding(line, shorthand, Side.RIGHT))) for line in EXAMPLE_LINES]
    return page(request, "shorthand.html", {"read": read, "end_feels": list(EndFeel)})


@router.get("/elements")
def get_elements(request: Request) -> HTMLResponse:
    """Every piece the pages are made of."""
    return page(request, "elements.html", {"sample": {"probability": 0.63, "low": 0.12, "high": 0.84}})
