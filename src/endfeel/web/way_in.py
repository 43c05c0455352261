"""The door of a clinic: without a session nothing is shown. Without a clinic it stands open and asks nothing."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import Request, Response, WebSocket
from fastapi.responses import JSONResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Receive, Scope, Send

from endfeel import care
from endfeel.vocabulary import EndfeelError
from endfeel.web.errors import known
from endfeel.web.rendering import page, wants_fragment
from endfeel.web.security import SAFE_METHODS

STATE = ("/health", "/ready")
"""Whether the program is there and can work."""
OPEN = ("/sign-in", "/sign-in/passkey")
"""What is shown to anybody, beside /static/: nothing of it is about anybody."""
SECOND = "/sign-in/second"
OWN = "/me"
OUT = "/sign-out"
ASKED = "-asked"
NO_TOUCH = ("/mark", "/phone/now")
"""What pages ask by themselves does not keep a session alive."""


class Door:
    """Let in who is signed in, with a desk in their name; everybody else is shown the way in."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is no request, and who may come in."""
        answer = await _stopped(Request(scope, receive)) if scope["type"] == "http" else None
        await (answer or self._app)(scope, receive, send)


async def _stopped(request: Request) -> Response | None:
    """What is answered at the door; None for whoever may come in."""
    path = request.url.path
    if path.startswith("/static/") or path in STATE:
        return None
    try:
        request.state.clinic, here = await run_in_threadpool(_at_the_door, request, path)
    except EndfeelError as error:
        return await known(request, error)
    if not request.state.clinic or path in OPEN:
        return None
    if here is None:
        return await _way_in(request)
    request.state.here = here
    request.state.desk = care.desk_of(request.app.state.desk, here.staff)
    if here.is_whole or path == OUT or (path.startswith(OWN) and (here.second or not here.staff.has_second)):
        return None
    if path == SECOND and not here.second and here.staff.has_second:
        return None
    return _go(request, SECOND if here.staff.has_second and not here.second else OWN)


def _at_the_door(request: Request, path: str) -> tuple[bool, care.SignedIn | None]:
    """Whether anybody has to sign in here, and who is signed in."""
    if not care.clinic_is_on(request.app.state.desk):
        return False, None
    return True, None if path in OPEN else who_is(request, touch=not path.endswith(NO_TOUCH))


def who_is(asked: HTTPConnection, *, touch: bool = False) -> care.SignedIn | None:
    """Whose session a browser's cookie stands for."""
    desk: care.Desk = asked.app.state.desk
    return care.session_of(desk, asked.cookies.get(cookie_name(asked), ""), touch=touch)


def may_speak(socket: WebSocket) -> bool:
    """Whether a socket may be opened: in a clinic by who is signed in."""
    if not care.clinic_is_on(socket.app.state.desk):
        return True
    here = who_is(socket)
    return here is not None and here.is_whole


def cookie_name(asked: HTTPConnection) -> str:
    """Under TLS a name no other site of the domain can set."""
    return "__Host-endfeel" if is_secure(asked) else "endfeel"


def is_secure(asked: HTTPConnection) -> bool:
    """Whether the browser came by TLS."""
    return asked.url.scheme in ("https", "wss")


def give(request: Request, answer: Response, token: str, asked: str = "") -> Response:
    """Hand a browser its token: for this site's own requests alone, out of reach of scripts, gone with the browser.

    One that only waits for a passkey is `ASKED`: it takes nobody's session away.
    """
    answer.set_cookie(
        cookie_name(request) + asked, token, path="/", httponly=True, samesite="strict", secure=is_secure(request)
    )
    return answer


def place_of(request: Request) -> care.Place:
    """Where the pages are, as a passkey knows them."""
    return care.Place(request.url.hostname or "", f"{request.url.scheme}://{request.url.netloc}")


async def _way_in(request: Request) -> Response:
    says = "You are not signed in, or it was too long ago."
    path = request.url.path
    if wants_fragment(request):
        return JSONResponse({"errors": [says]}, 401, headers={"HX-Redirect": f"/sign-in?to={quote(_back(request))}"})
    if path.startswith(("/api/", "/fhir", "/openapi")) or path.endswith(".json") or "json" in _wanted(request):
        return JSONResponse({"errors": [says]}, 401)
    if request.method in SAFE_METHODS:
        return RedirectResponse(f"/sign-in?to={quote(_back(request))}", 303)
    form = await request.form()
    kept = [(name, value) for name, value in form.multi_items() if isinstance(value, str)]
    return page(request, "signed_out.html", {"kept": kept, "action": path}, 401)


def _wanted(request: Request) -> str:
    return request.headers.get("content-type", "") + request.headers.get("accept", "").split(",")[0]


def _back(request: Request) -> str:
    """Where somebody was who has to sign in: a page, never an act."""
    if request.method in SAFE_METHODS and not wants_fragment(request):
        return f"{request.url.path}?{request.url.query}" if request.url.query else request.url.path
    here = request.headers.get("hx-current-url", "/")
    return here.removeprefix(f"{request.url.scheme}://{request.url.netloc}") or "/"


def _go(request: Request, to: str) -> Response:
    if wants_fragment(request):
        return JSONResponse({"errors": ["Finish signing in first."]}, 401, headers={"HX-Redirect": to})
    if request.url.path.startswith(("/api/", "/fhir")):
        return JSONResponse({"errors": ["Finish signing in first."]}, 401)
    return RedirectResponse(to, 303)
