"""The choice of tests within given orders of positions: greedy by price, improved by exchange, with a proven bound."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from endfeel.planner.learning import Learning
from endfeel.planner.relaxation import Relaxation

Array = NDArray[np.float64]
Taken = NDArray[np.bool_]

FIRST_ROUNDS = 4
"""Rounds of tightening of every order before the choice, for its prices."""
LAST_EFFORT = 140
"""Work of tightening after it, for the bound: seven rounds of eleven orders, fourteen of two."""
CLOSE_ENOUGH = 1.003
"""Tightening ends when the bound stands no higher than this above the best choice."""
FEW_TESTS, SEEDS, FEW_ORDERS = 12, 6, 3
"""Where no more tests than that fit, one bad first pick weighs: the choice is then begun in so many other ways too, and
in so many orders before one is preferred."""
EXCHANGES = 12
"""At most so many exchanges of one test for another."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a plan may cost."""

    seconds: float
    load: float
    count: int


@dataclass(frozen=True, slots=True)
class Choice:
    """Chosen candidates, what they teach, and what no choice in any order that holds as much of what is required could
    exceed."""

    order: int
    chosen: tuple[int, ...]
    bits: float
    bound_bits: float = np.inf


def most_bits(choices: Sequence[Choice]) -> int:
    """The place of the choice that teaches most."""
    return max(range(len(choices)), key=lambda k: choices[k].bits)


def choose(
    learning: Learning,
    shares: Array,
    seconds: Array,
    load: Array,
    limits: Sequence[Limits],
    pinned: tuple[int, ...] = (),
    least_bits: float = 1e-9,
    prefer: Callable[[Sequence[Choice]], int] = most_bits,
    effort: int = LAST_EFFORT,
) -> Choice:
    """The best choice found in the order preferred, and an upper bound on every choice of the same kind.

    Parameters
    ----------
    shares : (orders, n) share of a candidate's information left in its best position; 0 where it cannot be done.
    seconds, load : (n,) costs.
    limits : one for each order.
    pinned : taken first, in this order as far as they fit, whatever they teach. Orders that hold fewer of them than
        another does are not considered.
    least_bits : a test that would add less is not worth its time; one that alone teaches less is never taken.
    prefer : which of the choices, one for each order considered, is to be followed.
    effort : work spent on the bound after the choice; with 0 it holds too, but stands higher.
    """
    everything = np.arange(len(seconds))
    worth = (shares.max(axis=0) * learning.bits.sum(axis=1) >= least_bits) | np.isin(everything, pinned)
    some = np.flatnonzero(worth)
    some = some[np.argsort(learning.kinds[some], kind="stable")]
    back = {int(i): k for k, i in enumerate(some)}
    task = Task.of(learning.only(some), shares[:, some], seconds[some], load[some], limits, len(pinned))
    held = task.hold([back[i] for i in pinned])
    full = np.flatnonzero(held.sum(axis=1) == held.sum(axis=1).max())
    task, held = task.rows(full), held[full]
    relaxed = Relaxation(task.learning, task.shares, task.costs, task.budgets, held)
    relaxed.start(FIRST_ROUNDS)
    prices = task.prices(relaxed.prices)
    taken, bits = task.fill(held, prices, least_bits)
    if (taken & ~held).sum(axis=1).max() <= FEW_TESTS:
        promising = np.flatnonzero(relaxed.bounds > bits.max())
        for k in promising[np.argsort(-relaxed.bounds[promising])][:FEW_ORDERS]:
            taken[k], bits[k] = improve(task.row(k), held[k], taken[k], prices[k], least_bits)
    found = [Choice(int(o), tuple(some[t].tolist()), float(b)) for o, t, b in zip(full, taken, bits, strict=True)]
    k = prefer(found)
    best, most = improve(task.row(k), held[k], taken[k], prices[k], least_bits)
    relaxed.tighten(effort, CLOSE_ENOUGH * max(most, float(bits.max())))
    bound = max(most, float(relaxed.bounds.max()))
    return Choice(int(full[k]), tuple(some[best].tolist()), most, bound)


