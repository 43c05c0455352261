"""The complaint itself is a finding: somebody came, so something brings the complaint.

Prior shares are those among people who complain. Of those contributors that can bring a complaint by themselves the
likeliest are tied by a noisy-OR that has happened; each keeps its share exactly as long as nothing was examined. Once
one of them is all but sure it accounts for the complaint, and the others fall back to how often they are there anyway.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from endfeel.inference.contributors import Instance
from endfeel.inference.factors import BinaryFactor, Index
from endfeel.inference.nuisances import Array
from endfeel.inference.observations import BinaryObservation
from endfeel.inference.parameters import Parameters
from endfeel.vocabulary import Case

NO_FINDING = -1
"""Index of the complaint where others have that of their finding."""
_CLOSE, _STEPS = 1e-13, 2_000


@dataclass(frozen=True, slots=True)
class Complaint:
    """What can bring the complaint, and how often it is there in people at large."""

    sources: Index
    """(m,) instance indices, the likeliest first."""
    before: Array
    """(m,) chance of each before it is known that the person complains."""
    share: float
    """Chance that somebody with one of them, and nothing else, complains."""
    without: float
    """Chance of a complaint that none of them brings."""
    chance: float
    """Chance of a complaint by all these."""

    def of(self, present: Array) -> Array:
        """(...,) chance that somebody complains in whom these of the sources (..., m) are present, 0 or 1."""
        return np.asarray(1.0 - (1.0 - self.without) * (1.0 - self.share) ** present.sum(axis=-1))

    def factor(self, nodes: int) -> BinaryFactor:
        """The complaint as evidence, scaled so that by itself it changes neither a share nor the evidence."""
        seen = (1.0 / self.chance, 0.0)
        return BinaryFactor(
            BinaryObservation(NO_FINDING, ("complaint", "complains"), None, None, seen),
            self.sources, np.zeros(0, dtype=np.intp), np.zeros(0),
            np.full((len(self.sources), nodes), np.log1p(-self.share)),
            np.full(nodes, np.log1p(-self.without)), *seen,
        )  # fmt: skip


def complaint_of(case: Case, instances: tuple[Instance, ...], parameters: Parameters) -> Complaint | None:
    """The complaint of this case; None where its side is not known, or fewer than two contributors could bring it."""
    side = case.complaint.side
    able = [
        i
        for i, one in enumerate(instances)
        if one.contributor.brings_complaint and side is not None and one.side in (side, None)
    ]
    able.sort(key=lambda i: (-instances[i].prior, i))
    chosen = able[: int(parameters["complaint_sources"])]
    if len(chosen) < 2:
        return None
    share, without = parameters["complaint_share"], parameters["complaint_without"]
    before, chance = _before_complaint(tuple(instances[i].prior for i in chosen), share, without)
    return Complaint(np.array(chosen, dtype=np.intp), before, share, without, chance)


@lru_cache(maxsize=64)
def _before_complaint(among_complaining: tuple[float, ...], share: float, without: float) -> tuple[Array, float]:
    """Kept: one story is reckoned with again and again."""
    return before_complaint(np.array(among_complaining), share, without)


def before_complaint(among_complaining: Array, share: float, without: float) -> tuple[Array, float]:
    """(m,) shares in people at large that give these among people who complain, and the chance of a complaint.

    Fixed point of Bayes' rule under the noisy-OR. The shares found are always below those given.
    """
    before = among_complaining
    for _ in range(_STEPS):
        silent = (1.0 - without) * np.prod(1.0 - before * share)
        with_it = 1.0 - silent / (1.0 - before * share) * (1.0 - share)
        found = among_complaining * (1.0 - silent) / with_it
        if np.abs(found - before).max() < _CLOSE:
            break
        before = found
    return found, float(1.0 - silent)
