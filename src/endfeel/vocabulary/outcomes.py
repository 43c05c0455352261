"""What a person answered to an outcome measure: the items or a total, when, for whom, by which form."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Answering(StrEnum):
    """Who gave the answers."""

    PERSON = "person"
    READ_ALOUD = "read_aloud"
    PROXY = "proxy"
    CLINICIAN = "clinician"


class Occasion(StrEnum):
    """What a single number is about: which pain, or change since when."""

    REST = "rest"
    MOVEMENT = "movement"
    NIGHT = "night"
    WORST = "worst"
    USUAL = "usual"
    SINCE_START = "since_start"
    SINCE_LAST = "since_last"


ANSWERING_WORDS = {
    Answering.PERSON: "by the person alone",
    Answering.READ_ALOUD: "by the person, read aloud",
    Answering.PROXY: "by somebody for the person",
    Answering.CLINICIAN: "by the clinician",
}
OCCASION_WORDS = {
    Occasion.REST: "at rest",
    Occasion.MOVEMENT: "on movement",
    Occasion.NIGHT: "at night",
    Occasion.WORST: "at its worst",
    Occasion.USUAL: "as usual",
    Occasion.SINCE_START: "since the first visit",
    Occasion.SINCE_LAST: "since the last visit",
}
OCCASIONS: dict[str, tuple[Occasion, ...]] = {
    "nprs": (Occasion.REST, Occasion.MOVEMENT, Occasion.NIGHT, Occasion.WORST, Occasion.USUAL),
    "groc": (Occasion.SINCE_START, Occasion.SINCE_LAST),
    "groc_11": (Occasion.SINCE_START, Occasion.SINCE_LAST),
}
"""Forms of a single number that must say what it is about."""
TRANSITIONS = ("groc", "groc_11")
"""Ratings that are themselves a change: shown and never set against their own first value."""
WITH_ACTIVITIES = "psfs"
"""The form whose items are activities in the person's own words."""
Series = tuple[str, Occasion | None, str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class OutcomeAnswer:
    """One filled-in outcome measure. A form holds its items, or a total that was scored elsewhere; never both."""

    measure: str
    """Id of the form: two totals of one measure are two forms."""
    answered_on: date
    answers: tuple[float | None, ...] = ()
    """In item order; None for an item left blank."""
    total: float | None = None
    occasion: Occasion | None = None
    activities: tuple[str, ...] = ()
    """In the person's words, one an item, for the form that asks for them."""
    answering: Answering = Answering.PERSON
    instrument: str = ""
    """By what it was measured or in which form it was answered, where that matters; empty when not stated."""
    note: str = ""

    @property
    def series(self) -> Series:
        """What two answers must have in common to stand on one line."""
        names = tuple(sorted(" ".join(one.casefold().split()) for one in self.activities))
        return self.measure, self.occasion, " ".join(self.instrument.casefold().split()), names

    @property
    def answered(self) -> int:
        """How many items were answered."""
        return sum(one is not None for one in self.answers)


def answer_words(answer: OutcomeAnswer) -> str:
    """`spadi 4 - 5`, `dash total 40`, `nprs at rest 3`: form, what it is about, answers in item order."""
    told = (
        answer.measure,
        OCCASION_WORDS[answer.occasion] if answer.occasion else "",
        f"total {answer.total:g}" if answer.total is not None else "",
        " ".join("-" if one is None else f"{one:g}" for one in answer.answers),
        f"({'; '.join(answer.activities)})" if answer.activities else "",
        f"by {answer.instrument}" if answer.instrument else "",
    )
    return " ".join(one for one in told if one)
