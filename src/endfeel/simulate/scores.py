"""How right probabilities are: bins of what was said and what was so, Brier score, calibration error."""

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

    counts: NDArray[np.int64]
    """(BINS,) forecasts in each bin."""
    said: Array
    """(BINS,) sum of the probabilities said."""
    so: NDArray[np.int64]
    """(BINS,) how many were so."""
    squares: float
    """Sum of squared errors."""

    @classmethod
    def of(cls, said: Array, so: NDArray[np.bool_]) -> Tally:
        """The tally of some forecasts, any shape."""
        said, so = said.ravel(), so.ravel()
        place = np.minimum((said * BINS).astype(np.intp), BINS - 1)
        return cls(
            np.bincount(place, minlength=BINS).astype(np.int64),
            np.bincount(place, said, BINS).astype(np.float64),
            np.bincount(place, so, BINS).astype(np.int64),
            float(((said - so) ** 2).sum()),
        )

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.counts + other.counts, self.said + other.said, self.so + other.so, self.squares + other.squares
        )

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


NOTHING = Tally(np.zeros(BINS, dtype=np.int64), np.zeros(BINS), np.zeros(BINS, dtype=np.int64), 0.0)
