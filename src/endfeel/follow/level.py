"""The true value behind measured ones: a local level that wanders between visits, filtered and smoothed.

Value at visit k: y_k = x_k + e_k, e ~ N(0, error variance); x_k = x_(k-1) + w_k, w ~ N(0, drift x weeks between).
Nothing is assumed about the first true value. All in the unit of the measure; weeks are floats.

References
----------
Durbin and Koopman 2012, Time Series Analysis by State Space Methods, 2nd ed., chapter 2 (value from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Level:
    """Mean and variance of the true value at one visit."""

    mean: float
    variance: float


def filtered(
    weeks: Sequence[float], values: Sequence[float], error_variance: float, drift_per_week: float
) -> tuple[Level, ...]:
    """The estimate at each visit from that visit and those before it.

    Raises ValueError for an error variance that is not positive, a negative drift, or weeks that go back.
    """
    _check(weeks, values, error_variance, drift_per_week)
    found: list[Level] = []
    for k, value in enumerate(values):
        if not found:
            found.append(Level(value, error_variance))
            continue
        before = found[-1]
        expected = before.variance + drift_per_week * (weeks[k] - weeks[k - 1])
        gain = expected / (expected + error_variance)
        found.append(Level(before.mean + gain * (value - before.mean), (1 - gain) * expected))
    return tuple(found)


def smoothed(
    weeks: Sequence[float], values: Sequence[float], error_variance: float, drift_per_week: float
) -> tuple[Level, ...]:
    """The estimate at each visit from all visits. Raises ValueError as `filtered`."""
    found = list(filtered(weeks, values, error_variance, drift_per_week))
    for k in range(len(found) - 2, -1, -1):
        expected = found[k].variance + drift_per_week * (weeks[k + 1] - weeks[k])
        back = found[k].variance / expected
        after = found[k + 1]
        found[k] = Level(
            found[k].mean + back * (after.mean - found[k].mean),
            found[k].variance + back**2 * (after.variance - expected),
        )
    return tuple(found)


def change_between(
    weeks: Sequence[float], values: Sequence[float], error_variance: float, drift_per_week: float
) -> Level:
    """Last true value minus the first, from all visits: its mean and variance."""
    ends = smoothed(weeks, values, error_variance, drift_per_week)
    together = ends[-1].variance
    forward = filtered(weeks, values, error_variance, drift_per_week)
    for k in range(len(values) - 2, -1, -1):
        together *= forward[k].variance / (forward[k].variance + drift_per_week * (weeks[k + 1] - weeks[k]))
    return Level(ends[-1].mean - ends[0].mean, max(0.0, ends[-1].variance + ends[0].variance - 2 * together))


def _check(weeks: Sequence[float], values: Sequence[float], error_variance: float, drift_per_week: float) -> None:
    if len(weeks) != len(values) or not values:
        raise ValueError("a week for every value, and at least one value")
    if error_variance <= 0 or drift_per_week < 0:
        raise ValueError("the error variance must be positive and the drift not negative")
    if any(later < earlier for earlier, later in pairwise(weeks)):
        raise ValueError("the weeks go back")
