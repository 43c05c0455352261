"""Agreement of several examiners with gaps, bootstrap and sample sizes, against published answers and other programs.

Second implementations: `krippendorff` 0.9 (alpha), `statsmodels` (analysis of variance behind the ICCs), SciPy's
`bootstrap` (bias-corrected accelerated intervals), and AC1 and AC2 counted pair by pair here. A package for AC2 exists
(irrCAC 0.4.4) but asks for SciPy 1.12 alone; set beside it once by hand, 40 random tables agreed to 1e-9.
"""

from __future__ import annotations

import math
from typing import Any

import krippendorff
import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some
from scipy.stats import bootstrap as scipy_bootstrap
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from endfeel.evidence.library import Library
from endfeel.measurement import weighed
from endfeel.measurement.bootstrap import bootstrap
from endfeel.measurement.icc import FORMS, mean_squares, reliability
from endfeel.measurement.kappa import ac1, fleiss_kappa, two_raters, weighted_kappa
from endfeel.measurement.prevalence import indices
from endfeel.measurement.sample_size import people_for_icc, people_for_kappa, people_for_limits
from endfeel.measurement.several_raters import (
    WEIGHTS,
    Metric,
    counts_of,
    gwet,
    percent_agreement,
)
from endfeel.measurement.together import of_readings

FOUR_OBSERVERS = "krippendorff_alpha_four_observers"


@pytest.fixture(scope="module")
def published(library: Library) -> dict[str, Any]:
    """Krippendorff 2011: four observers, twelve units, gaps; data and answers from memory, as the evidence says."""
    return next(one for one in library.documents["statistics_checks"]["check"] if one["id"] == FOUR_OBSERVERS)


@pytest.fixture(scope="module")
def four(published: dict[str, Any]) -> list[list[int | None]]:
    """A row a unit, categories from nought. Gwet 2014 uses the same table."""
    return [[one - 1 if one else None for one in unit] for unit in zip(*published["data"], strict=True)]


def alphas(rows: list[list[int | None]], size: int, metric: Metric, people: Any = None) -> Any:
    """The program's alpha of categories or of their places as readings, a value for each weighting of the people."""
    people = np.ones((1, len(rows))) if people is None else people
    if metric is Metric.INTERVAL:
        return weighed.alpha_of_readings(rows, people)
    return weighed.alpha(weighed.tallies_of(rows, size), metric, people)


def alpha_of_the_other_program(rows: list[list[int | None]], metric: Metric) -> float:
    """`krippendorff` asks for two values at least; where nothing paired varies, alpha is not defined."""
    paired = {one for row in rows if sum(cell is not None for cell in row) > 1 for one in row if one is not None}
    if len(paired) < 2:
        return math.nan
    table = np.array([[math.nan if one is None else one for one in row] for row in rows]).T
    return float(krippendorff.alpha(table, level_of_measurement=str(metric)))


@pytest.mark.parametrize("metric", Metric)
def test_alpha_of_krippendorff_2011(published: dict[str, Any], four: list[list[int | None]], metric: Metric) -> None:
    (found,) = alphas(four, 5, metric)
    assert found == pytest.approx(published["expected"][metric], abs=published["tolerance"])
    assert found == pytest.approx(alpha_of_the_other_program(four, metric), abs=1e-12)


def test_ac1_of_gwet_2014_with_gaps(four: list[list[int | None]]) -> None:
    """Printed: per cent agreement 0.8182, AC1 0.7754, its standard error 0.1430 (values from memory)."""
    found = gwet(four, 5)
    assert found.value == pytest.approx(0.7754, abs=0.0001)
    assert (found.value - found.low) / 1.959964 == pytest.approx(0.1430, abs=0.0005)
    assert percent_agreement(four, 5).value == pytest.approx(0.8182, abs=0.0001)


UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
"""A laden machine may take its time."""
RATINGS = some.lists(
    some.lists(some.one_of(some.none(), some.integers(0, 3)), min_size=3, max_size=3), min_size=6, max_size=14
).filter(lambda rows: sum(sum(one is not None for one in row) >= 2 for row in rows) >= 4
         and len({one for row in rows for one in row if one is not None}) > 1)  # fmt: skip


def pair_by_pair(rows: list[list[int | None]], weights: list[list[float]]) -> float:
    """AC2 by its definition: every ordered pair of examiners counted, category by category."""
    size = len(weights)
    agree = []
    for row in rows:
        given = [one for one in row if one is not None]
        pairs = [weights[a][b] for i, a in enumerate(given) for j, b in enumerate(given) if i != j]
        agree += [sum(pairs) / len(pairs)] if pairs else []
    rated = [[one for one in row if one is not None] for row in rows if any(one is not None for one in row)]
    shares = [sum(row.count(k) / len(row) for row in rated) / len(rated) for k in range(size)]
    chance = sum(map(sum, weights)) * sum(p * (1 - p) for p in shares) / (size * (size - 1))
    return (sum(agree) / len(agree) - chance) / (1 - chance)


