"""Choose tests for a visiting order of positions: greedy on bits per share of the budgets used, with a proven bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.planner.learning import Learning

Array = NDArray[np.float64]

BOUND_EVERY = 8
"""The bound is taken at every so many-th test chosen: any prefix gives a valid one, and few are enough."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a plan may cost."""

    seconds: float
    load: float
    count: int


@dataclass(frozen=True, slots=True)
class Choice:
    """Chosen candidates in the order of choosing, what they teach, and what no choice could exceed."""

    chosen: tuple[int, ...]
    bits: float
    bound_bits: float


def choose(
    learning: Learning,
    shares: Array,
    seconds: Array,
    load: Array,
    limits: Sequence[Limits],
    pinned: tuple[int, ...] = (),
    least_bits: float = 1e-9,
) -> tuple[Choice, ...]:
    """For each visiting order, a greedy choice under its limits and an upper bound on the best possible choice.

    Parameters
    ----------
    shares : (orders, n) share of a candidate's information left in its best position; 0 where it cannot be done.
    seconds, load : (n,) costs.
    limits : one for each order.
    pinned : taken first, whatever they teach.
    least_bits : a test that would add less is not worth its time.

    Notes
    -----
    All orders take their next test together, so that one matrix product serves them all.

    The bound: for any set T, F(T) <= F(S) + sum over T of gain(i | S) because F is monotone and submodular (Nemhauser,
    Wolsey and Fisher 1978, value from memory); the sum is bounded by the fractional knapsack over time, over load and
    over count, each alone. Taken at several prefixes S of the greedy choice; the least bound counts.
    """
    many, count = shares.shape
    weights, covered = learning.uncertain_bits, Coverage(learning, many)
    queue = list(pinned)
    most = np.array([max(one.count, len(pinned)) for one in limits], dtype=float)
    budget_seconds, budget_load = np.array([one.seconds for one in limits]), np.array([one.load for one in limits])
    budgets = ((seconds, budget_seconds), (load, budget_load), (np.ones(count), most))
    price = sum((cost / np.maximum(budget, 1.0)[:, None] for cost, budget in budgets), np.zeros((many, count)))
    used_seconds, used_load = np.zeros(many), np.zeros(many)
    can, taken = shares > 0, np.zeros((many, count), dtype=np.bool_)
    bound, going = np.full(many, np.inf), np.ones(many, dtype=np.bool_)
    chosen: list[list[int]] = [[] for _ in limits]
    rows = np.arange(many)
    for turn in range(count + 1):
        gains = shares * covered.gains()
        if turn % BOUND_EVERY == 0:
            so_far = covered.shares() @ weights
            for cost, budget in budgets:
                bound = np.minimum(bound, so_far + _fractional(gains, can & ~taken, cost, budget))
        fits = can & ~taken & (used_seconds[:, None] + seconds <= budget_seconds[:, None])
        fits &= used_load[:, None] + load <= budget_load[:, None]
        if turn < len(queue):
            best = np.full(many, queue[turn])
            takes = fits[rows, best]
        else:
            fits &= gains >= least_bits
            best = np.where(fits, gains / price, -1.0).argmax(axis=1)
            takes = going & fits[rows, best] & (taken.sum(axis=1) < most)
            going = takes
            if not takes.any():
                break
        taken[rows, best] |= takes
        used_seconds += np.where(takes, seconds[best], 0.0)
        used_load += np.where(takes, load[best], 0.0)
        covered.take(best, np.where(takes, shares[rows, best], 0.0))
        for k in np.flatnonzero(takes):
            chosen[k].append(int(best[k]))
    bits = covered.shares() @ weights
    return tuple(Choice(tuple(c), float(b), float(max(b, m))) for c, b, m in zip(chosen, bits, bound, strict=True))


class Coverage:
    """What the tests taken so far cover, for many orders at once; the arithmetic of `Learning`, step by step."""

    def __init__(self, learning: Learning, many: int) -> None:
        self.learning = learning
        kinds = int(learning.kinds.max(initial=-1)) + 1
        contributors = len(learning.uncertain_bits)
        self.rest = np.ones((kinds, many, contributors))
        """Within each kind, the product over its tests taken of what they leave."""
        members = [np.flatnonzero(learning.kinds == k) for k in range(kinds)]
        widest = max((len(mine) for mine in members), default=0)
        self.told = np.zeros((kinds, contributors, widest))
        self.place = np.zeros(len(learning.kinds), dtype=np.intp)
        for k, mine in enumerate(members):
            self.told[k, :, : len(mine)] = learning.told[mine].T
            self.place[mine] = np.arange(len(mine))

    def _open(self) -> Array:
        """(kinds, orders, contributors) left open by each kind alone."""
        return 1.0 - self.learning.most_share * (1.0 - self.rest)

    def shares(self) -> Array:
        """(orders, contributors) covered by all kinds together."""
        return np.asarray(1.0 - self._open().prod(axis=0))

    def gains(self) -> Array:
        """(orders, candidates) bits each further test would add in its best position."""
        one = self._open()
        weight = self.learning.uncertain_bits * one.prod(axis=0) / np.maximum(one, 1e-12) * self.rest
        by_kind = weight @ self.told
        return np.asarray(by_kind[self.learning.kinds, :, self.place].T)

    def take(self, best: NDArray[np.intp], share: Array) -> None:
        """Add one test to each order, with the share its position leaves; 0 adds nothing."""
        told = self.learning.told[best] / self.learning.most_share
        self.rest[self.learning.kinds[best], np.arange(len(best))] *= 1.0 - share[:, None] * told


def _fractional(gains: Array, able: NDArray[np.bool_], cost: Array, budget: Array) -> Array:
    """(orders,) best sum of gains when candidates may be cut in pieces: never below the best whole choice."""
    order = np.where(able, -gains / np.maximum(cost, 1e-9), 1.0).argsort(axis=1)
    gain = np.take_along_axis(np.where(able, gains, 0.0), order, axis=1)
    spent = np.take_along_axis(np.where(able, cost, 0.0), order, axis=1)
    before = spent.cumsum(axis=1) - spent
    room = np.maximum(budget, 0.0)[:, None] - before
    part = np.where(spent > 0.0, (room / np.maximum(spent, 1e-9)).clip(0.0, 1.0), 1.0)
    return np.asarray((gain * part).sum(axis=1))
