"""One's own sign-in: password, second factors, recovery codes, where one is signed in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

import segno
from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from endfeel import care
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web import way_in
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)


def _here(request: Request) -> care.SignedIn:
    here: care.SignedIn | None = getattr(request.state, "here", None)
    if here is None:
        raise NotFound("nobody signs in here: one therapist alone works without (docs/clinic.md)")
    return here


Here = Annotated[care.SignedIn, Depends(_here)]


@router.get("/me")
def get_own(request: Request, desk: AtDesk, here: Here) -> Response:
    return _show(request, desk, here)


@router.post("/me/password")
def post_password(request: Request, desk: AtDesk, here: Here, given: Fields) -> Response:
    """Another password; every other browser is out."""
    try:
        care.choose_password(desk, here, given.get("old", ""), given.get("new", ""), given.get("again", ""))
    except CannotRead as error:
        return _show(request, desk, here, by_field(error.faults), "Not changed: see below.", 422)
    return RedirectResponse("/me", 303)


@router.get("/me/generator")
def get_generator(request: Request, desk: AtDesk, here: Here) -> Response:
    """The code to scan, and the same in letters."""
    return _generator(request, desk, here)


@router.post("/me/generator")
def post_generator(request: Request, desk: AtDesk, here: Here, given: Fields) -> Response:
    try:
        codes = care.confirm_generator(desk, here, given.get("code", ""))
    except CannotRead as error:
        return _generator(request, desk, here, by_field(error.faults), 422)
    return _codes(request, codes) if codes else RedirectResponse("/me", 303)


def _generator(
    request: Request, desk: care.Desk, here: care.SignedIn, faults: Mapping[str, list[str]] | None = None,
    status: int = 200,
) -> Response:  # fmt: skip
    secret, address = care.begin_generator(desk, here)
    drawn: str = segno.make(address, error="m", micro=False).svg_inline(
        omitsize=True, dark="black", light="white", border=4
    )
    letters = " ".join(secret[k : k + 4] for k in range(0, len(secret), 4))
    values = {"qr": Markup(drawn), "letters": letters, "faults": faults or {}}  # noqa: S704 (drawn here)
    return page(request, "own_generator.html", values, status)


@router.post("/me/codes")
def post_codes(request: Request, desk: AtDesk, here: Here) -> Response:
    """Ten new codes for paper; shown once."""
    return _codes(request, care.new_codes(desk, here))


def _codes(request: Request, codes: tuple[str, ...]) -> Response:
    return page(request, "own_codes.html", {"codes": codes})


@router.get("/me/passkey")
def get_passkey(request: Request, desk: AtDesk, here: Here) -> Response:
    """What the browser is asked to make a passkey of."""
    return Response(care.begin_passkey(desk, here, way_in.place_of(request)), media_type="application/json")


@router.post("/me/passkey")
async def post_passkey(
    request: Request, desk: AtDesk, here: Here, name: Annotated[str, Query(max_length=80)] = ""
) -> Response:
    """Its public half; answers with the first recovery codes."""
    body = (await request.body()).decode("utf-8", "replace")
    try:
        codes = await run_in_threadpool(care.add_passkey, desk, here, way_in.place_of(request), body, name)
    except Refused as error:
        return JSONResponse({"errors": sentences(error)}, 409)
    return JSONResponse({"codes": codes})


@router.post("/me/passkey/remove")
def post_remove(desk: AtDesk, here: Here, given: Fields) -> Response:
    care.remove_passkey(desk, here, given.get("key", ""))
    return RedirectResponse("/me", 303)


@router.post("/me/places")
def post_places(desk: AtDesk, here: Here, given: Fields) -> Response:
    """Sign out one other browser, or all."""
    care.end_places(desk, here, given.get("place", ""))
    return RedirectResponse("/me", 303)


def _show(
    request: Request, desk: care.Desk, here: care.SignedIn, faults: Mapping[str, list[str]] | None = None,
    said: str = "", status: int = 200,
) -> Response:  # fmt: skip
    values: dict[str, Any] = {
        "own": care.view_own(desk, here),
        "whole": here.is_whole,
        "can_passkey": not _is_number(request.url.hostname or ""),
        "faults": faults or {},
        "said": said,
        "alarm": bool(said),
    }
    return page(request, "own_sign_in.html", values, status)


def _is_number(host: str) -> bool:
    """Passkeys belong to a name, never to a bare network address."""
    return ":" in host or host.replace(".", "").isdecimal()
