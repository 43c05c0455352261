"""A case: one person's story, screen answers and findings, as written by a therapist."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.terms import Irritability, Side


@dataclass(frozen=True, slots=True)
class Person:
    age: int | None = None
    sex: str | None = None
    """`female`, `male` or `other`."""
    dominant: Side | None = None


@dataclass(frozen=True, slots=True)
class Complaint:
    side: Side | None = None
    """The side the person complains of; None when central or not stated."""
    onset: str | None = None
    """`sudden`, `gradual`, `trauma`, `overuse` or `unknown`."""
    weeks: float | None = None
    irritability: Irritability | None = None
    areas: tuple[str, ...] = ()
    """Ids of body areas from vocabulary.terms.AREAS."""
    story: str = ""
    """Free words; never interpreted beyond what the safety triggers name."""


REVIEW = "formal review"
"""Kept among what was done in a visit, with what was decided as its dose; it is no treatment."""
REVIEW_OUTCOMES = {
    "carry_on": "carry on",
    "change": "change course",
    "refer": "ask for an opinion",
    "end": "end the episode",
}

OUTLOOK = "what else foretells"
"""Kept among what was done in a visit, with its answers as dose (`expectation=slight work=retired`); no treatment."""
NO_TREATMENTS = (REVIEW, OUTLOOK)


@dataclass(frozen=True, slots=True)
class Treatment:
    """A technique tried during the visit."""

    technique: str
    dose: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    person: Person = field(default_factory=Person)
    complaint: Complaint = field(default_factory=Complaint)
    screen: Mapping[str, bool] = field(default_factory=dict)
    """Cue id to answer. An absent id is unanswered, never "no"."""
    findings: tuple[Finding, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    retests: tuple[Finding, ...] = ()
    """Findings repeated after treatment, compared with the last one before."""
    title: str = ""
    invented: bool = False
    """Examples shipped with the program say so here."""
