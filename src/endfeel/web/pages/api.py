"""The small JSON interface: read a visit and its reasoning, add a finding. Described at /openapi.json."""

from __future__ import annotations

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictInt

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, EndFeel, Fault, Finding, NotFound, Result, Side, Unit
from endfeel.web.forms import read_finding, written
from endfeel.web.pages.desk import AtDesk


class Errors(BaseModel):
    """What went wrong: sentences to show, and each fault with its field."""

    errors: list[str]
    faults: list[dict[str, Any]] = []


FAULTS: dict[int | str, dict[str, Any]] = {status: {"model": Errors} for status in (404, 409, 422)}
router = APIRouter(prefix="/api", tags=["visits"], responses=FAULTS)
Minutes = Annotated[float, Query(gt=0, le=240, description="Examination time still there.")]


class FindingBody(BaseModel):
    """One observation by one procedure. An absent field was not recorded; absence is never "normal"."""

    model_config = ConfigDict(extra="forbid")

    id: UUID | None = Field(None, description="Id made by the client; the same id sent twice is kept once.")
    line: str | None = Field(None, max_length=500, description="The finding in shorthand, instead of the fields below.")
    retest: StrictBool = Field(False, description="Repeated after treatment.")
    procedure: str | None = Field(None, max_length=80)
    side: Side | None = None
    level: str | None = Field(None, max_length=4)
    mobility: StrictInt | None = Field(None, description="Accessory motion, 0 to 6.")
    end_feel: EndFeel | None = None
    value: float | None = Field(None, strict=True, allow_inf_nan=False)
    unit: Unit | None = None
    other: float | None = Field(
        None, strict=True, allow_inf_nan=False, description="The same quantity on the other side."
    )
    pain: float | None = Field(None, strict=True, allow_inf_nan=False, description="0 to 10.")
    pain_onset: float | None = Field(None, strict=True, allow_inf_nan=False)
    resistance_onset: float | None = Field(None, strict=True, allow_inf_nan=False)
    familiar: StrictBool | None = None
    result: Result | None = None
    apprehension: StrictBool | None = None
    strength: StrictInt | None = Field(None, description="0 to 5.")
    note: str | None = Field(None, max_length=2000)


class EntryOut(BaseModel):
    id: str
    kind: str
    recorded_at: str
    finding: dict[str, Any] | None
    treatment: dict[str, Any] | None


class Flag(BaseModel):
    id: str
    name: str
    urgency: str
    action: str
    source: str
    provenance: str


class Contributor(BaseModel):
    id: str
    name: str
    region: str
    side: Side | None
    level: str | None
    probability: float = Field(ge=0, le=1)
    low: float = Field(ge=0, le=1, description="Lower end of the 90 % interval.")
    high: float = Field(ge=0, le=1, description="Upper end of the 90 % interval.")


class Line(BaseModel):
    text: str
    contributor: str
    side: Side | None
    decibans: float
    direction: str
    figures: list[str]
    provenance: str


class PlannedTest(BaseModel):
    procedure: str
    name: str
    side: Side | None
    level: str | None
    position: str
    seconds: float
    reason: str


class CourseOut(BaseModel):
    """What some contributors call for; points of 100 against advice and time, a judgement."""

    name: str
    kind: str
    region: str
    side: Side | None
    needed: float = Field(ge=0, le=1)
    expected_points: float
    expected_low: float
    expected_high: float
    harm_words: str
    examined: bool
    figures: list[str]
    provenance: str


class Unfit(BaseModel):
    """Findings that do not fit together as recorded."""

    sentence: str
    how_often: str
    provenance: str


class Reason(BaseModel):
    """What follows from a visit as it stands."""

    visit_id: str
    urgency: str
    action: str
    urgent: list[Flag]
    on_hold: list[str] = Field(description="Names of suspected emergencies; plan and treatment wait for the answers.")
    ask_first: list[str] = Field(description="Cues to ask before anything else, in this order.")
    unanswered: list[str]
    unspecified: list[str] = Field(description="First questions answered yes of which no single question was.")
    contributors: list[Contributor]
    explanation: list[Line]
    contradictions: list[Unfit]
    treatment_withheld: bool
    courses: list[CourseOut]
    next: list[PlannedTest]
    release: str
    program: str


class VisitOut(BaseModel):
    """A visit: what stands recorded, and the plan for the minutes there are."""

    visit_id: str
    label: str
    signed_by: str | None
    screen: dict[str, bool]
    entries: list[EntryOut]
    urgency: str
    plan: list[PlannedTest]
    position_changes: int
    plan_seconds: float
    release: str


class Recorded(BaseModel):
    id: str
    visit: VisitOut


