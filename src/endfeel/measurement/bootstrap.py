"""Bootstrap intervals: people drawn again with replacement, the same for the same seed.

References
----------
Efron and Tibshirani 1993, An Introduction to the Bootstrap (bias-corrected accelerated intervals). Formulas from
memory; checked in tests/reference against SciPy's `bootstrap`.
"""

from __future__ import annotations

from collections.abc import Callable
from math import nan
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from endfeel.measurement.confidence import CONFIDENCE_PERCENT
from endfeel.measurement.kappa import Coefficient

Array = NDArray[np.float64]
DRAWS, SEED = 2000, 20
_MOST_FAILED = 0.05
"""Share of draws in which a coefficient may be undefined before its interval is."""


def bootstrap(people: int, statistic: Callable[[Array], Array], *, draws: int = DRAWS, seed: int = SEED) -> Coefficient:
    """The value with its interval; NaN ends where too many draws leave it undefined.

    `statistic` takes (k, people) weights and gives (k,) values: as drawn, and with each person left out.
    """
    value = float(statistic(np.ones((1, people)))[0])
    if np.isnan(value) or people < 3:
        return Coefficient(value, nan, nan)
    generator = np.random.default_rng(seed)
    drawn = statistic(generator.multinomial(people, np.full(people, 1.0 / people), size=draws).astype(float))
    left_out = statistic(1.0 - np.eye(people))
    good = np.sort(drawn[~np.isnan(drawn)])
    if len(good) < (1 - _MOST_FAILED) * draws or np.isnan(left_out).any():
        return Coefficient(value, nan, nan)
    low, high = _shares(value, good, left_out)
    return Coefficient(value, float(np.quantile(good, low)), float(np.quantile(good, high)))


def _shares(value: float, drawn: Array, left_out: Array) -> tuple[float, float]:
    """Shares of the drawn values at which the interval ends, corrected for bias and for a changing spread."""
    normal, tail = NormalDist(), (1 - CONFIDENCE_PERCENT / 100) / 2
    below = float((drawn < value - 1e-12).mean() + (drawn <= value + 1e-12).mean()) / 2
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
