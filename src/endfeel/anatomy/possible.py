"""A Gaussian belief kept to what is possible: some sums of the unknowns are not negative.

The belief is replaced by the Gaussian with the mean and spread of what is left of it after everything impossible is
cut away, one condition after another until nothing moves (expectation propagation: Minka 2001, the assumed densities
being Gaussian). Where the belief hardly reaches the impossible it stays as it was.
"""

from __future__ import annotations

import math

import numpy as np

from endfeel.anatomy.units import Floats

_SWEEPS, _CLOSE = 200, 1e-9
_LEAST_VARIANCE = 1e-9
_FARTHEST_SD = 12.0
"""A belief farther than this inside the impossible is moved no farther out at a time."""


def kept_possible(mean: Floats, covariance: Floats, rows: Floats) -> tuple[Floats, Floats, float]:
    """The belief (d,), (d, d) given that every row (k, d) times the unknowns is at least 0.

    The third value is how far the least possible of the conditions was from holding, in standard deviations of the
    belief as it came: above about two the readings contradict what is possible.
    """
    spreads = np.sqrt(np.maximum(np.einsum("kd,de,ke->k", rows, covariance, rows), _LEAST_VARIANCE))
    against = float(np.max(-(rows @ mean) / spreads, initial=0.0))
    precision, weighted = np.zeros(len(rows)), np.zeros(len(rows))
    for _ in range(_SWEEPS):
        moved = 0.0
        for k, row in enumerate(rows):
            toward = covariance @ row
            centre, variance = float(row @ mean), float(row @ toward)
            if variance < _LEAST_VARIANCE:
                continue
            without = 1.0 / variance - precision[k]
            if without <= 0.0:
                continue
            cavity = 1.0 / without
            wanted, left = _cut(cavity * (centre / variance - weighted[k]), cavity)
            precision[k], weighted[k] = 1.0 / left - without, wanted / left - (centre / variance - weighted[k])
            mean = mean + toward * ((wanted - centre) / variance)
            covariance = covariance + np.outer(toward, toward) * ((left - variance) / variance**2)
            moved = max(moved, abs(wanted - centre) / math.sqrt(variance))
        if moved < _CLOSE:
            break
    return mean, covariance, against


def _cut(centre: float, variance: float) -> tuple[float, float]:
    """Mean and variance of a Gaussian of which only what is above 0 is left."""
    spread = math.sqrt(variance)
    at = max(centre / spread, -_FARTHEST_SD)
    density = math.exp(-at * at / 2.0) / math.sqrt(2.0 * math.pi)
    ratio = density / (0.5 * math.erfc(-at / math.sqrt(2.0)))
    return spread * (at + ratio), variance * max(1.0 - ratio * (ratio + at), _LEAST_VARIANCE)
