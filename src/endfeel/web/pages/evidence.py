"""The figures behind every conclusion: search them, look at one."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from endfeel.care.allowed import GIVE
from endfeel.care.outcomes import local_evidence
from endfeel.evidence.figures import Provenance
from endfeel.evidence.search import search
from endfeel.web.pages.desk import AtDesk
from endfeel.web.pages.here import words
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
SHOWN = 40
ACCURACY = "diagnostic_accuracy."


@router.get("/evidence")
def get_search(
    request: Request, desk: AtDesk, q: Annotated[str, Query(max_length=200)] = "", provenance: str = ""
) -> Response:
    """Rows whose words all occur; nothing is listed before something is asked for."""
    labels = {one.label: one for one in Provenance}
    hits = search(desk.library, q.split(), provenance=labels.get(provenance)) if q.strip() else ()
    values = {"q": q, "provenance": provenance, "labels": list(labels), "hits": hits[:SHOWN], "count": len(hits)}
    return page(request, "evidence.html", values)


@router.get("/evidence/{figure_id:path}")
def get_figure(request: Request, desk: AtDesk, figure_id: str) -> Response:
    """One figure; beside a published accuracy what was counted here of the same test."""
    figure = desk.library.figure(figure_id)
    counts = figure.id.startswith(ACCURACY) and (desk.staff is None or desk.staff.may(GIVE))
    told = [one for one in local_evidence(desk) if figure.id in one.figures] if counts else []
    return page(request, "figure.html", {"figure": figure, "told": told, **words(desk)})
