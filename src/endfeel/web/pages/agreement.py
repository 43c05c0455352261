"""Agreement between examiners: paste ratings or choose a file; every coefficient with its intervals, the picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel.care import Desk, hands
from endfeel.caseload.report import names_of
from endfeel.inference.examiner import ONLY_KAPPA, OUTCOMES
from endfeel.measurement.agreement import Agreement, Ratings, agreement, read_ratings
from endfeel.measurement.kappa import Coefficient
from endfeel.measurement.sample_size import people_for_icc, people_for_kappa, people_for_limits
from endfeel.pictures.difference_plot import difference_plot
from endfeel.vocabulary import CannotRead
from endfeel.web.errors import sentences
from endfeel.web.pages.desk import AtDesk, Fields, FieldsOrFile
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
MOST_PAIRS = 10
KINDS = (("", "as it looks"), ("nominal", "words or yes and no"), ("ordinal", "grades in order"),
         ("continuous", "measurements"))  # fmt: skip


@router.get("/agreement")
def get_agreement(request: Request, desk: AtDesk) -> Response:
    return _show(request, desk, {})


@router.post("/agreement")
def post_agreement(request: Request, desk: AtDesk, given: FieldsOrFile) -> Response:
    """Nothing is kept: the table is read, reckoned and forgotten."""
    return _show(request, desk, given)


@router.post("/agreement/people")
def post_people(request: Request, desk: AtDesk, given: Fields) -> Response:
    """How many people are needed."""
    return _show(request, desk, given, needed=_needed(given))


@router.post("/agreement/hands")
def post_hands(request: Request, desk: AtDesk, given: Fields) -> Response:
    """Keep one examiner's agreement as one's own: what one finds is read with it from then on."""
    try:
        hands.keep_own_hands(
            desk, _read(given), given.get("examiner", ""), given.get("procedure", ""), given.get("outcome", "")
        )
    except CannotRead as error:
        return _show(request, desk, given, own_faults=sentences(error))
    return RedirectResponse("/agreement#own", status_code=303)


@router.post("/agreement/hands/remove")
def post_remove(desk: AtDesk) -> Response:
    """Read with the usual hands again."""
    hands.remove_own_hands(desk)
    return RedirectResponse("/agreement#own", status_code=303)


def _read(given: Mapping[str, str]) -> Ratings:
    order = [one.strip() for one in given.get("order", "").split(",") if one.strip()]
    return read_ratings(_commas(given.get("text", "")), kind=given.get("kind") or None, order=order)


def _show(
    request: Request, desk: Desk, given: Mapping[str, str], needed: str = "", own_faults: Sequence[str] = ()
) -> Response:  # fmt: skip
    faults: list[str] = []
    result: Agreement | None = None
    if given.get("text", "").strip():
        try:
            result = agreement(_read(given))
        except CannotRead as error:
            faults = sentences(error)
    elif "text" in given:
        faults = ["Nothing was pasted and no file was chosen."]
    values: dict[str, Any] = {
        "given": given,
        "faults": faults,
        "result": result,
        "kinds": KINDS,
        "pairs": list(islice(result.pairs, MOST_PAIRS)) if result else [],
        "pictures": _pictures(result, given.get("unit", "")) if result else [],
        "shown": shown,
        "ends": ends,
        "needed": needed,
        "own": hands.own_hands(desk),
        "own_faults": own_faults,
        "procedures": sorted(((one.id, one.name) for one in desk.library.catalogue), key=lambda one: one[1]),
        "outcomes": [one for one in OUTCOMES if one != ONLY_KAPPA],
        "names": names_of(desk.library),
        "said": "",
    }
    return page(request, "agreement.html", values, 422 if faults or own_faults else 200)


def _commas(text: str) -> str:
    """Tabs and semicolons, as a spreadsheet gives them, as commas."""
    first = text.strip().split("\n", 1)[0]
    for sign in ("\t", ";"):
        if sign in first:
            return text.replace(",", ".").replace(sign, ",")
    return text


def _pictures(result: Agreement, unit: str) -> list[Markup]:
    """The limits of agreement of the first pairs."""
    made = []
    columns = list(zip(*result.ratings.rows, strict=True))
    for pair in islice(result.pairs, MOST_PAIRS):
        if pair.limits is None:
            continue
        first, second = (
            [float(one) for one in columns[result.ratings.raters.index(name)]] for name in (pair.first, pair.second)
        )
        made.append(Markup(difference_plot(first, second, (pair.first, pair.second), pair.limits, unit)))  # noqa: S704
    return made


def shown(one: Coefficient, digits: int = 2) -> str:
    """A value, or that there is none."""
    return "not defined" if one.value != one.value else f"{one.value:.{digits}f}"


def ends(one: Coefficient, digits: int = 2) -> str:
    """Its interval; a dash where there is none."""
    return "–" if one.low != one.low or one.high != one.high else f"{one.low:.{digits}f} to {one.high:.{digits}f}"


def _needed(given: Mapping[str, str]) -> str:
    """The answer in a sentence, or what was wrong."""
    try:
        kind = given.get("for", "")
        reach = float(given.get("reach", "").replace(",", "."))
        if kind == "limits":
            return f"{people_for_limits(reach)} people, for limits of agreement known to {reach:g} SD either way."
        value, other = (float(given.get(name, "").replace(",", ".")) for name in ("value", "other"))
        if kind == "icc":
            return f"{people_for_icc(value, int(other), reach)} people, for an ICC of {value:g} known to {reach:g}."
        people = people_for_kappa(value, other, reach)
        return f"{people} people, for kappa {value:g} at a prevalence of {other:g}, known to {reach:g} either way."
    except ValueError as error:
        return f"Cannot be reckoned: {error}."
