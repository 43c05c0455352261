"""An episode that was followed, as plain data: every figure with its citation and provenance."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from endfeel.evidence.cite import short_citation, value_text
from endfeel.evidence.figures import Cited, number
from endfeel.evidence.library import Library
from endfeel.follow.courses import Course, Forecast
from endfeel.follow.decisions import Decision
from endfeel.follow.episode import Followed
from endfeel.follow.outlook import Shift
from endfeel.follow.predictors import HOW_ADDED, Predictor
from endfeel.follow.trajectory import VERDICT_WORDS, Trajectory, interval
from endfeel.measurement.error_figures import ErrorFigure


def followed_json(told: Followed, library: Library) -> dict[str, Any]:
    """All of it."""
    standing = told.standing
    return {
        "visits": [
            {"number": k, "date": f"{one.day}", "id": one.id, "review": one.review}
            for k, one in enumerate(told.visits, 1)
        ],
        "weeks": round(told.weeks, 2),
        "measures": [_trajectory(one, library) for one in told.trajectories],
        "standing": {
            "judged": standing.judged,
            "better": list(standing.better),
            "worse": list(standing.worse),
            "all_better": standing.all_better,
            "matters": standing.matters,
            "level": standing.level,
        },
        "decisions": [_decision(one) for one in told.decisions],
        "predictors": [_predictor(one) for one in told.predictors],
        "predictors_note": HOW_ADDED,
        "outlook": dict(told.outlook),
        "left_out": list(told.left_out),
    }


def _trajectory(one: Trajectory, library: Library) -> dict[str, Any]:
    line = one.line
    return {
        "id": line.id,
        "measure": line.measure,
        "name": line.name,
        "occasion": line.occasion,
        "instrument": line.instrument,
        "outcome_measure": line.is_outcome,
        "unit": one.unit,
        "low": one.low,
        "high": one.high,
        "better": one.better,
        "readings": [
            {"date": f"{reading.day}", "week": round(week, 2), "visit": reading.visit, "value": reading.value}
            for week, reading in zip(one.weeks, line.readings, strict=True)
        ],
        "verdict": one.verdict,
        "verdict_words": VERDICT_WORDS[one.verdict],
        "matters": one.matters,
        "change": one.change.difference if len(line.readings) > 1 else None,
        "figures": [_error_figure(figure) for figure in one.change.figures],
        "why": one.change.why,
        "error_band_95": one.band,
        "smallest_detectable_change_95": _value(one.detectable),
        "important_change": _value(one.important),
        "true_value": [
            {"mean": level.mean, "low": interval(level)[0], "high": interval(level)[1]} for level in one.level
        ],
        "true_change": None
        if one.true_change is None
        else {
            "mean": one.true_change.mean,
            "low": interval(one.true_change)[0],
            "high": interval(one.true_change)[1],
        },
        "courses": [_course(course) for course in one.courses],
        "forecasts": [_forecast(made, library) for made in one.forecasts],
        "remarks": list(one.remarks),
    }


def _value(of: Cited | None) -> float | None:
    return None if of is None else number(of)


def _error_figure(figure: ErrorFigure) -> dict[str, Any]:
    return {
        "kind": figure.kind,
        "value": number(figure.value),
        "unit": figure.unit,
        "printed": figure.printed,
        "population": figure.population,
        "citation": short_citation(figure.source),
        "provenance": figure.value.provenance.label,
        "figures": list(figure.value.figures),
    }


def _course(course: Course) -> dict[str, Any]:
    return {
        "id": course.id,
        "name": course.name,
        "points": [
            {"week": point.weeks, "mean": point.mean, "sd": point.sd, "people": point.people} for point in course.points
        ],
        "weakness": course.weakness,
        "citation": course.source,
        "provenance": course.provenance.label,
        "figures": list(course.figures),
    }


def _forecast(made: Forecast, library: Library) -> dict[str, Any]:
    return {
        "week": made.weeks,
        "middle": number(made.middle),
        "low": made.low,
        "high": made.high,
        "percent": made.percent,
        "course": made.course,
        "moved_by_predictors": None if made.shift is None else _shift(made.shift),
        "provenance": made.middle.provenance.label,
        "citations": list(_citations(made.middle.figures, library)),
    }


def _shift(shift: Shift) -> dict[str, Any]:
    return {
        "points": shift.points,
        "sd": shift.sd,
        "because": [{"says": one.says, "here": one.here, "effect": one.points, "sd": one.sd} for one in shift.pulls],
    }


def _citations(figures: Iterable[str], library: Library) -> dict[str, None]:
    return dict.fromkeys(short_citation(library.figure(one).source) for one in figures)


def _decision(one: Decision) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "kind": one.kind,
        "says": one.says,
        "because": one.because,
        "basis": one.basis.text,
        "basis_id": one.basis.id,
        "citation": short_citation(one.basis.source),
        "basis_provenance": one.basis.provenance.label,
        "provenance": one.provenance,
        "note": one.note,
    }


def _predictor(one: Predictor) -> dict[str, Any]:
    return {
        "id": one.id,
        "says": one.says,
        "effect": value_text(one.effect),
        "low": one.effect.low,
        "high": one.effect.high,
        "kind": one.kind,
        "per": one.per,
        "direction": one.direction,
        "outcome": one.outcome,
        "here": one.here,
        "fit": one.fit,
        "role": one.role,
        "points_here": None if one.pull is None else one.pull.points,
        "citation": short_citation(one.effect.source),
        "provenance": one.effect.provenance.label,
    }