@dataclass(frozen=True)
class Task:
    """What is chosen from: many orders side by side, each with its budgets."""

    learning: Learning
    shares: Array
    """(orders, n)"""
    costs: Array
    """(n, 3) seconds, provocation, one for the number of tests."""
    budgets: Array
    """(orders, 3)"""

    @classmethod
    def of(
        cls, learning: Learning, shares: Array, seconds: Array, load: Array, limits: Sequence[Limits], pinned: int
    ) -> Task:
        """Whole loads cannot use a part of a unit, so that their budget is rounded down."""
        costs = np.stack([seconds, load, np.ones(len(seconds))], axis=1)
        budgets = np.array([[one.seconds, one.load, max(one.count, pinned)] for one in limits])
        if (load == np.floor(load)).all():
            budgets[:, 1] = np.floor(budgets[:, 1] + 1e-9)
        return cls(learning, shares, costs, np.maximum(budgets, 0.0))

    def rows(self, some: NDArray[np.intp]) -> Task:
        """The same for some of the orders."""
        return Task(self.learning, self.shares[some], self.costs, self.budgets[some])

    def row(self, order: int) -> Task:
        """The same for one order."""
        return self.rows(np.array([order]))

    def prices(self, of_budgets: Array) -> Array:
        """(orders, n) price of every test; a little of each budget's share keeps what is free from being priceless."""
        plain = self.costs @ (1.0 / np.maximum(self.budgets, 1.0)).T
        dual = of_budgets @ self.costs.T
        return np.asarray(dual + 0.02 * dual.max(axis=1, keepdims=True).clip(1e-9) * plain.T / plain.max())

    def room(self, taken: Taken) -> Taken:
        """(rows, n) what can still be taken."""
        spare = self.budgets - taken @ self.costs + 1e-9
        fits = (self.shares > 0) & ~taken
        for cost, left in zip(self.costs.T, spare.T, strict=True):
            fits &= cost <= left[:, None]
        return fits

    def hold(self, pinned: Sequence[int]) -> Taken:
        """(orders, n) what is required, in its order, as far as it fits."""
        held = np.zeros(self.shares.shape, dtype=np.bool_)
        for i in pinned:
            held[:, i] |= self.room(held)[:, i]
        return held

    def fill(self, held: Taken, prices: Array, least_bits: float, turns: int | None = None) -> tuple[Taken, Array]:
        """Add the test that teaches most for its price until none fits; what is taken, and the bits it teaches."""
        taken, rows = held.copy(), np.arange(len(held))
        covered = Coverage(self.learning, self.shares, held)
        for _ in range(len(self.costs) if turns is None else turns):
            gains = covered.gains()
            able = self.room(taken) & (gains >= least_bits)
            best = np.where(able, gains / prices, -1.0).argmax(axis=1)
            takes = able[rows, best]
            if not takes.any():
                break
            taken[rows, best] |= takes
            covered.take(best, takes)
        return taken, covered.bits()


def improve(task: Task, held: Taken, taken: Taken, prices: Array, least_bits: float) -> tuple[Taken, float]:
    """For one order: one test exchanged for another, and the room left filled, while that teaches more."""
    best = taken
    most = float(Coverage(task.learning, task.shares, best[None]).bits()[0])
    if (taken & ~held).sum() <= FEW_TESTS:
        others, bits = other_starts(task, held, prices, least_bits)
        if bits.max() > most:
            best, most = others[bits.argmax()], float(bits.max())
    for _ in range(EXCHANGES):
        out = np.flatnonzero(best & ~held)
        if not len(out):
            break
        many = task.rows(np.zeros(len(out), dtype=np.intp))
        without = np.repeat(best[None], len(out), axis=0)
        without[np.arange(len(out)), out] = False
        covered = Coverage(task.learning, many.shares, best[None]).without(best, out)
        gains = np.where(many.room(without), covered.gains(), 0.0)
        row = int((covered.bits() + gains.max(axis=1)).argmax())
        tried = without[row].copy()
        tried[gains[row].argmax()] = True
        filled, value = task.fill(tried[None], prices[None], least_bits)
        if value[0] <= most + 1e-6:
            break
        best, most = filled[0], float(value[0])
    return best, most


