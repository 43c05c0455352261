"""What waited in a browser arrives, each entry once and in order; and whether another device has written."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool

from endfeel import care
from endfeel.safety import Urgency
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web.errors import sentences
from endfeel.web.keeping import Kept, keep_line, kept_of, read_fields
from endfeel.web.pages.desk import AtDesk
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


@router.post("/visits/{visit_id}/arrivals")
async def post_arrivals(request: Request, desk: AtDesk, visit_id: str, body: Arrivals) -> dict[str, Any]:
    """Keep each in order, the next when the one before is on the disk: what is kept stays kept when the program dies
    at the next, and sent again it is not kept twice. Then what safety says; the rest of the page is asked for after
    it."""
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
    told = done.told if kept and kept[-1] == str(body.entries[-1].id) else None
    if told is None:
        told = await run_in_threadpool(care.stand_visit, desk, visit_id)
    standing, mark = told
    verdict = standing.verdict
    risen = body.was in set(Urgency) and Urgency(body.was).rank < verdict.urgency.rank and not verdict.is_overridden
    view = {"visit_id": visit_id, "unspecified": standing.unspecified, "signed": None}
    strip = {"view": view, "verdict": verdict, "minutes": f"{body.minutes:g}", "bring": "safety" if risen else ""}
    return {
        "kept": kept,
        "refused": refused,
        "said": done.said,
        "saved": done.id,
        "safety": part(request, "_safety_now.html", strip),
        "risen": risen,
        "mark": mark,
    }


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
    try:
        taken = [care.undo(desk, visit_id, one) for one in given.get("entry", "").split(",") if one]
    except NotFound:
        taken = []  # it never arrived: nothing is left to take back
    return Kept("", "Taken back." if any(taken) else "There is nothing to take back.")


@router.get("/visits/{visit_id}/mark")
def get_mark(desk: AtDesk, visit_id: str) -> dict[str, str]:
    """Changes when anything is recorded in the visit; a page asks for it now and then."""
    return {"mark": care.visit_mark(desk, visit_id)}
