"""The arithmetic of a diagnostic 2x2 table: sensitivity, specificity, likelihood ratios, predictive values.

References
----------
Altman and Bland 1994, BMJ 308:1552 and 309:102; log-method intervals of likelihood ratios: Simel, Samsa and Matchar
1991, J Clin Epidemiol 44:763-770 (formula from memory); Wilson score intervals for proportions.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, log, nan, sqrt

from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier
from endfeel.measurement.kappa import Coefficient, wilson


@dataclass(frozen=True, slots=True)
class DiagnosticTable:
    """What a 2x2 table says, each with its interval."""

    sensitivity: Coefficient
    specificity: Coefficient
    positive_predictive: Coefficient
    negative_predictive: Coefficient
    ratio_positive: Coefficient
    ratio_negative: Coefficient


def table_2x2(
    tp: float, fp: float, fn: float, tn: float, confidence_percent: float = CONFIDENCE_PERCENT
) -> DiagnosticTable:
    """Accuracy of a test from its counts: true and false positives, false and true negatives.

    Raises ValueError for negative counts or when nobody has, or nobody lacks, the condition.
    """
    if min(tp, fp, fn, tn) < 0 or tp + fn == 0 or fp + tn == 0:
        raise ValueError("counts cannot be negative, and people with and without the condition are needed")
    ill, well = tp + fn, fp + tn
    return DiagnosticTable(
        wilson(tp, ill, confidence_percent),
        wilson(tn, well, confidence_percent),
        wilson(tp, tp + fp, confidence_percent),
        wilson(tn, fn + tn, confidence_percent),
        _ratio(tp, ill, fp, well, confidence_percent),
        _ratio(fn, ill, tn, well, confidence_percent),
    )


def post_test_probability(pre_test_probability: float, likelihood_ratio: float) -> float:
    """Bayes' rule with one ratio. Independence of several ratios is not assumed here: give it one at a time."""
    if not 0 <= pre_test_probability <= 1 or likelihood_ratio < 0:
        raise ValueError("a probability lies in 0 to 1 and a likelihood ratio is not negative")
    if likelihood_ratio == inf:
        return 1.0 if pre_test_probability > 0 else 0.0
    true = pre_test_probability * likelihood_ratio
    return true / (true + 1 - pre_test_probability) if true + 1 - pre_test_probability > 0 else 1.0


def likelihood_ratios(sensitivity: float, specificity: float) -> tuple[float, float]:
    """Positive and negative likelihood ratio from sensitivity and specificity."""
    positive = sensitivity / (1 - specificity) if specificity < 1 else inf if sensitivity > 0 else nan
    negative = (1 - sensitivity) / specificity if specificity > 0 else inf if sensitivity < 1 else nan
    return positive, negative


def predictive_values(sensitivity: float, specificity: float, prevalence: float) -> tuple[float, float]:
    """Positive and negative predictive value at another prevalence."""
    positive, negative = likelihood_ratios(sensitivity, specificity)
    return post_test_probability(prevalence, positive), 1 - post_test_probability(prevalence, negative)


def _ratio(ill_with: float, ill: float, well_with: float, well: float, confidence_percent: float) -> Coefficient:
    """A ratio of two shares with the log-method interval; open ended where a count is zero."""
    if well_with == 0:
        return Coefficient(inf if ill_with else nan, 0.0, inf)
    value = (ill_with / ill) / (well_with / well)
    if ill_with == 0:
        return Coefficient(0.0, 0.0, inf)
    reach = normal_multiplier(confidence_percent) * sqrt(1 / ill_with - 1 / ill + 1 / well_with - 1 / well)
    return Coefficient(value, exp(log(value) - reach), exp(log(value) + reach))
