"""A record handed over to the person or to another program, and what others recorded taken over."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from endfeel import care
from endfeel.exchange.conformance import MEDIA_TYPE
from endfeel.inference.words import finding_words
from endfeel.vocabulary import CannotRead, NotFound
from endfeel.vocabulary.outcomes import answer_words
from endfeel.vocabulary.shorthand import finding_text
from endfeel.web.errors import sentences
from endfeel.web.pages.desk import AtDesk, FieldsOrFile
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/people/{person_id}/hand-over")
def get_hand_over(request: Request, desk: AtDesk, person_id: str) -> Response:
    """What may be taken away of a record, and in which form."""
    person = next((one for one in care.list_people(desk) if one.id == person_id), None)
    if person is None:
        raise NotFound(f"no person {person_id!r} in these records")
    episodes = {visit.episode_id: visit.title for visit in person.visits}
    return page(request, "hand_over.html", {"person": person, "episodes": episodes})


@router.get("/people/{person_id}/record.{form}")
def get_record(desk: AtDesk, person_id: str, form: str) -> Response:
    """Everything on record about a person: `zip` or `json`."""
    if form == "zip":
        return _file(desk, care.person_archive(desk, person_id), "application/zip", "record", form)
    if form != "json":
        raise NotFound(f"a record is written as zip or json, not as {form}")
    return _file(desk, care.person_json(desk, person_id), "application/json", "record", form)


@router.get("/people/{person_id}/bundle.json")
def get_bundle(desk: AtDesk, person_id: str, episode: Annotated[str | None, Query(max_length=36)] = None) -> Response:
    """The person, or one episode, as a FHIR R4 bundle."""
    made = json.dumps(care.fhir_bundle(desk, person_id, episode), ensure_ascii=False, indent=1)
    return _file(desk, made.encode(), MEDIA_TYPE, "bundle", "json")


def _file(desk: care.Desk, content: bytes, kind: str, name: str, form: str) -> Response:
    """A file whose name says nothing about the person."""
    named = f'attachment; filename="{name}-{desk.clock().astimezone():%Y-%m-%d}.{form}"'
    return Response(content, media_type=kind, headers={"Content-Disposition": named})


@router.get("/take-over")
def get_take_over(request: Request, desk: AtDesk) -> Response:
    return _show(request, desk, {})


@router.post("/take-over")
def post_take_over(request: Request, desk: AtDesk, given: FieldsOrFile) -> Response:
    """Show what the file becomes, or keep it."""
    return _show(request, desk, given)


def _show(request: Request, desk: care.Desk, given: Mapping[str, str]) -> Response:
    text, person_id = given.get("text", ""), given.get("person") or None
    plan: care.TakeOver | None = None
    faults: list[str] = []
    said, status, keep = "", 200, given.get("do") == "keep"
    if "text" in given:
        try:
            plan = (care.take_over if keep else care.look_at)(desk, text, person_id)
        except CannotRead as error:
            faults, status, keep = sentences(error), 422, False
    if plan is not None and keep:
        again = plan.count("kept before")
        said = f"Kept: {plan.count('new')}." + (f" Kept before: {again}." if again else "")
    values: dict[str, Any] = {
        "text": "" if keep else text,
        "plan": plan,
        "kept": keep,
        "rows": [_row(desk, one) for one in plan.entries] if plan else [],
        "everybody": care.list_people(desk),
        "chosen": person_id,
        "faults": faults,
        "said": said,
        "alarm": bool(faults),
    }
    return page(request, "take_over.html", values, status)


def _row(desk: care.Desk, one: care.TakenEntry) -> dict[str, Any]:
    read = one.read
    worded = read is None or not read.understood
    return {
        "name": read.name if read else "told of the person",
        "at": one.at,
        "dated": read is None or read.at is not None,
        "status": one.status,
        "answer": answer_words(one.answer) if one.answer else "",
        "finding": "" if one.finding is None or worded else finding_words(one.finding, desk.library.catalogue),
        "shorthand": "" if one.finding is None or worded else finding_text(one.finding),
        "note": (one.finding.note or "") if one.finding and worded else "",
        "reasons": one.reasons,
        "unknown": read.unknown if read else (),
    }
