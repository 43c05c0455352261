"""Which documents there are, what goes into one beside a visit, and what a whole episode is to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from endfeel.assessment import Assessment, CodeSuggestion
    from endfeel.follow import Decision, Trajectory
    from endfeel.safety import Verdict
    from endfeel.vocabulary import Case


class DocumentKind(StrEnum):
    """What is written about a person, by what it is for."""

    NOTE = "note"
    FOLLOW_UP = "follow-up"
    REFERRAL = "referral"
    DISCHARGE = "discharge"
    INSURER = "insurer"
    HANDOUT = "handout"


TITLES = {
    DocumentKind.NOTE: "Examination note",
    DocumentKind.FOLLOW_UP: "Follow-up note",
    DocumentKind.REFERRAL: "Referral letter",
    DocumentKind.DISCHARGE: "Discharge summary",
    DocumentKind.INSURER: "Summary for the insurer",
    DocumentKind.HANDOUT: "Home programme",
}
PURPOSES = {
    DocumentKind.NOTE: "everything of this visit, for the record",
    DocumentKind.FOLLOW_UP: "what has changed since the last visit, what was done, what comes next",
    DocumentKind.REFERRAL: "to another professional: how urgent, what is asked, what was found, what was told",
    DocumentKind.DISCHARGE: "the course of the episode from the first visit to the last",
    DocumentKind.INSURER: "function, measures and plan; nothing that is not needed for them",
    DocumentKind.HANDOUT: "the exercises to take home, in plain words with pictures",
}
LETTERS = (DocumentKind.FOLLOW_UP, DocumentKind.REFERRAL, DocumentKind.DISCHARGE, DocumentKind.INSURER)
"""Those that are composed from an episode."""


@dataclass(frozen=True, slots=True)
class PastVisit:
    """One visit as a letter tells it."""

    day: str
    """As it shall stand on the paper; empty when not known."""
    case: Case
    verdict: Verdict
    review: str = ""
    """What a formal review in this visit decided; empty without one."""


@dataclass(frozen=True, slots=True)
class EpisodeOfCare:
    """The visits of one complaint, the oldest first. `assessment` is of the last one."""

    visits: tuple[PastVisit, ...]
    assessment: Assessment
    measures: tuple[Trajectory, ...] = ()
    """Outcome measures over the visits."""
    decisions: tuple[Decision, ...] = ()
    """Decision points that hold."""
    exercises: tuple[str, ...] = ()
    """Names of the exercises the person has at home."""
    examined: tuple[int, Assessment] | None = None
    """Number and conclusions of the last visit that was an examination, where that is an earlier one."""

    @property
    def thought(self) -> Assessment:
        """What was last concluded from findings."""
        return self.examined[1] if self.examined else self.assessment

    @property
    def thought_at(self) -> int:
        """The place of its visit, from 0."""
        return self.examined[0] - 1 if self.examined else len(self.visits) - 1

    @property
    def is_long(self) -> bool:
        """Whether there is more than one visit."""
        return len(self.visits) > 1

    @property
    def span(self) -> str:
        """`2026-03-04 to 2026-04-15`; empty when a day is not known."""
        days = [self.visits[0].day, self.visits[-1].day]
        return " to ".join(dict.fromkeys(days)) if all(days) else ""

    def name_of(self, at: int) -> str:
        """`Visit 2, 2026-03-11`."""
        at %= len(self.visits)
        day = self.visits[at].day
        return f"Visit {at + 1}, {day}" if day else f"Visit {at + 1}"


@dataclass(frozen=True, slots=True)
class LetterWords:
    """What only the writer knows. Words of a person, so data everywhere."""

    to: str = ""
    reference: str = ""
    """The reader's own number for it."""
    asked: str = ""
    told: str = ""
    """What the person was told."""
    closing: str = ""
    """Why the episode ends."""
    codes: Sequence[CodeSuggestion] = ()
    """Codes the writer has confirmed."""