@settings(UNHURRIED, max_examples=60)
@given(RATINGS, some.sampled_from(["identity", "linear", "quadratic", "ordinal"]))
def test_ac_with_any_weights_agrees_with_counting_pair_by_pair(rows: list[list[int | None]], weights: str) -> None:
    wanted = pair_by_pair(rows, WEIGHTS[weights](4))
    assert gwet(rows, 4, WEIGHTS[weights](4)).value == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("weights", ["identity", "quadratic"])
def test_interval_of_ac_with_gaps_agrees_with_leaving_out_one_person_at_a_time(weights: str) -> None:
    generator = np.random.default_rng(9)
    truth = generator.integers(0, 4, 80)
    table = np.where(generator.random((80, 3)) < 0.7, truth[:, None], generator.integers(0, 4, (80, 3)))
    rows = [[None if generator.random() < 0.15 else int(one) for one in row] for row in table]
    found = gwet(rows, 4, WEIGHTS[weights](4))
    left_out = [gwet([*rows[:i], *rows[i + 1 :]], 4, WEIGHTS[weights](4)).value for i in range(80)]
    jackknife = math.sqrt(79 / 80 * float(((np.array(left_out) - np.mean(left_out)) ** 2).sum()))
    assert (found.value - found.low) / 1.959964 == pytest.approx(jackknife, rel=0.05)


@settings(UNHURRIED, max_examples=40)
@given(RATINGS, some.sampled_from(Metric))
def test_alpha_agrees_with_the_other_program(rows: list[list[int | None]], metric: Metric) -> None:
    (found,) = alphas(rows, 4, metric)
    assert found == pytest.approx(alpha_of_the_other_program(rows, metric), abs=1e-9, nan_ok=True)


@UNHURRIED
@given(some.lists(some.lists(some.integers(0, 9), min_size=3, max_size=3), min_size=3, max_size=3))
def test_two_examiners_without_gaps_give_the_ac1_of_their_table(counts: list[list[int]]) -> None:
    rows: list[list[int | None]] = [[i, j] for i in range(3) for j in range(3) for _ in range(counts[i][j])]
    if len(rows) < 2:
        return
    old, new = ac1([[float(one) for one in row] for row in counts]), gwet(rows, 3)
    assert new.value == pytest.approx(old.value, abs=1e-12, nan_ok=True)


@UNHURRIED
@given(some.lists(some.lists(some.integers(0, 30), min_size=2, max_size=2), min_size=2, max_size=2))
def test_kappa_follows_from_agreement_prevalence_and_bias(counts: list[list[int]]) -> None:
    """The identity of Byrt, Bishop and Carlin 1993 (from memory)."""
    table = [[float(one) for one in row] for row in counts]
    if not sum(map(sum, table)):
        return
    found, two = indices(table, ("yes", "no")), two_raters(table)
    assert found.prevalence_index is not None
    assert found.bias_index is not None
    p, b = found.prevalence_index**2, found.bias_index**2
    if 1 - p + b > 1e-9:
        assert two.kappa.value == pytest.approx((two.pabak - p + b) / (1 - p + b), abs=1e-9)


def test_specific_agreement_of_feinstein_1990_paradox(library: object) -> None:
    """Same agreement, very different kappa: the table with one ruling category agrees far less on the rare one."""
    even = indices([[40.0, 9.0], [6.0, 45.0]], ("yes", "no")).shares
    ruled = indices([[80.0, 10.0], [5.0, 5.0]], ("yes", "no")).shares
    assert even[1].specific == pytest.approx(90 / 105)
    assert ruled[1].specific == pytest.approx(10 / 25)


@pytest.mark.parametrize("seed", [1, 2])
def test_mean_squares_agree_with_a_linear_model(seed: int) -> None:
    generator = np.random.default_rng(seed)
    readings = generator.normal(50, 10, (9, 1)) + generator.normal(0, 2, (1, 3)) + generator.normal(0, 3, (9, 3))
    long = pd.DataFrame({"y": readings.ravel(), "subject": np.repeat(range(9), 3), "rater": np.tile(range(3), 9)})
    table = anova_lm(ols("y ~ C(subject) + C(rater)", data=long).fit())
    found = mean_squares(readings.tolist())
    assert found.between_subjects == pytest.approx(table["mean_sq"]["C(subject)"])
    assert found.between_raters == pytest.approx(table["mean_sq"]["C(rater)"])
    assert found.residual == pytest.approx(table["mean_sq"]["Residual"])


def test_bootstrap_agrees_with_scipy() -> None:
    """Same method, other random numbers: ends within a tenth of the width."""
    data = np.random.default_rng(3).gamma(2.0, 10.0, 60)
    found = bootstrap(60, lambda people: people @ data / people.sum(axis=1), draws=5000)
    peer = scipy_bootstrap((data,), np.mean, n_resamples=5000, method="BCa", random_state=4).confidence_interval
    width = peer.high - peer.low
    assert found.low == pytest.approx(peer.low, abs=0.1 * width)
    assert found.high == pytest.approx(peer.high, abs=0.1 * width)


