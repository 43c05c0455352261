"""An episode followed over its visits, out of what was recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from endfeel.care.checks import entry_id_of
from endfeel.care.desk import Desk
from endfeel.care.hands import reading_of
from endfeel.care.visit import VisitView, view_of
from endfeel.care.writing import open_for_writing
from endfeel.follow import Followed, FollowedVisit, follow, last_examination
from endfeel.follow.courses import parameter
from endfeel.follow.outlook import outlook_words, read_outlook
from endfeel.measurement.answer_checks import local_day
from endfeel.records import Entry, VisitRecord, measures, queries
from endfeel.records.measures import KeptPreference, VisitDay
from endfeel.records.queries import NewEntry
from endfeel.records.tables import EpisodeRow
from endfeel.vocabulary import OUTLOOK, REVIEW, REVIEW_OUTCOMES, CannotRead, Fault, NotFound, Treatment

RATER = "intra"
"""By whose hands is measured when nobody said: the same ones each time."""


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

    Angles count as found before treatment, by the instrument said in each visit; contributors are those of the last
    visit in which as much was found as makes an examination.
    """
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        queries.audit(session, desk.clock(), desk.who, "view episode", person_id)
        days = measures.visits_of(session, episode_id)
        if not days:
            raise NotFound("this episode has no visit yet")
        records = queries.visit_records(session, [day.id for day in days])
        kept = measures.preferences_by_visit(session, days)
        visits = visits_followed(session, days, records, kept)
        examined = visits[last_examination([one.findings for one in visits], whole_share(desk))].id
        hands = {}
        for seen in dict.fromkeys((days[-1].id, examined)):
            queries.audit(session, desk.clock(), desk.who, "view visit", person_id, seen)
            hands[seen] = reading_of(session, desk, records[seen])
    views = {seen: view_of(desk, records[seen], hands[seen]) for seen in hands}
    last, found, rater = views[days[-1].id], views[examined], kept[days[-1].id].rater or RATER
    told = follow(
        visits, local_day(desk.clock()), desk.library, case=last.assessment.case, first=records[days[0].id].case,
        contributors=shares_of(found), rater=rater,
    )  # fmt: skip
    return EpisodeView(episode_id, last, told, tuple(day.id for day in days))


def examined_before(desk: Desk, view: VisitView) -> VisitDay | None:
    """The last earlier visit that was an examination, where this one is none yet."""
    with desk.transaction() as session:
        days = measures.visits_of(session, queries.episode_of_visit(session, view.visit_id))[: view.number]
        records = queries.visit_records(session, [day.id for day in days])
    found = [records[day.id].case.findings for day in days]
    place = last_examination(found, whole_share(desk))
    return days[place] if found[place] and place < len(days) - 1 else None


def whole_share(desk: Desk) -> float:
    """What share of the fullest visit has to be found again to make an examination."""
    return parameter(desk.library, "whole_share")


def shares_of(view: VisitView) -> dict[str, float]:
    """Each contributor with its largest probability over sides and levels."""
    shares: dict[str, float] = {}
    for one in view.assessment.posterior.beliefs:
        shares[one.contributor] = max(one.probability, shares.get(one.contributor, 0.0))
    return shares


def visits_followed(
    session: Session, days: Sequence[VisitDay], records: Mapping[str, VisitRecord], kept: Mapping[str, KeptPreference]
) -> tuple[FollowedVisit, ...]:
    """What was answered and found in each of these visits, which were read with their preferences."""
    answers = measures.answers_by_visit(session, [day.id for day in days])
    return tuple(
        FollowedVisit(
            local_day(day.opened_at),
            tuple(one.answer for one in answers[day.id]),
            records[day.id].case.findings,
            kept[day.id].instrument,
            day.id,
            said_last(records[day.id].entries, REVIEW),
            outlook_of(records[day.id].entries),
        )
        for day in days
    )


def said_last(entries: Sequence[Entry], what: str) -> str:
    """What was last kept under this name among what was done in a visit; empty without one."""
    done = [one.treatment for one in entries if one.treatment]
    return next((one.dose for one in reversed(done) if one.technique == what), "")


def outlook_of(entries: Sequence[Entry]) -> dict[str, str]:
    """What else foretells, as it was last answered in a visit."""
    return dict(word.split("=", 1) for word in said_last(entries, OUTLOOK).split() if "=" in word)


def record_outlook(desk: Desk, visit_id: str, told: Mapping[str, str], entry_id: str | None = None) -> str:
    """Keep what else foretells of the person, all answers at once; the same form twice counts once.

    Raises CannotRead for an unknown question or answer and when nothing is answered, Refused when the visit is signed.
    """
    words = outlook_words(told)
    read_outlook(words.split(), desk.library)
    if not words:
        raise CannotRead([Fault("nothing is answered", would_do="an answer to one question at least", field="outlook")])
    return _keep(desk, visit_id, Treatment(OUTLOOK, words), "record outlook", entry_id)


def record_review(desk: Desk, visit_id: str, outcome: str, entry_id: str | None = None) -> str:
    """Keep that the episode was formally reviewed in this visit, and what was decided; the same form twice counts once.

    Also while treatment is withheld. Raises CannotRead for an unknown outcome, Refused when the visit is signed.
    """
    if outcome not in REVIEW_OUTCOMES:
        raise CannotRead([Fault("what was decided is not said", outcome, ", ".join(REVIEW_OUTCOMES), field="outcome")])
    return _keep(desk, visit_id, Treatment(REVIEW, REVIEW_OUTCOMES[outcome]), "record review", entry_id, outcome)


def _keep(desk: Desk, visit_id: str, what: Treatment, action: str, entry_id: str | None, detail: str = "") -> str:
    entry = NewEntry(entry_id_of(entry_id), "treatment", treatment=what)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        if not queries.is_kept(session, visit_id, entry):
            open_for_writing(session, desk, visit_id, action, detail)
            queries.add_entry(session, visit_id, desk.clock(), entry)
    return entry.id


def episode_of_visit(desk: Desk, visit_id: str) -> str:
    """The episode a visit belongs to. Raises NotFound."""
    with desk.transaction() as session:
        return queries.episode_of_visit(session, visit_id)
