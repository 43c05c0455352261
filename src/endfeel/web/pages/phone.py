"""A phone on the arm as angle sensor: its code, what it reads now, and the finding made of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES, shorthand_of
from endfeel.evidence.figures import number
from endfeel.instruments import Turn, known_error
from endfeel.vocabulary import CannotRead, OutcomeKind, Procedure, Refused, Unit
from endfeel.vocabulary.findings import measured_with
from endfeel.vocabulary.ranges import units_of
from endfeel.web.forms import by_field, entry_id_in, read_finding
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.pairing import Live, Stage
from endfeel.web.phone_door import PhoneDoor, told
from endfeel.web.rendering import REGIONS, code_picture, page
from endfeel.web.visit_values import Choice, Typed, record_values

router = APIRouter(include_in_schema=False)
Minutes = Annotated[float, Query(gt=0, le=240)]
FormMinutes = Annotated[float, Form(gt=0, le=240)]
PHONE = "phone"
_KINDS = (OutcomeKind.ANGULAR, OutcomeKind.ACTIVE, OutcomeKind.LENGTH)
NO_DOOR = "there is no door for a phone; start the program with: endfeel serve --phone"


def measured_in_degrees(desk: care.Desk) -> dict[str, list[Procedure]]:
    """What a phone can measure: procedures told in degrees, by region in reading order."""
    limits = shorthand_of(desk.library).limits
    found: dict[str, list[Procedure]] = {}
    for procedure in desk.library.catalogue:
        units = units_of(procedure, limits)
        if procedure.outcomes in _KINDS and Unit.DEGREES in units and Unit.LEVEL not in units:
            found.setdefault(REGIONS.get(procedure.region, procedure.region), []).append(procedure)
    return {name: found[name] for name in REGIONS.values() if name in found}


@router.get("/visits/{visit_id}/phone")
def get_phone(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    do: str = "",
    side: str = "",
    level: str = "",
    saved: str = "",
    minutes: Minutes = DEFAULT_MINUTES,
) -> Response:
    """The page beside the couch: pairing, the angle now, the finding."""
    entry = care.newest_of(desk, visit_id, saved) if saved else None
    name = desk.library.catalogue[entry.finding.procedure].name if entry and entry.finding else ""
    said = f"Saved: {name}, {entry.finding.value:g}°." if entry and entry.finding and entry.finding.value else ""
    return _show(
        request, desk, visit_id, minutes, Choice(do, side, level), Typed(), said or (name and f"Saved: {name}.")
    )


@router.post("/visits/{visit_id}/phone/pair")
def post_pair(
    request: Request, visit_id: str, desk: AtDesk, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """Show a new code; a phone paired before is cut off. Refused when no door is open or the note is signed."""
    view = care.view_visit(desk, visit_id, minutes)
    if view.signed:
        raise Refused(f"the note was signed by {view.signed.signed_by}; nothing more is measured in this visit")
    _door(request).pairings.open(visit_id)
    return _back(visit_id, given, minutes)


@router.post("/visits/{visit_id}/phone/end")
def post_end(request: Request, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES) -> Response:
    """Part from the phone."""
    _door(request).pairings.close(visit_id)
    return _back(visit_id, given, minutes)


@router.get("/api/visits/{visit_id}/phone/now")
def get_now(request: Request, visit_id: str) -> Response:
    """What the phone says now."""
    door: PhoneDoor | None = request.app.state.phone
    return JSONResponse(told(door.pairings.live(visit_id) if door else Live(Stage.NONE)))


@router.post("/api/visits/{visit_id}/phone/zero")
def post_zero(request: Request, visit_id: str) -> Response:
    """The limb is at zero now."""
    return JSONResponse(told(_door(request).pairings.zero(visit_id)))


@router.post("/api/visits/{visit_id}/phone/turn")
def post_turn(request: Request, visit_id: str, turn: Annotated[Turn, Form()]) -> Response:
    """What the limb turns about."""
    return JSONResponse(told(_door(request).pairings.turn(visit_id, turn)))


@router.post("/visits/{visit_id}/phone/findings")
def post_angle(
    request: Request, desk: AtDesk, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """Keep the finding, by the same act as any other; its note names the phone when that gave the angle."""
    fields = dict(given)
    if given.get("instrument") == PHONE and given.get("value", "").strip():
        fields["note"] = measured_with(PHONE, given.get("note", ""))
    try:
        finding = read_finding(fields, desk.library)
        saved = care.record_finding(desk, visit_id, finding, entry_id_in(given))
    except CannotRead as error:
        choice = Choice(given.get("procedure", ""), given.get("side", ""), given.get("level", ""))
        typed = Typed(given, faults=by_field(error.faults))
        return _show(request, desk, visit_id, minutes, choice, typed, "Not saved: see the marked fields.", 422)
    told_back = {"do": finding.procedure, "side": finding.side or "", "level": finding.level or "", "saved": saved}
    return RedirectResponse(f"/visits/{visit_id}/phone?{urlencode(told_back | {'minutes': f'{minutes:g}'})}", 303)


def _back(visit_id: str, given: Mapping[str, str], minutes: float) -> Response:
    chosen = {name: given[name] for name in ("do", "side", "level") if given.get(name)}
    return RedirectResponse(f"/visits/{visit_id}/phone?{urlencode(chosen | {'minutes': f'{minutes:g}'})}", 303)


def _door(request: Request) -> PhoneDoor:
    door: PhoneDoor | None = request.app.state.phone
    if door is None:
        raise Refused(NO_DOOR)
    return door


def _show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    minutes: float,
    choice: Choice,
    typed: Typed,
    said: str = "",
    status: int = 200,
) -> Response:
    view = care.view_visit(desk, visit_id, minutes)
    tests = measured_in_degrees(desk)
    offered = {one.id for some in tests.values() for one in some}
    if choice.procedure not in offered:
        step = next((one for one in view.assessment.plan.steps if one.procedure in offered), None)
        first = step.procedure if step else next(iter(offered))
        choice = Choice(first, str(step.side or "") if step else "", (step.level or "") if step else "")
    door: PhoneDoor | None = request.app.state.phone
    live = door.pairings.live(visit_id) if door else Live(Stage.NONE)
    token = door.pairings.waiting_token(visit_id) if door else ""
    error, record = known_error(choice.procedure, PHONE, desk.library), record_values(desk, view, choice, typed)
    if record:
        record["controls"] = replace(record["controls"], units=(Unit.DEGREES,))
    values: dict[str, Any] = {
        "view": view,
        "minutes": minutes,
        "tests": tests,
        "choice": choice,
        "record": record,
        "instrument": typed.fields.get("instrument", ""),
        "entry_id": typed.fields.get("entry_id") or care.new_id(),
        "door": door,
        "live": live,
        "code": Markup(code_picture(door.code_address(token))) if door and token else "",  # noqa: S704 (drawn by the library)
        "code_address": door.code_address(token) if door and token else "",
        "turns": list(Turn),
        "error": error,
        "error_degrees": round(number(error.basis.mdc95.value)) if error.basis else 0,
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "angle.html", values, status)
