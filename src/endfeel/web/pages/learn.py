"""Learning on simulated patients: choose one, examine, commit, look back, look over many. Nobody real is involved."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.body_chart import chart_picture
from endfeel.safety import Urgency
from endfeel.simulate import Danger, Difficulty, askables, drawn_by, opening
from endfeel.teaching import ADVICE, EVERY_LEVEL, SEND_ON, Commitment, JointRecord, Named, Progress, Step, course_names
from endfeel.vocabulary import CannotRead, EndfeelError, Fault, Finding, Irritability, Position
from endfeel.vocabulary.shorthand import finding_text
from endfeel.web.errors import sentences, status_of
from endfeel.web.forms import entry_id_in
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import REGIONS, page, percent, wants_fragment

router = APIRouter(include_in_schema=False)
cases = APIRouter(include_in_schema=False)
"""The pages of one case, which learners of a class have too."""
Learner = Annotated[str, Query(max_length=60)]
PLACES = 5
"""Lines of the ranking that can be filled in."""
URGENCY_WORDS = {
    Urgency.NONE: "nothing pressing",
    Urgency.REFER: "refer, not pressing",
    Urgency.URGENT: "urgent, within days",
    Urgency.SAME_DAY: "the same day",
    Urgency.EMERGENCY: "emergency, now",
}


@router.get("/learn")
def get_learn(request: Request, desk: AtDesk, learner: Learner = "") -> Response:
    """Whom to examine, and what was examined before."""
    return _start(request, desk, learner)


@router.post("/learn")
def post_lesson(request: Request, desk: AtDesk, given: Fields) -> Response:
    """A new patient by wish, or one by code."""
    learner = " ".join(given.get("learner", "").split())
    try:
        wish = given.get("code", "").strip() or care.new_wish(
            given.get("difficulty", ""), given.get("irritability", ""), given.get("danger", "")
        )
        lesson_id = care.open_lesson(desk, wish, learner, lesson_id=entry_id_in(given, "lesson_id"))
    except CannotRead as error:
        return _start(request, desk, learner, given, " ".join(sentences(error)), 422)
    return RedirectResponse(f"/learn/{lesson_id}", 303)


@router.get("/learn/progress")
def get_progress(request: Request, desk: AtDesk, learner: Learner = "") -> Response:
    """All closed cases of a learner together."""
    found = care.learner_progress(desk, learner or None)
    back = f"/learn?{urlencode({'learner': learner})}" if learner else "/learn"
    return page(request, "learn_progress.html", progress_values(found, learner, back))


@cases.get("/learn/{lesson_id}")
def get_lesson(request: Request, desk: AtDesk, lesson_id: str) -> Response:
    """The examination as it stands."""
    return _show(request, desk, lesson_id)


@cases.post("/learn/{lesson_id}")
def post_step(request: Request, desk: AtDesk, lesson_id: str, given: Fields) -> Response:
    """One step: ask, examine, turn, rest. A form sent twice is one step."""
    try:
        care.take_step(desk, lesson_id, _step(given))
    except EndfeelError as error:
        if status_of(error) == 404:
            raise
        return _show(request, desk, lesson_id, given, " ".join(sentences(error)), status_of(error))
    if wants_fragment(request):
        return _show(request, desk, lesson_id)
    return RedirectResponse(f"/learn/{lesson_id}#record", 303)


@cases.post("/learn/{lesson_id}/commit")
def post_commitment(request: Request, desk: AtDesk, lesson_id: str, given: Fields) -> Response:
    """What the learner stands for; then the looking back."""
    try:
        step = Step(given.get("from", ""), "commit", commitment=_commitment(given))
        care.take_step(desk, lesson_id, step)
    except EndfeelError as error:
        if status_of(error) == 404:
            raise
        return _show(request, desk, lesson_id, given, " ".join(sentences(error)), status_of(error))
    return RedirectResponse(f"/learn/{lesson_id}/feedback", 303)


@cases.get("/learn/{lesson_id}/feedback")
def get_feedback(request: Request, desk: AtDesk, lesson_id: str) -> Response:
    """The first minute, and the rest on demand."""
    view, told = care.look_back(desk, lesson_id)
    values = {
        "lesson": view,
        "told": told,
        "rows": [(m, w) for m, w in zip(view.examination.moments, told.worths, strict=True) if m.tests],
        **_ways(view.head),
        "regions": REGIONS,
        "program_share": [percent(one.program) for one in told.forecasts],
        "said": "",
    }
    return page(request, "learn_feedback.html", values)


def _start(
    request: Request, desk: care.Desk, learner: str, given: Mapping[str, str] | None = None, said: str = "",
    status: int = 200,
) -> Response:  # fmt: skip
    lessons = care.list_lessons(desk, learner or None)
    values: dict[str, Any] = {
        "lessons": list(reversed(lessons)),
        "learner": learner,
        "given": given or {},
        "lesson_id": care.new_id(),
        "difficulties": [
            (Difficulty.CLEAR, "clear", "few things hidden"),
            (Difficulty.USUAL, "as they come", ""),
            (Difficulty.HARD, "hard", "many things hidden, says little"),
        ],
        "irritabilities": [(one, str(one), "") for one in Irritability],
        "dangers": [(Danger.MAYBE, "perhaps", ""), (Danger.NEVER, "no", ""), (Danger.ALWAYS, "yes", "")],
        "learner_query": urlencode({"learner": learner}) if learner else "",
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "learn.html", values, status)


def _show(
    request: Request, desk: care.Desk, lesson_id: str, given: Mapping[str, str] | None = None, said: str = "",
    status: int = 200,
) -> Response:  # fmt: skip
    view = care.view_lesson(desk, lesson_id)
    found = view.examination
    questions = askables(desk.library)
    answered = {one.step.about: one.said for one in found.moments if one.step.kind == "ask"}
    singles: dict[str, list[Any]] = {}
    for one in questions:
        if one.id.startswith("cue:"):
            singles.setdefault(one.group, []).append(one)
    chart = ""
    if "chart" in answered:
        chart = Markup(chart_picture(drawn_by(found.person, desk.library), title="Drawn by the person"))  # noqa: S704
    values: dict[str, Any] = {
        **_ways(view.head),
        "lesson": view,
        "found": found,
        "opening": opening(found.person),
        "plain_finding": plain_finding,
        "moments": list(reversed(list(enumerate(found.moments, 1)))),
        "story": [one for one in questions if one.group == "Story"],
        "health": [one for one in questions if one.id.startswith("health:")],
        "singles": singles,
        **_opened(view, desk),
        "answered": answered,
        "chart": chart,
        "by_region": _by_region(desk),
        "done": {test[0] for one in found.moments if not one.refused for test in one.tests},
        "positions": list(Position),
        "every": EVERY_LEVEL,
        "contributors": _contributors(view),
        "courses": sorted(course_names(found.person).items(), key=lambda one: one[1]),
        "advice": ADVICE,
        "send_on": SEND_ON,
        "urgencies": [(str(one), words, "") for one, words in URGENCY_WORDS.items()],
        "places": range(1, PLACES + 1),
        "step_id": care.new_id(),
        "given": given or {},
        "regions": REGIONS,
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "_learn_case.html" if wants_fragment(request) else "learn_case.html", values, status)


def _ways(head: care.LessonHead) -> dict[str, str]:
    """Where the links of a case lead: to one's own list, or to that of the class."""
    if head.member:
        return {"back": f"/join/{head.member}", "to_progress": f"/join/{head.member}/progress"}
    query = f"?{urlencode({'learner': head.learner})}" if head.learner else ""
    return {"back": f"/learn{query}", "to_progress": f"/learn/progress{query}"}


