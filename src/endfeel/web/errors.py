"""One table from what went wrong to a status and a calm page."""

from __future__ import annotations

import logging
import re
import uuid
from dataclasses import asdict
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from endfeel.vocabulary import CannotRead, EndfeelError, Fault, NotAllowed, NotFound, Refused
from endfeel.web.fhir_answers import PREFIX, NotAcceptable, fhir_fault
from endfeel.web.plain import capital, in_plain_words
from endfeel.web.rendering import page, wants_fragment, words
from endfeel.web.security import HEADERS

STATUS: dict[type[Exception], int] = {
    CannotRead: 422,
    NotFound: 404,
    NotAllowed: 403,
    Refused: 409,
    NotAcceptable: 406,
    EndfeelError: 503,
}
"""Errors the program raises on purpose; anything else is a bug and gets a reference."""
_HTTP = {
    404: "There is no such page.",
    405: "This cannot be done at this address.",
    413: "That is more than is taken in one go.",
}

_WOULD_DO = {"minutes": "; a number of minutes from 1 to 240 would do"}

log = logging.getLogger("endfeel.web")


def install(app: FastAPI) -> None:
    """Give every error its page, or its JSON where JSON was asked for."""
    for kind in STATUS:
        app.add_exception_handler(kind, known)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _bug)


def install_json(app: FastAPI) -> None:
    """The same table for an application without pages: every error as JSON."""
    for kind in STATUS:
        app.add_exception_handler(kind, _known_json)
    app.add_exception_handler(RequestValidationError, _not_understood_json)


async def _known_json(_: Request, error: Exception) -> Response:
    return JSONResponse({"errors": sentences(error)}, status_code=status_of(error))


async def _not_understood_json(_: Request, error: Exception) -> Response:  # noqa: ARG001 (what was sent is not told back)
    return JSONResponse({"errors": ["This could not be read."]}, status_code=422)


def status_of(error: Exception) -> int:
    """The status of an error by its family."""
    return next((status for kind, status in STATUS.items() if isinstance(error, kind)), 500)


def sentences(error: Exception) -> list[str]:
    """What to tell the person in front of the page."""
    told = [fault.sentence() for fault in error.faults] if isinstance(error, CannotRead) else [capital(str(error))]
    return [in_plain_words(one) for one in told]


async def known(request: Request, error: Exception) -> Response:
    """The answer to an error the program raises on purpose."""
    faults = error.faults if isinstance(error, CannotRead) else ()
    return _answer(request, status_of(error), sentences(error), faults)


async def _not_understood(request: Request, error: Exception) -> Response:
    found = error.errors() if isinstance(error, RequestValidationError) else ()
    faults = tuple(
        Fault(one["msg"], "" if one.get("input") is None else str(one["input"])[:80], field=_place(one["loc"]))
        for one in found
    )
    said = [f"{fault.field}: {fault.sentence()}" for fault in faults]
    if not request.url.path.startswith("/api/"):
        said = [f"{capital(words(one.field))} cannot be “{one.read}”{_WOULD_DO.get(one.field, '')}." for one in faults]
    return _answer(request, 422, said, faults)


async def _http(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    return _answer(request, status, [_HTTP.get(status, "This cannot be done here.")])


async def _bug(request: Request, error: Exception) -> Response:
    reference = uuid.uuid4().hex[:8]
    log.error("unexpected error, reference %s", reference, exc_info=error)
    said = f"Something went wrong on our side. What was recorded before is kept. Reference {reference}."
    answer = _answer(request, 500, [said])
    answer.headers.update(HEADERS)
    return answer


def _answer(request: Request, status: int, said: list[str], faults: tuple[Fault, ...] = ()) -> Response:
    if request.url.path.startswith(PREFIX):
        return fhir_fault(said, status)
    if request.url.path.startswith("/api/"):
        told: dict[str, Any] = {"errors": said, "faults": [asdict(fault) for fault in faults]}
        return JSONResponse(told, status_code=status)
    if wants_fragment(request):
        kept_in_place = {"HX-Retarget": "#said", "HX-Reswap": "innerHTML"}
        return page(request, "_said.html", {"said": " ".join(said), "alarm": True}, status, kept_in_place)
    found = re.match(r"/visits/[\w-]+(?=/|$)", request.url.path)
    back = found[0] if found and status != STATUS[NotFound] else ""
    values = {"told": said, "status": status, "visit_address": back if status != STATUS[NotAllowed] else ""}
    return page(request, "error.html", values, status)


def _place(loc: tuple[Any, ...]) -> str:
    return ".".join(str(part) for part in loc if part not in ("body", "query", "path")) or "body"
