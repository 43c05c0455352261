"""What no choice of tests could exceed: a concave over-estimate of what a set teaches, under all budgets at once.

Why it is a bound. Write a set of tests as x, 1 for a test taken and 0 for one left. Within one kind of test and for one
contributor, with q_i = share_i * told_i / most, a_i = -log(1 - q_i) and f(z) = -log(1 - most + most * exp(-z)):

1.  what the kind leaves open is exp(-f(sum a_i x_i)), exactly as in `Learning`; f is concave and increasing, f(0) = 0;
2.  so f(sum a_i x_i) <= sum b_i x_i with b_i = f(a_i), because a concave f with f(0) = 0 is subadditive;
3.  hence y = sum over kinds of (t f(sum a_i x_i) + (1 - t) sum b_i x_i), with any t from 0 to 1 for each kind and
    contributor, is concave in x and never below the true sum of logarithms at a whole x;
4.  so is 1 - exp(-y) for the share covered, which is also never above sum share_i * told_i x_i; any mixture of the two
    in fixed parts is again concave and never below the truth at a whole x;
5.  a concave function lies below its tangent at any point, whole or not, and for prices p >= 0 of time, provocation and
    number, every x within the budgets B has gain.x <= sum over i of the larger of 0 and gain_i - p.cost_i, + p.B
    (Lagrange); a test that is required counts gain_i - p.cost_i whatever its sign.

Tangent and prices may be chosen at will; bad ones only give a loose bound. The point moves towards the best choice at
the present prices (Frank and Wolfe 1956, from memory) and the prices by damped Newton steps on the smoothed problem;
every point visited gives a valid bound and the least one counts. Checked against trying every set and against a
general solver.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from endfeel.planner.learning import Learning

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LEAST_OPEN = 1e-12
"""Where a test leaves nothing open this much is left and logarithms stay finite; the bound is raised by as much."""
KINK = 0.05
"""How soon, in parts of the values themselves, the lesser of two over-estimates takes over from the other."""
NEAR = 0.99
"""Orders whose bound stands lower than this share of the highest wait: they do not decide."""
ROUND_EFFORT = 8
"""A round costs about as much as so many orders in it, whatever their number."""
FIRST_PRICES, NEXT_PRICES = 12, 2
"""Steps for the first prices; and to follow the moving point in every later round."""


class Relaxation:
    """Bounds and prices of many visiting orders side by side."""

    def __init__(
        self, learning: Learning, shares: Array, costs: Array, budgets: Array, held: NDArray[np.bool_]
    ) -> None:
        """Lay out every (test, share) pair once.

        Parameters
        ----------
        shares : (orders, n) share of a test's information left in its best position; 0 where it cannot be done.
        costs : (n, budgets) and `budgets` (orders, budgets), what each test takes of what there is.
        held : (orders, n) tests every choice must contain.
        """
        self.most, self.uncertain = learning.most_share, learning.uncertain_bits
        pairs = [(i, v) for v in np.unique(shares[shares > 0]) for i in np.flatnonzero((shares == v).any(axis=0))]
        pairs.sort(key=lambda pair: int(learning.kinds[pair[0]]))
        self.test = np.array([i for i, _ in pairs], dtype=np.intp)
        share = np.array([v for _, v in pairs])
        kinds = learning.kinds[self.test]
        starts = np.flatnonzero(np.diff(kinds, prepend=-1))
        self.kinds = [slice(a, b) for a, b in zip(starts, (*starts[1:], len(kinds)), strict=True)]
        told = share[:, None] * learning.told[self.test]
        self.told = told
        self.logs = -np.log(np.maximum(np.concatenate((1.0 - told / self.most, 1.0 - told), axis=1), LEAST_OPEN))
        """(pairs, 2 * contributors) a and b of the proof, side by side."""
        able = shares[:, self.test] == share
        self.high = able.astype(float)
        self.low = (held[:, self.test] & able).astype(float)
        self.scale = np.maximum(budgets.max(axis=0), 1e-9)
        self.costs, self.budgets = costs[self.test] / self.scale, budgets / self.scale
        self._crossed = (self.costs[:, :, None] * self.costs[:, None, :]).reshape(len(pairs), -1)
        spare = self.budgets - self.low @ self.costs
        want = np.maximum((self.high - self.low) @ self.costs, 1e-9)
        part = np.clip((spare / want).min(axis=1, keepdims=True), 0.0, 1.0)
        self.point = self.low + part * (self.high - self.low)
        orders = len(shares)
        self.rounds = np.zeros(orders)
        self.bounds = np.full(orders, np.inf)
        self._prices, self._best_prices = np.zeros((orders, len(self.scale))), np.zeros((orders, len(self.scale)))
        self._damping = np.full(orders, 1.0)
        self._slack = LEAST_OPEN * len(self.kinds) * float(self.uncertain.sum())

    @property
    def prices(self) -> Array:
        """(orders, budgets) bits that one more unit of each budget is worth, at the best bound so far."""
        return np.asarray(self._best_prices / self.scale)

    def start(self, rounds: int) -> None:
        """Bounds and prices of every order."""
        for _ in range(rounds):
            self._round(np.arange(len(self.bounds)))

    def tighten(self, effort: int, floor: float = -np.inf) -> None:
        """Lower the bounds that decide, of orders above `floor` and near the highest, for so much work."""
        while effort > 0 and self.bounds.max(initial=-np.inf) > floor:
            highest = self.bounds.max()
            some = np.flatnonzero((self.bounds > floor) & (self.bounds >= NEAR * highest))
            self._round(some)
            effort -= ROUND_EFFORT + len(some)

    def _round(self, some: Index) -> None:
        point, low, high, budgets = self.point[some], self.low[some], self.high[some], self.budgets[some]
        value, gain = self.tangent(point)
        turn = self.rounds[some][:, None]
        heat = 0.1 * (gain * high).max(axis=1, keepdims=True).clip(1e-9) / (turn + 4.0)
        first = not turn.any()
        if first:
            self._prices[some] = (gain * point).sum(axis=1, keepdims=True) / len(self.scale)
        prices = self._follow(some, gain, heat, FIRST_PRICES if first else NEXT_PRICES)
        net = gain - prices @ self.costs.T
        bound = value - (gain * point).sum(axis=1) + np.maximum(high * net, low * net).sum(axis=1)
        bound += (prices * budgets).sum(axis=1) + self._slack
        better = bound < self.bounds[some]
        self.bounds[some[better]] = bound[better]
        self._best_prices[some[better]] = prices[better]
        aim = low + (high - low) * _logistic(net / heat)
        self.point[some] = point + (aim - point) * (1.0 / (turn + 2.0))
        self.rounds[some] += 1.0

    def tangent(self, point: Array) -> tuple[Array, Array]:
        """(rows,) over-estimate of what is taught at each point and (rows, pairs) its slope."""
        u, most = self.uncertain, self.most
        sums = np.empty((len(self.kinds), len(point), 2 * len(u)))
        for k, mine in enumerate(self.kinds):
            np.matmul(point[:, mine], self.logs[mine], out=sums[k])
        z, single = sums[..., : len(u)], sums[..., len(u) :]
        left = most * np.exp(-z)
        open_share = 1.0 - most + left
        exact = -np.log(open_share)
        part = _part(exact, single)
        rest = np.exp(-(single + part * (exact - single)).sum(axis=0))
        plain = point @ self.told
        whole = _part(1.0 - rest, plain)
        value = (whole * (1.0 - rest) + (1.0 - whole) * plain) @ u
        weight = u * rest * whole
        sums[..., : len(u)] = weight * part * left / open_share
        sums[..., len(u) :] = weight * (1.0 - part)
        by_kind = [sums[k] @ self.logs[mine].T for k, mine in enumerate(self.kinds)]
        gain = np.concatenate(by_kind, axis=1) + (u * (1.0 - whole)) @ self.told.T
        return value, gain

    def _follow(self, some: Index, gain: Array, heat: Array, steps: int) -> Array:
        """Prices nearer to those at which the smoothed choice just fills the budgets; kept for the next round."""
        prices, damping = self._prices[some], self._damping[some]
        low, room = self.low[some], self.high[some] - self.low[some]
        unit = np.eye(len(self.scale))
        reach = (gain * self.point[some]).sum(axis=1, keepdims=True) / 4 + 10.0 * heat

        def look(at: Array) -> tuple[Array, Array, Array]:
            net = gain - at @ self.costs.T
            small = np.exp(-np.abs(net / heat))
            some_taken = room * np.where(net >= 0.0, 1.0, small) / (1.0 + small)
            worth = (low * net + room * (np.maximum(net, 0.0) + heat * np.log1p(small))).sum(axis=1)
            worth += (at * self.budgets[some]).sum(axis=1)
            return worth, low + some_taken, some_taken / (1.0 + small) * np.where(net >= 0.0, small, 1.0) / heat

        value, taken, bend = look(prices)
        for _ in range(steps):
            slope = self.budgets[some] - taken @ self.costs
            hessian = (bend @ self._crossed).reshape(-1, *unit.shape)
            size = np.trace(hessian, axis1=1, axis2=2)[:, None, None] + 1e-9
            hessian += size * (1e-6 + damping[:, None, None]) * unit
            free = (prices > 0.0) | (slope < 0.0)
            pair = free[:, :, None] & free[:, None, :]
            step = np.linalg.solve(np.where(pair, hessian, unit), np.where(free, slope, 0.0)[:, :, None])[:, :, 0]
            tried = np.maximum(0.0, prices - np.clip(step, -reach, reach))
            new_value, new_taken, new_bend = look(tried)
            good = new_value <= value
            prices = np.where(good[:, None], tried, prices)
            taken, bend = np.where(good[:, None], new_taken, taken), np.where(good[:, None], new_bend, bend)
            value = np.where(good, new_value, value)
            damping = np.where(good, damping / 8.0, damping * 8.0).clip(1e-6, 1e3)
        self._prices[some], self._damping[some] = prices, damping
        return prices


def _part(one: Array, other: Array) -> Array:
    """How much of `one` goes into the mixture: all where it is clearly the lesser, nothing where it is not."""
    return np.clip(0.5 + (other - one) / (KINK * (one + other) + 1e-12), 0.0, 1.0)


def _logistic(value: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(-value.clip(-40.0, 40.0))))
