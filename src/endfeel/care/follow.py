"""An episode followed over its visits, out of what was recorded."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.care.desk import Desk
from endfeel.care.visit import VisitView, view_visit
from endfeel.follow import Followed, FollowedVisit, follow
from endfeel.measurement.answer_checks import local_day
from endfeel.records import measures, queries
from endfeel.records.measures import KeptPreference
from endfeel.records.tables import EpisodeRow
from endfeel.vocabulary import NotFound


@dataclass(frozen=True, slots=True)
class EpisodeView:
    """A whole episode: its last visit as it stands, and how it went until then."""

    episode_id: str
    last: VisitView
    followed: Followed
    visit_ids: tuple[str, ...]
    """In order; visit 1 first."""


def follow_episode(desk: Desk, episode_id: str) -> EpisodeView:
    """Every measure over the visits, what was to be expected, and the decision points. Raises NotFound.

    Angles count as found before treatment, by the instrument said in each visit.
    """
    with desk.transaction() as session:
        queries.row_of(session, EpisodeRow, episode_id, "episode")
        days = measures.visits_of(session, episode_id)
        if not days:
            raise NotFound("this episode has no visit yet")
        said = {day.id: measures.preference_of(session, day.id) for day in days}
        visits = [
            FollowedVisit(
                local_day(day.opened_at),
                tuple(one.answer for one in measures.answers_of(session, day.id)),
                queries.visit_record(session, day.id).case.findings,
                said[day.id].instrument,
                day.id,
            )
            for day in days
        ]
    last = view_visit(desk, days[-1].id)
    shares: dict[str, float] = {}
    for one in last.assessment.posterior.beliefs:
        shares[one.contributor] = max(one.probability, shares.get(one.contributor, 0.0))
    told = follow(
        visits, local_day(desk.clock()), desk.library, case=last.assessment.case, contributors=shares,
        rater=_rater(said[days[-1].id]),
    )  # fmt: skip
    return EpisodeView(episode_id, last, told, tuple(day.id for day in days))


def _rater(said: KeptPreference) -> str:
    return said.rater or "intra"


def episode_of_visit(desk: Desk, visit_id: str) -> str:
    """The episode a visit belongs to. Raises NotFound."""
    with desk.transaction() as session:
        return queries.episode_of_visit(session, visit_id)
