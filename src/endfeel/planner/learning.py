"""How much a set of tests is expected to teach: each test covers part of what is uncertain about each contributor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Learning:
    """Expected information of each candidate about each contributor.

    `bits` is (candidates, contributors), `uncertain_bits` (contributors,): the entropy each contributor has left.
    A set S teaches sum over c of uncertain[c] * (1 - product over i in S of (1 - bits[i, c] / uncertain[c])).
    That is monotone and submodular: two tests of the same thing teach less than the sum of both. It assumes that tests
    are independent given nothing but their shares, an approximation: the exact joint information of a set is not used.
    """

    bits: Array
    uncertain_bits: Array

    @cached_property
    def open_shares(self) -> Array:
        """(candidates, contributors): the share of each contributor's uncertainty that one test leaves open."""
        safe = np.maximum(self.uncertain_bits, 1e-12)
        return 1.0 - np.clip(self.bits / safe, 0.0, 1.0)

    def of(self, chosen: list[int], share: Array) -> float:
        """Expected bits of a set of candidates; `share` (candidates,) is left by each one's position."""
        opened = 1.0 - share[:, None] * (1.0 - self.open_shares)
        left = np.prod(opened[chosen], axis=0) if chosen else np.ones_like(self.uncertain_bits)
        return float(self.uncertain_bits @ (1.0 - left))
