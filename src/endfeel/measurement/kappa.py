"""Agreement on categories: per cent agreement, kappa and its kin. Two examiners give a square table of counts.

References
----------
Cohen 1960 Educ Psychol Meas 20:37; Cohen 1968 Psychol Bull 70:213; Fleiss, Cohen and Everitt 1969 Psychol Bull 72:323
(large-sample standard errors); Fleiss 1971 Psychol Bull 76:378; Byrt et al 1993 J Clin Epidemiol 46:423 (PABAK);
Gwet 2008 Br J Math Stat Psychol 61:29 (AC1). Formulas from memory; results are checked in tests/reference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan, nan, sqrt

from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier

Counts = Sequence[Sequence[float]]
Weights = list[list[float]]


@dataclass(frozen=True, slots=True)
class Coefficient:
    """A coefficient of agreement with its 95 % interval; NaN when the table leaves it undefined."""

    value: float
    low: float
    high: float


UNDEFINED = Coefficient(nan, nan, nan)


@dataclass(frozen=True, slots=True)
class TwoRaters:
    """Everything said about one square table."""

    n: float
    agreement: Coefficient
    kappa: Coefficient
    kappa_max: float
    """The largest kappa these marginal totals allow."""
    pabak: float
    ac1: Coefficient
    weighted_linear: Coefficient
    weighted_quadratic: Coefficient


def two_raters(counts: Counts) -> TwoRaters:
    """All coefficients of a square table: rows are the first examiner, columns the second.

    Weighted forms take the categories in the order of the table and mean something only when that order does.
    Raises ValueError when the table is not square, holds a negative count, or is empty.
    """
    shares, n = _shares(counts)
    size = len(shares)
    observed = sum(shares[i][i] for i in range(size))
    return TwoRaters(
        n=n,
        agreement=wilson(observed * n, n),
        kappa=weighted_kappa(counts, identity(size)),
        kappa_max=_kappa_max(shares),
        pabak=(size * observed - 1) / (size - 1) if size > 1 else nan,
        ac1=ac1(counts),
        weighted_linear=weighted_kappa(counts, distance_weights(size, 1)),
        weighted_quadratic=weighted_kappa(counts, distance_weights(size, 2)),
    )


def identity(size: int) -> Weights:
    """Agreement weights of plain kappa: 1 on the diagonal."""
    return [[float(i == j) for j in range(size)] for i in range(size)]


def distance_weights(size: int, power: int) -> Weights:
    """Agreement weights that fall with the distance between categories (power 1 linear, 2 quadratic)."""
    far = max(size - 1, 1)
    return [[1 - (abs(i - j) / far) ** power for j in range(size)] for i in range(size)]


def weights_from_disagreement(disagreement: Sequence[Sequence[float]]) -> Weights:
    """Agreement weights from stated disagreement weights (0 on the diagonal)."""
    worst = max(max(row) for row in disagreement)
    return [[1 - value / worst for value in row] for row in disagreement]


def weighted_kappa(counts: Counts, weights: Weights) -> Coefficient:
    """Weighted kappa with the large-sample interval of Fleiss, Cohen and Everitt 1969."""
    shares, n = _shares(counts)
    size = range(len(shares))
    rows, columns = _margins(shares)
    observed = sum(weights[i][j] * shares[i][j] for i in size for j in size)
    chance = sum(weights[i][j] * rows[i] * columns[j] for i in size for j in size)
    if 1 - chance < 1e-12:
        return UNDEFINED
    kappa = (observed - chance) / (1 - chance)
    by_row = [sum(columns[j] * weights[i][j] for j in size) for i in size]
    by_column = [sum(rows[i] * weights[i][j] for i in size) for j in size]
    spread = sum(
        shares[i][j] * (weights[i][j] - (by_row[i] + by_column[j]) * (1 - kappa)) ** 2 for i in size for j in size
    )
    variance = (spread - (kappa - chance * (1 - kappa)) ** 2) / (n * (1 - chance) ** 2)
    return _interval(kappa, variance)


def ac1(counts: Counts) -> Coefficient:
    """Gwet's AC1, whose chance term does not collapse when nearly everybody is in one category."""
    shares, n = _shares(counts)
    size = len(shares)
    if size < 2:
        return UNDEFINED
    rows, columns = _margins(shares)
    mean = [(rows[k] + columns[k]) / 2 for k in range(size)]
    observed = sum(shares[k][k] for k in range(size))
    chance = sum(p * (1 - p) for p in mean) / (size - 1)
    value = (observed - chance) / (1 - chance)
    on_diagonal = sum(shares[k][k] * (1 - mean[k]) for k in range(size)) / (size - 1) - observed * chance
    everywhere = (
        sum(shares[k][m] * (1 - (mean[k] + mean[m]) / 2) ** 2 for k in range(size) for m in range(size))
        / (size - 1) ** 2
        - chance**2
    )
    spread = observed * (1 - observed) - 4 * (1 - value) * on_diagonal + 4 * (1 - value) ** 2 * everywhere
    return _interval(value, spread / (n * (1 - chance) ** 2))


