"""Run charts against published answers, against counting every order, and against a second implementation."""

from __future__ import annotations

from itertools import combinations, groupby
from statistics import fmean
from typing import Any

import pytest
from statsmodels.sandbox.stats.runs import runstest_1samp

from endfeel.caseload.run_rules import MEAN_RANGE_OF_TWO, RunRules, read_run_chart, run_limits
from endfeel.evidence.library import Library


@pytest.fixture(scope="module")
def rules(library: Library) -> RunRules:
    return RunRules.of(library.documents["caseload"])


def check(library: Library, name: str) -> dict[str, Any]:
    return next(dict(one) for one in library.documents["statistics_checks"]["check"] if one["id"] == name)


def test_limits_of_single_values_are_those_of_the_handbook(library: Library, rules: RunRules) -> None:
    """NIST e-Handbook 6.3.2.2; values from memory."""
    told = check(library, "nist_individuals_chart")
    expected, values = told["expected"], told["data"]
    steps = [abs(one - other) for one, other in zip(values[1:], values, strict=False)]
    assert fmean(values) == pytest.approx(expected["mean"], abs=told["tolerance"])
    assert fmean(steps) == pytest.approx(expected["mean_moving_range"], abs=told["tolerance"])
    reading = read_run_chart(values, rules)
    assert (reading.far_low, reading.far_high) == pytest.approx(
        (expected["lower_limit"], expected["upper_limit"]), abs=told["tolerance"]
    )
    assert reading.runs == 4
    assert reading.signals == ()
    assert MEAN_RANGE_OF_TWO == 1.128


def test_the_number_of_runs_chance_allows_is_that_of_the_table(library: Library) -> None:
    """Swed and Eisenhart 1943, values from memory."""
    expected = check(library, "swed_eisenhart_runs")["expected"]
    for points in (5, 10, 20):
        assert run_limits(points, points, 5.0) == (
            expected[f"low_{points}_{points}"],
            expected[f"high_{points}_{points}"],
        )


@pytest.mark.parametrize(("above", "below"), [(5, 5), (4, 7), (1, 8), (6, 6)])
def test_the_number_of_runs_chance_allows_is_what_counting_every_order_gives(above: int, below: int) -> None:
    runs = [
        len(list(groupby(place in chosen for place in range(above + below))))
        for chosen in map(set, combinations(range(above + below), above))
    ]
    low, high = run_limits(above, below, 5.0)
    assert sum(one < low for one in runs) <= 0.025 * len(runs) < sum(one <= low for one in runs)
    assert sum(one > high for one in runs) <= 0.025 * len(runs) < sum(one >= high for one in runs)


def test_runs_are_counted_as_another_program_counts_them(rules: RunRules) -> None:
    values = [3.0, 5.0, 1.0, 8.0, 9.0, 2.0, 7.0, 6.0, 4.0, 10.0, 12.0, 11.0]
    reading = read_run_chart(values, rules)
    above = [value > reading.median for value in values]
    n = len(values)
    ones = sum(above)
    mean = 2 * ones * (n - ones) / n + 1
    variance = (mean - 1) * (mean - 2) / (n - 1)
    z, _ = runstest_1samp(values, cutoff="median", correction=False)
    assert (reading.runs - mean) / variance**0.5 == pytest.approx(z, abs=1e-12)


def test_six_in_a_row_on_one_side_are_a_shift_and_points_on_the_median_neither_make_nor_break_it(
    rules: RunRules,
) -> None:
    values = [1, 9, 2, 8, 1, 9, 5, 8, 9, 5, 8, 9, 8, 1, 2, 1, 2, 1, 5]
    reading = read_run_chart(values, rules)
    shifts = [one for one in reading.signals if one.rule == "shift"]
    assert reading.median == 5
    assert [len(one.points) for one in shifts] == [6]
    assert 6 not in shifts[0].points
    assert 9 not in shifts[0].points
    five = [value for place, value in enumerate(values) if place != 12]
    assert not [one for one in read_run_chart([*five, 9], rules).signals if one.rule == "shift"]


def test_five_that_rise_are_a_trend_and_equal_ones_count_once(rules: RunRules) -> None:
    values = [5, 4, 6, 1, 2, 2, 3, 4, 7, 3, 5, 4, 6, 3]
    trends = [one for one in read_run_chart(values, rules).signals if one.rule == "trend"]
    assert [one.points for one in trends] == [(3, 4, 6, 7, 8)]
    assert not [one for one in read_run_chart([5, 4, 6, 1, 2, 2, 3, 4, 3, 5, 4, 6, 3], rules).signals
                if one.rule == "trend"]  # fmt: skip


def test_a_point_far_from_the_others_is_told_and_too_few_points_tell_nothing(rules: RunRules) -> None:
    values = [5.0, 6.0, 5.5, 6.5, 5.2, 6.1, 5.4, 6.2, 5.1, 6.4, 30.0, 5.9]
    assert [one.points for one in read_run_chart(values, rules).signals if one.rule == "far"] == [(10,)]
    few = read_run_chart([1, 2, 3, 4, 5, 6, 7, 8, 9], rules)
    assert not few.enough
    assert few.signals == ()


def test_two_halves_on_two_sides_are_too_few_runs(rules: RunRules) -> None:
    told = read_run_chart([1, 2, 1, 2, 1, 2, 9, 8, 9, 8, 9, 8], rules)
    assert [one.says for one in told.signals if one.rule == "runs"] == ["too few runs: 2, where chance allows 4 to 10"]
