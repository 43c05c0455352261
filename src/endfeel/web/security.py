"""Headers on every answer, asked for only under our own names, posts only from our own pages, nothing overlong, not too
often from one address."""

from __future__ import annotations

from typing import NamedTuple

from fastapi import Request, Response
from fastapi.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from endfeel.web.rates import Rates
from endfeel.web.watch import Counts

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; font-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
    "Permissions-Policy": "camera=(), geolocation=(), payment=(), usb=(), microphone=(self)",
}
ONLY_ENCRYPTED = "max-age=31536000"
"""Said on every encrypted answer: a browser asks for this name encrypted alone, for a year (RFC 6797)."""
_ADDED = [(name.lower().encode(), value.encode()) for name, value in HEADERS.items()]
_ENCRYPTED = [*_ADDED, (b"strict-transport-security", ONLY_ENCRYPTED.encode())]
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_BYTES = 1_000_000
"""No form or JSON body of ours comes near this."""


class Refusal(NamedTuple):
    """Why a request is answered before any page sees it."""

    why: str
    status: int
    said: str


FOREIGN_NAME = Refusal("foreign name", 400, "These pages are not served under that name.")
FROM_ELSEWHERE = Refusal("from elsewhere", 403, "This request did not come from these pages.")
TOO_LONG = Refusal("too long", 413, "That is more than is taken in one go.")
TOO_OFTEN = Refusal("too often", 429, "That is too much in one minute. Nothing is lost; it goes on in a moment.")
AGAIN_SECONDS = 10


class Guard:
    """Refuse foreign names, posts from elsewhere, too much, and bodies that are too long or of unknown length; add the
    headers."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is no request, and what may go on; answer the rest."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        added = _ENCRYPTED if request.url.scheme == "https" else _ADDED
        kept = {b"cache-control"} if request.url.path.startswith("/static/") else frozenset[bytes]()

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                there = kept.union(name.lower() for name, _ in message["headers"])
                more = [one for one in added if one[0] not in there]
                message = {**message, "headers": [*message["headers"], *more]}
            await send(message)

        refusal = _refusal(request)
        await (_refused(request, refusal) if refusal else self._app)(scope, receive, sending)


def _refused(request: Request, refusal: Refusal) -> Response:
    counts: Counts | None = getattr(request.app.state, "counts", None)
    if counts:
        counts.refused.labels(refusal.why).inc()
    answer = PlainTextResponse(refusal.said, status_code=refusal.status)
    if refusal is TOO_OFTEN:
        answer.headers["Retry-After"] = str(AGAIN_SECONDS)
    return answer


def _refusal(request: Request) -> Refusal | None:
    changes = request.method not in SAFE_METHODS
    rates: Rates | None = getattr(request.app.state, "rates", None)
    if _name(request) not in request.app.state.hosts:
        return FOREIGN_NAME
    if changes and not _is_own(request):
        return FROM_ELSEWHERE
    if rates and not rates.allow(request, changes=changes):
        return TOO_OFTEN
    return TOO_LONG if changes and not _is_short(request) else None


def _name(request: Request) -> str:
    """The host that was asked for, without its port."""
    host = request.headers.get("host", "").lower()
    return host.rpartition(":")[0] if not host.endswith("]") and ":" in host else host


def _is_own(request: Request) -> bool:
    """A browser says where a post comes from; a program on this machine says nothing and is let in."""
    site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
    if site is not None:
        return site in {"same-origin", "none"}
    return origin is None or origin == f"{request.url.scheme}://{request.headers.get('host')}"


def _is_short(request: Request) -> bool:
    length = request.headers.get("content-length", "")
    if not length:
        return "transfer-encoding" not in request.headers
    return length.isdecimal() and int(length) <= MOST_BYTES