def fleiss_kappa(tallies: Counts) -> Coefficient:
    """Kappa for several examiners: one row a subject, one column a category, cells count examiners.

    The interval leaves out one subject at a time (jackknife). Raises ValueError when rows differ in their total.
    """
    totals = {sum(row) for row in tallies}
    if len(totals) != 1 or min(totals) < 2 or len(tallies) < 2:
        raise ValueError("every subject needs the same number of ratings, at least two, and there must be two subjects")
    value = _fleiss(tallies)
    left_out = [_fleiss([row for j, row in enumerate(tallies) if j != i]) for i in range(len(tallies))]
    mean = sum(left_out) / len(left_out)
    variance = (len(left_out) - 1) / len(left_out) * sum((one - mean) ** 2 for one in left_out)
    return _interval(value, variance)


def fleiss_agreement(tallies: Counts) -> tuple[float, float]:
    """Observed and expected agreement of several examiners."""
    raters, subjects = sum(tallies[0]), len(tallies)
    observed = sum((sum(cell * cell for cell in row) - raters) / (raters * (raters - 1)) for row in tallies) / subjects
    shares = [sum(row[j] for row in tallies) / (subjects * raters) for j in range(len(tallies[0]))]
    return observed, sum(share * share for share in shares)


def _fleiss(tallies: Counts) -> float:
    observed, expected = fleiss_agreement(tallies)
    return (observed - expected) / (1 - expected) if expected < 1 else nan


def wilson(successes: float, n: float, confidence_percent: float = CONFIDENCE_PERCENT) -> Coefficient:
    """A proportion with its Wilson score interval."""
    if n <= 0:
        return UNDEFINED
    z, share = normal_multiplier(confidence_percent), successes / n
    centre = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    return Coefficient(share, max(0.0, centre - half), min(1.0, centre + half))


def _kappa_max(shares: list[list[float]]) -> float:
    rows, columns = _margins(shares)
    chance = sum(r * c for r, c in zip(rows, columns, strict=True))
    most = sum(min(r, c) for r, c in zip(rows, columns, strict=True))
    return (most - chance) / (1 - chance) if chance < 1 - 1e-12 else nan


def _interval(value: float, variance: float) -> Coefficient:
    if isnan(value) or isnan(variance):
        return Coefficient(value, nan, nan)
    half = normal_multiplier() * sqrt(max(variance, 0.0))
    return Coefficient(value, max(-1.0, value - half), min(1.0, value + half))


def _shares(counts: Counts) -> tuple[list[list[float]], float]:
    if any(len(row) != len(counts) for row in counts):
        raise ValueError("the table must be square")
    if any(cell < 0 for row in counts for cell in row):
        raise ValueError("counts cannot be negative")
    n = sum(map(sum, counts))
    if n <= 0:
        raise ValueError("the table is empty")
    return [[cell / n for cell in row] for row in counts], n


def _margins(shares: list[list[float]]) -> tuple[list[float], list[float]]:
    return [sum(row) for row in shares], [sum(column) for column in zip(*shares, strict=True)]
