"""Letters of one visit and of two."""

from __future__ import annotations

from datetime import date

import pytest

from endfeel.assessment import assess
from endfeel.documents import (
    LETTERS,
    DocumentKind,
    EpisodeOfCare,
    Note,
    PastVisit,
    compose_letter,
)
from endfeel.evidence.library import Library
from endfeel.follow import FollowedVisit, follow
from endfeel.inference import Model, build_model
from endfeel.safety import verdict
from endfeel.vocabulary import Case
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer
from written_letters import BETTER, WORDS, WRITTEN, Make, story


@pytest.fixture(scope="session")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture(scope="session")
def episode_of(library: Library, model: Model) -> Make:
    """The episode of these cases, a visit each."""

    def made(*cases: Case, **more: object) -> EpisodeOfCare:
        days = [f"2026-03-{4 + 7 * at:02d}" for at in range(len(cases))]
        visits = tuple(PastVisit(day, case, verdict(case, library)) for day, case in zip(days, cases, strict=True))
        return EpisodeOfCare(visits, assess(cases[-1], library, model=model), **more)  # type: ignore[arg-type]

    return made


@pytest.fixture(scope="session")
def two(library: Library, episode_of: Make) -> EpisodeOfCare:
    days = date(2026, 3, 4), date(2026, 3, 11)
    told = [
        FollowedVisit(
            day, (OutcomeAnswer("spadi", day, total=total), OutcomeAnswer("nprs", day, (7.0,), occasion=Occasion.REST))
        )
        for day, total in zip(days, (64.0, 21.0), strict=True)
    ]
    followed = follow(told, days[-1], library)
    return episode_of(
        story(library), story(library, changes=BETTER), measures=followed.trajectories, decisions=followed.decisions,
        exercises=("Table slide",),
    )  # fmt: skip


@pytest.fixture(scope="session")
def letters(two: EpisodeOfCare, library: Library) -> dict[DocumentKind, Note]:
    return {kind: compose_letter(kind, two, WORDS, WRITTEN, library) for kind in LETTERS}
