"""Headers on every answer, asked for only under our own names, posts only from our own pages, nothing overlong."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from urllib.parse import urlsplit

from fastapi import Request, Response
from fastapi.responses import PlainTextResponse

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
}
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_BYTES = 1_000_000
"""No form or JSON body of ours comes near this."""


async def guard(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
    """Refuse foreign names, posts from elsewhere and bodies that are too long or of unknown length; add the headers."""
    answer: Response
    if _name(request) not in request.app.state.hosts:
        answer = PlainTextResponse("These pages are not served under that name.", status_code=400)
    elif request.method not in SAFE_METHODS and not _is_own(request):
        answer = PlainTextResponse("This request did not come from these pages.", status_code=403)
    elif request.method not in SAFE_METHODS and not _is_short(request):
        answer = PlainTextResponse("That is more than is taken in one go.", status_code=413)
    else:
        answer = await call_next(request)
    for name, value in HEADERS.items():
        if name == "Cache-Control" and request.url.path.startswith("/static/"):
            continue
        answer.headers.setdefault(name, value)
    return answer


def _name(request: Request) -> str:
    """The host that was asked for, without its port."""
    host = request.headers.get("host", "").lower()
    return host.rpartition(":")[0] if not host.endswith("]") and ":" in host else host


def _is_own(request: Request) -> bool:
    """A browser says where a post comes from; a program on this machine says nothing and is let in."""
    site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
    if site is not None:
        return site in {"same-origin", "none"}
    return origin is None or urlsplit(origin).netloc == request.headers.get("host")


def _is_short(request: Request) -> bool:
    length = request.headers.get("content-length", "")
    if not length:
        return "transfer-encoding" not in request.headers
    return length.isdecimal() and int(length) <= MOST_BYTES
