"""Tests against what turned out here, counts to and from other sites, and what they would change for one person."""

from __future__ import annotations

import json
from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.care import outcomes
from endfeel.caseload.report import fewest_people, names_of
from endfeel.vocabulary import CannotRead
from endfeel.vocabulary.confirmed import REFERENCE_WORDS
from endfeel.web.errors import sentences
from endfeel.web.pages.desk import AtDesk, Fields, FieldsOrFile
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
TESTS_SHOWN = 6


@router.get("/evidence/here")
def get_here(request: Request, desk: AtDesk) -> Response:
    """Tests against what turned out in these records, beside the published figures; and other sites."""
    return _show(request, desk, {})


@router.post("/evidence/here/send")
def post_send(request: Request, desk: AtDesk, given: Fields) -> Response:
    """The file for other sites: counts, never people."""
    try:
        made = outcomes.counts_to_share(desk, given.get("site", "").strip())
    except CannotRead as error:
        return _show(request, desk, given, {"site": sentences(error)})
    name = f"counts-{made.document['site']}-{made.document['counted_until']}.json"
    return Response(
        json.dumps(made.document, indent=1) + "\n",
        media_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@router.post("/evidence/here/sites")
def post_site(request: Request, desk: AtDesk, given: FieldsOrFile) -> Response:
    """Keep what another site sent."""
    try:
        if not given.get("text", "").strip():
            return _show(request, desk, given, {"file": ["Choose the file another site sent."]})
        outcomes.take_counts(desk, given["text"], given.get("file", ""))
    except CannotRead as error:
        return _show(request, desk, given, {"file": sentences(error)})
    return RedirectResponse("/evidence/here#sites", status_code=303)


@router.post("/evidence/here/sites/{site}/remove")
def post_remove(desk: AtDesk, site: str) -> Response:
    """Keep nothing of a site any longer."""
    outcomes.remove_counts(desk, site)
    return RedirectResponse("/evidence/here#sites", status_code=303)


@router.get("/visits/{visit_id}/local")
def get_local(request: Request, desk: AtDesk, visit_id: str) -> Response:
    """This person with the published figures, and beside that with what was counted."""
    view = care.view_visit(desk, visit_id)
    told = outcomes.figures_for(desk, view.assessment.case, view.person_id)
    own_hands = view.assessment.posterior.model is not desk.model
    values = {"view": view, "told": told, "own_hands": own_hands, "tests_shown": TESTS_SHOWN, **words(desk)}
    return page(request, "local.html", values)


def words(desk: care.Desk) -> dict[str, object]:
    """What the macros of these pages need."""
    return {"names": names_of(desk.library), "reference_words": REFERENCE_WORDS, "figure_of": desk.library.figure}


def _show(
    request: Request, desk: care.Desk, given: Mapping[str, str], faults: Mapping[str, list[str]] | None = None
) -> Response:  # fmt: skip
    told = outcomes.local_and_sites(desk)
    own = next((one for one in told.sites if one.own), None)
    values = {
        "told": told.here, "merged": told.merged, "given": given,
        "faults": faults or {}, "others": [one for one in told.sites if not one.own], "own": own,
        "fewest": fewest_people(desk.library, None, "shared_fewest"), "said": "",
        "tests_shown": TESTS_SHOWN, **words(desk),
    }  # fmt: skip
    return page(request, "here.html", values, 422 if faults else 200)
