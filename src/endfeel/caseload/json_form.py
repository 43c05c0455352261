"""A report as plain JSON values: what is hidden is null."""

from __future__ import annotations

from typing import Any

from endfeel.caseload.report import Report
from endfeel.caseload.small_numbers import Table
from endfeel.caseload.survival import Waited


def report_json(told: Report) -> dict[str, Any]:
    """Everything that may be shown; of too few people only that they are too few."""
    if told.too_few:
        return {"too_few_people": True, "fewest": told.fewest}
    return {
        "too_few_people": False,
        "fewest": told.fewest,
        "episodes": told.episodes,
        "people": told.people,
        "measure": told.main,
        "improvement": _table(told.improvement),
        "who": {words: _table(table) for words, table in told.who},
        "until_it_matters": {measure: _waited(one) for measure, one in told.until_it_matters},
        "contributors": _table(told.alone),
        "together": [
            {"first": one.first, "second": one.second, "both": one.both, "expected": round(one.expected, 1)}
            for one in told.together
        ],
        "pairs_hidden": told.pairs_hidden,
        "deciding": _table(told.deciding),
        "weeks_before": _table(told.waiting_before),
        "days_between": _table(told.waiting_between),
        "turns": _table(told.turning),
        "run_charts": [
            {
                "id": one.id, "title": one.title, "unit": one.unit, "months": list(one.months),
                "values": [round(value, 3) for value in one.values], "median": one.reading.median,
                "runs": one.reading.runs, "runs_allowed": [one.reading.runs_low, one.reading.runs_high],
                "enough_points": one.reading.enough, "months_left_out": one.left_out,
                "signals": [{"rule": s.rule, "points": list(s.points), "says": s.says} for s in one.reading.signals],
            }
            for one in told.charts
        ],
    }  # fmt: skip


def _table(table: Table) -> dict[str, Any]:
    rows = {name: dict(zip((*table.columns, "all"), cells, strict=True)) for name, cells in table.inner}
    if not table.totals:
        return {"rows": rows}
    return {"rows": rows, "all": dict(zip((*table.columns, "all"), table.totals, strict=True))}


def _waited(one: Waited) -> dict[str, Any]:
    steps = [
        {"day": step.day, "changed": round(1 - step.still, 3), "low": round(1 - step.high, 3),
         "high": round(1 - step.low, 3)}
        for step in one.steps
    ]  # fmt: skip
    return {"followed": one.lines, "half_by_day": one.median_day, "steps": steps}
