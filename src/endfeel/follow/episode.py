"""A whole episode followed: lines, verdicts, forecasts, predictors, decision points."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from endfeel.evidence.library import Library
from endfeel.follow.courses import parameter
from endfeel.follow.decisions import Decision, Standing, decisions, standing_of
from endfeel.follow.outlook import known_answers, pulls
from endfeel.follow.predictors import Predictor, predictors
from endfeel.follow.series import FollowedVisit, Line, check_visits, lines_of
from endfeel.follow.trajectory import DAYS_A_WEEK, Trajectory, Verdict, follow_line
from endfeel.vocabulary import Case
from endfeel.vocabulary.outcomes import Occasion


@dataclass(frozen=True, slots=True)
class Followed:
    """What may be said about an episode so far."""

    visits: tuple[FollowedVisit, ...]
    trajectories: tuple[Trajectory, ...]
    standing: Standing
    decisions: tuple[Decision, ...]
    predictors: tuple[Predictor, ...]
    outlook: Mapping[str, str]
    """What else foretells, as it was last answered: the answers of one visit, as a whole."""
    left_out: tuple[str, ...] = field(default=())

    @property
    def weeks(self) -> float:
        """Between the first visit and the last."""
        return self.standing.weeks


def follow(
    visits: Sequence[FollowedVisit],
    today: date,
    library: Library,
    *,
    case: Case | None = None,
    first: Case | None = None,
    contributors: Mapping[str, float] | None = None,
    rater: str = "intra",
) -> Followed:
    """Follow an episode over its visits, in order. `contributors` are probabilities by id, for the expected course;
    `first` is the case as it was told at the first visit, where `case` is a later one: how long it had lasted then.

    Raises CannotRead with every fault: visits out of order or still to come, answers that cannot be, a changed
    instrument in a file.
    """
    told = tuple(visits)
    check_visits(told, today, library)
    start = told[0].day if told else today
    shares = contributors or {}
    lines = lines_of(told, library)
    weeks = (told[-1].day - start).days / DAYS_A_WEEK if told else 0.0
    begun = start.toordinal()
    given = [(number, one.outlook) for number, one in enumerate(told, 1) if one.outlook]
    asked, answered = given[-1] if given else (0, {})
    told_so, unknown = known_answers(answered, library)
    numbers = _numbers(lines, first or case, start)
    moving = pulls(numbers, told_so, library)
    found = tuple(follow_line(line, begun, shares, library, rater, weeks, moving) for line in lines if line.readings)
    reviews = [(k, (one.day - start).days / DAYS_A_WEEK) for k, one in enumerate(told, 1) if one.review]
    plateau = int(parameter(library, "plateau_values"))
    standing = standing_of(found, len(told), weeks, plateau, reviews[-1] if reviews else (0, 0.0))
    return Followed(
        visits=told,
        trajectories=found,
        standing=standing,
        decisions=decisions(standing, shares, library),
        predictors=predictors(_here(found, case, numbers, start), moving, told_so, library),
        outlook=told_so,
        left_out=(
            *(f"{one.name}: {why}" for one in lines if not one.readings for why in one.left_out),
            *(
                f"what else foretells, visit {asked}: {one} is no question and answer of the evidence"
                for one in unknown
            ),
        ),
    )


def _foretold_by(line: Line) -> str:
    """The predictor that a line tells; empty for none."""
    if line.occasion is Occasion.REST:
        return "rest"
    return {"pseq": "self_efficacy", "spadi": "spadi"}.get(line.measure, "")


def _numbers(lines: Sequence[Line], first: Case | None, start: date) -> dict[str, float]:
    """What the record holds in numbers, at the start: weeks, pain at rest, confidence in spite of pain.

    A value first asked later is left out: what got better until then is in the scores already.
    """
    known = {}
    if first and first.complaint.weeks is not None:
        known["weeks"] = first.complaint.weeks
    for line in lines:
        name = _foretold_by(line)
        if name in ("rest", "self_efficacy") and line.readings and line.readings[0].day <= start:
            known.setdefault(name, line.readings[0].value)
    return known


def _here(
    trajectories: Sequence[Trajectory], case: Case | None, numbers: Mapping[str, float], start: date
) -> dict[str, str]:
    """What the record already says about the published predictors."""
    here = {
        name: f"{value:g} weeks" if name == "weeks" else f"{value:g} at the start" for name, value in numbers.items()
    }
    for one in trajectories:
        name, asked = _foretold_by(one.line), one.line.readings[0]
        if name == "spadi" and asked.day <= start:
            here[name] = f"{asked.value:.0f} at the start"
        elif name and name not in here:
            here[name] = f"{asked.value:g} at visit {asked.visit}; not asked at the start"
        if one.line.is_outcome and one.verdict is Verdict.BETTER:
            here["early"] = "better beyond error so far"
    if case and "neck" in case.complaint.areas:
        here["neck"] = "told"
    return here
