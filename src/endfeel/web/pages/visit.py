"""The visit: what to do now, recording by touch or line, what follows from it, treatment and re-test."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES, shorthand_of
from endfeel.care.allowed import GIVE
from endfeel.care.outcomes import has_local_counts
from endfeel.inference.words import finding_words
from endfeel.planner import LeftOut
from endfeel.safety import Urgency, Verdict
from endfeel.vocabulary import LEVELS, RIBS, CannotRead, Fault, NotFound, Position, Refused, Side, Treatment
from endfeel.vocabulary.shorthand import complete
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field, read_finding
from endfeel.web.keeping import keep_fields, keep_line, own_id, shown_again
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page, wants_fragment, words
from endfeel.web.visit_values import Choice, Typed, corrected, reasons, record_values, shorts_of, visit_values

router = APIRouter(include_in_schema=False)
Minutes = Annotated[float, Query(gt=0, le=240)]
FormMinutes = Annotated[float, Form(gt=0, le=240)]
ALL = 10_000
ERROR = 400
TAKEN, NOTHING = "Taken back.", "There is nothing to take back."
PUT_BACK, NOTHING_BACK = "Put back.", "There is nothing to put back."
OVERRIDDEN = "Overridden. Name and reason are on record."
_WORDS = {"taken": TAKEN, "nothing": NOTHING, "put": PUT_BACK, "none": NOTHING_BACK, "overridden": OVERRIDDEN}
_KEYS = {said: key for key, said in _WORDS.items()}
"""What is told after a form without scripts, by a word in the address."""


@dataclass(frozen=True, slots=True)
class Done:
    """What was just done: its words, the entry that can be taken back, how urgent the page before said it is."""

    said: str = ""
    saved: str = ""
    was: str = ""


def show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    minutes: float,
    *,
    choice: Choice | None = None,
    typed: Typed | None = None,
    done: Done | None = None,
    status: int = 200,
) -> Response:
    """The visit as it stands: the fragment when that is asked for, else the page.

    When safety has become more urgent than the page before said, that is told first and brought into view.
    """
    view = care.view_visit(desk, visit_id, minutes)
    key, done = request.app.state.views.keep(view), done or Done()
    values = visit_values(desk, view, minutes, choice or Choice(), typed or Typed(), key)
    risen = has_risen(done.was, view.assessment.verdict)
    values |= told_values(view.assessment.verdict, visit_id, done, risen=risen)
    values |= {"mark": view.mark, "bring": "safety" if risen else ""}
    if view.signed:
        values["takes_back"] = ""
    if status >= ERROR:
        values["alarm"] = True
    address = {"HX-Replace-Url": f"/visits/{visit_id}?minutes={minutes:g}"} if request.method == "POST" else {}
    name = "_visit.html" if wants_fragment(request) else "visit.html"
    return page(request, name, values, status, headers=address if wants_fragment(request) and status < ERROR else None)


def told_values(verdict: Verdict, visit_id: str, done: Done, *, risen: bool) -> dict[str, Any]:
    """What `_said.html` tells: what was just done with what takes it back, and that safety has become more urgent."""
    now = f"Safety is now: {verdict.urgency.words}. What to do stands below." if risen else ""
    return {
        "said": " ".join(one if one.endswith((".", "!", "?")) else f"{one}." for one in (done.said, now) if one),
        "alarm": risen,
        "saved": done.saved,
        "takes_back": f"/visits/{visit_id}/undo" if done.saved else "",
    }


def has_risen(was: str, verdict: Verdict) -> bool:
    """Whether the verdict is more urgent than the page before said; one that is overridden was looked at."""
    return was in set(Urgency) and Urgency(was).rank < verdict.urgency.rank and not verdict.is_overridden


def _after(request: Request, desk: care.Desk, visit_id: str, minutes: float, done: Done) -> Response:
    """After a change: the new fragment at once, or back to the page."""
    if wants_fragment(request):
        return show(request, desk, visit_id, minutes, done=done)
    told = urlencode(
        {"minutes": f"{minutes:g}", "saved": done.saved, "was": done.was, "done": _KEYS.get(done.said, "")}
    )
    return RedirectResponse(f"/visits/{visit_id}?{told}", status_code=303)


@router.get("/visits/{visit_id}")
def get_visit(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    minutes: Minutes = DEFAULT_MINUTES,
    do: str = "",
    side: str = "",
    level: str = "",
    retest: bool = False,
    saved: str = "",
    was: str = "",
    done: str = "",
) -> Response:
    """The visit; `saved`, `was` and `done` tell after a form without scripts what it did."""
    faults = [Fault("There is no such side", side, "right or left")] if side not in ("", *Side) else []
    faults += (
        [Fault("There is no such level", level, "C7 to T9, or a rib")] if level not in ("", *LEVELS, *RIBS) else []
    )
    if faults:
        raise CannotRead(faults)
    told = Done(_WORDS.get(done, ""), saved, was)
    if saved:
        entry = care.newest_of(desk, visit_id, saved.rpartition(",")[2])
        whole = saved if "," in saved else entry.id if entry else ""
        told = Done(f"Saved: {_named(desk, entry)}", whole, was) if entry else Done("", "", was)
    return show(request, desk, visit_id, minutes, choice=Choice(do, side, level, retest), done=told)


def _named(desk: care.Desk, entry: care.Entry) -> str:
    return (
        finding_words(entry.finding, desk.library.catalogue)
        if entry.finding
        else str(entry.treatment and entry.treatment.technique)
    )


@router.post("/visits/{visit_id}/findings")
def post_finding(
    request: Request, desk: AtDesk, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """A finding by touch; faults go back beside their controls with everything that was entered."""
    try:
        kept = keep_fields(desk, visit_id, given)
    except CannotRead as error:
        retest = given.get("retest") == "yes"
        choice = Choice(given.get("procedure", ""), given.get("side", ""), given.get("level", ""), retest)
        typed = Typed(shown_again(given, desk.library), faults=by_field(error.faults))
        return show(
            request,
            desk,
            visit_id,
            minutes,
            choice=choice,
            typed=typed,
            done=Done("Not saved: see the marked fields.", was=given.get("was", "")),
            status=422,
        )
    return _after(request, desk, visit_id, minutes, Done(f"Saved: {kept.said}", kept.id, given.get("was", "")))


@router.post("/visits/{visit_id}/lines")
def post_line(
    request: Request, desk: AtDesk, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """A finding in shorthand; a line that cannot be read stays in its field with the faults beside it."""
    line, was = given.get("line", ""), given.get("was", "")
    try:
        kept = keep_line(desk, visit_id, given)
    except CannotRead as error:
        offers = tuple(dict.fromkeys(offer for fault in error.faults for offer in fault.candidates))
        typed = Typed(line=line, line_faults=tuple(sentences(error)), line_offers=offers)
        done = Done("Not saved: the line could not be read.", was=was)
        return show(request, desk, visit_id, minutes, typed=typed, done=done, status=422)
    return _after(request, desk, visit_id, minutes, Done(f"Saved: {kept.said}", kept.id, was))


@router.get("/complete")
def get_completions(request: Request, desk: AtDesk, line: str = "") -> Response:
    """Procedures a half-typed line may mean."""
    found = complete(line, shorthand_of(desk.library), 6) if len(line.strip()) > 1 else ()
    offers = [tuple(one.split(": ", 1)) for one in found]
    return page(request, "_completions.html", {"offers": offers})


@router.get("/visits/{visit_id}/procedures")
def get_procedures(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    region: str = "",
    q: str = "",
    minutes: Minutes = DEFAULT_MINUTES,
    retest: bool = False,
) -> Response:
    """Procedures by region or words, to choose one; shown in place or as a page."""
    wanted = q.lower().split()
    found = [
        procedure
        for procedure in desk.library.catalogue
        if (region or wanted)
        and region in ("", procedure.region)
        and all(word in f"{procedure.id} {procedure.name} {procedure.region}".lower() for word in wanted)
    ]
    values = {
        "shorts": shorts_of(desk),
        "found": found,
        "region": region,
        "q": q,
        "visit_id": visit_id,
        "minutes": minutes,
        "retest": retest,
    }
    return page(request, "_procedures.html" if wants_fragment(request) else "procedures.html", values)


@router.get("/visits/{visit_id}/entries/{entry_id}")
def get_entry(
    request: Request, desk: AtDesk, visit_id: str, entry_id: str, minutes: Minutes = DEFAULT_MINUTES
) -> Response:
    """One finding, to correct it."""
    view = care.view_visit(desk, visit_id, minutes)
    if view.signed:
        raise Refused(f"the note was signed by {view.signed.signed_by}; add an addendum instead")
    entry = next((entry for entry in view.entries if entry.id == entry_id and entry.finding), None)
    if entry is None or entry.finding is None:
        raise NotFound("that finding no longer stands in this visit")
    choice, typed = corrected(entry.finding)
    return _correction(request, desk, view, entry_id, minutes, choice, typed)


@router.post("/visits/{visit_id}/entries/{entry_id}")
def post_correction(
    request: Request, desk: AtDesk, visit_id: str, entry_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """Replace what a finding says; the earlier one stays on record. A page that is behind is shown the newer one."""
    choice = Choice(given.get("procedure", ""), given.get("side", ""), given.get("level", ""))
    try:
        saved = care.correct_finding(
            desk, visit_id, entry_id, read_finding(given, desk.library), own_id(given, "correction_id")
        )
    except CannotRead as error:
        view = care.view_visit(desk, visit_id, minutes)
        typed = Typed(given, faults=by_field(error.faults))
        return _correction(request, desk, view, entry_id, minutes, choice, typed, status=422)
    except NotFound:
        newer = care.newest_of(desk, visit_id, entry_id)
        if newer is None or newer.finding is None:
            raise
        view = care.view_visit(desk, visit_id, minutes)
        says = finding_words(newer.finding, desk.library.catalogue)
        return _correction(
            request, desk, view, newer.id, minutes, choice, Typed(given), status=409, meanwhile=says
        )  # fmt: skip
    told = urlencode({"minutes": f"{minutes:g}", "saved": saved, "was": given.get("was", "")})
    return RedirectResponse(f"/visits/{visit_id}?{told}#findings", status_code=303)


def _correction(
    request: Request,
    desk: care.Desk,
    view: care.VisitView,
    entry_id: str,
    minutes: float,
    choice: Choice,
    typed: Typed,
    status: int = 200,
    meanwhile: str = "",
) -> Response:
    values: dict[str, Any] = {"view": view, "record": record_values(desk, view, choice, typed), "minutes": minutes}
    values |= {"corrects": entry_id, "correction_id": care.new_id(), "meanwhile": meanwhile}
    return page(request, "correction.html", values, status)


@router.post("/visits/{visit_id}/position")
def post_position(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    position: Annotated[Position, Form()],
    was: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """The person has turned; the plan goes on from this position."""
    care.turn_person(desk, visit_id, position)
    return _after(request, desk, visit_id, minutes, Done(f"Person is now {words(position)}.", was=was))


@router.post("/visits/{visit_id}/wishes")
def post_wish(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    procedure: Annotated[str, Form()],
    wish: Annotated[str, Form()],
    was: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """The therapist changes the plan: a test in any case, never, next, or as the program would have it."""
    care.wish_for(desk, visit_id, procedure, wish)
    name = desk.library.catalogue[procedure].name
    told = {
        "must": "is asked for; the plan says so where it finds no place",
        "never": "is left out of the plan",
        "next": "comes next",
    }
    done = Done(f"{name} {told.get(wish, 'is planned as the figures have it')}.", was=was)
    return _after(request, desk, visit_id, minutes, done)


@router.post("/visits/{visit_id}/undo")
def post_undo(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    entry: Annotated[str, Form()] = "",
    was: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """Take back an entry, or several with commas between; the newest by default."""
    taken = [care.undo(desk, visit_id, one or None) for one in entry.split(",")]
    return _after(request, desk, visit_id, minutes, Done(TAKEN if any(taken) else NOTHING, was=was))


@router.post("/visits/{visit_id}/redo")
def post_redo(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    was: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """Put back what was taken back last."""
    done = care.redo(desk, visit_id)
    return _after(request, desk, visit_id, minutes, Done(PUT_BACK if done else NOTHING_BACK, was=was))


@router.post("/visits/{visit_id}/treatments")
def post_treatment(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    technique: Annotated[str, Form()] = "",
    dose: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
    entry_id: Annotated[str, Form()] = "",
    was: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """A technique that was tried."""
    try:
        saved = care.record_treatment(
            desk, visit_id, Treatment(technique.strip(), dose.strip(), note.strip()), own_id({"entry_id": entry_id})
        )
    except CannotRead as error:
        typed = Typed({"technique": technique, "dose": dose, "note": note}, faults=by_field(error.faults))
        done = Done("Not saved: name the technique.", was=was)
        return show(request, desk, visit_id, minutes, typed=typed, done=done, status=422)
    return _after(request, desk, visit_id, minutes, Done(f"Saved: {technique}.", saved, was))


@router.post("/visits/{visit_id}/override")
def post_override(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    reason: Annotated[str, Form()] = "",
    by: Annotated[str, Form()] = "",
    minutes: FormMinutes = DEFAULT_MINUTES,
) -> Response:
    """Go on despite an urgent verdict, for a recorded reason."""
    care.override_verdict(desk, visit_id, reason, by)
    return _after(request, desk, visit_id, minutes, Done(OVERRIDDEN))


@router.get("/visits/{visit_id}/why")
def get_why(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    key: str = "",
    of: str = "",
    side: str = "",
    minutes: Minutes = DEFAULT_MINUTES,
) -> Response:
    """The reasons: a few in place, all of them as a page, or everything about one contributor."""
    view = request.app.state.views.get(desk, key, visit_id) or care.view_visit(desk, visit_id, minutes)
    posterior = view.assessment.posterior
    counted = (desk.staff is None or desk.staff.may(GIVE)) and has_local_counts(desk)
    values = {"view": view, "minutes": minutes, "library": desk.library, "counted": counted}
    if of:
        belief = next((b for b in posterior.beliefs if b.id == of and (b.side.value if b.side else "") == side), None)
        if belief is None:
            raise NotFound(f"nothing called {of!r} is reckoned with in this visit")
        account = {"belief": belief, "account": posterior.account_of(belief), "unfit": view.assessment.unfit}
        return page(request, "account.html", values | account)
    brief = wants_fragment(request)
    told = reasons(view, 3, 5) if brief else reasons(view, ALL, ALL)
    values |= {
        "reasons": told,
        "articular": posterior.articular,
        "changes": view.assessment.what_would_change,
        "odd": posterior.odd_together,
        "caveats": posterior.caveats,
        "left_out_mass": posterior.left_out_mass,
        "brief": brief,
    }
    return page(request, "_why.html" if brief else "why.html", values)


@router.get("/visits/{visit_id}/left-out")
def get_left_out(
    request: Request, desk: AtDesk, visit_id: str, key: str = "", minutes: Minutes = DEFAULT_MINUTES
) -> Response:
    """What the plan leaves out, by the reason; each test can be put in, once."""
    view = request.app.state.views.get(desk, key, visit_id) or care.view_visit(desk, visit_id, minutes)
    offered: set[str] = set()
    grouped: dict[str, list[tuple[LeftOut, bool]]] = {}
    for one in view.assessment.plan.left_out:
        grouped.setdefault(one.reason, []).append((one, one.procedure not in offered))
        offered.add(one.procedure)
    values = {"view": view, "minutes": minutes, "left_out": grouped}
    return page(request, "_left_out.html" if wants_fragment(request) else "left_out.html", values)
