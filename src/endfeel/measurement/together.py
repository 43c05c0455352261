"""All examiners together: every coefficient for any number of them, with gaps, analytic and bootstrap intervals."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from endfeel.measurement.bootstrap import bootstrap, bootstrap_all
from endfeel.measurement.icc import FORMS, mean_squares, reliability, values_of
from endfeel.measurement.kappa import UNDEFINED, Coefficient, fleiss_kappa, weighted_kappa
from endfeel.measurement.several_raters import (
    WEIGHTS,
    Metric,
    counts_of,
    gwet,
    krippendorff_alpha,
    percent_agreement,
)

CodedRows = Sequence[Sequence[int | None]]
NumberRows = Sequence[Sequence[float | None]]


@dataclass(frozen=True, slots=True)
class Statistic:
    """One coefficient with the interval of its formula and the one of drawing people again."""

    id: str
    name: str
    analytic: Coefficient
    """NaN ends where there is no formula."""
    drawn: Coefficient
    """Bootstrap; NaN ends where too few people make it undefined."""


def of_categories(rows: CodedRows, size: int, *, ordered: bool) -> tuple[Statistic, ...]:
    """Per cent agreement, AC1, alpha, Fleiss kappa where nobody is missing, and weighted forms where order means
    something."""
    found = [
        _both("agreement", "per cent agreement", rows, lambda some: percent_agreement(some, size)),
        _both("ac1", "AC1", rows, lambda some: gwet(some, size)),
    ]
    if ordered:
        found += [_ac2(one, rows, size) for one in ("linear", "quadratic", "ordinal")]
    found.append(_alpha(rows, Metric.NOMINAL))
    if ordered:
        found.append(_alpha(rows, Metric.ORDINAL))
    whole = [row for row in rows if None not in row]
    if len(whole) > 1 and len(whole[0]) == 2:
        found += _kappas(whole, size, ordered=ordered)
    elif len(whole) > 1:
        found.append(_both("fleiss", "Fleiss kappa", whole, lambda some: _fleiss(some, size)))
    return tuple(found)


def of_readings(rows: NumberRows) -> tuple[Statistic, ...]:
    """Alpha for distances, and the six ICCs of the people everybody measured."""
    found = [_alpha(rows, Metric.INTERVAL)]
    whole = [[one for one in row if one is not None] for row in rows if None not in row]
    if len(whole) > 1:
        forms = reliability(whole).forms
        drawn = bootstrap_all(whole, _iccs)
        for form, one in zip(FORMS, drawn, strict=True):
            _, model, raters = form.split("_")
            found.append(Statistic(form, f"ICC({model},{raters})", forms[form], one))
    return tuple(found)


def _both(id_: str, name: str, rows: CodedRows, of: Callable[[CodedRows], Coefficient]) -> Statistic:
    return Statistic(id_, name, of(rows), bootstrap(rows, lambda some: of(some).value))


def _alpha(rows: NumberRows, metric: Metric) -> Statistic:
    drawn = bootstrap(rows, lambda some: krippendorff_alpha(some, metric))
    without = Coefficient(drawn.value, math.nan, math.nan)
    return Statistic(f"alpha_{metric}", f"Krippendorff's alpha, {metric}", without, drawn)


def _ac2(name: str, rows: CodedRows, size: int) -> Statistic:
    weights = WEIGHTS[name](size)
    return _both(f"ac2_{name}", f"AC2, {name}", rows, lambda some: gwet(some, size, weights))


def _kappas(rows: CodedRows, size: int, *, ordered: bool) -> list[Statistic]:
    found = [_kappa("kappa", "kappa", "identity", rows, size)]
    if ordered:
        names = ("linear", "quadratic")
        found += [_kappa(f"weighted_{one}", f"kappa, {one} weights", one, rows, size) for one in names]
    return found


def _kappa(id_: str, name: str, weights: str, rows: CodedRows, size: int) -> Statistic:
    table = WEIGHTS[weights](size)
    return _both(id_, name, rows, lambda some: weighted_kappa(_square(some, size), table))


def _square(rows: CodedRows, size: int) -> list[list[float]]:
    counts = [[0.0] * size for _ in range(size)]
    for first, second in rows:
        counts[first or 0][second or 0] += 1
    return counts


def _fleiss(rows: CodedRows, size: int) -> Coefficient:
    return fleiss_kappa(counts_of(rows, size)) if len(rows) > 1 else UNDEFINED


def _iccs(rows: Sequence[Sequence[float]]) -> tuple[float, ...]:
    if len(rows) < 2:
        return (math.nan,) * len(FORMS)
    values = values_of(mean_squares(rows))
    return tuple(values[form] for form in FORMS)
