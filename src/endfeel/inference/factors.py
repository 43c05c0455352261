"""The local likelihood of one observation, over the contributors that can cause it and over the nuisance nodes."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.nuisances import Array
from endfeel.inference.observations import AngleObservation, BinaryObservation

Index = NDArray[np.intp]
Piece = tuple[tuple[int, ...], Array]
"""Whom a table speaks about (contributors; below nought a factor's own links), and the table, (2, ..., 2, N)."""
CHAINED = 9
"""Parents from which a noisy-OR is told as a chain: its table doubles with each parent, a chain grows by a link."""
_TWO_PI = 2.0 * np.pi


@dataclass(frozen=True)
class BinaryFactor:
    """P(evidence | parents, node) = seen * (1 - fail) + unseen * fail, fail = (1 - leak) * product of (1 - q)."""

    observation: BinaryObservation
    parents: Index
    """(m,) instance indices; the family's hidden cause, where there is one, comes last."""
    causes: Index
    """(contributors,) which cause of the spec each parent is, the hidden one left out."""
    shares: Array
    """(contributors,) share of the causal effect that reaches this level (1 at the level itself)."""
    log_fail: Array
    """(m, N) log(1 - q) at the joint nodes."""
    log_no_leak: Array
    """(N,)"""
    seen: float
    unseen: float
    drawn: dict[int, tuple[Array, Array]] = field(init=False, default_factory=dict, compare=False, repr=False)
    """Draws of `log_fail` and `log_no_leak` at the nodes of one nuisance, by their count."""

    @property
    def contributors(self) -> Index:
        """Parents without the family's hidden cause."""
        return self.parents[: len(self.causes)]

    @property
    def factorises(self) -> bool:
        """A plain negative is a product over its parents and couples nothing."""
        return self.seen == 0.0

    @property
    def couples(self) -> bool:
        """Whether it ties its parents to each other."""
        return len(self.parents) > 0 and not self.factorises

    @cached_property
    def table(self) -> Array:
        """(2, ..., 2, N) likelihood over the parents, in their order."""
        fail = np.exp(self.log_no_leak)[None]
        for kept in np.exp(self.log_fail)[::-1]:
            fail = np.concatenate((fail, fail * kept))
        return (self.seen + (self.unseen - self.seen) * fail).reshape(*[2] * len(self.parents), -1)

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The likelihood as a product of tables, the one that holds the evidence last.

        With many parents a link for all but the first and the last: 1 while none of the parents so far has caused the
        finding. Each table before the last is the probability of its link; summed over the links they give `table`.
        """
        parents = tuple(self.parents.tolist())
        if len(parents) < CHAINED:
            return ((parents, self.table),)
        keep = np.exp(np.minimum(self.log_fail, 0.0))  # a cause of no effect may stand above nought by rounding
        silent = np.exp(self.log_no_leak) * np.stack((np.ones_like(keep[0]), keep[0]))
        made: list[Piece] = []
        before = parents[0]
        for k in range(1, len(parents) - 1):
            still = silent[:, None] * np.stack((np.ones_like(keep[k]), keep[k]))
            made.append(((before, parents[k], -k), np.stack((1.0 - still, still), axis=2)))
            silent, before = np.stack((np.zeros_like(keep[k]), np.ones_like(keep[k]))), -k
        still = silent[:, None] * np.stack((np.ones_like(keep[-1]), keep[-1]))
        return (*made, ((before, parents[-1]), self.seen + (self.unseen - self.seen) * still))

    @cached_property
    def constant(self) -> Array:
        """(N,) or (1,) the part of the log likelihood that no contributor can change."""
        if self.factorises:
            return self.log_no_leak
        return np.zeros(1) if len(self.parents) else np.asarray(np.log(self.table))


@dataclass(frozen=True)
class AngleFactor:
    """Deficit ~ (1 - stray) * Normal(sum of effects + slackness, sd) + stray * Normal(0, wide)."""

    observation: AngleObservation
    parents: Index
    effect_deg: Array
    """(m, 1), or (m, N) when it differs by node."""
    effect_variance: Array
    """(m,)"""
    shift_deg: Array
    """(N,) degrees the laxity node takes off the deficit."""
    variance: float
    stray_share: Array
    """(N,) share of such angles that tell nothing of structure: badly recorded, stopped by pain, or guarded."""
    stray_variance: float

    @property
    def couples(self) -> bool:
        """Whether it ties its parents to each other."""
        return len(self.parents) > 0

    @cached_property
    def table(self) -> Array:
        """(2, ..., 2, N) likelihood over the parents, in their order."""
        mean, variance = np.zeros((1, self.effect_deg.shape[1] if len(self.parents) else 1)), np.zeros(1)
        for effect, extra in zip(self.effect_deg[::-1], self.effect_variance[::-1], strict=True):
            mean = np.concatenate((mean, mean + effect))
            variance = np.concatenate((variance, variance + extra))
        return angle_likelihood(self, mean, variance, self.shift_deg).reshape(*[2] * len(self.parents), -1)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The likelihood as one table: effects add up, and no chain of present and absent can carry a sum."""
        return ((tuple(self.parents.tolist()), self.table),)

    @cached_property
    def constant(self) -> Array:
        """(N,) or (1,) the part of the log likelihood that no contributor can change."""
        return np.zeros(1) if len(self.parents) else np.asarray(np.log(self.table))


Factor = BinaryFactor | AngleFactor


def angle_likelihood(factor: AngleFactor, mean: Array, variance: Array, shift: Array) -> Array:
    """(..., N) density of the deficit for (..., 1 or N) mean effect, (...,) extra variance, (N,) shift."""
    total = (factor.variance + variance)[..., None]
    away = factor.observation.deficit_deg - shift - mean
    height = (1.0 - factor.stray_share) / np.sqrt(_TWO_PI * total)
    return np.asarray(height * np.exp(away * away * (-0.5 / total)) + stray_density(factor))


def stray_density(factor: AngleFactor) -> Array:
    """(N,) density of the deficit when the angle tells nothing of structure, times the share of such angles."""
    deficit, variance = factor.observation.deficit_deg, factor.stray_variance
    density = np.exp(-(deficit**2) / (2.0 * variance)) / np.sqrt(_TWO_PI * variance)
    return np.asarray(factor.stray_share * density)


def weakened(log_fail: Array, shares: Array) -> Array:
    """(m, ...) log(1 - share * q) from log(1 - q)."""
    if (shares == 1.0).all():
        return log_fail
    return np.asarray(np.log1p(shares.reshape(-1, *[1] * (log_fail.ndim - 1)) * np.expm1(log_fail)))
