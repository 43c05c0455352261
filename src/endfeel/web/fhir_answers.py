"""Answers under /fhir: the media type of the standard, and faults as the standard tells them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from fastapi.responses import Response

from endfeel.exchange.conformance import MEDIA_TYPE, operation_outcome
from endfeel.vocabulary import EndfeelError

PREFIX = "/fhir/"
BAD_REQUEST = 400


class NotAcceptable(EndfeelError):  # noqa: N818 (reads as a sentence)
    """Asked for in a form that is not written here."""


class FhirResponse(Response):
    """A resource as JSON."""

    media_type = MEDIA_TYPE

    def render(self, content: Any) -> bytes:
        return json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode()


def fhir_fault(told: Iterable[str], status: int) -> FhirResponse:
    """What went wrong. What could not be read is a bad request there, not a form to fill in again."""
    status = BAD_REQUEST if status == 422 else status
    return FhirResponse(operation_outcome(told, status), status_code=status)
