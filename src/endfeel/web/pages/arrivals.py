"""What waited in a browser arrives, each entry once and in order; and whether another device has written."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool

from endfeel import care
from endfeel.vocabulary import LEVELS, RIBS, CannotRead, NotFound, Refused
from endfeel.web.errors import sentences
from endfeel.web.keeping import Kept, id_at, keep_line, kept_of, own_id, read_fields
from endfeel.web.pages.desk import AtDesk
from endfeel.web.pages.visit import NOTHING, TAKEN, Done, has_risen, show, told_values
from endfeel.web.rendering import part
from endfeel.web.together import Together

router = APIRouter(include_in_schema=False)
MOST = 50
Short = Annotated[str, Field(max_length=4000)]


class Arrival(BaseModel):
    """One thing that waited: a form, a line, or the taking back of one of these."""

    model_config = ConfigDict(extra="forbid")

    id: UUID
    what: Literal["findings", "lines", "undo"]
    fields: dict[str, Short] = Field(max_length=40)


class Arrivals(BaseModel):
    """What waited, in the order in which it was recorded, and how urgent the page said things were."""

    model_config = ConfigDict(extra="forbid")

    entries: list[Arrival] = Field(max_length=MOST)
    was: str = Field("", max_length=20)
    minutes: float = Field(20, gt=0, le=240)
    whole: bool = False
    """Whether the whole visit is wanted as well, after the first line."""


@router.post("/visits/{visit_id}/arrivals")
async def post_arrivals(request: Request, desk: AtDesk, visit_id: str, body: Arrivals) -> Response:
    """Keep each in order, the next when the one before is on the disk: what is kept stays kept when the program dies
    at the next, and sent again it is not kept twice. Then what safety says, at once, as a line of JSON; where the whole
    visit is wanted and nothing was refused, it follows in the same answer as soon as it is concluded."""
    kept: list[str] = []
    refused: list[dict[str, Any]] = []
    done = Kept("", "")
    for one in body.entries:
        given = {**one.fields, "entry_id": str(one.id)}
        try:
            done = await _keep(request, desk, visit_id, one.what, given)
            kept.append(str(one.id))
        except (CannotRead, NotFound, Refused) as error:
            refused.append({"id": str(one.id), "faults": sentences(error)})
    after = done.told if kept and kept[-1] == str(body.entries[-1].id) else None
    if after is None:
        after = await run_in_threadpool(care.stand_visit, desk, visit_id)
    standing, mark = after
    verdict = standing.verdict
    risen = has_risen(body.was, verdict)
    view = {"visit_id": visit_id, "unspecified": standing.unspecified, "signed": None}
    strip = {"view": view, "verdict": verdict, "minutes": f"{body.minutes:g}", "bring": "safety" if risen else ""}
    say = Done(done.said, done.id, body.was)
    first = {
        "kept": kept,
        "refused": refused,
        "said": done.said,
        "saved": done.id,
        "told": part(request, "_said.html", strip | told_values(verdict, visit_id, say, risen=risen)),
        "safety": part(request, "_safety_now.html", strip),
        "risen": risen,
        "mark": mark,
    }
    if not body.whole:
        return JSONResponse(first)

    def told() -> Iterator[bytes]:
        yield json.dumps(first).encode() + b"\n"
        if not refused:
            yield bytes(show(request, desk, visit_id, body.minutes, done=say).body)

    return StreamingResponse(told(), media_type="text/plain; charset=utf-8")


async def _keep(request: Request, desk: care.Desk, visit_id: str, what: str, given: dict[str, str]) -> Kept:
    """What was done, in words beginning with how."""
    if what == "undo":
        return await run_in_threadpool(_take_back, desk, visit_id, given)
    if what == "lines":
        kept = await run_in_threadpool(keep_line, desk, visit_id, given)
    else:
        together: Together = request.app.state.together
        new = read_fields(desk, visit_id, given)
        told = [await together.keep(one) for one in new]
        kept = kept_of(new, told[-1])
    return replace(kept, said=f"Saved: {kept.said}")


def _take_back(desk: care.Desk, visit_id: str, given: dict[str, str]) -> Kept:
    named = [one for one in given.get("entry", "").split(",") if one]
    taken = [one for entry_id in named for one in _taken_back(desk, visit_id, entry_id)]
    return Kept("", TAKEN if taken else NOTHING)


def _taken_back(desk: care.Desk, visit_id: str, entry_id: str) -> list[str]:
    """What of an entry, or of the findings that one press made of it, was taken back now."""
    try:
        one = care.undo(desk, visit_id, entry_id)
    except NotFound:  # it never arrived, or it is one finding a level
        there = {entry.id for entry in care.recall_visit(desk, visit_id).entries}
        levels = [id_at(entry_id, level) for level in (*LEVELS, *RIBS)] if own_id({"entry_id": entry_id}) else []
        return [one for one in levels if one in there and care.undo(desk, visit_id, one)]
    return [one] if one else []


@router.get("/visits/{visit_id}/mark")
def get_mark(desk: AtDesk, visit_id: str) -> dict[str, str]:
    """Changes when anything is recorded in the visit; a page asks for it now and then."""
    return {"mark": care.visit_mark(desk, visit_id)}
