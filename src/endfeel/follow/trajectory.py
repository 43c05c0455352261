"""Each line over the visits: error band, smallest detectable and important change, the true value, a plain verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from endfeel.evidence.figures import Cited, cited, number
from endfeel.evidence.library import Library
from endfeel.follow.courses import Course, Forecast, course_for, forecast
from endfeel.follow.level import Level, change_between, smoothed
from endfeel.follow.outlook import Pull, shift
from endfeel.follow.series import Line
from endfeel.measurement.change import Change, ChangeVerdict, Direction, compare
from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier, sem_from_detectable_change
from endfeel.vocabulary.outcomes import TRANSITIONS

DAYS_A_WEEK = 7


class Verdict(StrEnum):
    """What a line says so far."""

    BETTER = "better"
    NOT_YET = "not_yet_beyond_error"
    NO_CHANGE = "no_change"
    WORSE = "worse"
    FIRST = "first_value"
    SHOWN = "shown"
    UNKNOWN = "unknown"


VERDICT_WORDS = {
    Verdict.BETTER: "better",
    Verdict.NOT_YET: "not yet beyond error",
    Verdict.NO_CHANGE: "no change",
    Verdict.WORSE: "worse",
    Verdict.FIRST: "first value, nothing to set it against",
    Verdict.SHOWN: "itself a rating of change: shown as it was told",
    Verdict.UNKNOWN: "no error figure: the change is shown, nothing is claimed",
}
VERDICT_SIGNS = {
    Verdict.BETTER: "▲",
    Verdict.NOT_YET: "◇",
    Verdict.NO_CHANGE: "=",
    Verdict.WORSE: "▼",
    Verdict.FIRST: "•",
    Verdict.SHOWN: "•",
    Verdict.UNKNOWN: "?",
}


@dataclass(frozen=True, slots=True)
class Trajectory:
    """One line with everything that may be said about it."""

    line: Line
    unit: str
    low: float
    high: float
    better: str
    """`up` or `down`."""
    weeks: tuple[float, ...]
    """Since the first visit, one a reading."""
    change: Change
    """Last against first; of a single reading against itself."""
    verdict: Verdict
    matters: bool | None
    """Whether the change is at least the important one; None where no such figure is known."""
    sem: Cited | None
    detectable: Cited | None
    important: Cited | None
    level: tuple[Level, ...]
    """The true value at each visit; empty without an error figure."""
    true_change: Level | None
    drift: Cited | None
    courses: tuple[Course, ...]
    forecasts: tuple[Forecast, ...]
    remarks: tuple[str, ...]

    @property
    def band(self) -> float | None:
        """Half the 95 % error band of a single value."""
        return None if self.sem is None else normal_multiplier() * number(self.sem)


def follow_line(
    line: Line,
    start_day: int,
    contributors: Mapping[str, float],
    library: Library,
    rater: str = "intra",
    weeks_now: float = 0.0,
    pulls: Sequence[Pull] = (),
) -> Trajectory:
    """Everything about one line. `start_day` is the ordinal of the first visit's day, `weeks_now` when the last was,
    `pulls` what else foretells of the person."""
    values = [one.value for one in line.readings]
    weeks = tuple((one.day.toordinal() - start_day) / DAYS_A_WEEK for one in line.readings)
    change = compare(line.measure, values[0], values[-1], library, instrument=line.instrument or None, rater=rater)
    low, high = _scale(line, change, library)
    sem = _sem(change)
    found = course_for(line.measure, line.occasion, contributors, library)
    drift = _drift(sem, library) if sem else None
    known = len(values) > 1 and sem is not None and line.measure not in TRANSITIONS
    steps = (weeks, values, number(sem) ** 2, number(drift)) if sem and drift else None
    return Trajectory(
        line=line,
        unit=change.unit,
        low=low,
        high=high,
        better="down" if change_is_better_down(line.measure, (low, high), library) else "up",
        weeks=weeks,
        change=change,
        verdict=_verdict(line, change, sem),
        matters=_matters(change),
        sem=sem,
        detectable=change.mdc95.value if change.mdc95 else None,
        important=change.mcid.value if change.mcid else None,
        level=smoothed(*steps) if steps and known else (),
        true_change=change_between(*steps) if steps and known else None,
        drift=drift,
        courses=found,
        forecasts=_forecasts(found, weeks, values, sem, (low, high), library, weeks_now, pulls),
        remarks=tuple(_remarks(line, change)),
    )


def change_is_better_down(measure: str, scale: tuple[float, float], library: Library) -> bool:
    """Whether a smaller value is the better one; `scale` is what its values lie between."""
    trial = compare(measure, scale[1], scale[0], library)
    return trial.direction is Direction.BETTER


def _scale(line: Line, change: Change, library: Library) -> tuple[float, float]:
    from endfeel.measurement.outcome_figures import measure_entry
    from endfeel.measurement.score import form_of

    form = form_of(line.measure, library)
    entry = measure_entry(form["measure"] if form else line.measure, library)
    if entry:
        return float(entry["score_min"]), float(entry["score_max"])
    low, high = library.documents["ranges"]["limit"][change.unit]
    return float(low), float(high)


def _sem(change: Change) -> Cited | None:
    """The standard error of one value: as chosen, or out of the smallest detectable change."""
    if change.sem is not None:
        return change.sem.value
    if change.mdc95 is None:
        return None
    return cited(sem_from_detectable_change(number(change.mdc95.value), CONFIDENCE_PERCENT), [change.mdc95.value])


def _verdict(line: Line, change: Change, sem: Cited | None) -> Verdict:
    if line.measure in TRANSITIONS:
        return Verdict.SHOWN
    if len(line.readings) < 2:
        return Verdict.FIRST
    if change.verdict is ChangeVerdict.UNKNOWN or sem is None:
        return Verdict.UNKNOWN
    if change.verdict is ChangeVerdict.WITHIN_ERROR:
        moved = abs(change.difference) >= number(sem)
        return Verdict.NOT_YET if moved else Verdict.NO_CHANGE
    return Verdict.BETTER if change.direction is Direction.BETTER else Verdict.WORSE


def _matters(change: Change) -> bool | None:
    if change.mcid is None:
        return None
    return change.verdict is ChangeVerdict.CHANGED_AND_MATTERS


def _drift(sem: Cited, library: Library) -> Cited:
    """How far the true value may wander in a week, as a variance: a share of the error variance."""
    row = next(one for one in library.tables["following_parameters"] if one.text["quantity"] == "drift_share")
    figure = row.figures["value"]
    return cited(number(figure) * number(sem) ** 2, [figure, sem])


def _forecasts(
    found: tuple[Course, ...],
    weeks: tuple[float, ...],
    values: list[float],
    sem: Cited | None,
    scale: tuple[float, float],
    library: Library,
    weeks_now: float,
    pulls: Sequence[Pull],
) -> tuple[Forecast, ...]:
    """By the most fitting course, for each of its published days still to come."""
    if not found or sem is None:
        return ()
    days = [point.weeks for point in found[0].points if point.weeks > max(weeks[-1], weeks_now)]
    measure = found[0].measures[0]
    made = (
        forecast(
            found[0], weeks, values, at, number(sem), scale, library, shift(pulls, measure, at - weeks[-1], library)
        )
        for at in days
    )
    return tuple(one for one in made if one is not None)


def _remarks(line: Line, change: Change) -> list[str]:
    told = [*line.left_out]
    if line.measure in TRANSITIONS:
        told.append("a rating of change leans to how it is today; it stands beside the scores, never instead of them")
    return [*told, *change.caveats]


def interval(level: Level, percent: float = CONFIDENCE_PERCENT) -> tuple[float, float]:
    """The interval around a level."""
    half = normal_multiplier(percent) * sqrt(level.variance)
    return level.mean - half, level.mean + half