def other_starts(task: Task, held: Taken, prices: Array, least_bits: float) -> tuple[Taken, Array]:
    """Greedy choices of one order that begin with each of the tests that teach most, or go by other prices."""
    gains = np.where(task.room(held[None]), Coverage(task.learning, task.shares, held[None]).gains(), 0.0)[0]
    first = np.argsort(-gains)[:SEEDS]
    first = first[gains[first] >= least_bits]
    begun = np.repeat(held[None], len(first) + 2, axis=0)
    begun[np.arange(len(first)), first] = True
    by = np.repeat(prices[None], len(begun), axis=0)
    by[-2] = (task.costs @ (1.0 / np.maximum(task.budgets[0], 1.0))).clip(1e-9)
    by[-1] = 1.0
    return task.rows(np.zeros(len(begun), dtype=np.intp)).fill(begun, by, least_bits)


class Coverage:
    """What the tests taken so far cover, for many rows at once; the arithmetic of `Learning`, step by step.

    Candidates are sorted by kind.
    """

    def __init__(self, learning: Learning, shares: Array, taken: Taken) -> None:
        self.learning, self.shares = learning, shares
        shape = len(learning.by_kind), len(shares), len(learning.uncertain_bits)
        self.rest, self.open, self.ratio = np.ones(shape), np.ones(shape), np.ones(shape)
        """(kinds, rows, contributors): product over the tests taken of what they leave within the kind; what the kind
        leaves open; the first over the second."""
        self.place = np.repeat(np.arange(shape[0]), [mine.stop - mine.start for mine in learning.by_kind])
        used = np.flatnonzero(taken.any(axis=0))
        for k in np.unique(self.place[used]):
            mine = used[self.place[used] == k]
            told = (shares[:, mine] * taken[:, mine])[:, :, None] * learning.told[mine]
            self._set(k, (1.0 - told / learning.most_share).prod(axis=1))

    def without(self, taken: Taken, out: NDArray[np.intp]) -> Coverage:
        """One row for each of these tests: what the others cover."""
        found = Coverage(self.learning, self.shares, np.zeros((len(out), len(taken)), dtype=np.bool_))
        for name in ("rest", "open", "ratio"):
            setattr(found, name, np.repeat(getattr(self, name)[:, :1], len(out), axis=1))
        left = 1.0 - self.shares[0][:, None] * self.learning.told / self.learning.most_share
        kinds = self.place[out]
        others = [np.flatnonzero(taken & (self.place == k)) for k in kinds]
        rest = np.stack([left[mine[mine != i]].prod(axis=0) for i, mine in zip(out, others, strict=True)])
        found._set((kinds, np.arange(len(out))), rest)
        return found

    def _set(self, at: Any, rest: Array) -> None:
        open_share = 1.0 - self.learning.most_share * (1.0 - rest)
        self.rest[at], self.open[at], self.ratio[at] = rest, open_share, rest / np.maximum(open_share, 1e-12)

    def bits(self) -> Array:
        """(rows,) taught by all kinds together."""
        return np.asarray((1.0 - self.open.prod(axis=0)) @ self.learning.uncertain_bits)

    def gains(self) -> Array:
        """(rows, candidates) bits each further test would add in its best position."""
        weight = self.ratio * (self.learning.uncertain_bits * self.open.prod(axis=0))
        gains = [weight[k] @ self.learning.told[mine].T for k, mine in enumerate(self.learning.by_kind)]
        return np.concatenate(gains, axis=1) * self.shares

    def take(self, best: NDArray[np.intp], takes: Taken) -> None:
        """Add one test to each row that takes one."""
        rows = np.flatnonzero(takes)
        best = best[rows]
        at = self.place[best], rows
        told = self.shares[rows, best][:, None] * self.learning.told[best]
        self._set(at, self.rest[at] * (1.0 - told / self.learning.most_share))
