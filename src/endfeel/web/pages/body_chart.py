"""The body chart: draw where it is felt, or name the region; what is drawn, measured, beside last time's."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Form, Query, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.body_chart import (
    comparison_picture,
    figure,
    overlap_words,
    region_path,
    total_share,
    view_picture,
)
from endfeel.body_chart.picture import CROP, PATTERN_WORDS, VIEW_WORDS
from endfeel.body_chart.words import chart_words, feeling, percent_of, where
from endfeel.instruments import setting
from endfeel.vocabulary import CannotRead, Fault
from endfeel.vocabulary.body_chart import INTENSITY, ChartArea, ChartView, SymptomDepth, SymptomQuality
from endfeel.web.errors import sentences
from endfeel.web.forms import entry_id_in, minutes_in
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page, wants_fragment

router = APIRouter(include_in_schema=False)
Minutes = Annotated[float, Query(gt=0, le=240)]
FormMinutes = Annotated[float, Form(gt=0, le=240)]
UPPER_HEIGHT = 113.0
"""How far down the upper body is shown, hanging hands included."""


@router.get("/visits/{visit_id}/chart")
def get_chart(
    request: Request, desk: AtDesk, visit_id: str, minutes: Minutes = DEFAULT_MINUTES, done: str = ""
) -> Response:
    return _show(request, desk, visit_id, minutes, said=_DONE.get(done, ""))


_DONE = {"drawn": "Drawn.", "back": "Taken back.", "story": "Put into the story.", "none": "Nothing was ticked."}


@router.post("/visits/{visit_id}/chart/areas")
def post_area(
    request: Request, desk: AtDesk, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """An area, drawn (`view` and `path`, a JSON list of points) or named (`region`, as `view:region:side`)."""
    try:
        care.draw_area(desk, visit_id, read_area(given), entry_id_in(given, "area_id"))
    except CannotRead as error:
        return _show(request, desk, visit_id, minutes, given, " ".join(sentences(error)), 422)
    return _after(request, desk, visit_id, minutes, given, "drawn")


@router.post("/visits/{visit_id}/chart/undo")
def post_undo(
    request: Request, desk: AtDesk, visit_id: str, given: Fields, minutes: FormMinutes = DEFAULT_MINUTES
) -> Response:
    """Take back an area, the last one by default."""
    care.take_back_area(desk, visit_id, given.get("area") or None)
    return _after(request, desk, visit_id, minutes, given, "back")


async def _ticked(request: Request) -> dict[str, str]:
    """The fields of the form, the areas that were ticked as one list with commas."""
    async with request.form() as form:
        given = {name: value for name, value in form.items() if isinstance(value, str)}
        return given | {"areas": ",".join(one for one in form.getlist("areas") if isinstance(one, str))}


@router.post("/visits/{visit_id}/chart/story")
def post_story(desk: AtDesk, visit_id: str, given: Annotated[dict[str, str], Depends(_ticked)]) -> Response:
    """Put the areas that were ticked into the story."""
    told = given.get("told_before", "")
    areas = [one for one in given["areas"].split(",") if one]
    care.confirm_areas(desk, visit_id, areas, int(told) if told.isdecimal() else None)
    address = {"done": "story" if areas else "none", "minutes": f"{minutes_in(given):g}"}
    return RedirectResponse(f"/visits/{visit_id}/chart?{urlencode(address)}", 303)


def read_area(given: Mapping[str, str]) -> ChartArea:
    """An area from the fields of a form. Raises CannotRead; each fault names its field."""
    faults: list[Fault] = []

    def word(name: str, kind: Any) -> Any:
        told = given.get(name, "").strip()
        if told and told not in tuple(kind):
            faults.append(Fault(f"no such {name}", told[:40], ", ".join(kind), field=name))
            return None
        return kind(told) if told else None

    quality, depth = word("quality", SymptomQuality), word("depth", SymptomDepth)
    intensity = given.get("intensity", "").strip()
    if intensity and not intensity.isdecimal():
        faults.append(Fault("intensity is a whole number", intensity[:40], "0 to 10", field="intensity"))
    view, path = _named(given["region"]) if given.get("region") else (word("view", ChartView), _path(given, faults))
    if view is None and not faults:
        faults.append(Fault("nothing was drawn", would_do="a line on the figure, or a region by name", field="region"))
    if faults:
        raise CannotRead(faults)
    return ChartArea(view, path, quality, depth, int(intensity) if intensity else None)


def _named(key: str) -> tuple[ChartView, tuple[tuple[float, float], ...]]:
    for view, drawn in figure().items():
        for region in drawn.regions:
            if f"{view}:{region.id}:{region.side or ''}" == key:
                return view, region_path(region)
    raise CannotRead([Fault("no such region", key[:60], "one of the list", field="region")])


def _path(given: Mapping[str, str], faults: list[Fault]) -> tuple[tuple[float, float], ...]:
    written = given.get("path", "")
    if not written:
        return ()
    try:
        return tuple((float(x), float(y)) for x, y in json.loads(written))
    except (ValueError, TypeError):
        faults.append(Fault("the drawn line cannot be read", written[:40], "pairs of numbers", field="path"))
        return ()


def _after(
    request: Request, desk: care.Desk, visit_id: str, minutes: float, given: Mapping[str, str], done: str
) -> Response:
    if wants_fragment(request):
        return _show(request, desk, visit_id, minutes, given, _DONE[done])
    address = urlencode({"done": done, "minutes": f"{minutes:g}"})
    return RedirectResponse(f"/visits/{visit_id}/chart?{address}", 303)


def _show(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    minutes: float,
    given: Mapping[str, str] | None = None,
    said: str = "",
    status: int = 200,
) -> Response:
    view, chart = care.recall_visit(desk, visit_id), care.view_chart(desk, visit_id)
    left, top, width, height = CROP
    pictures = [
        {
            "view": one,
            "name": VIEW_WORDS[one],
            "inside": Markup(view_picture(one, chart.areas, f"on-{one}")),  # noqa: S704 (our own drawing, no words of others)
            "told": _told(chart, one),
        }
        for one in ChartView
    ]
    rows = [
        {"id": key, "number": n, "where": where(one), "view": VIEW_WORDS[one.area.view], "feeling": feeling(one),
         "share": percent_of(one.share)}
        for n, (key, one) in enumerate(zip(chart.ids, chart.areas, strict=True), 1)
    ]  # fmt: skip
    values: dict[str, Any] = {
        "view": view,
        "chart": chart,
        "minutes": minutes,
        "pictures": pictures,
        "whole_box": f"{left:g} {top:g} {width:g} {height:g}",
        "upper_box": f"{left:g} {top:g} {width:g} {UPPER_HEIGHT:g}",
        "rows": rows,
        "total": percent_of(total_share(chart.areas)),
        "proposal": care.propose_areas(chart, view.case.complaint),
        "comparison": _comparison(chart),
        "compared": overlap_words(chart.overlap) if chart.overlap else "",
        "finger_width": setting(desk.library, "finger_width"),
        "qualities": [(str(one), str(one), PATTERN_WORDS[one].partition(": ")[2]) for one in SymptomQuality],
        "depths": [(str(one), str(one)) for one in SymptomDepth],
        "intensities": [(n, str(n)) for n in range(INTENSITY[0], INTENSITY[1] + 1)],
        "regions": {
            VIEW_WORDS[one]: [(f"{one}:{r.id}:{r.side or ''}", r.words) for r in drawn.regions]
            for one, drawn in figure().items()
        },
        "given": given or {},
        "area_id": care.new_id(),
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "_body_chart.html" if wants_fragment(request) else "body_chart.html", values, status)


def _told(chart: care.VisitChart, view: ChartView) -> str:
    here = [one for one in chart.areas if one.area.view is view]
    return f"Figure, {VIEW_WORDS[view]}. {chart_words(here)}."


def _comparison(chart: care.VisitChart) -> Markup | str:
    if chart.overlap is None or not chart.before:
        return ""
    return Markup(comparison_picture(chart.before, chart.areas, description=overlap_words(chart.overlap)))  # noqa: S704
