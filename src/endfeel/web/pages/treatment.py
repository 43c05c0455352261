"""Treatment: techniques on offer, one tap to record what was given, which way to glide, the re-test beside it."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import RedirectResponse, Response
from pydantic import BaseModel, Field

from endfeel import care
from endfeel.evidence.figures import number
from endfeel.inference.words import finding_words
from endfeel.measurement import STEERS, STEERS_FIGURES, line_of
from endfeel.treatment import EXPECTED, KIND_WORDS, MODEL_WORDS, Preference
from endfeel.treatment.json_form import choice_json
from endfeel.treatment.limits import ALWAYS
from endfeel.vocabulary import CAUTIONS, NO_TREATMENTS, CannotRead, Finding, Position, Refused
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field, read_finding
from endfeel.web.pages.api import Errors
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter()
REFUSABLE = {"hands_on": "no hands-on work", "soft_tissue": "no soft tissue work", "loading": "no loading"}
"""What a person may not want, as chips."""
INSTRUMENTS = ("goniometer", "inclinometer", "smartphone", "visual", "dynamometer")
"""Words by which the evidence names an instrument."""
RATERS = {"intra": "the same hands", "inter": "other hands"}
FIRST_SHOWN = "most_offered"

Refuse = Annotated[list[str] | None, Query(description="What the person does not want: a kind or a technique.")]
Instrument = Annotated[str, Query(max_length=40, description="Words of the instrument used both times.")]
Rater = Annotated[str, Query(pattern="^(|intra|inter)$", description="Whether the same hands measured twice.")]


@router.get("/visits/{visit_id}/treatment", include_in_schema=False)
def get_treatment(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    refuse: Refuse = None,
    instrument: Instrument = "",
    rater: Rater = "",
    saved: str = "",
) -> Response:
    """What may be done now; `saved` names the entry just recorded."""
    entry = care.newest_of(desk, visit_id, saved) if saved else None
    said = ""
    if entry is not None:
        said = f"Recorded: {entry.treatment.technique}." if entry.treatment else "Re-test kept."
    return _show(request, desk, visit_id, refuse, instrument, rater, said=said, saved=entry.id if entry else "")


@router.post("/visits/{visit_id}/treatment", include_in_schema=False)
def post_technique(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    technique: Annotated[str, Form()],
    entry_id: Annotated[str, Form()] = "",
    consent: Annotated[str, Form()] = "",
    refuse: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """One tap: this technique was given. The same form sent twice is kept once."""
    try:
        saved = care.give_technique(desk, visit_id, technique, entry_id or None, consented=consent == "yes")
    except Refused as error:
        return _show(request, desk, visit_id, refuse, said=" ".join(sentences(error)), alarm=True, status=409)
    return _back(visit_id, saved, refuse, "again")


@router.post("/visits/{visit_id}/treatment/position", include_in_schema=False)
def post_position(
    desk: AtDesk,
    visit_id: str,
    position: Annotated[Position, Form()],
    refuse: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """The person has turned; what can be done here comes first."""
    care.turn_person(desk, visit_id, position)
    return _back(visit_id, "", refuse, "offers-title")


@router.post("/visits/{visit_id}/treatment/retest", include_in_schema=False)
def post_retest(request: Request, desk: AtDesk, visit_id: str, given: Fields) -> Response:
    """A comparable sign done again."""
    instrument, rater = given.pop("instrument", ""), given.pop("rater", "")
    try:
        saved = care.record_retest(desk, visit_id, read_finding(given, desk.library), given.get("entry_id") or None)
    except CannotRead as error:
        told = by_field(error.faults)
        told["procedure"] = [line for lines in told.values() for line in lines]
        return _show(
            request, desk, visit_id, None, instrument, rater, said="Not saved: see the marked sign.", alarm=True,
            faults={given.get("procedure", ""): told["procedure"]}, typed=given, status=422,
        )  # fmt: skip
    return _back(visit_id, saved, None, "lines", instrument=instrument, rater=rater)


class TreatmentOut(BaseModel):
    """What may be done in a visit now. Every figure carries its citation and provenance."""

    visit_id: str
    urgency: str
    action: str
    withheld: bool
    stage: str = Field(description="acute, subacute, persistent or not known.")
    irritability: str
    position: str
    offers: list[dict[str, Any]] = Field(description="In the order to think of them; those without a turn first.")
    unchanged: dict[str, Any] = Field(description="Nothing different: always open.")
    behind_screening: list[dict[str, Any]]
    left_out: list[dict[str, str]]
    directions: list[dict[str, Any]] = Field(description="The rule, publications and the model for each lost motion.")
    signs: list[dict[str, Any]] = Field(description="The one or two comparable signs.")
    retests: list[dict[str, Any]]
    steers: dict[str, Any] = Field(description="What change within a visit says, and what it does not.")
    expected: str
    model: str
    caveats: list[str]
    release: str
    cautions: list[str]


@router.get(
    "/api/visits/{visit_id}/treatment",
    tags=["visits"],
    responses={404: {"model": Errors}, 409: {"model": Errors}, 422: {"model": Errors}},
)
def get_treatment_json(
    desk: AtDesk, visit_id: str, refuse: Refuse = None, instrument: Instrument = "", rater: Rater = ""
) -> TreatmentOut:
    """Techniques on offer: dose, trials, what speaks against, the sign to do again; directions; re-tests."""
    told = _told(desk, visit_id, refuse, instrument, rater)
    verdict = told.visit.assessment.verdict
    return TreatmentOut(
        visit_id=visit_id,
        urgency=verdict.urgency,
        action=verdict.action,
        release=desk.library.release,
        cautions=list(CAUTIONS),
        **choice_json(told.choice, told.retests, desk.library),
    )


def _told(desk: care.Desk, visit_id: str, refuse: list[str] | None, instrument: str, rater: str) -> care.TreatmentView:
    """As the address asks, and as was kept with the visit where it does not."""
    kept = care.preference_of(desk, visit_id)
    wanted = Preference(frozenset(word for word in refuse if word) if refuse is not None else kept.refused)
    return care.view_treatment(
        desk, visit_id, preference=wanted, instrument=instrument or kept.instrument or None,
        rater=rater or kept.rater or "intra",
    )  # fmt: skip


def _back(visit_id: str, saved: str, refuse: list[str] | None, anchor: str, **more: str) -> Response:
    told = [("saved", saved)] * bool(saved) + [("refuse", word) for word in refuse or () if word]
    told += [(name, value) for name, value in more.items() if value]
    return RedirectResponse(f"/visits/{visit_id}/treatment?{urlencode(told)}#{anchor}", status_code=303)


def _show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    refuse: list[str] | None,
    instrument: str = "",
    rater: str = "",
    *,
    said: str = "",
    saved: str = "",
    alarm: bool = False,
    faults: dict[str, list[str]] | None = None,
    typed: dict[str, str] | None = None,
    status: int = 200,
) -> Response:
    told = _told(desk, visit_id, refuse, instrument, rater)
    view, choice = told.visit, told.choice
    shown = int(_parameter(desk, FIRST_SHOWN))
    given = care.given_offers(told)
    grouped: dict[str, list[str]] = {}
    for one in choice.left_out:
        grouped.setdefault(one.reason, []).append(one.technique.name)
    names = {row.id: row.text["name"] for row in desk.library.tables["techniques"]}
    refusable = REFUSABLE | {one: f"not: {names[one]}" for one in sorted(told.preference.refused & names.keys())}
    values = {
        "view": view,
        "before": care.examined_before(desk, view),
        "minutes": 20,
        "verdict": view.assessment.verdict,
        "choice": choice,
        "first": choice.offers[:shown],
        "rest": choice.offers[shown:],
        "given": given,
        "treatments": [one for one in view.entries if one.treatment and one.treatment.technique not in NO_TREATMENTS],
        "signs": given[0].signs if given and given[0].signs else choice.signs,
        "lines": [(one, line_of(one)) for one in told.retests],
        "left_out": grouped,
        "refused": told.preference.refused,
        "refusable": refusable,
        "toggles": {word: sorted(told.preference.refused ^ {word}) for word in refusable},
        "always": ALWAYS,
        "without": lambda word: sorted(told.preference.refused | {word}),
        "instrument": told.instrument or "",
        "instruments": INSTRUMENTS,
        "rater": told.rater,
        "raters": RATERS,
        "kinds": KIND_WORDS,
        "expected_words": EXPECTED,
        "model_words": MODEL_WORDS,
        "steers": STEERS,
        "steers_figures": [desk.library.figure(one) for one in STEERS_FIGURES],
        "new_id": care.new_id,
        "fields_of": _fields_of,
        "told": lambda finding: finding_words(finding, desk.library.catalogue).partition(": ")[2],
        "all_positions": list(Position),
        "number": number,
        "faults": faults or {},
        "typed": typed or {},
        "said": said,
        "saved": saved,
        "takes_back": f"/visits/{visit_id}/undo" if saved and not view.signed else "",
        "alarm": alarm,
    }
    return page(request, "treatment.html", values, status)


def _fields_of(finding: Finding) -> tuple[str, ...]:
    """What was recorded before and can be set against what is found now."""
    names = ("value", "pain", "mobility", "strength", "familiar")
    return tuple(name for name in names if getattr(finding, name) is not None)


def _parameter(desk: care.Desk, quantity: str) -> float:
    rows = desk.library.tables["treatment_parameters"]
    return next(number(row.figures["value"]) for row in rows if row.text["quantity"] == quantity)