def test_bootstrap_of_an_icc_is_near_its_analytic_interval() -> None:
    generator = np.random.default_rng(6)
    readings = (generator.normal(50, 10, (60, 1)) + generator.normal(0, 5, (60, 2))).tolist()
    found = next(one for one in of_readings(readings) if one.id == "icc_3_1")
    assert found.drawn.low == pytest.approx(found.analytic.low, abs=0.06)
    assert found.drawn.high == pytest.approx(found.analytic.high, abs=0.06)


@settings(UNHURRIED, max_examples=60)
@given(RATINGS, some.sampled_from(sorted(WEIGHTS)))
def test_many_weightings_at_once_are_the_plain_functions_with_weights_of_one(
    rows: list[list[int | None]], weights: str
) -> None:
    """And a person of weight two is that person twice, of weight none is nobody."""
    near, tallies = WEIGHTS[weights](4), weighed.tallies_of(rows, 4)
    people = np.ones((2, len(rows)))
    people[1, :2] = 2.0, 0.0
    lists = [rows, [rows[0], *rows[:1], *rows[2:]]]
    agree, beyond = weighed.agreement_and_ac(tallies, near, people)
    for k, some_rows in enumerate(lists):
        assert agree[k] == pytest.approx(percent_agreement(some_rows, 4, near).value, abs=1e-9, nan_ok=True)
        assert beyond[k] == pytest.approx(gwet(some_rows, 4, near).value, abs=1e-9, nan_ok=True)
        for metric in Metric:
            found = alphas(rows, 4, metric, people)[k]
            assert found == pytest.approx(alpha_of_the_other_program(some_rows, metric), abs=1e-9, nan_ok=True)
        whole = [[one or 0 for one in row] for row in some_rows]
        own = weighed.fleiss(weighed.tallies_of([[one or 0 for one in row] for row in rows], 4), people)[k]
        assert own == pytest.approx(fleiss_kappa(counts_of(whole, 4)).value, abs=1e-9, nan_ok=True)
        pairs = [row[:2] for row in whole]
        table = [[float(pairs.count([i, j])) for j in range(4)] for i in range(4)]
        first = weighed.kappa([[one or 0 for one in row[:2]] for row in rows], near, people)[k]
        assert first == pytest.approx(weighted_kappa(table, near).value, abs=1e-9, nan_ok=True)


def test_iccs_of_many_weightings_at_once_are_the_plain_ones() -> None:
    generator = np.random.default_rng(8)
    readings = (generator.normal(50, 10, (12, 1)) + generator.normal(0, 4, (12, 3))).tolist()
    people = np.ones((2, 12))
    people[1, :2] = 2.0, 0.0
    found = weighed.iccs(readings, people)
    for k, some_rows in enumerate([readings, [readings[0], readings[0], *readings[2:]]]):
        forms = reliability(some_rows).forms
        assert found[:, k] == pytest.approx([forms[form].value for form in FORMS])


def test_people_for_an_icc_of_bonett_2002() -> None:
    """The paper's example: four examiners, ICC 0.85, width 0.2: 19.2 people (read in the manual of presize)."""
    assert people_for_icc(0.85, 4, 0.1) == 20


def test_people_for_an_icc_keep_their_promise() -> None:
    """By simulation: with so many people the interval is about as wide as asked."""
    people = people_for_icc(0.7, 3, 0.1)
    generator = np.random.default_rng(5)
    widths = []
    for _ in range(40):
        readings = generator.normal(0, math.sqrt(0.7), (people, 1)) + generator.normal(0, math.sqrt(0.3), (people, 3))
        one = reliability(readings.tolist()).forms["icc_1_1"]
        widths.append(one.high - one.low)
    assert float(np.mean(widths)) == pytest.approx(0.2, abs=0.02)


@pytest.mark.parametrize(("kappa", "prevalence"), [(0.4, 0.5), (0.6, 0.3), (0.2, 0.15)])
def test_people_for_kappa_keep_their_promise(kappa: float, prevalence: float) -> None:
    """By simulation: with so many people kappa spreads as asked (95 % within the half width, about)."""
    people = people_for_kappa(kappa, prevalence, 0.15)
    both = prevalence**2 + kappa * prevalence * (1 - prevalence)
    shares = [both, prevalence - both, prevalence - both, 1 - 2 * prevalence + both]
    draws = np.random.default_rng(7).multinomial(people, shares, size=1500).reshape(-1, 2, 2)
    within = [abs(two_raters(one.tolist()).kappa.value - kappa) <= 0.15 for one in draws]
    assert float(np.mean(within)) == pytest.approx(0.95, abs=0.03)


def test_people_for_limits_of_bland_and_altman_1999() -> None:
    """A limit has a standard error of about sqrt(3/n) SD: 100 people for a half width of 0.34 SD (from memory)."""
    assert people_for_limits(1.96 * math.sqrt(3 / 100)) == pytest.approx(100, abs=5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: people_for_kappa(1.5, 0.5, 0.1), lambda: people_for_kappa(-0.9, 0.05, 0.1),
        lambda: people_for_icc(1.0, 2, 0.1), lambda: people_for_icc(0.5, 1, 0.1), lambda: people_for_limits(0),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told(call: object) -> None:
    with pytest.raises(ValueError, match=r"kappa|ICC|half width"):
        call()  # type: ignore[operator]
