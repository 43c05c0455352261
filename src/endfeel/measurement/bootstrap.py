"""Bootstrap intervals of any coefficient: subjects drawn again with replacement, the same for the same seed.

References
----------
Efron and Tibshirani 1993, An Introduction to the Bootstrap (percentile and bias-corrected accelerated intervals).
Formulas from memory; checked in tests/reference against SciPy's `bootstrap`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from math import nan
from statistics import NormalDist
from typing import TypeVar

import numpy as np

from endfeel.measurement.confidence import CONFIDENCE_PERCENT
from endfeel.measurement.kappa import Coefficient

Row = TypeVar("Row")
DRAWS, FEWEST_DRAWS = 1000, 200
_COST = 60_000
"""Draws times rows, about: many rows need fewer draws."""
SEED = 20
_MOST_FAILED = 0.05
"""Share of draws in which a coefficient may be undefined before its interval is."""


def bootstrap(
    rows: Sequence[Row], statistic: Callable[[Sequence[Row]], float], *, draws: int | None = None, seed: int = SEED
) -> Coefficient:
    """The value with its bias-corrected accelerated interval; NaN ends where too many draws leave it undefined."""
    return bootstrap_all(rows, lambda some: (statistic(some),), draws=draws, seed=seed)[0]


def bootstrap_all(
    rows: Sequence[Row], statistics: Callable[[Sequence[Row]], Sequence[float]], *, draws: int | None = None,
    seed: int = SEED,
) -> tuple[Coefficient, ...]:  # fmt: skip
    """The same for several statistics of the same draws."""
    values = statistics(rows)
    if len(rows) < 3:
        return tuple(Coefficient(value, nan, nan) for value in values)
    generator = np.random.default_rng(seed)
    draws = draws or max(FEWEST_DRAWS, min(DRAWS, _COST // len(rows)))
    chosen = generator.integers(len(rows), size=(draws, len(rows))).tolist()
    drawn = np.array([statistics([rows[i] for i in one]) for one in chosen])
    without: dict[Hashable, Sequence[float]] = {}
    for i, row in enumerate(rows):
        key = tuple(row) if isinstance(row, list) else row
        if key not in without:
            without[key] = statistics([*rows[:i], *rows[i + 1 :]])
    left_out = np.array([without[tuple(row) if isinstance(row, list) else row] for row in rows])
    return tuple(_interval(value, drawn[:, k], left_out[:, k]) for k, value in enumerate(values))


Column = np.ndarray[tuple[int], np.dtype[np.float64]]


def _interval(value: float, drawn: Column, left_out: Column) -> Coefficient:
    good = np.sort(drawn[~np.isnan(drawn)])
    if np.isnan(value) or len(good) < (1 - _MOST_FAILED) * len(drawn) or np.isnan(left_out).any():
        return Coefficient(value, nan, nan)
    low, high = _shares(value, good, left_out)
    return Coefficient(value, float(np.quantile(good, low)), float(np.quantile(good, high)))


def _shares(value: float, drawn: Column, left_out: Column) -> tuple[float, float]:
    """Shares of the drawn values at which the interval ends, corrected for bias and for a changing spread."""
    normal, tail = NormalDist(), (1 - CONFIDENCE_PERCENT / 100) / 2
    below = float((drawn < value).mean() + (drawn <= value).mean()) / 2
    if not 0 < below < 1:
        return tail, 1 - tail
    bias = normal.inv_cdf(below)
    off = left_out.mean() - left_out
    spread = float((off**2).sum()) ** 1.5
    acceleration = float((off**3).sum()) / (6 * spread) if spread > 0 else 0.0

    def share(z: float) -> float:
        moved = bias + z
        return normal.cdf(bias + moved / (1 - acceleration * moved))

    return share(normal.inv_cdf(tail)), share(normal.inv_cdf(1 - tail))
