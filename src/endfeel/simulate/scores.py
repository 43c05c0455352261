"""How right probabilities are: bins of what was said and what was so, Brier score, calibration error, ranks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.nuisances import Array

BINS = 10
"""Bins of equal width from 0 to 1."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Sums over forecasts; tallies add up, so any number of processes gives the same."""

    counts: Array
    """(BINS,) forecasts in each bin."""
    said: Array
    """(BINS,) sum of the probabilities said."""
    so: Array
    """(BINS,) how many were so."""
    squares: float
    """Sum of squared errors."""

    @classmethod
    def of(cls, said: Array, so: NDArray[np.bool_]) -> Tally:
        """The tally of some forecasts, any shape."""
        said, so = said.ravel(), so.ravel()
        place = np.minimum((said * BINS).astype(np.intp), BINS - 1)
        return cls(
            np.bincount(place, minlength=BINS).astype(float),
            np.bincount(place, said, BINS).astype(np.float64),
            np.bincount(place, so, BINS).astype(float),
            float(((said - so) ** 2).sum()),
        )

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.counts + other.counts, self.said + other.said, self.so + other.so, self.squares + other.squares
        )

    @classmethod
    def from_row(cls, row: Array) -> Tally:
        """A tally from `row`; counts that were weighed need not be whole."""
        return cls(row[:BINS], row[BINS : 2 * BINS], row[2 * BINS : 3 * BINS], float(row[-1]))

    @property
    def row(self) -> Array:
        """(3 BINS + 1,) all its numbers in one row."""
        return np.concatenate((self.counts, self.said, self.so, [self.squares])).astype(float)

    @property
    def brier(self) -> float:
        """Mean squared error; 0 is perfect, 0.25 is what saying one half always gives."""
        return self.squares / max(1, int(self.counts.sum()))

    @property
    def calibration_error(self) -> float:
        """Expected calibration error: |mean said - share so|, averaged over forecasts, in bins of equal width."""
        total = max(1, int(self.counts.sum()))
        return float(np.abs(self.said - self.so).sum() / total)

    @property
    def mean_said(self) -> float:
        """Mean probability said."""
        return float(self.said.sum()) / max(1, int(self.counts.sum()))

    @property
    def share_so(self) -> float:
        """Share of forecasts that were so."""
        return float(self.so.sum()) / max(1, int(self.counts.sum()))

    @property
    def curve(self) -> tuple[tuple[float, float, int], ...]:
        """(mean said, share so, forecasts) of every bin that has any."""
        return tuple(
            (float(said / count), float(so / count), int(count))
            for said, so, count in zip(self.said, self.so, self.counts, strict=True)
            if count
        )


HIDDEN = ((1, 3), (4, 5), (6, 7), (8, 99))
"""Groups of people by how many contributors are hidden in them, both ends counted."""
_NAMES = (
    "people", "hidden", "affected", "first_right", "one_of_three", "right_of_three", "minutes", "turns", "tests",
)  # fmt: skip
_TALLY = 3 * BINS + 1
_GROUPS = len(_NAMES) + 2 * _TALLY
SIZE = _GROUPS + 4 * len(HIDDEN)


@dataclass(frozen=True, slots=True)
class Scores:
    """Sums over people, kept as one row of numbers: rows add up, and can be weighed anew.

    `hidden` counts contributors, `affected` people with at least one; only of these the ranks are asked:
    `first_right`, `one_of_three` (people), `right_of_three` (contributors).
    """

    row: Array
    """(SIZE,)"""

    @classmethod
    def of(cls, probability: Array, present: NDArray[np.bool_], minutes: float, turns: int, tests: int) -> Scores:
        """One person: what was said, what was so, and what the examination cost."""
        ranked = np.argsort(-probability, kind="stable")[:3]
        there, hidden = present[ranked], int(present.sum())
        ranks = [float(hidden > 0), float(there[0]), float(there.any()), float(there.sum())]
        groups = [number if low <= hidden <= high else 0.0 for low, high in HIDDEN for number in ranks]
        everything = Tally.of(probability, present)
        leading = Tally.of(probability[ranked[:1]], present[ranked[:1]])
        return cls(np.concatenate(([1.0, hidden, *ranks, minutes, turns, tests], everything.row, leading.row, groups)))

    def __add__(self, other: Scores) -> Scores:
        return Scores(self.row + other.row)

    def total(self, name: str) -> float:
        """One of the sums."""
        return float(self.row[_NAMES.index(name)])

    def each(self, name: str) -> float:
        """A sum as a mean over people."""
        return self.total(name) / max(1.0, self.total("people"))

    def share(self, name: str) -> float:
        """A count as a share of the people whose ranks are asked; of `right_of_three` as a share of three."""
        return self.total(name) / max(1.0, self.total("affected")) / (3.0 if name == "right_of_three" else 1.0)

    @property
    def everything(self) -> Tally:
        """Every contributor of every person."""
        return Tally.from_row(self.row[len(_NAMES) :][:_TALLY])

    @property
    def leading(self) -> Tally:
        """The contributor ranked first."""
        return Tally.from_row(self.row[len(_NAMES) + _TALLY :][:_TALLY])

    @property
    def by_hidden(self) -> tuple[tuple[int, float, float, float], ...]:
        """For each group of HIDDEN: people, shares first right, one of three there, of three there."""
        rows = self.row[_GROUPS:].reshape(len(HIDDEN), 4)
        return tuple(
            (int(n), first / max(1.0, n), one / max(1.0, n), of / max(1.0, n) / 3.0) for n, first, one, of in rows
        )
