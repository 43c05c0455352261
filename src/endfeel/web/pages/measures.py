"""Outcome measures of a visit: answered by item number, by a total, or on paper; taken back; what is not wanted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.measurement import form, forms
from endfeel.measurement.answer_checks import local_day
from endfeel.vocabulary import CannotRead, Refused
from endfeel.vocabulary.outcomes import ANSWERING_WORDS, OCCASION_WORDS, OCCASIONS
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field, entry_id_in
from endfeel.web.measure_form import MOST_ON_BUTTONS, answer_fields, read_answer
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
SHOWN_FIRST = ("spadi", "psfs", "nprs", "groc", "groc_11")
"""Asked most; the rest stands below."""


@router.get("/visits/{visit_id}/measures")
def get_measures(request: Request, desk: AtDesk, visit_id: str, saved: str = "") -> Response:
    """What was answered in this visit, and what may be."""
    return _show_list(request, desk, visit_id, said="Kept." if saved else "")


def _show_list(request: Request, desk: care.Desk, visit_id: str, *, said: str = "", alarm: bool = False) -> Response:
    record = care.recall_visit(desk, visit_id)
    told = care.measures_of(desk, record.episode_id)
    before: dict[Any, care.VisitMeasure] = {}
    for one in told:
        if one.visit_number < record.number:
            before[one.answer.series] = one
    mine = [one for one in told if one.visit_id == visit_id]
    every = forms(desk.library)
    values = {
        "record": record,
        "mine": [(one, before.get(one.answer.series)) for one in mine],
        "first": [one for one in every if one.id in SHOWN_FIRST],
        "more": [one for one in every if one.id not in SHOWN_FIRST and one.items],
        "totals": [one for one in every if not one.items],
        "due": [one for one in before.values() if one.answer.series not in {m.answer.series for m in mine}],
        "names": {one.id: one.name for one in every},
        "occasions": OCCASION_WORDS,
        "pains": [(one, OCCASION_WORDS[one]) for one in OCCASIONS["nprs"]],
        "today": f"{local_day(desk.clock())}",
        "new_id": care.new_id,
        "said": said,
        "alarm": alarm,
    }
    return page(request, "measures.html", values)


@router.get("/visits/{visit_id}/measures/{form_id}")
def get_measure(
    request: Request,
    desk: AtDesk,
    visit_id: str,
    form_id: str,
    occasion: Annotated[str, Query(max_length=12)] = "",
) -> Response:
    """One measure to be answered, with what stays the same from the last time filled in."""
    asked = form(form_id, desk.library)
    record = care.recall_visit(desk, visit_id)
    earlier = [one for one in care.measures_of(desk, record.episode_id) if one.answer.measure == form_id]
    given = answer_fields(earlier[-1].answer) if earlier else {}
    given["answered_on"] = f"{local_day(desk.clock())}"
    given["occasion"] = occasion or given.get("occasion", "")
    return _show_form(request, desk, visit_id, asked.id, given)


@router.post("/visits/{visit_id}/measures/{form_id}")
def post_measure(request: Request, desk: AtDesk, visit_id: str, form_id: str, given: Fields) -> Response:
    """Keep it, or show the form again with everything that was entered and what is wrong with it."""
    asked = form(form_id, desk.library)
    faults: dict[str, list[str]] = {}
    offers: dict[str, bool] = {}
    try:
        answer = read_answer(given, asked)
        care.record_measure(
            desk,
            visit_id,
            answer,
            entry_id_in(given),
            unfinished=given.get("unfinished") == "yes",
            own_line=given.get("own_line") == "yes",
        )
    except CannotRead as error:
        faults = by_field(error.faults)
        said = {fault.message for fault in error.faults}
        offers["own_line"] = any("than before" in one for one in said)
    except Refused as error:
        faults = {"": sentences(error)}
        offers["unfinished"] = not care.recall_visit(desk, visit_id).signed
    else:
        return RedirectResponse(f"/visits/{visit_id}/measures?saved=yes", status_code=303)
    return _show_form(request, desk, visit_id, form_id, given, faults, offers, 422)


@router.post("/visits/{visit_id}/measures-taken-back")
def post_taken_back(request: Request, desk: AtDesk, visit_id: str, answer_id: Annotated[str, Form()] = "") -> Response:
    """Take an answer back; it stays on record."""
    care.take_back_measure(desk, visit_id, answer_id or None)
    return _show_list(request, desk, visit_id, said="Taken back. It stays on record.")


@router.post("/visits/{visit_id}/preferences")
def post_preferences(
    desk: AtDesk,
    visit_id: str,
    given: Fields,
    refuse: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Keep what the person does not want, and by what and by whom is measured; back to treatment."""
    care.prefer(
        desk,
        visit_id,
        refused=frozenset(word for word in refuse or () if word) if "refusing" in given else None,
        instrument=given.get("instrument"),
        rater=given.get("rater"),
    )
    return RedirectResponse(f"/visits/{visit_id}/treatment#{_anchor(given)}", status_code=303)


def _anchor(given: Mapping[str, str]) -> str:
    return "offers-title" if "refusing" in given else "lines"


@router.get("/measures/{form_id}/sheet")
def get_sheet(request: Request, desk: AtDesk, form_id: str) -> Response:
    """A blank sheet for paper."""
    asked = form(form_id, desk.library)
    values = {"form": asked, "occasions": OCCASION_WORDS, "typed": _typed(asked), "said": ""}
    return page(request, "measure_sheet.html", values)


def _typed(asked: Any) -> frozenset[int]:
    """Items that are typed."""
    return frozenset(one.number for one in asked.items if one.high - one.low >= MOST_ON_BUTTONS)


def _show_form(
    request: Request,
    desk: care.Desk,
    visit_id: str,
    form_id: str,
    given: Mapping[str, str],
    faults: Mapping[str, list[str]] | None = None,
    offers: Mapping[str, bool] | None = None,
    status: int = 200,
) -> Response:
    asked = form(form_id, desk.library)
    record = care.recall_visit(desk, visit_id)
    values = {
        "form": asked,
        "record": record,
        "given": given,
        "faults": faults or {},
        "offers": offers or {},
        "typed": _typed(asked),
        "occasions": [(one, OCCASION_WORDS[one]) for one in asked.occasions],
        "answerings": list(ANSWERING_WORDS.items()),
        "entry_id": given.get("entry_id") or care.new_id(),
        "said": "Not kept yet: see the marked fields. Everything you entered is still here." if faults else "",
        "alarm": bool(faults),
        "sheet": f"/measures/{form_id}/sheet?{urlencode({'visit': visit_id})}",
    }
    return page(request, "measure.html", values, status)
