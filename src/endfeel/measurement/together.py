"""All examiners together: every coefficient for any number of them, with gaps, analytic and bootstrap intervals."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from endfeel.measurement.bootstrap import Array, bootstrap
from endfeel.measurement.icc import FORMS, reliability
from endfeel.measurement.kappa import Coefficient, fleiss_kappa, weighted_kappa
from endfeel.measurement.several_raters import WEIGHTS, Metric, counts_of, gwet, percent_agreement
from endfeel.measurement.weighed import agreement_and_ac, alpha, alpha_of_readings, fleiss, iccs, kappa, tallies_of

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
    """Per cent agreement, AC1, alpha, kappa of those whom everybody rated, and weighted forms where order means
    something."""
    tallies, people = tallies_of(rows, size), len(rows)
    plain = WEIGHTS["identity"](size)
    found = [
        Statistic("agreement", "per cent agreement", percent_agreement(rows, size),
                  bootstrap(people, lambda some: agreement_and_ac(tallies, plain, some)[0])),
        _ac("ac1", "AC1", "identity", rows, size, tallies),
    ]  # fmt: skip
    if ordered:
        found += [_ac(f"ac2_{one}", f"AC2, {one}", one, rows, size, tallies) for one in WEIGHTS if one != "identity"]
    for metric in (Metric.NOMINAL, Metric.ORDINAL) if ordered else (Metric.NOMINAL,):
        found.append(_alpha(metric, people, partial(alpha, tallies, metric)))
    whole = [row for row in rows if None not in row]
    if len(whole) > 1 and len(whole[0]) == 2:
        found += _kappas(whole, size, ordered=ordered)
    elif len(whole) > 1:
        all_rated = tallies_of(whole, size)
        drawn = bootstrap(len(whole), lambda some: fleiss(all_rated, some))
        found.append(Statistic("fleiss", "Fleiss kappa", fleiss_kappa(counts_of(whole, size)), drawn))
    return tuple(found)


def of_readings(rows: NumberRows) -> tuple[Statistic, ...]:
    """Alpha for distances, and the six ICCs of the people everybody measured."""
    found = [_alpha(Metric.INTERVAL, len(rows), lambda some: alpha_of_readings(rows, some))]
    whole = [[one for one in row if one is not None] for row in rows if None not in row]
    if len(whole) > 1:
        forms = reliability(whole).forms
        found += [_icc(form, forms[form], whole) for form in FORMS]
    return tuple(found)


def _icc(form: str, analytic: Coefficient, rows: Sequence[Sequence[float]]) -> Statistic:
    _, model, raters = form.split("_")
    drawn = bootstrap(len(rows), lambda some: iccs(rows, some)[FORMS.index(form)])
    return Statistic(form, f"ICC({model},{raters})", analytic, drawn)


def _ac(id_: str, name: str, weights: str, rows: CodedRows, size: int, tallies: Array) -> Statistic:
    near = WEIGHTS[weights](size)
    drawn = bootstrap(len(rows), lambda some: agreement_and_ac(tallies, near, some)[1])
    return Statistic(id_, name, gwet(rows, size, near), drawn)


def _alpha(metric: Metric, people: int, of: Callable[[Array], Array]) -> Statistic:
    drawn = bootstrap(people, of)
    without = Coefficient(drawn.value, math.nan, math.nan)
    return Statistic(f"alpha_{metric}", f"Krippendorff's alpha, {metric}", without, drawn)


def _kappas(rows: CodedRows, size: int, *, ordered: bool) -> list[Statistic]:
    found = [_kappa("kappa", "kappa", "identity", rows, size)]
    if ordered:
        names = ("linear", "quadratic")
        found += [_kappa(f"weighted_{one}", f"kappa, {one} weights", one, rows, size) for one in names]
    return found


def _kappa(id_: str, name: str, weights: str, rows: CodedRows, size: int) -> Statistic:
    near = WEIGHTS[weights](size)
    counts = [[0.0] * size for _ in range(size)]
    for first, second in rows:
        counts[first or 0][second or 0] += 1
    drawn = bootstrap(len(rows), lambda some: kappa(rows, near, some))
    return Statistic(id_, name, weighted_kappa(counts, near), drawn)