@router.get("/visits/{visit_id}")
def get_visit(desk: AtDesk, visit_id: str, minutes: Minutes = DEFAULT_MINUTES) -> VisitOut:
    """A visit as it stands."""
    return _visit(care.view_visit(desk, visit_id, minutes))


@router.get("/reason")
def get_reason(
    desk: AtDesk, visit: Annotated[str, Query(description="Id of the visit.")], minutes: Minutes = DEFAULT_MINUTES
) -> Reason:
    """Safety verdict, ranked contributors with reasons, next tests of one visit."""
    view = care.view_visit(desk, visit, minutes)
    a = view.assessment
    flags = [
        Flag(id=f.id, name=f.name, urgency=f.urgency, action=f.action, source=f.source, provenance=f.urgency_provenance)
        for f in a.verdict.raised
    ]
    return Reason(
        visit_id=visit,
        urgency=a.verdict.urgency,
        action=a.verdict.action,
        urgent=flags,
        on_hold=[flag.name for flag in a.verdict.held] if a.verdict.is_held else [],
        ask_first=list(a.verdict.ask_now),
        unanswered=list(a.verdict.unanswered),
        unspecified=list(view.unspecified),
        contributors=[Contributor.model_validate(b, from_attributes=True) for b in a.posterior.beliefs],
        explanation=[Line.model_validate(line, from_attributes=True) for line in a.posterior.explanation],
        contradictions=[Unfit.model_validate(one, from_attributes=True) for one in a.unfit],
        treatment_withheld=a.decision.withheld,
        courses=[CourseOut.model_validate(one, from_attributes=True) for one in a.decision.worthwhile],
        next=[_test(test) for test in a.next_tests],
        release=a.release,
        program=a.program_version,
    )


@router.post(
    "/visits/{visit_id}/findings",
    status_code=201,
    responses={200: {"model": Recorded, "description": "Was there already."}},
)
def post_finding(
    desk: AtDesk, visit_id: str, body: FindingBody, response: Response, minutes: Minutes = DEFAULT_MINUTES
) -> Recorded:
    """Add a finding, as fields or as a line of shorthand. Sending the same `id` with the same content again changes
    nothing; with other content it is refused."""
    entry_id = str(body.id or care.new_id())
    if body.id and care.has_entry(desk, visit_id, entry_id):
        response.status_code = 200
    if body.line is not None:
        if body.model_fields_set - {"id", "line", "retest"}:
            raise CannotRead([Fault("a line and fields at once", body.line, "one of the two", field="line")])
        care.record_line(desk, visit_id, body.line, entry_id, retest=body.retest)
    else:
        record = care.record_retest if body.retest else care.record_finding
        record(desk, visit_id, _finding(body, desk.library), entry_id)
    return Recorded(id=entry_id, visit=_visit(care.view_visit(desk, visit_id, minutes)))


@router.delete("/visits/{visit_id}/findings/{entry_id}")
def delete_finding(desk: AtDesk, visit_id: str, entry_id: str, minutes: Minutes = DEFAULT_MINUTES) -> VisitOut:
    """Take a finding back; it stays on record as retracted."""
    if care.undo(desk, visit_id, entry_id) is None:
        raise NotFound("that finding no longer stands in this visit")
    return _visit(care.view_visit(desk, visit_id, minutes))


def _finding(body: FindingBody, library: Library) -> Finding:
    if not body.procedure:
        raise CannotRead([Fault("no procedure named", would_do="an id of the catalogue, or a line", field="procedure")])
    given = body.model_dump(exclude={"id", "line", "retest"}, exclude_none=True)
    return read_finding({name: written(value) for name, value in given.items()}, library)


def _visit(view: care.VisitView) -> VisitOut:
    a = view.assessment
    return VisitOut(
        visit_id=view.visit_id,
        label=view.label,
        signed_by=view.signed.signed_by if view.signed else None,
        screen=dict(a.case.screen),
        urgency=a.verdict.urgency,
        plan=[_test(step) for step in a.plan.steps],
        position_changes=a.plan.position_changes,
        plan_seconds=a.plan.seconds,
        release=a.release,
        entries=[
            EntryOut(
                id=e.id,
                kind=e.kind,
                recorded_at=e.recorded_at.isoformat(),
                finding=_stated(e.finding),
                treatment=_stated(e.treatment),
            )
            for e in view.entries
        ],
    )


def _stated(value: Any) -> dict[str, Any] | None:
    """The fields that were recorded."""
    if value is None:
        return None
    return {name: given for name in value.__slots__ if (given := getattr(value, name)) not in (None, "")}


def _test(one: Any) -> PlannedTest:
    return PlannedTest.model_validate(one, from_attributes=True)
