"""How much a set of tests is expected to teach: each test covers part of what is uncertain about each contributor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True)
class Learning:
    """Expected information of each candidate about each contributor.

    `bits` is (candidates, contributors), `uncertain_bits` (contributors,): the entropy each contributor has left.
    `kinds` (candidates,) numbers the ways of testing; tests of one kind repeat each other's errors, so that one kind
    alone leaves at least `1 - most_share` of a contributor's uncertainty open however often it is used.

    A set S teaches sum over c of uncertain[c] * (1 - product over kinds k of open[k, c]), with
    open[k, c] = 1 - most + most * product over i of kind k in S of (1 - told[i, c] / most), told = bits / uncertain.
    That is the share covered when a kind works with chance `most` and its tests then cover independently: monotone and
    submodular, so two tests of the same thing teach less than the sum of both. It assumes that kinds are independent
    given their shares, an approximation: the exact joint information of a set is not used.
    """

    bits: Array
    uncertain_bits: Array
    kinds: Index
    most_share: float

    @cached_property
    def told(self) -> Array:
        """(candidates, contributors): the share of each contributor's uncertainty that one test covers."""
        safe = np.maximum(self.uncertain_bits, 1e-12)
        return np.clip(self.bits / safe, 0.0, self.most_share)

    @cached_property
    def by_kind(self) -> list[slice]:
        """Where each kind's candidates stand; for candidates sorted by kind."""
        starts = np.flatnonzero(np.diff(self.kinds, prepend=-1))
        return [slice(int(a), int(b)) for a, b in zip(starts, (*starts[1:], len(self.kinds)), strict=True)]

    def only(self, some: Index) -> Learning:
        """The same for some of the candidates."""
        return Learning(self.bits[some], self.uncertain_bits, self.kinds[some], self.most_share)

    def growing(self, chosen: Sequence[int], share: Array) -> list[float]:
        """Expected bits after each of these candidates; `share` (candidates,) is left by each one's position."""
        kinds = {int(k): row for row, k in enumerate(np.unique(self.kinds[list(chosen)]))}
        rest = np.ones((len(kinds), len(self.uncertain_bits)))
        found = []
        for i in chosen:
            rest[kinds[int(self.kinds[i])]] *= 1.0 - share[i] * self.told[i] / self.most_share
            open_share = (1.0 - self.most_share * (1.0 - rest)).prod(axis=0)
            found.append(float(self.uncertain_bits @ (1.0 - open_share)))
        return found

    def of(self, chosen: Sequence[int], share: Array) -> float:
        """Expected bits of a set of candidates."""
        return self.growing(chosen, share)[-1] if chosen else 0.0
