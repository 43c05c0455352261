"""Agreement and change arithmetic against published worked examples; each names its source and tolerance."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.inter_rater import fleiss_kappa as peer_fleiss

from endfeel.evidence.library import Library
from endfeel.measurement.confidence import (
    detectable_change,
    reliable_change_index,
    rescale,
    sem_from_bound,
    sem_from_limits,
    standard_error_of_difference,
)
from endfeel.measurement.icc import mean_squares, reliability, within_subject_sd
from endfeel.measurement.kappa import (
    ac1,
    distance_weights,
    fleiss_agreement,
    fleiss_kappa,
    two_raters,
    weighted_kappa,
    weights_from_disagreement,
)
from endfeel.measurement.limits_of_agreement import coefficient_of_repeatability, limits_of_agreement


@pytest.fixture
def example(library: Library) -> Any:
    checks = {check["id"]: check for check in library.documents["statistics_checks"]["check"]}
    return checks.__getitem__


def test_six_iccs_of_shrout_and_fleiss_1979(example: Any) -> None:
    check = example("shrout_fleiss_1979_icc")
    found = reliability(check["data"])
    squares = mean_squares(check["data"])
    printed = check["expected_mean_squares"]
    assert squares.between_subjects == pytest.approx(printed["between_targets"], abs=0.006)
    assert squares.within_subjects == pytest.approx(printed["within_targets"], abs=0.006)
    assert squares.between_raters == pytest.approx(printed["between_judges"], abs=0.006)
    assert squares.residual == pytest.approx(printed["residual"], abs=0.006)
    for form, value in check["expected"].items():
        assert found.forms[form].value == pytest.approx(value, abs=check["tolerance"]), form
        assert found.forms[form].value == pytest.approx(check["full_precision"][form], abs=1e-6), form


@pytest.mark.parametrize(
    ("form", "low", "high"),
    [
        # Intervals that statistics texts give for the 1979 table: values from memory, two decimals.
        ("icc_1_1", -0.13, 0.72),
        ("icc_2_1", 0.02, 0.76),
        ("icc_3_1", 0.34, 0.95),
        ("icc_1_k", -0.88, 0.91),
        ("icc_2_k", 0.07, 0.93),
        ("icc_3_k", 0.68, 0.99),
    ],
)
def test_intervals_of_the_six_iccs(example: Any, form: str, low: float, high: float) -> None:
    found = reliability(example("shrout_fleiss_1979_icc")["data"]).forms[form]
    assert found.low == pytest.approx(low, abs=0.006)
    assert found.high == pytest.approx(high, abs=0.006)


def test_limits_of_agreement_of_bland_and_altman_1986(example: Any) -> None:
    check = example("bland_altman_1986_agreement")
    found = limits_of_agreement(check["wright_first"], check["mini_first"], multiplier=2)
    expected, tolerance = check["expected"], check["tolerance"]
    assert found.mean_difference.value == pytest.approx(expected["mean_difference"], abs=tolerance)
    assert found.sd_difference == pytest.approx(expected["sd_difference"], abs=tolerance)
    assert found.lower.value == pytest.approx(expected["lower_limit"], abs=tolerance)
    assert found.upper.value == pytest.approx(expected["upper_limit"], abs=tolerance)
    # The paper's interval of the mean difference, -22.0 to 17.8: value from memory.
    assert found.mean_difference.low == pytest.approx(-22.0, abs=0.15)
    assert found.mean_difference.high == pytest.approx(17.8, abs=0.15)
    at_1_96 = limits_of_agreement(check["wright_first"], check["mini_first"])
    assert at_1_96.lower.value == pytest.approx(-78.1, abs=tolerance)
    assert at_1_96.upper.value == pytest.approx(73.9, abs=tolerance)


def test_repeatability_of_bland_and_altman_1986(example: Any) -> None:
    data, check = example("bland_altman_1986_agreement"), example("bland_altman_1986_repeatability")
    for meter in ("wright", "mini"):
        found = coefficient_of_repeatability(data[f"{meter}_first"], data[f"{meter}_second"], multiplier=2)
        assert found == pytest.approx(check["expected"][meter], abs=check["tolerance"])
        assert found == pytest.approx(check["full_precision"][meter], abs=0.001)


def test_within_subject_sd_of_bland_and_altman_1996(example: Any) -> None:
    check = example("bland_altman_1996_within_subject_sd")
    sd = within_subject_sd(check["data"])
    assert sd == pytest.approx(check["expected"]["within_sd"], abs=0.05)
    assert detectable_change(sd) == pytest.approx(check["expected"]["repeatability_2_77_sd"], abs=check["tolerance"])


def test_weighted_kappa_of_cohen_1968(example: Any) -> None:
    check = example("cohen_1968_weighted_kappa")
    counts = [[share * check["n"] for share in row] for row in check["proportions"]]
    weights = weights_from_disagreement(check["disagreement_weights"])
    assert two_raters(counts).kappa.value == pytest.approx(check["expected"]["kappa"], abs=check["tolerance"])
    assert weighted_kappa(counts, weights).value == pytest.approx(
        check["expected"]["weighted_kappa"], abs=check["tolerance"]
    )


def test_kappa_of_fleiss_book_and_its_interval_against_statsmodels(example: Any) -> None:
    check = example("fleiss_book_kappa")
    found = two_raters(check["counts"])
    peer = cohens_kappa(np.array(check["counts"]))
    assert found.kappa.value == pytest.approx(check["expected"]["kappa"], abs=check["tolerance"])
    assert found.kappa.value == pytest.approx(peer.kappa, abs=1e-12)
    assert found.kappa.low == pytest.approx(peer.kappa_low, abs=1e-9)
    assert found.kappa.high == pytest.approx(peer.kappa_upp, abs=1e-9)
    assert found.kappa_max == pytest.approx(peer.kappa_max, abs=1e-12)


@pytest.mark.parametrize(("power", "scheme"), [(1, "linear"), (2, "quadratic")])
def test_weighted_kappa_and_interval_agree_with_statsmodels(example: Any, power: int, scheme: str) -> None:
    counts = example("fleiss_book_kappa")["counts"]
    found = weighted_kappa(counts, distance_weights(3, power))
    peer = cohens_kappa(np.array(counts), wt=scheme)
    assert found.value == pytest.approx(peer.kappa, abs=1e-12)
    assert found.low == pytest.approx(peer.kappa_low, abs=1e-9)
    assert found.high == pytest.approx(peer.kappa_upp, abs=1e-9)


def test_same_agreement_very_different_kappa_feinstein_1990(example: Any) -> None:
    check = example("kappa_paradox_1990")
    for name in ("a", "b"):
        found = two_raters(check[f"table_{name}"])
        assert found.agreement.value == pytest.approx(check["expected"][f"agreement_{name}"], abs=check["tolerance"])
        assert found.kappa.value == pytest.approx(check["expected"][f"kappa_{name}"], abs=check["tolerance"])
        assert found.pabak == pytest.approx(check["expected"][f"pabak_{name}"], abs=check["tolerance"])


def test_fleiss_1971_kappa_for_six_raters(example: Any) -> None:
    check = example("fleiss_1971_kappa")
    observed, expected = fleiss_agreement(check["data"])
    assert observed == pytest.approx(check["expected"]["observed_agreement"], abs=check["tolerance"])
    assert expected == pytest.approx(check["expected"]["expected_agreement"], abs=check["tolerance"])
    found = fleiss_kappa(check["data"])
    assert found.value == pytest.approx(check["expected"]["kappa"], abs=check["tolerance"])
    assert found.value == pytest.approx(peer_fleiss(np.array(check["data"])), abs=1e-12)
    assert found.low < found.value < found.high


def test_ac1_of_gwet_2002_under_extreme_prevalence(example: Any) -> None:
    check = example("gwet_ac1")
    found = two_raters(check["counts"])
    assert found.agreement.value == pytest.approx(check["expected"]["agreement"], abs=check["tolerance"])
    assert found.kappa.value == pytest.approx(check["expected"]["kappa"], abs=check["tolerance"])
    assert found.ac1.value == pytest.approx(check["expected"]["ac1"], abs=check["tolerance"])


def test_interval_of_ac1_agrees_with_a_jackknife(example: Any) -> None:
    """No published interval is at hand: the formula is set against leaving out one subject at a time."""
    counts = [[float(cell) for cell in row] for row in example("fleiss_book_kappa")["counts"]]
    n = sum(map(sum, counts))
    mean, squares = 0.0, 0.0
    for i, row in enumerate(counts):
        for j, cell in enumerate(row):
            if cell:
                less = [[c - (i == a and j == b) for b, c in enumerate(line)] for a, line in enumerate(counts)]
                value = ac1(less).value
                mean, squares = mean + cell * value / n, squares + cell * value**2
    jackknife = math.sqrt((n - 1) / n * (squares - n * mean**2))
    found = ac1(counts)
    assert (found.high - found.low) / 2 / 1.959964 == pytest.approx(jackknife, rel=0.03)


def test_reliable_change_of_jacobson_and_truax_1991(example: Any) -> None:
    check = example("jacobson_truax_1991")
    given, expected, tolerance = check["inputs"], check["expected"], check["tolerance"]
    difference = standard_error_of_difference(given["sd_pre"], given["reliability"])
    assert difference == pytest.approx(expected["standard_error_of_difference"], abs=tolerance)
    assert difference / math.sqrt(2) == pytest.approx(expected["standard_error"], abs=tolerance)
    index = reliable_change_index(given["pre"], given["post"], given["sd_pre"], given["reliability"])
    assert abs(index) == pytest.approx(expected["reliable_change_magnitude"], abs=tolerance)


def test_sem_to_mdc95_of_eiger_2022(example: Any) -> None:
    check = example("sem_to_mdc95_tsk")
    for form in ("tsk17", "tsk11"):
        found = detectable_change(check["inputs"][f"{form}_sem"])
        assert found == pytest.approx(check["expected"][f"{form}_mdc95"], abs=check["tolerance"])


def test_three_numbers_from_one_sem_of_michener_2002(example: Any) -> None:
    check = example("ases_sem_chain")
    sem, expected = check["inputs"]["sem"], check["expected"]
    assert detectable_change(sem, 90) == pytest.approx(expected["mdc90"], abs=check["tolerance"])
    assert detectable_change(sem, 90) / math.sqrt(2) == pytest.approx(expected["sem_90_bound"], abs=check["tolerance"])
    assert sem * math.sqrt(2) == pytest.approx(expected["unscaled_mdc"], abs=check["tolerance"])


def test_bound_that_is_already_scaled_of_leggin_2006(example: Any) -> None:
    check = example("penn_bound_to_mdc90")
    sem = sem_from_bound(check["inputs"]["sem_90_bound"], 90)
    assert sem == pytest.approx(check["expected"]["sem"], abs=check["tolerance"])
    assert detectable_change(sem, 90) == pytest.approx(check["expected"]["mdc90"], abs=check["tolerance"])


def test_sem_from_limits_of_agreement_of_de_winter_2004(example: Any) -> None:
    check = example("limits_of_agreement_to_sem")
    for motion in ("abduction", "external_rotation"):
        found = sem_from_limits(check["inputs"][f"{motion}_half_width"])
        assert found == pytest.approx(check["expected"][f"{motion}_sem"], abs=check["tolerance"])


def test_serratus_figure_printed_at_68_per_cent_is_doubled_for_95(library: Library) -> None:
    """Wang 2006 (row me110): its note says "multiply by 1.96"; the exact 68 % multiplier is 0.994."""
    row = library.tables["measurement_error"].rows["me110"]
    printed, level = float(row.text["mdc_high"]), float(row.text["mdc_confidence_percent"])
    assert rescale(printed, level) == pytest.approx(printed * 1.96, rel=0.01)
