"""Many episodes counted together, protected; nothing is counted before somebody asks for it."""

from __future__ import annotations

from threading import Thread
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from markupsafe import Markup

from endfeel.care.caseload import how_many_agree, view_caseload
from endfeel.caseload.charts import run_picture, run_words, waiting_picture, waiting_words
from endfeel.caseload.questions import write_out
from endfeel.caseload.report import fewest_people, names_of
from endfeel.vocabulary import CannotRead
from endfeel.web.errors import sentences
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
PAIRS_SHOWN, TESTS_SHOWN = 15, 30
SECONDS = 1.0
"""Worked out for so long before the page says how far it is and asks again."""


@router.get("/caseload")
def get_caseload(
    request: Request, desk: AtDesk, now: str = "", tests: str = "", fewest: Annotated[str, Query(max_length=9)] = "",
    on: str = "",
) -> Response:  # fmt: skip
    """What is counted and of whom; with `now` the count itself, with `tests` which tests changed the choice too; with
    `on` it goes on."""
    if not now:
        Thread(target=write_out, daemon=True).start()
    values: dict[str, Any] = {
        "view": None, "faults": [], "given": fewest, "stated": fewest_people(desk.library),
        "names": names_of(desk.library),
        "said": "",
        "pairs_shown": PAIRS_SHOWN, "tests_shown": TESTS_SHOWN,
        "run_picture": lambda one: Markup(run_picture(one)),  # noqa: S704 - drawn by us, every word of it escaped
        "waiting_picture": lambda name, one: Markup(waiting_picture(name, one)),  # noqa: S704
        "run_words": run_words, "waiting_words": waiting_words,
    }  # fmt: skip
    try:
        if now:
            if fewest and not fewest.isdecimal():
                raise CannotRead([])
            values["view"] = view_caseload(
                desk, fewest=int(fewest) if fewest else None, seconds=SECONDS, tests=bool(tests), goes_on=bool(on)
            )
    except CannotRead as error:
        values["faults"] = sentences(error) or [f"A number of people is wanted, {values['stated']} or more."]
    values["agreed"] = values["view"].agree if values["view"] else how_many_agree(desk)
    shown = page(request, "caseload.html", values, 422 if values["faults"] else 200)
    if values["view"] and values["view"].left:
        asked = {
            "now": "yes",
            "on": "yes",
            **({"tests": "yes"} if tests else {}),
            **({"fewest": fewest} if fewest else {}),
        }
        shown.headers["Refresh"] = f"0; url=/caseload?{urlencode(asked)}"
    return shown
