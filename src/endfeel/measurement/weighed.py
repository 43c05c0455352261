"""Every coefficient for many weightings of the people at once, so that drawing them again costs little.

Each function takes weights of shape (draws, people) and gives (draws,) values, NaN where a draw leaves it undefined.
With weights of one they are the functions of `kappa.py`, `several_raters.py` and `icc.py`; the tests hold them to that.
Krippendorff's alpha stands here alone.

References
----------
Krippendorff 2011, Computing Krippendorff's alpha-reliability (metrics for order and distance). Formulas from memory;
results are checked in tests/reference against another program.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from endfeel.measurement.kappa import Weights
from endfeel.measurement.several_raters import Metric

Array = NDArray[np.float64]
Rows = Sequence[Sequence[int | None]]
Readings = Sequence[Sequence[float | None]]


def tallies_of(rows: Rows, size: int) -> Array:
    """(people, categories) how many examiners chose each."""
    found = np.zeros((len(rows), size))
    for i, row in enumerate(rows):
        for one in row:
            if one is not None:
                found[i, one] += 1
    return found


def agreement_and_ac(tallies: Array, weights: Weights, people: Array) -> tuple[Array, Array]:
    """Per cent agreement and AC."""
    near, size = np.array(weights), tallies.shape[1]
    totals = tallies.sum(axis=1)
    two, rated = totals >= 2, totals > 0
    pairs = np.where(two, totals * (totals - 1), 1.0)
    own = (tallies * (tallies @ near.T - 1)).sum(axis=1) / pairs
    shares = tallies / np.where(rated, totals, 1.0)[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        agree = (people[:, two] @ own[two]) / people[:, two].sum(axis=1)
        mean = people[:, rated] @ shares[rated] / people[:, rated].sum(axis=1, keepdims=True)
        chance = near.sum() / (size * (size - 1)) * (mean * (1 - mean)).sum(axis=1)
        beyond = (agree - chance) / (1 - chance)
    return agree, np.where(1 - chance < 1e-12, np.nan, beyond)


def alpha(tallies: Array, metric: Metric, people: Array) -> Array:
    """Krippendorff's alpha of categories, nominal or ordinal."""
    size = tallies.shape[1]
    totals = tallies.sum(axis=1)
    kept = totals >= 2
    own = tallies[kept, :, None] * tallies[kept, None, :]
    own[:, np.arange(size), np.arange(size)] -= tallies[kept]
    own /= (totals[kept] - 1)[:, None, None]
    pairs = (people[:, kept] @ own.reshape(kept.sum(), -1)).reshape(-1, size, size)
    margins = pairs.sum(axis=2)
    n = margins.sum(axis=1)
    apart = _apart(margins, metric)
    with np.errstate(invalid="ignore", divide="ignore"):
        observed = (pairs * apart).sum(axis=(1, 2)) / n
        expected = (margins[:, :, None] * margins[:, None, :] * apart).sum(axis=(1, 2)) / (n * (n - 1))
        return np.where(expected > 0, 1 - observed / expected, np.nan)


def _apart(margins: Array, metric: Metric) -> Array:
    """(draws, size, size) squared distances; ordinal ones by how many lie between."""
    size = margins.shape[1]
    if metric is Metric.NOMINAL:
        return np.broadcast_to(1.0 - np.eye(size), (len(margins), size, size))
    upto = np.cumsum(margins, axis=1)
    middle = upto - margins / 2
    return (middle[:, :, None] - middle[:, None, :]) ** 2


def alpha_of_readings(readings: Readings, people: Array) -> Array:
    """Krippendorff's alpha of squared distances."""
    units = [[one for one in row if one is not None] for row in readings]
    kept = np.array([len(one) >= 2 for one in units])
    some = [one for one in units if len(one) >= 2]
    m = np.array([len(one) for one in some], dtype=float)
    centre = np.mean([value for one in some for value in one]) if some else 0.0
    total = np.array([sum(value - centre for value in one) for one in some])
    square = np.array([sum((value - centre) ** 2 for value in one) for one in some])
    weight = people[:, kept]
    n = weight @ m
    with np.errstate(invalid="ignore", divide="ignore"):
        observed = weight @ (2 * (m * square - total**2) / (m - 1)) / n
        expected = 2 * (n * (weight @ square) - (weight @ total) ** 2) / (n * (n - 1))
        return np.where(expected > 1e-12 * np.maximum(1.0, observed), 1 - observed / expected, np.nan)


def kappa(rows: Rows, weights: Weights, people: Array) -> Array:
    """Weighted kappa of two examiners without gaps."""
    near = np.array(weights)
    size = len(near)
    cells = np.array([(first or 0) * size + (second or 0) for first, second in rows])
    table = (people @ np.eye(size * size)[cells]).reshape(-1, size, size)
    table /= table.sum(axis=(1, 2), keepdims=True)
    observed = (table * near).sum(axis=(1, 2))
    chance = np.einsum("di,ij,dj->d", table.sum(axis=2), near, table.sum(axis=1))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(1 - chance < 1e-12, np.nan, (observed - chance) / (1 - chance))


def fleiss(tallies: Array, people: Array) -> Array:
    """Fleiss kappa of people whom everybody rated."""
    raters = tallies.sum(axis=1)[0]
    own = ((tallies**2).sum(axis=1) - raters) / (raters * (raters - 1))
    n = people.sum(axis=1)
    observed = people @ own / n
    chance = ((people @ tallies / (n * raters)[:, None]) ** 2).sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(1 - chance < 1e-12, np.nan, (observed - chance) / (1 - chance))


def iccs(readings: Sequence[Sequence[float]], people: Array) -> Array:
    """(6, draws) the six ICCs, singles first, as FORMS has them."""
    table = np.asarray(readings, dtype=float)
    table = table - table.mean()
    k = table.shape[1]
    n = people.sum(axis=1)
    rows = table.mean(axis=1)
    grand = people @ rows / n
    columns = people @ table / n[:, None]
    subjects = k * (people @ rows**2 - n * grand**2)
    within = people @ ((table - rows[:, None]) ** 2).sum(axis=1)
    raters = n * ((columns - grand[:, None]) ** 2).sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        b, w, j = subjects / (n - 1), within / (n * (k - 1)), raters / (k - 1)
        e = (within - raters) / ((n - 1) * (k - 1))
        one = (b - w) / (b + (k - 1) * w)
        two = (b - e) / (b + (k - 1) * e + k * (j - e) / n)
        three = (b - e) / (b + (k - 1) * e)
        singles = np.stack([one, two, three])
        below = 1 + (k - 1) * singles
        means = np.where(below > 1e-12, k * singles / below, np.nan)
    return np.concatenate((singles, means))
