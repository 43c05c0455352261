"""Why kappa is low: prevalence and bias of a table, shown beside it.

References
----------
Byrt, Bishop and Carlin 1993, J Clin Epidemiol 46:423-429: kappa = (PABAK - PI^2 + BI^2) / (1 - PI^2 + BI^2) for two
categories. Formula from memory; it is checked as an identity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shares:
    """One category of a square table: how often each examiner chose it, and on how much of it they agree."""

    category: str
    first: float
    second: float
    specific: float | None
    """Share of agreement on this category: twice the agreed over all who were given it; None when nobody was."""


@dataclass(frozen=True, slots=True)
class Indices:
    """What pulls kappa away from plain agreement; the two indices are for two categories alone."""

    shares: tuple[Shares, ...]
    prevalence_index: float | None
    """Difference of the two agreed shares: far from 0 when one category rules."""
    bias_index: float | None
    """Difference of how often the two chose the first category: far from 0 when one of them says it sooner."""


def indices(counts: Sequence[Sequence[float]], categories: Sequence[str]) -> Indices:
    """Prevalence and bias of a square table. Raises ValueError when it is empty."""
    n = sum(map(sum, counts))
    if n <= 0:
        raise ValueError("the table is empty")
    rows = [sum(row) / n for row in counts]
    columns = [sum(column) / n for column in zip(*counts, strict=True)]
    shares = tuple(
        Shares(name, rows[k], columns[k], _specific(counts[k][k] / n, rows[k] + columns[k]))
        for k, name in enumerate(categories)
    )
    if len(counts) != 2:
        return Indices(shares, None, None)
    return Indices(shares, abs(counts[0][0] - counts[1][1]) / n, abs(counts[0][1] - counts[1][0]) / n)


def _specific(agreed: float, given: float) -> float | None:
    return 2 * agreed / given if given else None