def progress_values(found: Progress, learner: str, back: str) -> dict[str, Any]:
    """What the page of a learner's progress shows."""
    return {
        "progress": found, "learner": learner, "back": back, "regions": REGIONS, "diagram": diagram_of(found),
        "tracks": [_track(one, found.cases) for one in found.joints], "said": "",
    }  # fmt: skip


def _opened(view: care.LessonView, desk: care.Desk) -> dict[str, Any]:
    """What stays unfolded: that in which the last step stood."""
    last = view.examination.moments[-1].step if view.examination.moments else None
    asked = last.about if last and last.kind == "ask" else ""
    group = next((one.group for one in askables(desk.library) if one.id == asked and asked.startswith("cue:")), "")
    region = desk.library.catalogue[last.about].region if last and last.kind == "examine" else ""
    return {"open_health": asked.startswith("health:"), "open_group": group, "open_region": region}


def plain_finding(finding: Finding) -> str:
    """A finding without the name of its test, which stands above it."""
    return finding_text(finding).removeprefix(finding.procedure).strip().replace("_", " ") or "done"


def _by_region(desk: care.Desk) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {region: [] for region in REGIONS}
    for one in desk.library.catalogue:
        found.setdefault(one.region, []).append(one)
    return {region: some for region, some in found.items() if some}


def _contributors(view: care.LessonView) -> dict[str, list[tuple[str, str]]]:
    """Everything that can be named, by region."""
    found: dict[str, list[tuple[str, str]]] = {}
    for one in view.examination.person.patient.network.instances:
        found.setdefault(REGIONS.get(one.contributor.region, one.contributor.region), []).append((one.id, one.name))
    return found


