"""2x2 arithmetic against published tables with their printed ratios and intervals."""

from __future__ import annotations

import math
import re

import pytest

from endfeel.evidence.library import Library
from endfeel.measurement.diagnostic_table import likelihood_ratios, post_test_probability, predictive_values, table_2x2

COUNTS = re.compile(r"derived_2x2 tp=(\d+) fp=(\d+) fn=(\d+) tn=(\d+)")
PRINTED = re.compile(r"(LR[+-])=([\d.]+)(?: \(([\d.]+)-([\d.]+)\))?")


def test_liver_scan_of_altman_and_bland_1994(library: Library) -> None:
    checks = {check["id"]: check for check in library.documents["statistics_checks"]["check"]}
    check = checks["diagnostic_liver_scan"]
    counts, expected, tolerance = check["counts"], check["expected"], check["tolerance"]
    found = table_2x2(
        counts["true_positive"], counts["false_positive"], counts["false_negative"], counts["true_negative"]
    )
    assert found.sensitivity.value == pytest.approx(expected["sensitivity"], abs=tolerance)
    assert found.specificity.value == pytest.approx(expected["specificity"], abs=tolerance)
    assert found.positive_predictive.value == pytest.approx(expected["positive_predictive_value"], abs=tolerance)
    assert found.negative_predictive.value == pytest.approx(expected["negative_predictive_value"], abs=tolerance)
    assert found.ratio_positive.value == pytest.approx(expected["likelihood_ratio_positive"], abs=tolerance)
    assert found.ratio_negative.value == pytest.approx(expected["likelihood_ratio_negative"], abs=tolerance)
    positive, negative = predictive_values(found.sensitivity.value, found.specificity.value, 0.25)
    assert positive == pytest.approx(expected["ppv_at_prevalence_0_25"], abs=tolerance)
    assert negative == pytest.approx(expected["npv_at_prevalence_0_25"], abs=tolerance)


def test_ratios_of_hall_2008_from_sensitivity_and_specificity(library: Library) -> None:
    checks = {check["id"]: check for check in library.documents["statistics_checks"]["check"]}
    check = checks["flexion_rotation_test_likelihood"]
    positive, negative = likelihood_ratios(check["inputs"]["sensitivity"], check["inputs"]["specificity"])
    assert positive == pytest.approx(check["expected"]["likelihood_ratio_positive"], abs=check["tolerance"])
    assert negative == pytest.approx(check["expected"]["likelihood_ratio_negative"], abs=check["tolerance"])


@pytest.mark.parametrize(
    ("row", "source"),
    [
        ("da042", "Michener 2009, hawkins_kennedy"),
        ("da043", "Michener 2009, neer"),
        ("da044", "Michener 2009, painful arc"),
        ("da045", "Michener 2009, empty can"),
        ("da046", "Michener 2009, resisted external rotation"),
        ("da047", "Michener 2009, three or more of five"),
        ("da250", "Grondin 2021, three of four"),
        ("da251", "Grondin 2021, none of four"),
    ],
)
def test_printed_ratio_and_interval_follow_from_the_counts(library: Library, row: str, source: str) -> None:
    """Printed to the digits in the note of the row; one unit in the last digit is allowed for rounding twice."""
    note = library.tables["diagnostic_accuracy"].rows[row].note
    counts = COUNTS.search(note)
    assert counts is not None, source
    found = table_2x2(*(int(count) for count in counts.groups()))
    printed = PRINTED.findall(note)
    assert printed, source
    for which, value, low, high in printed:
        ratio = found.ratio_positive if which == "LR+" else found.ratio_negative
        pairs = [(ratio.value, value), *([(ratio.low, low), (ratio.high, high)] if low else [])]
        for computed, text in pairs:
            digits = len(text.split(".")[1]) if "." in text else 0
            assert computed == pytest.approx(float(text), abs=1.01 * 10.0**-digits), (source, which, text)


def test_ratio_and_interval_of_the_resisted_supination_test_2005(library: Library) -> None:
    """Row da217: 4.6 (1.3 to 16.1). The negative ratio is printed as 0.20 where the counts give 0.21."""
    found = table_2x2(24, 2, 5, 9).ratio_positive
    assert (round(found.value, 1), round(found.low, 1), round(found.high, 1)) == (4.6, 1.3, 16.1)


def test_ratio_printed_by_walton_2004_comes_from_rounded_shares(library: Library) -> None:
    """Row da150: 0.40 is (1 - 0.96) / 0.10; the counts themselves give 0.36."""
    figures = library.tables["diagnostic_accuracy"].rows["da150"].text
    _, from_shares = likelihood_ratios(float(figures["sensitivity"]), float(figures["specificity"]))
    assert from_shares == pytest.approx(0.40, abs=0.005)
    assert table_2x2(27, 9, 1, 1).ratio_negative.value == pytest.approx(0.357, abs=0.001)


def test_printed_predictive_values_of_calis_2000_follow_from_the_counts(library: Library) -> None:
    """Rows da021 to da027: PPV and NPV as printed, three decimals cut or rounded."""
    for row in (library.tables["diagnostic_accuracy"].rows[f"da{number:03}"] for number in range(21, 28)):
        counts = COUNTS.search(row.note)
        printed = dict(re.findall(r"(PPV|NPV)=([\d.]+)", row.note))
        assert counts is not None
        found = table_2x2(*(int(count) for count in counts.groups()))
        assert found.positive_predictive.value == pytest.approx(float(printed["PPV"]), abs=0.0015), row.id
        assert found.negative_predictive.value == pytest.approx(float(printed["NPV"]), abs=0.0015), row.id


def test_wilson_interval_of_the_score_method() -> None:
    """81 of 263: 0.2553 to 0.3662 (Newcombe 1998 Stat Med 17:857, method 3; value from memory)."""
    found = table_2x2(81, 1, 182, 1).sensitivity
    assert found.low == pytest.approx(0.2553, abs=0.0001)
    assert found.high == pytest.approx(0.3662, abs=0.0001)


def test_post_test_probability_of_a_worked_cluster(library: Library) -> None:
    """Prevalence 16 of 55 with LR+ 2.93 (Michener 2009, row da047) gives the table's own share, 12 of 22."""
    assert post_test_probability(16 / 55, 2.93) == pytest.approx(12 / 22, abs=0.005)


def test_a_zero_cell_leaves_the_interval_open() -> None:
    """Row da252, Grondin 2021: no false positive, so the ratio has no upper bound."""
    found = table_2x2(10, 0, 17, 58)
    assert found.ratio_positive.value == math.inf
    assert found.ratio_positive.high == math.inf
