"""A teacher's side of a class: make one, assign cases, see who is how far and how right, talk a case over, export."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.simulate import Danger, Difficulty, opening
from endfeel.teaching import ADVICE, SEND_ON, STANDS_FROM
from endfeel.vocabulary import CannotRead, Irritability
from endfeel.web.class_door import ClassDoor
from endfeel.web.errors import sentences
from endfeel.web.forms import entry_id_in
from endfeel.web.lanes import LEGEND, lanes
from endfeel.web.pages.agreement import ends, shown
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.pages.learn import URGENCY_WORDS, diagram_of
from endfeel.web.rendering import REGIONS, code_picture, page


def _teaches(desk: AtDesk) -> None:
    care.must_teach(desk)


router = APIRouter(include_in_schema=False, dependencies=[Depends(_teaches)])
DIFFICULTIES = ((Difficulty.CLEAR, "clear", ""), (Difficulty.USUAL, "as they come", ""), (Difficulty.HARD, "hard", ""))
DANGERS = ((Danger.MAYBE, "perhaps", ""), (Danger.NEVER, "no", ""), (Danger.ALWAYS, "yes", ""))
DANGER_WORDS = {Danger.MAYBE: "danger perhaps", Danger.NEVER: "no danger", Danger.ALWAYS: "in danger"}
FILES = ("everything.json", *(f"{name}.csv" for name in care.CLASS_TABLES))


@router.get("/classes")
def get_classes(request: Request, desk: AtDesk) -> Response:
    """All classes, and the form for a new one."""
    return _list(request, desk, {})


@router.post("/classes")
def post_class(request: Request, desk: AtDesk, given: Fields) -> Response:
    """A new class; sent twice is one."""
    try:
        made = care.make_class(desk, given.get("name", ""), given.get("teacher", ""), entry_id_in(given, "class_id"))
    except CannotRead as error:
        return _list(request, desk, given, sentences(error), 422)
    return RedirectResponse(f"/classes/{made}", 303)


@router.get("/classes/{class_id}")
def get_class(
    request: Request, desk: AtDesk, class_id: str, mark: Annotated[str, Query(max_length=20)] = ""
) -> Response:  # fmt: skip
    """The class as it stands; nothing when it stands as `mark` says."""
    view = care.view_class(desk, class_id)
    if mark and mark == view.mark:
        return Response(status_code=204)
    return _show(request, view, {})


@router.post("/classes/{class_id}/cases")
def post_cases(request: Request, desk: AtDesk, class_id: str, given: Fields) -> Response:
    """Assign cases: by their codes, or so many new ones by wish."""
    try:
        told = given.get("minutes", "20").replace(",", ".")
        minutes = float(told) if re.fullmatch(r"\d{1,3}(\.\d+)?", told) else 0.0
        codes = re.split(r"[\s,;]+", given.get("codes", "").strip())
        if not any(codes):
            count = given.get("count", "1")
            codes = care.draw_codes(
                desk, int(count) if count.isdecimal() else 0, given.get("difficulty", ""),
                given.get("irritability", ""), given.get("danger", ""),
            )  # fmt: skip
        care.assign_cases(desk, class_id, codes, minutes)
    except CannotRead as error:
        return _show(request, care.view_class(desk, class_id), given, " ".join(sentences(error)), 422)
    return RedirectResponse(f"/classes/{class_id}", 303)


@router.get("/classes/{class_id}/cases/{code}")
def get_case(request: Request, desk: AtDesk, class_id: str, code: str) -> Response:
    """One case to talk over with the class: it shows what was hidden."""
    view = care.view_class_case(desk, class_id, code)
    rows: dict[str, dict[str, float]] = {}
    for path in view.paths:
        if path.summary.outcome:
            for one in path.summary.outcome.forecasts:
                rows.setdefault(one.name, {})[path.learner] = one.said
    for name, _ in view.there:
        rows.setdefault(name, {})
    there = {name for name, _ in view.there}
    order = sorted(rows, key=lambda name: (name not in there, -sum(rows[name].values()), name))
    best = "Shortest way to the danger" if view.safety else "Cheapest good path"
    values: dict[str, Any] = {
        "view": view,
        "opening": opening(view.person),
        "best": best,
        "picture": lanes([(best, view.good_steps), *((one.learner, one.steps) for one in view.paths)]),
        "lane_words": LEGEND,
        "named": [(name, name in there, rows[name]) for name in order],
        "closed": [one for one in view.paths if one.summary.closed],
        "urgency_words": {str(one): words for one, words in URGENCY_WORDS.items()},
        "treatments": {ADVICE: "advice and time", SEND_ON: "none: send on first", **view.treatment_names},
        "comparison": view.results.comparisons[0] if view.results else None,
        "stands_from": round(100 * STANDS_FROM),
        "shown": shown,
        "ends": ends,
        "regions": REGIONS,
        "said": "",
    }
    return page(request, "class_case.html", values)


@router.get("/classes/{class_id}/files/{name}")
def get_file(desk: AtDesk, class_id: str, name: str) -> Response:
    """What the class did, as a file. Raises NotFound."""
    table, _, form = name.rpartition(".")
    if form == "json":
        content, media = care.class_json(desk, class_id), "application/json"
    else:
        content, media = care.class_csv(desk, class_id, table), "text/csv; charset=utf-8"
    return Response(content, media_type=media, headers={"Content-Disposition": f'attachment; filename="class-{name}"'})


@router.post("/classes/{class_id}/remove")
def post_remove(request: Request, desk: AtDesk, class_id: str, given: Fields) -> Response:
    """Take a class away with all its learners did, when that was meant."""
    view = care.view_class(desk, class_id)
    if " ".join(given.get("sure", "").split()).casefold() != view.record.name.casefold():
        return _show(request, view, given, "Nothing was removed: write the name of the class to remove it.", 422)
    care.remove_class(desk, class_id)
    return RedirectResponse("/classes", 303)


def _list(
    request: Request, desk: care.Desk, given: Mapping[str, str], faults: list[str] | None = None, status: int = 200
) -> Response:  # fmt: skip
    values = {
        "classes": care.list_classes(desk), "given": given, "faults": {"name": faults} if faults else {},
        "class_id": care.new_id(), "said": "",
    }  # fmt: skip
    return page(request, "classes.html", values, status)


def _show(
    request: Request, view: care.ClassView, given: Mapping[str, str], said: str = "", status: int = 200
) -> Response:  # fmt: skip
    door: ClassDoor | None = request.app.state.class_door
    join = f"{door.address}join?code={view.record.join_code}" if door else ""
    results = view.results
    values: dict[str, Any] = {
        "view": view,
        "given": given,
        "door": door,
        "join": join,
        "join_picture": code_picture(join, "Code for learners") if join else "",
        "results": results,
        "diagram": diagram_of(results.together) if results else "",
        "truth": {one.learner: one for one in results.truth} if results else {},
        "closed": _by_learner(view),
        "difficulties": DIFFICULTIES,
        "irritabilities": [(one, str(one), "") for one in Irritability],
        "dangers": DANGERS,
        "danger_words": DANGER_WORDS,
        "difficulty_words": {one: words for one, words, _ in DIFFICULTIES},
        "files": FILES,
        "stands_from": round(100 * STANDS_FROM),
        "shown": shown,
        "ends": ends,
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "class.html", values, status)


def _by_learner(view: care.ClassView) -> dict[str, dict[str, Any]]:
    """What a learner's closed cases add up to."""
    found: dict[str, dict[str, Any]] = {}
    for one in view.closed:
        mine = found.setdefault(one.learner, {"cases": 0, "minutes": 0.0, "turns": 0, "missed": 0, "safety": 0,
                                              "treatment": 0, "refusals": 0})  # fmt: skip
        safety, treatment = one.outcome.line("Safety"), one.outcome.line("First treatment")
        mine["cases"] += 1
        mine["minutes"] += one.outcome.minutes
        mine["turns"] += one.outcome.turns
        mine["refusals"] += one.outcome.refusals
        mine["missed"] += len(one.outcome.missed)
        mine["safety"] += bool(safety and safety.good)
        mine["treatment"] += bool(treatment and treatment.good)
    return found
