"""Signing in: name and password, then the second factor; or a passkey, which is both."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from endfeel import care
from endfeel.vocabulary import NotFound, Refused
from endfeel.web import way_in
from endfeel.web.errors import sentences
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
AT_MOST = RateLimitItemPerMinute(30, 5)
"""Tries of one address in five minutes: a clinic behind one address signs in within it, a guesser does not get far."""
_TRIES = MovingWindowRateLimiter(MemoryStorage())
TOO_MANY = "Too many tries from here. Wait five minutes."
Where = Annotated[str, Query(max_length=2000)]


@router.get("/sign-in")
def get_sign_in(request: Request, to: Where = "/") -> Response:
    """The way in; without a clinic there is none."""
    _of_a_clinic(request)
    return _show(request, to)


@router.post("/sign-in")
def post_sign_in(
    request: Request, name: Annotated[str, Form(max_length=200)] = "",
    password: Annotated[str, Form(max_length=2000)] = "", to: Annotated[str, Form(max_length=2000)] = "/",
) -> Response:  # fmt: skip
    """Name and password; the answer never says which of them was wrong."""
    _of_a_clinic(request)
    if not _may_try(request):
        return _show(request, to, TOO_MANY, name, 429)
    try:
        token = care.sign_in(request.app.state.desk, name, password, _browser(request))
    except Refused as error:
        return _show(request, to, sentences(error)[0], name, 401)
    after = RedirectResponse(f"{way_in.SECOND}?{_query(to)}", 303)
    return way_in.give(request, after, token)


@router.get("/sign-in/second")
def get_second(request: Request, to: Where = "/") -> Response:
    """A code of the generator, or one from paper."""
    here: care.SignedIn | None = getattr(request.state, "here", None)
    if here is None:
        raise NotFound("there is no such page")
    return page(request, "sign_in_second.html", {"to": to, "fault": "", "staff": here.staff})


@router.post("/sign-in/second")
def post_second(
    request: Request, code: Annotated[str, Form(max_length=40)] = "", to: Annotated[str, Form(max_length=2000)] = "/"
) -> Response:
    here: care.SignedIn | None = getattr(request.state, "here", None)
    if here is None:
        raise NotFound("there is no such page")
    shown: dict[str, Any] = {"to": to, "staff": here.staff}
    if not _may_try(request):
        return page(request, "sign_in_second.html", {**shown, "fault": TOO_MANY}, 429)
    try:
        half = request.cookies.get(way_in.cookie_name(request), "")
        token = care.give_code(request.app.state.desk, half, code, _browser(request))
    except Refused as error:
        return page(request, "sign_in_second.html", {**shown, "fault": sentences(error)[0]}, 401)
    return way_in.give(request, RedirectResponse(own_page(to), 303), token)


@router.get("/sign-in/passkey")
def get_passkey(request: Request) -> Response:
    """What the browser asks a passkey."""
    _of_a_clinic(request)
    if not _may_try(request):
        return JSONResponse({"errors": [TOO_MANY]}, 429)
    token, asked = care.ask_passkey(request.app.state.desk, way_in.place_of(request), _browser(request))
    return way_in.give(request, Response(asked, media_type="application/json"), token, way_in.ASKED)


@router.post("/sign-in/passkey")
async def post_passkey(request: Request) -> Response:
    """What the passkey answers."""
    _of_a_clinic(request)
    from starlette.concurrency import run_in_threadpool

    body = (await request.body()).decode("utf-8", "replace")
    if not _may_try(request):
        return JSONResponse({"errors": [TOO_MANY]}, 429)
    token = request.cookies.get(way_in.cookie_name(request) + way_in.ASKED, "")
    told = request.app.state.desk, token, way_in.place_of(request), body, _browser(request)
    try:
        made = await run_in_threadpool(care.answer_passkey, *told)
    except Refused as error:
        return JSONResponse({"errors": sentences(error)}, 401)
    return way_in.give(request, JSONResponse({"signed_in": True}), made)


@router.post("/sign-out")
def post_sign_out(request: Request) -> Response:
    """This browser is out."""
    care.sign_out(request.app.state.desk, request.cookies.get(way_in.cookie_name(request), ""))
    answer = RedirectResponse("/sign-in" if getattr(request.state, "clinic", False) else "/", 303)
    answer.delete_cookie(way_in.cookie_name(request), path="/", secure=way_in.is_secure(request), httponly=True,
                         samesite="strict")  # fmt: skip
    return answer


def own_page(to: str) -> str:
    """A page of ours, whatever a link said."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\", "/sign-")) else "/"


def _query(to: str) -> str:
    from urllib.parse import urlencode

    return urlencode({"to": own_page(to)})


def _of_a_clinic(request: Request) -> None:
    if not getattr(request.state, "clinic", False):
        raise NotFound("nobody signs in here: one therapist alone works without (docs/clinic.md)")


def _may_try(request: Request) -> bool:
    return _TRIES.hit(AT_MOST, request.client.host if request.client else "")


def _browser(request: Request) -> str:
    return request.headers.get("user-agent", "")[:200]


def _show(request: Request, to: str, fault: str = "", name: str = "", status: int = 200) -> Response:
    return page(request, "sign_in.html", {"to": own_page(to), "fault": fault, "name": name}, status)
