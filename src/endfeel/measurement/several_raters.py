"""Agreement of any number of examiners, with gaps: per cent agreement, AC1 and AC2; weighted.

`ratings` has one row a subject and one column an examiner; each cell is the place of a category in its order, or None
where nobody rated. Intervals of AC and per cent agreement are analytic (the influence of each subject), for other
people and not for other examiners. Krippendorff's alpha stands in `weighed.py`: it has only bootstrap intervals.

References
----------
Gwet 2008 Br J Math Stat Psychol 61:29 (AC1); Gwet 2014, Handbook of Inter-Rater Reliability (AC2, gaps, variance).
Formulas from memory; results are checked in tests/reference against another count.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from math import nan, sqrt

from endfeel.measurement.confidence import normal_multiplier
from endfeel.measurement.kappa import UNDEFINED, Coefficient, Weights, distance_weights, identity

Coded = Sequence[Sequence[int | None]]


class Metric(StrEnum):
    """How far apart two values are, for alpha."""

    NOMINAL = "nominal"
    ORDINAL = "ordinal"
    INTERVAL = "interval"


def ordinal_weights(size: int) -> Weights:
    """Agreement weights by ranks: 1 less the share of pairs of categories that lie between two."""
    far = size * (size - 1) / 2

    def between(a: int, b: int) -> float:
        apart = abs(a - b) + 1
        return apart * (apart - 1) / 2

    return [[1 - between(i, j) / far if far else 1.0 for j in range(size)] for i in range(size)]


WEIGHTS: dict[str, Callable[[int], Weights]] = {
    "identity": identity,
    "ordinal": ordinal_weights,
    "linear": lambda size: distance_weights(size, 1),
    "quadratic": lambda size: distance_weights(size, 2),
}
"""Agreement weights by name."""


def counts_of(ratings: Coded, size: int) -> list[list[float]]:
    """(subjects, categories) how many examiners chose each."""
    return [[float(sum(cell == k for cell in row)) for k in range(size)] for row in ratings]


def percent_agreement(ratings: Coded, size: int, weights: Weights | None = None) -> Coefficient:
    """Share of pairs of examiners who agree, averaged over subjects that two or more rated."""
    found = _agreement(counts_of(ratings, size), weights or identity(size))
    if not found:
        return UNDEFINED
    value = sum(found) / len(found)
    return _interval(value, found)


def gwet(ratings: Coded, size: int, weights: Weights | None = None) -> Coefficient:
    """AC1, or AC2 with weights: agreement beyond chance, whose chance does not collapse when one category rules."""
    tallies = [row for row in counts_of(ratings, size) if sum(row) > 0]
    weights = weights or identity(size)
    together = [row for row in tallies if sum(row) >= 2]
    if size < 2 or not together:
        return UNDEFINED
    n, n_two = len(tallies), len(together)
    agree = sum(_agreement(together, weights)) / n_two
    shares = [sum(row[k] / sum(row) for row in tallies) / n for k in range(size)]
    whole = sum(map(sum, weights))
    chance = whole / (size * (size - 1)) * sum(p * (1 - p) for p in shares)
    if 1 - chance < 1e-12:
        return UNDEFINED
    value = (agree - chance) / (1 - chance)
    influence = []
    for row in tallies:
        total = sum(row)
        own = n / n_two * (_one(row, weights) - chance) / (1 - chance) if total >= 2 else 0.0
        own_chance = whole / (size * (size - 1)) * sum(row[k] / total * (1 - shares[k]) for k in range(size))
        influence.append(own - 2 * (1 - value) * (own_chance - chance) / (1 - chance))
    return _interval(value, influence)


def _one(row: Sequence[float], weights: Weights) -> float:
    """Weighted agreement on one subject."""
    total = sum(row)
    near = [sum(weights[k][m] * row[m] for m in range(len(row))) for k in range(len(row))]
    return sum(row[k] * (near[k] - 1) for k in range(len(row))) / (total * (total - 1))


def _agreement(tallies: Sequence[Sequence[float]], weights: Weights) -> list[float]:
    return [_one(row, weights) for row in tallies if sum(row) >= 2]


def _interval(value: float, influence: Sequence[float]) -> Coefficient:
    """The 95 % interval from each subject's influence, whose mean is the value."""
    n = len(influence)
    if n < 2:
        return Coefficient(value, nan, nan)
    variance = sum((one - value) ** 2 for one in influence) / (n * (n - 1))
    half = normal_multiplier() * sqrt(variance)
    return Coefficient(value, max(-1.0, value - half), min(1.0, value + half))
