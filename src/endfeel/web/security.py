"""Headers on every answer, asked for only under our own names, posts only from our own pages, nothing overlong, not too
often from one address."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import NamedTuple

from fastapi import Request, Response
from fastapi.responses import PlainTextResponse

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


async def guard(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
    """Refuse foreign names, posts from elsewhere, too much, and bodies that are too long or of unknown length; add the
    headers."""
    refusal = _refusal(request)
    if refusal:
        counts: Counts | None = getattr(request.app.state, "counts", None)
        if counts:
            counts.refused.labels(refusal.why).inc()
        answer: Response = PlainTextResponse(refusal.said, status_code=refusal.status)
        if refusal is TOO_OFTEN:
            answer.headers["Retry-After"] = str(AGAIN_SECONDS)
    else:
        answer = await call_next(request)
    for name, value in HEADERS.items():
        if name == "Cache-Control" and request.url.path.startswith("/static/"):
            continue
        answer.headers.setdefault(name, value)
    if request.url.scheme == "https":
        answer.headers.setdefault("Strict-Transport-Security", ONLY_ENCRYPTED)
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
