"""Choose tests for a visiting order of positions: greedy on bits per share of the budgets used, with a proven bound."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.planner.learning import Learning

Array = NDArray[np.float64]

BOUND_EVERY = 4
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
    learning: Learning, share: Array, seconds: Array, load: Array, limits: Limits, pinned: tuple[int, ...] = ()
) -> Choice:
    """Greedy choice under time, load and count, and an upper bound on the best possible choice.

    Parameters
    ----------
    share : (n,) share of a candidate's information left in its best position; 0 where it cannot be done.
    seconds, load : (n,) costs.
    pinned : taken first, whatever they teach.

    Notes
    -----
    The bound: for any set T, F(T) <= F(S) + sum over T of gain(i | S) because F is monotone and submodular (Nemhauser,
    Wolsey and Fisher 1978, value from memory); the sum is bounded by the fractional knapsack over time, over load and
    over count, each alone. Taken at several prefixes S of the greedy choice; the least bound counts.
    """
    weights = learning.uncertain_bits
    opened = 1.0 - share[:, None] * (1.0 - learning.open_shares())
    left = np.ones_like(weights)
    used_seconds, used_load = 0.0, 0.0
    free = share > 0
    chosen: list[int] = []
    bound = np.inf
    queue = [i for i in pinned if share[i] > 0]
    most = float(max(limits.count, len(queue)))
    budgets = ((seconds, limits.seconds), (load, limits.load), (np.ones_like(seconds), most))
    price = sum(cost / max(budget, 1.0) for cost, budget in budgets)
    while True:
        gains = (1.0 - opened) @ (weights * left)
        if len(chosen) % BOUND_EVERY == 0:
            so_far = float(weights @ (1.0 - left))
            bound = min([bound, *(so_far + _fractional(gains, c, share > 0, chosen, b) for c, b in budgets)])
        fits = free & (used_seconds + seconds <= limits.seconds) & (used_load + load <= limits.load)
        fits[chosen] = False
        if queue:
            best = queue.pop(0)
            if not fits[best]:
                free[best] = False
                continue
        else:
            if len(chosen) >= limits.count or not fits.any():
                break
            density = np.where(fits, gains / price, -1.0)
            best = int(np.argmax(density))
            if gains[best] <= 1e-9:
                break
        chosen.append(best)
        used_seconds += float(seconds[best])
        used_load += float(load[best])
        left = left * opened[best]
    bits = float(weights @ (1.0 - left))
    return Choice(tuple(chosen), bits, max(bits, bound))


def _fractional(gains: Array, seconds: Array, can: NDArray[np.bool_], chosen: list[int], budget: float) -> float:
    """Best sum of gains when candidates may be cut in pieces: never below the best whole choice."""
    able = can.copy()
    able[chosen] = False
    order = np.argsort(-np.where(able, gains / np.maximum(seconds, 1e-9), -1.0))
    order = order[able[order]]
    spent = np.cumsum(seconds[order])
    whole = int(np.searchsorted(spent, max(0.0, budget), side="right"))
    total = float(gains[order[:whole]].sum())
    if whole < len(order):
        before = float(spent[whole - 1]) if whole else 0.0
        total += float(gains[order[whole]]) * max(0.0, budget - before) / float(seconds[order[whole]])
    return total
