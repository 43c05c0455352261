"""Limits of agreement between two examiners or methods, with their intervals.

References
----------
Bland and Altman 1986, Lancet 1:307-310; intervals of the limits: Bland and Altman 1999, Stat Methods Med Res 8:135-160.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier
from endfeel.measurement.kappa import Coefficient


@dataclass(frozen=True, slots=True)
class LimitsOfAgreement:
    """Mean difference and limits, each with a 95 % interval, in the unit of the readings."""

    n: int
    mean_difference: Coefficient
    sd_difference: float
    lower: Coefficient
    upper: Coefficient


def limits_of_agreement(
    first: Sequence[float], second: Sequence[float], multiplier: float | None = None
) -> LimitsOfAgreement:
    """Limits between which 95 % of the differences (first minus second) are expected.

    `multiplier` is the number of standard deviations, 1.96 unless given.
    Raises ValueError when the lists differ in length or hold fewer than three pairs.
    """
    if len(first) != len(second) or len(first) < 3:
        raise ValueError("two lists of equal length with at least three pairs are needed")
    z = normal_multiplier() if multiplier is None else multiplier
    differences = [a - b for a, b in zip(first, second, strict=True)]
    n, mean, sd = len(differences), fmean(differences), stdev(differences)
    reach = _t(n - 1)
    of_mean, of_limit = reach * sd / sqrt(n), reach * sd * sqrt(1 / n + z * z / (2 * (n - 1)))
    return LimitsOfAgreement(
        n,
        _around(mean, of_mean),
        sd,
        _around(mean - z * sd, of_limit),
        _around(mean + z * sd, of_limit),
    )


def coefficient_of_repeatability(
    first: Sequence[float], second: Sequence[float], multiplier: float | None = None
) -> float:
    """How far two readings of the same subject may lie apart: multiplier x sqrt(mean squared difference)."""
    if len(first) != len(second) or not first:
        raise ValueError("two lists of equal length are needed")
    z = normal_multiplier() if multiplier is None else multiplier
    return z * sqrt(fmean((a - b) ** 2 for a, b in zip(first, second, strict=True)))


def _t(df: int) -> float:
    from scipy.stats import t

    return float(t.ppf(0.5 + CONFIDENCE_PERCENT / 200, df))


def _around(value: float, half: float) -> Coefficient:
    return Coefficient(value, value - half, value + half)
