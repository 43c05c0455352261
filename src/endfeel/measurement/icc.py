"""Agreement on measurements: the six intraclass correlations and the measurement error behind them.

References
----------
Shrout and Fleiss 1979, Psychol Bull 86:420-428; McGraw and Wong 1996, Psychol Methods 1:30-46 (intervals). Formulas
from memory; results are checked in tests/reference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from endfeel.measurement.confidence import CONFIDENCE_PERCENT
from endfeel.measurement.kappa import Coefficient

Readings = Sequence[Sequence[float]]
FORMS = ("icc_1_1", "icc_2_1", "icc_3_1", "icc_1_k", "icc_2_k", "icc_3_k")


@dataclass(frozen=True, slots=True)
class MeanSquares:
    """Two-way analysis of variance of subjects by examiners."""

    subjects: int
    raters: int
    between_subjects: float
    within_subjects: float
    between_raters: float
    residual: float


@dataclass(frozen=True, slots=True)
class Reliability:
    """Six ICCs with intervals, and two standard errors of measurement in the unit of the readings."""

    squares: MeanSquares
    forms: dict[str, Coefficient]
    """By `icc_1_1` (one-way), `icc_2_1` (two-way, agreement), `icc_3_1` (two-way, consistency), `_k` for means."""
    sem_agreement: float
    """Includes the steady differences between examiners."""
    sem_consistency: float
    """Leaves them out."""


def mean_squares(readings: Readings) -> MeanSquares:
    """Mean squares of a complete table: one row a subject, one column an examiner.

    Raises ValueError when rows differ in length or there are fewer than two subjects or examiners.
    """
    n, k = len(readings), len(readings[0]) if readings else 0
    if n < 2 or k < 2 or any(len(row) != k for row in readings):
        raise ValueError("a complete table of at least two subjects and two examiners is needed")
    grand = sum(map(sum, readings)) / (n * k)
    rows = [sum(row) / k for row in readings]
    columns = [sum(column) / n for column in zip(*readings, strict=True)]
    subjects = k * sum((row - grand) ** 2 for row in rows)
    raters = n * sum((column - grand) ** 2 for column in columns)
    within = sum((cell - row) ** 2 for line, row in zip(readings, rows, strict=True) for cell in line)
    noise = _rounding(readings, subjects + within)
    subjects, within, raters, residual = (
        squares if squares > noise else 0.0 for squares in (subjects, within, raters, within - raters)
    )
    return MeanSquares(
        n, k, subjects / (n - 1), within / (n * (k - 1)), raters / (k - 1), residual / ((n - 1) * (k - 1))
    )  # fmt: skip


ROUNDING = 1e-12
"""Share of the total sum of squares that arithmetic on readings of the size of their spread may leave behind."""


def _rounding(readings: Readings, total: float) -> float:
    """Sum of squares that is only rounding: nothing may be divided by it. Readings far from zero round more."""
    cells = [abs(cell) for row in readings for cell in row]
    spread = sqrt(total / len(cells))
    return ROUNDING * total * (1 + max(cells) / spread) if spread else 0.0


def reliability(readings: Readings, confidence_percent: float = CONFIDENCE_PERCENT) -> Reliability:
    """All six ICCs with F-based intervals, and both standard errors of measurement.

    Raises ValueError for an incomplete table or when every reading is the same.
    """
    squares = mean_squares(readings)
    n, k = squares.subjects, squares.raters
    b, w, j, e = squares.between_subjects, squares.within_subjects, squares.between_raters, squares.residual
    if b + w == 0:
        raise ValueError("every reading is the same: reliability is not defined")
    alpha = 1 - confidence_percent / 100
    one = _one_way(b, w, n, k, alpha)
    two = _two_way_agreement(b, j, e, n, k, alpha)
    three = _two_way_consistency(b, e, n, k, alpha)
    singles = {"icc_1": one, "icc_2": two, "icc_3": three}
    forms = {f"{name}_1": value for name, value in singles.items()}
    forms |= {f"{name}_k": _of_means(value, k) for name, value in singles.items()}
    rater_variance = max(0.0, (j - e) / n)
    return Reliability(squares, forms, sqrt(rater_variance + e), sqrt(e))


def within_subject_sd(readings: Readings) -> float:
    """Standard deviation of repeated readings of the same subject (Bland and Altman 1996 BMJ 312:1654)."""
    return sqrt(mean_squares(readings).within_subjects)


def _f(probability: float, upper: float, lower: float) -> float:
    from scipy.stats import f

    return float(f.ppf(probability, upper, lower))


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return float("inf") if above > 0 else float("nan")


def _share(f_value: float, k: int) -> float:
    return 1.0 if f_value == float("inf") else (f_value - 1) / (f_value + k - 1)


def _one_way(b: float, w: float, n: int, k: int, alpha: float) -> Coefficient:
    observed, df_1, df_2 = _ratio(b, w), n - 1, n * (k - 1)
    low, high = observed / _f(1 - alpha / 2, df_1, df_2), observed * _f(1 - alpha / 2, df_2, df_1)
    return Coefficient(_share(observed, k), _share(low, k), _share(high, k))


def _two_way_consistency(b: float, e: float, n: int, k: int, alpha: float) -> Coefficient:
    observed, df_1, df_2 = _ratio(b, e), n - 1, (n - 1) * (k - 1)
    low, high = observed / _f(1 - alpha / 2, df_1, df_2), observed * _f(1 - alpha / 2, df_2, df_1)
    return Coefficient(_share(observed, k), _share(low, k), _share(high, k))


def _two_way_agreement(b: float, j: float, e: float, n: int, k: int, alpha: float) -> Coefficient:
    value = (b - e) / (b + (k - 1) * e + k * (j - e) / n)
    if e == 0:
        return Coefficient(value, float("nan"), float("nan"))
    f_raters = j / e
    share = n * (1 + (k - 1) * value) - k * value
    df = (k - 1) * (n - 1) * (k * value * f_raters + share) ** 2 / ((n - 1) * (k * value * f_raters) ** 2 + share**2)
    upper, lower = _f(1 - alpha / 2, n - 1, df), _f(1 - alpha / 2, df, n - 1)
    rest = k * j + (k * n - k - n) * e
    return Coefficient(
        value, n * (b - upper * e) / (upper * rest + n * b), n * (lower * b - e) / (rest + n * lower * b)
    )


def _of_means(single: Coefficient, k: int) -> Coefficient:
    """Spearman-Brown: the reliability of the mean of k examiners."""
    low, high = (_stepped(end, k) for end in (single.low, single.high))
    return Coefficient(_stepped(single.value, k), low, high)


def _stepped(value: float, k: int) -> float:
    below = 1 + (k - 1) * value
    return k * value / below if below > 1e-12 else float("nan")
