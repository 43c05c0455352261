"""Outcome measures of a visit: answer one, take it back, read all of an episode; what the person does not want."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from endfeel.care.checks import entry_id_of, kept_words
from endfeel.care.desk import Desk, new_id
from endfeel.care.writing import open_for_writing
from endfeel.measurement.answer_checks import answer_faults, day_faults, local_day, series_faults
from endfeel.measurement.score import Score, score_of
from endfeel.records import measures, queries
from endfeel.records.measures import KeptAnswer, KeptPreference, VisitDay
from endfeel.records.tables import EpisodeRow, VisitRow
from endfeel.treatment import Preference
from endfeel.treatment.json_form import check_preference
from endfeel.vocabulary import CannotRead, Fault, NotFound, Refused
from endfeel.vocabulary.outcomes import OutcomeAnswer

RATERS = ("intra", "inter")


@dataclass(frozen=True, slots=True)
class VisitMeasure:
    """An answered outcome measure as it stands, with its visit and its score."""

    id: str
    visit_id: str
    visit_number: int
    """Which visit of the episode, from 1."""
    visited_at: datetime
    kept_at: datetime
    answer: OutcomeAnswer
    score: Score | None
    """None for one that was kept unfinished."""
    no_score: str = ""
    """Why there is no score."""


def measures_of(desk: Desk, episode_id: str) -> tuple[VisitMeasure, ...]:
    """All answered outcome measures of an episode over its visits, in order of visits. Raises NotFound."""
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        days = measures.visits_of(session, episode_id)
        answers = measures.answers_by_visit(session, [day.id for day in days])
        kept = [(day, one) for day in days for one in answers[day.id]]
        queries.audit(session, desk.clock(), desk.who, "view measures", person_id)
    return tuple(_scored(desk, day, one) for day, one in kept)


def measures_of_visit(desk: Desk, visit_id: str) -> tuple[VisitMeasure, ...]:
    """The answered outcome measures of one visit. Raises NotFound."""
    with desk.transaction() as session:
        visit = queries.row_of(session, VisitRow, visit_id, "visit")
        day = next(one for one in measures.visits_of(session, visit.episode_id) if one.id == visit_id)
        kept = measures.answers_of(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "view measures", queries.person_of_visit(session, visit_id))
    return tuple(_scored(desk, day, one) for one in kept)


def _scored(desk: Desk, day: VisitDay, kept: KeptAnswer) -> VisitMeasure:
    told = kept.id, kept.visit_id, day.number, day.opened_at, kept.kept_at, kept.answer
    try:
        return VisitMeasure(*told, score_of(kept.answer, desk.library))
    except (Refused, CannotRead, NotFound) as error:
        return VisitMeasure(*told, None, str(error))


def check_words(answer: OutcomeAnswer) -> None:
    """Raises CannotRead for words that cannot be kept."""
    kept_words(answer.instrument, "instrument")
    kept_words(answer.note, "note")
    for name in answer.activities:
        kept_words(name, "activities")


def record_measure(
    desk: Desk,
    visit_id: str,
    answer: OutcomeAnswer,
    answer_id: str | None = None,
    *,
    unfinished: bool = False,
    own_line: bool = False,
) -> str:
    """Keep an answered outcome measure; the same `answer_id` twice is kept once.

    The same measure answered again in a visit counts instead of the earlier one, which stays on record.

    `unfinished` keeps one with too few items answered, without a score; `own_line` keeps one that cannot stand on the
    line of the earlier ones (other instrument, other activities). Raises CannotRead with every fault, NotFound for an
    unknown measure or visit, Refused when too few items are answered or the visit is signed. Nothing is kept then.
    """
    check_words(answer)
    faults = answer_faults(answer, desk.library)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        answer_id = entry_id_of(answer_id)
        if not faults and measures.is_answered(session, visit_id, answer_id, answer):
            return answer_id
        faults += _place_faults(session, desk, visit_id, answer, own_line=own_line)
        if faults:
            raise CannotRead(faults)
        if not unfinished:
            score_of(answer, desk.library)
        open_for_writing(session, desk, visit_id, "record measure", answer.measure)
        measures.add_answer(session, visit_id, desk.clock(), answer_id, answer)
    return answer_id


def _place_faults(
    session: Session, desk: Desk, visit_id: str, answer: OutcomeAnswer, *, own_line: bool
) -> Sequence[Fault]:
    """Whether the day fits between the visits around, and the answer the line of the earlier ones."""
    visit = queries.row_of(session, VisitRow, visit_id, "visit")
    days = measures.visits_of(session, visit.episode_id)
    at = next(place for place, day in enumerate(days) if day.id == visit_id)
    after = local_day(days[at - 1].opened_at) if at else None
    before = local_day(days[at + 1].opened_at) if at + 1 < len(days) else None
    faults = day_faults(answer.answered_on, local_day(desk.clock()), after, before)
    if own_line:
        return faults
    answers = measures.answers_by_visit(session, [day.id for day in days[:at]])
    earlier = [one.answer for several in answers.values() for one in several]
    return [*faults, *series_faults(answer, earlier)]


def take_back_measure(desk: Desk, visit_id: str, answer_id: str | None = None) -> str | None:
    """Take back an answered measure, the last one kept by default; it stays on record.

    None when there is nothing to take back. What it had replaced counts again.
    """
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        rows = measures.answer_rows(session, visit_id)
        gone = {row.takes_back for row in rows}
        there = [row.id for row in rows if row.measure and row.id not in gone]
        if answer_id is None and not there:
            return None
        wanted = answer_id or there[-1]
        if wanted not in there:
            if wanted in gone:
                return None
            raise NotFound("that answer is not in this visit")
        open_for_writing(session, desk, visit_id, "take back measure")
        measures.take_back_answer(session, visit_id, desk.clock(), new_id(), wanted)
    return wanted


def preference_of(desk: Desk, visit_id: str) -> KeptPreference:
    """What stands about treatment and measuring: said in this visit, else in the last one in which anything was."""
    with desk.transaction() as session:
        owner = queries.person_of_visit(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "view preference", owner, visit_id)
        return measures.preference_of(session, visit_id)


def prefer(
    desk: Desk,
    visit_id: str,
    *,
    refused: frozenset[str] | None = None,
    instrument: str | None = None,
    rater: str | None = None,
) -> None:
    """Keep what the person does not want, and by what and by whom is measured; None leaves a thing as it is.

    Raises CannotRead for what is no kind, technique or rater, Refused when the visit is signed.
    """
    check_preference(Preference(refused or frozenset()), desk.library)
    if rater not in (None, *RATERS):
        raise CannotRead([Fault("not a rater design", str(rater), "intra or inter", field="rater")])
    if instrument:
        kept_words(instrument, "instrument", 60)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        stands = measures.preference_of(session, visit_id)
        wanted = KeptPreference(
            stands.refused if refused is None else refused,
            stands.instrument if instrument is None else instrument.strip(),
            stands.rater if rater is None else rater,
            stands.visit_id,
        )
        if wanted == stands:
            return
        open_for_writing(session, desk, visit_id, "prefer", " ".join(sorted(wanted.refused)))
        carried = stands if stands.visit_id == visit_id else KeptPreference()
        for kind, word, holds in _changes(carried, wanted):
            measures.add_preference(session, visit_id, desk.clock(), kind, word, holds=holds)


def _changes(stands: KeptPreference, wanted: KeptPreference) -> list[tuple[str, str, bool]]:
    """What to append so that `wanted` stands; at least one row, so that the visit is known to have spoken."""
    changes = [("refuse", word, word in wanted.refused) for word in sorted(stands.refused ^ wanted.refused)]
    for kind, was, now in (("instrument", stands.instrument, wanted.instrument), ("rater", stands.rater, wanted.rater)):
        if was != now:
            changes.append((kind, now or was, bool(now)))
    return changes or [("rater", wanted.rater or RATERS[0], bool(wanted.rater))]
