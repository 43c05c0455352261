"""Bootstrap intervals of any coefficient: subjects drawn again with replacement, the same for the same seed.

References
----------
Efron and Tibshirani 1993, An Introduction to the Bootstrap (percentile and bias-corrected accelerated intervals).
Formulas from memory; checked in tests/reference against SciPy's `bootstrap`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from statistics import NormalDist
from typing import TypeVar

import numpy as np

from endfeel.measurement.confidence import CONFIDENCE_PERCENT
from endfeel.measurement.kappa import Coefficient

Row = TypeVar("Row")
DRAWS = 1000
SEED = 20
_MOST_FAILED = 0.05
"""Share of draws in which a coefficient may be undefined before its interval is."""


def bootstrap(
    rows: Sequence[Row], statistic: Callable[[Sequence[Row]], float], *, draws: int = DRAWS, seed: int = SEED
) -> Coefficient:
    """The value with its bias-corrected accelerated interval; NaN ends where too many draws leave it undefined."""
    value = statistic(rows)
    if np.isnan(value) or len(rows) < 3:
        return Coefficient(value, float("nan"), float("nan"))
    generator = np.random.default_rng(seed)
    chosen = generator.integers(len(rows), size=(draws, len(rows)))
    drawn = np.array([statistic([rows[i] for i in one]) for one in chosen])
    good = np.sort(drawn[~np.isnan(drawn)])
    left_out = np.array([statistic([*rows[:i], *rows[i + 1 :]]) for i in range(len(rows))])
    if len(good) < (1 - _MOST_FAILED) * draws or np.isnan(left_out).any():
        return Coefficient(value, float("nan"), float("nan"))
    low, high = _shares(value, good, left_out)
    return Coefficient(value, float(np.quantile(good, low)), float(np.quantile(good, high)))


def _shares(value: float, drawn: np.ndarray[tuple[int], np.dtype[np.float64]],
            left_out: np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[float, float]:  # fmt: skip
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
