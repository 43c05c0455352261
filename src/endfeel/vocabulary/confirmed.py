"""What turned out to be so: an outcome confirmed by something other than the hands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from endfeel.vocabulary.terms import Side


class Reference(StrEnum):
    """By what it was confirmed or ruled out."""

    IMAGING = "imaging"
    BLOCK = "block"
    SURGERY = "surgery"
    RESPONSE = "response"


REFERENCE_WORDS: Mapping[Reference, str] = {
    Reference.IMAGING: "imaging",
    Reference.BLOCK: "diagnostic block",
    Reference.SURGERY: "seen at surgery",
    Reference.RESPONSE: "response to the treatment aimed at it",
}


@dataclass(frozen=True, slots=True)
class ConfirmedOutcome:
    """A contributor that was confirmed or ruled out in an episode."""

    contributor: str
    side: Side | None
    confirmed: bool
    """False: ruled out."""
    reference: Reference
    known_on: date
    words: str = ""
    by: str = ""
    """Who recorded it."""
