"""What turned out to be so in an episode: told, taken back; and tests against it, beside the published figures."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from endfeel import care
from endfeel.care import outcomes
from endfeel.measurement.answer_checks import local_day
from endfeel.vocabulary import CannotRead, Fault, Side
from endfeel.vocabulary.confirmed import REFERENCE_WORDS, ConfirmedOutcome, Reference
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/episodes/{episode_id}/outcomes")
def get_outcomes(request: Request, desk: AtDesk, episode_id: str) -> Response:
    """What stands, and the form for one more."""
    return _page(request, desk, episode_id)


@router.post("/episodes/{episode_id}/outcomes")
def post_outcome(request: Request, desk: AtDesk, episode_id: str, given: Fields) -> Response:
    """One more; faults go back beside their fields."""
    try:
        outcomes.record_outcome(desk, episode_id, _read(given), given.get("outcome_id") or None)
    except CannotRead as error:
        return _page(request, desk, episode_id, error.faults, given, 422)
    return RedirectResponse(f"/episodes/{episode_id}/outcomes", status_code=303)


@router.post("/episodes/{episode_id}/outcomes/{outcome_id}/take-back")
def post_take_back(request: Request, desk: AtDesk, episode_id: str, outcome_id: str, given: Fields) -> Response:
    """Taken back; it stays on record."""
    try:
        outcomes.take_back_outcome(desk, episode_id, outcome_id, given.get("back_by", ""))
    except CannotRead as error:
        faults = [Fault(one.message, one.read, one.would_do, field=f"back_by-{outcome_id}") for one in error.faults]
        return _page(request, desk, episode_id, faults, given, 422)
    return RedirectResponse(f"/episodes/{episode_id}/outcomes", status_code=303)


def _read(given: dict[str, str]) -> ConfirmedOutcome:
    faults = []
    if given.get("confirmed") not in ("yes", "no"):
        faults.append(Fault("confirmed or ruled out", given.get("confirmed", ""), "one of the two", field="confirmed"))
    if given.get("reference") not in list(Reference):
        faults.append(Fault("say by what", given.get("reference", ""), "one of the list", field="reference"))
    try:
        day = date.fromisoformat(given.get("known_on", ""))
    except ValueError:
        day = None
        faults.append(Fault("not a day", given.get("known_on", ""), "a day, as 2026-03-02", field="known_on"))
    if faults or day is None:
        raise CannotRead(faults)
    side = given.get("side", "")
    return ConfirmedOutcome(
        given.get("contributor", ""), Side(side) if side in list(Side) else None, given["confirmed"] == "yes",
        Reference(given["reference"]), day, given.get("words", ""), given.get("by", ""),
    )  # fmt: skip


def _page(
    request: Request,
    desk: care.Desk,
    episode_id: str,
    faults: Iterable[Fault] = (),
    given: dict[str, str] | None = None,
    status: int = 200,
) -> Response:
    names = {one.id: one.name for one in desk.model.contributors}
    values = {
        "episode_id": episode_id,
        "label": outcomes.label_of_episode(desk, episode_id),
        "kept": outcomes.outcomes_of(desk, episode_id),
        "names": dict(sorted(names.items(), key=lambda pair: pair[1])),
        "references": [(str(key), words) for key, words in REFERENCE_WORDS.items()],
        "reference_words": REFERENCE_WORDS,
        "today": local_day(desk.clock()).isoformat(),
        "outcome_id": care.new_id(),
        "faults": by_field(tuple(faults)),
        "given": given or {},
        "said": "",
    }
    return page(request, "outcomes.html", values, status)
