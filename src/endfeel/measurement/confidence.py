"""From one statement of measurement error to another: SEM, smallest detectable change, confidence levels.

All functions take and return numbers in the unit of the measurement.
"""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

CONFIDENCE_PERCENT = 95.0
"""The level at which every verdict of this program is given."""


def normal_multiplier(confidence_percent: float = CONFIDENCE_PERCENT) -> float:
    """How many standard errors reach to a two-sided confidence level (1.96 at 95 %)."""
    if not 0 < confidence_percent < 100:
        raise ValueError("a confidence level lies between 0 and 100 per cent")
    return NormalDist().inv_cdf(0.5 + confidence_percent / 200)


def detectable_change(sem: float, confidence_percent: float = CONFIDENCE_PERCENT) -> float:
    """The smallest detectable change from the standard error of measurement: SEM x z x sqrt 2."""
    return sem * normal_multiplier(confidence_percent) * sqrt(2)


def sem_from_detectable_change(mdc: float, confidence_percent: float) -> float:
    """The standard error of measurement behind a smallest detectable change."""
    return mdc / normal_multiplier(confidence_percent) / sqrt(2)


def sem_from_limits(half_width: float, confidence_percent: float = CONFIDENCE_PERCENT) -> float:
    """The standard error of measurement behind limits of agreement of this half width."""
    return sem_from_detectable_change(half_width, confidence_percent)


def sem_from_bound(bound: float, confidence_percent: float) -> float:
    """The standard error of measurement behind a printed bound `z x SEM` on a single score."""
    return bound / normal_multiplier(confidence_percent)


def rescale(mdc: float, from_percent: float, to_percent: float = CONFIDENCE_PERCENT) -> float:
    """A smallest detectable change printed at one confidence level, at another."""
    return mdc * normal_multiplier(to_percent) / normal_multiplier(from_percent)


def reliable_change_index(before: float, after: float, sd: float, reliability: float) -> float:
    """The change in standard errors of a difference; beyond 1.96 it is unlikely to be error alone.

    References
    ----------
    Jacobson and Truax 1991, J Consult Clin Psychol 59:12-19.
    """
    return (after - before) / standard_error_of_difference(sd, reliability)


def standard_error_of_difference(sd: float, reliability: float) -> float:
    """sqrt 2 x SD x sqrt(1 - reliability)."""
    if sd <= 0 or not 0 <= reliability < 1:
        raise ValueError("the SD must be positive and the reliability in 0 to below 1")
    return sqrt(2) * sd * sqrt(1 - reliability)
