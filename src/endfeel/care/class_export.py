"""What a class did, in files: JSON with everything, and a table a kind as comma-separated values. Names as chosen."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from endfeel import __version__
from endfeel.care.archive import table_csv
from endfeel.care.classroom import ClassView, LearnerPath, learner_paths, view_class
from endfeel.care.desk import Desk
from endfeel.teaching import Comparison, Progress
from endfeel.vocabulary import CAUTIONS, NotFound
from endfeel.vocabulary.shorthand import finding_text

Rows = list[dict[str, Any]]


def class_json(desk: Desk, class_id: str) -> bytes:
    """Everything about a class: paths, what was stood for, calibration, agreement. Raises NotFound."""
    view = view_class(desk, class_id)
    told = {
        "what": "a class on simulated patients; names are as learners chose them; nobody real was examined",
        "program": __version__,
        "release": desk.library.release,
        "written_at": desk.clock().isoformat(),
        "class": {"name": view.record.name, "teacher": view.record.teacher},
        "cases": [{"code": one.code, "minutes": one.minutes} for one in view.record.cases],
        "learners": [one.name for one in view.record.members],
        "steps": _steps(desk, view),
        "results": _results(desk, view),
        "percentages": _percentages(desk, view),
        "calibration": _calibration(view),
        "agreement": [_agreement(one) for one in view.results.comparisons] if view.results else [],
        "cautions": list(CAUTIONS),
    }
    return (json.dumps(told, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def class_csv(desk: Desk, class_id: str, table: str) -> bytes:
    """One table of a class: `steps`, `results` or `percentages`. Raises NotFound."""
    if table not in CLASS_TABLES:
        raise NotFound(f"there is no table {table!r}; there are {', '.join(CLASS_TABLES)}")
    return table_csv(CLASS_TABLES[table](desk, view_class(desk, class_id))).encode()


def _steps(desk: Desk, view: ClassView) -> Rows:
    """Who did what in which order, where and how long."""
    return [
        {
            "learner": path.learner, "case": case.code, "step": one.number, "minute": round(one.at_seconds / 60, 2),
            "kind": one.kind, "what": one.words, "position": one.position, "turned": one.turned,
            "minutes": round(one.lasts_seconds / 60, 2), "refused": one.refused,
            "found": _found(path, one.number - 1),
        }
        for case in view.record.cases
        for path in learner_paths(desk, view.record, case.code)
        for one in path.steps
    ]  # fmt: skip


def _found(path: LearnerPath, place: int) -> str:
    moment = path.examination.moments[place]
    return "; ".join([*filter(None, [moment.said]), *(finding_text(one) for one in moment.findings)])


def _results(desk: Desk, view: ClassView) -> Rows:  # noqa: ARG001 (all tables are made alike)
    """One row a closed case of a learner."""
    made = []
    for one in view.closed:
        safety, treatment = one.outcome.line("Safety"), one.outcome.line("First treatment")
        made.append(
            {
                "learner": one.learner, "case": one.code, "minutes": round(one.outcome.minutes, 2),
                "turns": one.outcome.turns, "refusals": one.outcome.refusals,
                "safety_said": str(one.stands_for.safety), "safety_right": safety.good if safety else None,
                "first_treatment": one.stands_for.treatment,
                "first_treatment_good": treatment.good if treatment else None,
                "hidden": len(one.outcome.hidden), "hidden_named": sum(hit for *_, hit in one.outcome.hidden),
                "missed_safety_items": "; ".join(one.outcome.missed),
                "first_questions_not_put": one.outcome.not_asked,
                "done_although_it_must_not_be": "; ".join(one.outcome.against),
                "bits": round(one.outcome.bits, 3), "lost_bits": round(one.outcome.lost_bits, 3),
                "most_stirred_share": round(one.outcome.stirred, 3),
            }
        )  # fmt: skip
    return made


def _percentages(desk: Desk, view: ClassView) -> Rows:  # noqa: ARG001
    """One row a contributor a learner named."""
    return [
        {
            "learner": one.learner, "case": one.code, "place": place, "contributor": told.contributor,
            "name": told.name, "region": told.region, "said": round(told.said, 4), "there": told.so,
            "program": round(told.program, 4),
        }
        for one in view.closed
        for place, told in enumerate(one.outcome.forecasts, 1)
    ]  # fmt: skip


CLASS_TABLES: dict[str, Callable[[Desk, ClassView], Rows]] = {
    "steps": _steps,
    "results": _results,
    "percentages": _percentages,
}


def _calibration(view: ClassView) -> dict[str, Any]:
    if view.results is None:
        return {}
    return {
        "group": _bands(view.results.together),
        "learners": {name: _bands(one) for name, one in view.results.by_learner.items()},
    }


def _bands(told: Progress) -> dict[str, Any]:
    return {
        "closed_cases": told.cases,
        "percentages": told.forecasts,
        "squared_error": _number(told.brier),
        "squared_error_of_the_program": _number(told.program_brier),
        "bands": [
            {
                "from_percent": one.low, "to_percent": one.high, "count": one.count, "said": _number(one.said),
                "so": _number(one.so.value), "low": _number(one.so.low), "high": _number(one.so.high),
                "enough": one.enough,
            }
            for one in told.bands
        ],
    }  # fmt: skip


def _agreement(one: Comparison) -> dict[str, Any]:
    return {
        "about": one.about,
        "subjects": one.subjects,
        "learners": one.learners,
        "caution": one.caution,
        "coefficients": [
            {
                "name": told.name,
                "value": _number(told.analytic.value) if told.analytic.value == told.analytic.value else _number(
                    told.drawn.value),
                "low_by_formula": _number(told.analytic.low), "high_by_formula": _number(told.analytic.high),
                "low_drawn": _number(told.drawn.low), "high_drawn": _number(told.drawn.high),
            }
            for told in one.statistics
        ],
        "pairs": [
            {"learners": [pair.first, pair.second], "subjects": pair.subjects, "agreed": _number(pair.agreed.value),
             "kappa": _number(pair.kappa.value)}
            for pair in one.pairs
        ],
    }  # fmt: skip


def _number(value: float) -> float | None:
    """A number that JSON can hold; None where it is not defined."""
    return round(float(value), 4) if value == value else None