def _step(given: Mapping[str, str]) -> Step:
    """A step from a form. Its id follows from the page and from what was pressed: the same press is the same step."""
    kind = next((one for one in ("ask", "examine", "turn", "rest") if given.get(one)), "")
    if not kind:
        raise CannotRead([Fault("nothing was pressed", would_do="a question, a test, a position")])
    about, level, where = given[kind], given.get("level", ""), given.get("position", "")
    if kind == "turn":
        about, where = "", given[kind]
    if where and where not in tuple(Position):
        raise CannotRead([Fault("no such position", where[:40], ", ".join(Position), field="position")])
    base = entry_id_in(given, "from")
    told = "|".join((kind, about, level, where))
    step_id = str(uuid.uuid5(uuid.UUID(base), told)) if base else care.new_id()
    return Step(step_id, kind, about if kind in ("ask", "examine") else "", level, Position(where) if where else None)


def _commitment(given: Mapping[str, str]) -> Commitment:
    """Ranking, safety and treatment from a form. Raises CannotRead with every fault."""
    faults: list[Fault] = []
    ranking = []
    for n in range(1, PLACES + 1):
        name, told = given.get(f"contributor-{n}", ""), given.get(f"percent-{n}", "").strip().rstrip("% ")
        if not name:
            continue
        if not told.isdecimal():
            faults.append(Fault(f"line {n}: how sure, in per cent", told[:20], "0 to 100", field=f"percent-{n}"))
            continue
        ranking.append(Named(name, int(told)))
    if given.get("safety", "") not in tuple(Urgency):
        faults.append(Fault("no safety decision was taken", would_do="one of those offered", field="safety"))
    if not given.get("treatment"):
        faults.append(Fault("no first treatment was chosen", would_do="one of those offered", field="treatment"))
    if not ranking and not faults:
        faults.append(Fault("nothing was named", would_do="at least one contributor", field="contributor-1"))
    if faults:
        raise CannotRead(faults)
    return Commitment(tuple(ranking), Urgency(given["safety"]), given["treatment"])


def diagram_of(found: Progress) -> Markup | str:
    """What was said against what was so, with intervals; on the slanting line one is right as often as one says."""
    bands = [one for one in found.bands if one.enough]
    if not bands:
        return ""
    left, top, size = 44.0, 10.0, 220.0

    def x(share: float) -> float:
        return left + size * share

    def y(share: float) -> float:
        return top + size * (1 - share)

    parts = [
        f'<path class="rail-line" d="M{left} {top}V{top + size}H{left + size}"/>',
        f'<path class="right-line" d="M{x(0)} {y(0)}L{x(1)} {y(1)}"/>',
    ]
    for share in (0.0, 0.5, 1.0):
        parts.append(f'<text x="{x(share):.0f}" y="{top + size + 16:.0f}" text-anchor="middle">{share:.0%}</text>')
        parts.append(f'<text x="{left - 6:.0f}" y="{y(share) + 4:.0f}" text-anchor="end">{share:.0%}</text>')
    for one in bands:
        parts.append(f'<path class="reach" d="M{x(one.said):.1f} {y(one.so.low):.1f}V{y(one.so.high):.1f}"/>')
        parts.append(f'<circle class="spot" cx="{x(one.said):.1f}" cy="{y(one.so.value):.1f}" r="5"/>')
    parts.append(f'<text x="{left + size / 2:.0f}" y="{top + size + 34:.0f}" text-anchor="middle">you said</text>')
    told = "; ".join(one.words for one in bands)
    return Markup(  # noqa: S704 (numbers and our own words)
        f'<svg class="diagram" viewBox="0 0 280 270" role="img" aria-label="{told}">{"".join(parts)}'
        f'<text x="{left + 4:.0f}" y="{top + 12:.0f}">was so</text></svg>'
    )


def _track(one: JointRecord, cases: int) -> Markup | str:
    """One joint over the cases in order: a bar as high as what was hidden there, filled as far as it was named."""
    if not one.cases:
        return ""
    most, step = max(hidden for _, hidden, _ in one.cases), 240.0 / max(cases, 12)
    parts = []
    for place, hidden, named in one.cases:
        x, high, full = (place - 1) * step, 28.0 * hidden / most, 28.0 * named / most
        wide = max(step - 2, 2)
        parts.append(
            f'<rect class="track-hidden" x="{x:.1f}" y="{30 - high:.1f}" width="{wide:.1f}" height="{high:.1f}"/>'
        )
        if named:
            parts.append(
                f'<rect class="track-named" x="{x:.1f}" y="{30 - full:.1f}" width="{wide:.1f}" height="{full:.1f}"/>'
            )
    told = "; ".join(f"case {place}: {named} of {hidden}" for place, hidden, named in one.cases)
    return Markup(  # noqa: S704 (numbers and our own words)
        f'<svg class="track" viewBox="0 0 240 32" role="img" aria-label="Named of hidden: {told}">'
        f'<path class="rail-line" d="M0 30.5H240"/>{"".join(parts)}</svg>'
    )


router.include_router(cases)
