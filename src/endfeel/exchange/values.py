"""What is handed over about one person, as plain values: what was told, what was found, what was signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from endfeel.vocabulary import Complaint, Finding, Person, Treatment
from endfeel.vocabulary.outcomes import Answering, Occasion


@dataclass(frozen=True, slots=True)
class Recorded:
    """One entry of a visit that stands."""

    id: str
    kind: str
    """`finding`, `retest` or `treatment`."""
    at: datetime
    finding: Finding | None = None
    treatment: Treatment | None = None


@dataclass(frozen=True, slots=True)
class SafetyTold:
    """The verdict on what was recorded in a visit."""

    urgency: str
    words: str
    action: str
    raised: tuple[str, ...] = ()
    overridden: str = ""
    """By whom and why, when it was."""


@dataclass(frozen=True, slots=True)
class Measured:
    """An answered outcome measure."""

    id: str
    measure: str
    name: str
    answered_on: date
    total: float | None
    answers: tuple[float | None, ...] = ()
    """In item order; None for an item left blank."""
    labels: tuple[str, ...] = ()
    """Of the items; their numbers where the wording is not ours to hand on."""
    words: str = ""
    """The note to it."""
    occasion: Occasion | None = None
    """Which pain, or change since when."""
    answering: Answering = Answering.PERSON
    instrument: str = ""
    no_score: str = ""
    """Why there is no total; empty when there is one."""


@dataclass(frozen=True, slots=True)
class Signed:
    """A signed note, letter or sheet with what was added to it, rendered."""

    id: str
    by: str
    at: datetime
    text: str
    pdf: bytes
    release: str
    program: str
    kind: str = "note"
    """What it is, as the table of public codes calls it: `note`, `referral`, `discharge`, ..."""
    title: str = "note of a visit"
    recipient: str = ""


@dataclass(frozen=True, slots=True)
class Planned:
    """What is to be done next, as it stands after the last visit."""

    title: str
    words: str = ""
    exercises: tuple[tuple[str, str, str], ...] = ()
    """Id, name, dose."""


@dataclass(frozen=True, slots=True)
class Visited:
    """One visit."""

    id: str
    opened_at: datetime
    number: int
    person: Person
    complaint: Complaint
    screen: Mapping[str, bool]
    entries: tuple[Recorded, ...] = ()
    safety: SafetyTold | None = None
    measures: tuple[Measured, ...] = ()
    signed: Signed | None = None
    letters: tuple[Signed, ...] = ()
    """Letters, summaries and sheets signed in this visit."""


@dataclass(frozen=True, slots=True)
class EpisodeTold:
    """One complaint with its visits, the first first."""

    id: str
    title: str
    opened_at: datetime
    complaint: Complaint
    visits: tuple[Visited, ...] = ()
    plan: Planned | None = None


@dataclass(frozen=True, slots=True)
class PersonTold:
    """A person with the episodes that are handed over."""

    id: str
    label: str
    person: Person
    told_at: datetime
    """When age and hand were told last."""
    invented: bool
    episodes: tuple[EpisodeTold, ...] = ()
    who: str = "therapist"
    """Who records, where no note is signed."""
