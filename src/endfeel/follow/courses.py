"""Expected courses of published groups, and a forecast for one person out of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log, sqrt
from statistics import NormalDist, fmean, stdev
from typing import TYPE_CHECKING, Any

import numpy as np

from endfeel.evidence.figures import Cited, Figure, Provenance, cited, number
from endfeel.evidence.library import Library
from endfeel.vocabulary.outcomes import Occasion

if TYPE_CHECKING:
    from endfeel.follow.outlook import Shift

PARAMETERS = "following_parameters"
DOCUMENT = "following"


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """Mean and spread of a group so many weeks after its start."""

    weeks: float
    mean: float
    sd: float
    people: int | None
    """None where the size of the group was not in the table that was read."""


@dataclass(frozen=True, slots=True)
class Course:
    """How a published group went."""

    id: str
    name: str
    measures: tuple[str, ...]
    occasions: tuple[Occasion, ...]
    contributor: str
    points: tuple[CoursePoint, ...]
    figures: tuple[str, ...]
    provenance: Provenance
    source: str
    weakness: str

    def at(self, weeks: float) -> CoursePoint | None:
        """The group at this time, between published days in a straight line; None beyond the last."""
        for before, after in pairwise(self.points):
            if before.weeks <= weeks <= after.weeks:
                share = (weeks - before.weeks) / (after.weeks - before.weeks)
                people = min((one.people for one in (before, after) if one.people is not None), default=None)
                return CoursePoint(
                    weeks,
                    before.mean + share * (after.mean - before.mean),
                    before.sd + share * (after.sd - before.sd),
                    people,
                )
        return None


@dataclass(frozen=True, slots=True)
class Forecast:
    """What may be expected at a later week: the middle and the interval, inside the scale."""

    weeks: float
    middle: Cited
    low: float
    high: float
    percent: float
    course: str
    shift: Shift | None = None
    """What was foretold of the person beside the scores, and what it moved the middle by; None where nothing did."""


def parameter(library: Library, quantity: str) -> float:
    """A parameter of following by its name."""
    return next(number(row.figures["value"]) for row in library.tables[PARAMETERS] if row.text["quantity"] == quantity)


def _parameters(library: Library, *quantities: str) -> list[Figure]:
    return [row.figures["value"] for row in library.tables[PARAMETERS] if row.text["quantity"] in quantities]


def courses(library: Library) -> tuple[Course, ...]:
    """Every published course."""
    return tuple(_course(one, library) for one in library.documents[DOCUMENT]["course"])


def course_for(
    measure: str, occasion: Occasion | None, contributors: Mapping[str, float], library: Library
) -> tuple[Course, ...]:
    """Courses of this measure: those of a probable contributor first, then those of no contributor in particular.

    `contributors` are probabilities by id. A course of a contributor that is not probable enough is left out.
    """
    least = parameter(library, "course_share")
    found = []
    for one in courses(library):
        if measure not in one.measures or (one.occasions and occasion not in one.occasions):
            continue
        share = contributors.get(one.contributor, 0.0) if one.contributor else least
        if share >= least:
            found.append((-share, one.contributor == "", one))
    return tuple(one for *_, one in sorted(found, key=lambda told: told[:2]))


def _course(told: Mapping[str, Any], library: Library) -> Course:
    if "individuals" in told:
        points, figures = _people_one_by_one(told["individuals"], library)
    else:
        points, figures = _published_rows(told["rows"], told["spread"], library)
    used = [library.figure(one) for one in figures]
    return Course(
        id=told["id"],
        name=told["name"],
        measures=tuple(told["measures"]),
        occasions=tuple(Occasion(one) for one in told.get("occasions", ())),
        contributor=told.get("contributor", ""),
        points=points,
        figures=figures,
        provenance=max(one.provenance for one in used),
        source="; ".join(dict.fromkeys(one.source.citation for one in used)),
        weakness=told["weakness"],
    )


def _published_rows(
    rows: Sequence[str], spread: str, library: Library
) -> tuple[tuple[CoursePoint, ...], tuple[str, ...]]:
    points, figures = [], []
    for row_id in rows:
        row = library.tables["prognosis"].rows[row_id]
        figure = row.figures["estimate"]
        if spread == "quartiles":
            assert figure.low is not None  # noqa: S101 - a test of the data file says so
            assert figure.high is not None  # noqa: S101
            sd = (figure.high - figure.low) / (2 * NormalDist().inv_cdf(0.75))
        else:
            sd = number(row.figures["sd"])
        weeks = number(row.figures["time_weeks"])
        points.append(CoursePoint(weeks, number(figure), sd, figure.n))
        figures.append(figure.id)
    return tuple(points), tuple(figures)


def _people_one_by_one(measure: str, library: Library) -> tuple[tuple[CoursePoint, ...], tuple[str, ...]]:
    rows = [row for row in library.tables["published_individuals"] if row.text["measure"] == measure]
    weeks = {0.0: "start", number(rows[0].figures["weeks"]): "later"}
    points = []
    for at, column in weeks.items():
        values = [number(row.figures[column]) for row in rows]
        points.append(CoursePoint(at, fmean(values), stdev(values), len(values)))
    return tuple(points), tuple(row.figures[column].id for row in rows for column in ("start", "later"))


@dataclass(frozen=True, slots=True)
class Closeness:
    """How a later score goes with an earlier one: far + (near - far) x exp(-weeks apart / tau).

    `near` is the reliability of the measure: two scores with no time between them differ by error alone.
    """

    near: float
    far: float
    tau_weeks: float
    figures: tuple[str, ...]

    def between(self, weeks: float) -> float:
        """The correlation of two scores so many weeks apart."""
        return self.far + (self.near - self.far) * exp(-weeks / self.tau_weeks)


def closeness(sem: float, sd: float, library: Library) -> Closeness:
    """From spreads printed for two days and for the change between them, averaged over the published groups."""
    by_weeks: dict[float, list[float]] = {}
    figures = []
    table = library.tables["prognosis"].rows
    for pair in library.documents[DOCUMENT]["pair"]:
        first, second, change = (number(table[pair[one]].figures["sd"]) for one in ("start", "later", "change"))
        weeks = number(table[pair["later"]].figures["time_weeks"])
        by_weeks.setdefault(weeks, []).append((first**2 + second**2 - change**2) / (2 * first * second))
        figures += [table[pair[one]].figures["sd"].id for one in ("start", "later", "change")]
    (soon, soon_r), (late, late_r) = ((weeks, fmean(told)) for weeks, told in sorted(by_weeks.items()))
    near = max(1 - sem**2 / sd**2, soon_r)
    tau = soon / log((near - late_r) / (soon_r - late_r)) if near > soon_r > late_r else late
    return Closeness(near, late_r, tau, tuple(figures))


def forecast(
    course: Course,
    weeks: Sequence[float],
    values: Sequence[float],
    at: float,
    sem: float,
    scale: tuple[float, float],
    library: Library,
    shift: Shift | None = None,
) -> Forecast | None:
    """The score expected `at` weeks, given the group and every score of the person so far; None beyond the group.

    A normal group with the correlations of `closeness`. The interval holds the spread of people and the doubt about
    the group's mean (its size), is widened by the doubt of `shift`, and stays inside the scale.
    """
    target = course.at(at)
    known = [(week, value, point) for week, value in zip(weeks, values, strict=True) if (point := course.at(week))]
    if target is None or not known or at <= max(week for week, *_ in known):
        return None
    close = closeness(sem, fmean(point.sd for *_, point in known), library)
    apart = np.array([[abs(a - b) for b, *_ in known] for a, *_ in known])
    together = np.where(apart == 0, 1.0, close.far + (close.near - close.far) * np.exp(-apart / close.tau_weeks))
    same_day = (apart == 0) & ~np.eye(len(known), dtype=bool)
    together[same_day] = close.near
    with_target = np.array([close.between(at - week) for week, *_ in known])
    weights = np.linalg.solve(together, with_target)
    off = np.array([(value - point.mean) / point.sd for _, value, point in known])
    people = target.people or parameter(library, "arm_people")
    left = max(0.0, 1 - float(with_target @ weights))
    spread = sqrt(target.sd**2 * (left + 1 / people) + (shift.sd**2 if shift else 0.0))
    half = _t_quantile(parameter(library, "forecast_percent"), people - 1) * spread
    middle = target.mean + target.sd * float(weights @ off) + (shift.points if shift else 0.0)
    low, high = scale
    used = [library.figure(one) for one in (*course.figures, *close.figures)]
    used += [*_parameters(library, "forecast_percent", "arm_people"), *(shift.figures if shift else ())]
    return Forecast(
        at,
        cited(min(max(middle, low), high), used, [course.weakness]),
        min(max(middle - half, low), high),
        min(max(middle + half, low), high),
        parameter(library, "forecast_percent"),
        course.id,
        shift,
    )


def _t_quantile(percent: float, degrees: float) -> float:
    from scipy.stats import t

    return float(t.ppf(0.5 + percent / 200, degrees))
