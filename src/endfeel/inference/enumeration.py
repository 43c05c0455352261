"""Sums over the combinations of a component too entangled to eliminate, with a proven bound on what is left out.

Combinations are grown a few contributors at a time. A partial combination is dropped only when an upper
bound on the weight of all its completions is small; the dropped bounds are summed, so that

    true mass left out <= dropped bounds / (kept weight + dropped bounds)

whatever the network. The bound of a partial combination is its weight, times the exact sum of the tilted
priors of the contributors still to come, times the largest value each coupling factor can still take
(a noisy-OR between none and all of them present; an angle at the nearest attainable mean).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.factors import AngleFactor, BinaryFactor, Factor, angle_likelihood, stray_density
from endfeel.inference.nuisances import Array

TOLERANCE = 2e-4
"""Share of a component's weight that may be dropped in the first pass."""
CAPS = (2_000, 16_000)
"""Combinations kept per component, pass after pass."""
_ROWS_AT_ONCE = 24_000
_TWO_PI = 2.0 * np.pi


@dataclass(frozen=True)
class Enumerated:
    """One component with the combinations kept."""

    members: NDArray[np.intp]
    """(m,) instance indices."""
    factors: tuple[int, ...]
    states: NDArray[np.bool_]
    """(K, m)"""
    log_weights: Array
    """(K, N) log of prior times likelihood at each node, without the node's own weight."""
    log_mass: Array
    """(N,)"""
    left_out: Array
    """(N,) upper bound on the weight of all combinations not kept."""
    probability: Array
    """(m, N)"""

    @property
    def links(self) -> int:
        """None: findings are not chained here."""
        return 0

    def draw(self, nodes: NDArray[np.intp], uniform: Array, more: Array) -> NDArray[np.bool_]:  # noqa: ARG002
        """(S, m) kept combinations drawn at (S,) nodes; the first column of `uniform` is used, nothing of `more`."""
        cumulated = np.cumsum(np.exp(self.log_weights - self.log_mass), axis=0)
        rows = [int(np.searchsorted(cumulated[:, node], u)) for node, u in zip(nodes, uniform[:, 0], strict=True)]
        return self.states[np.minimum(rows, len(self.states) - 1)]


def enumerate_component(
    node_log_weights: Array,
    members: Sequence[int],
    factors: Sequence[Factor],
    on: Array,
    off: Array,
    cap: int,
    tolerance: float,
) -> Enumerated:
    """The combinations of one component that matter, and a bound on the rest.

    Parameters
    ----------
    on, off : (n, N) tilted log weights of all instances.
    cap : combinations kept at most; tolerance : share of the weight that may be dropped below it.
    """
    names = tuple(id(factor) for factor in factors)
    order = _order(node_log_weights, members, factors, on, off)
    growth = _Growth(node_log_weights, order, factors, on[order], off[order])
    done = 0
    while done < len(order):
        rows = len(growth.weights)
        step = 1
        while step < 6 and done + step < len(order) and rows * 2 ** (step + 1) <= _ROWS_AT_ONCE:
            step += 1
        growth.grow(min(step, len(order) - done))
        done = growth.done
        growth.prune(cap, tolerance)
    weights = growth.complete_log_weights()
    mass = np.logaddexp.reduce(weights, axis=0)
    probability = growth.states.T.astype(float) @ np.exp(weights - mass)
    return Enumerated(np.array(order, dtype=np.intp), names, growth.states, weights, mass, growth.left_out, probability)


def _order(
    node_log_weights: Array, members: Sequence[int], factors: Sequence[Factor], on: Array, off: Array
) -> list[int]:
    """Strongest single explanations first, so that bounds tighten early."""
    weights = np.exp(node_log_weights)
    score = {i: float(weights @ (on[i] - off[i])) for i in members}
    for factor in factors:
        if isinstance(factor, BinaryFactor):
            leak = -np.expm1(factor.log_no_leak)
            alone = -np.expm1(factor.log_no_leak + factor.log_fail)
            gain = np.log((factor.seen * alone + factor.unseen) / (factor.seen * leak + factor.unseen)) @ weights
        else:
            none = angle_likelihood(factor, np.zeros((1, 1)), np.zeros(1), factor.shift_deg)
            gain = (
                np.log(angle_likelihood(factor, factor.effect_deg, factor.effect_variance, factor.shift_deg) / none)
            ) @ weights
        for i, value in zip(factor.parents, gain, strict=True):
            score[int(i)] += float(value)
    return sorted(members, key=lambda i: -score[i])


class _Growth:
    """Partial combinations of one component while they grow."""

    def __init__(
        self, node_log_weights: Array, order: list[int], factors: Sequence[Factor], on: Array, off: Array
    ) -> None:
        place = {i: k for k, i in enumerate(order)}
        self.on, self.off = on, off
        self.done = 0
        self.node_weights = node_log_weights
        self.binaries = [f for f in factors if isinstance(f, BinaryFactor)]
        self.angles = [f for f in factors if isinstance(f, AngleFactor)]
        members, nodes = len(order), len(self.node_weights)
        self.fail = np.zeros((members, len(self.binaries), nodes))
        for b, binary in enumerate(self.binaries):
            np.add.at(self.fail, ([place[int(i)] for i in binary.parents], b), binary.log_fail)
        wide = max((angle.effect_deg.shape[1] for angle in self.angles), default=1)
        self.effect = np.zeros((members, len(self.angles), wide))
        self.variance = np.zeros((members, len(self.angles)))
        for a, angle in enumerate(self.angles):
            rows = [place[int(i)] for i in angle.parents]
            self.effect[rows, a] = angle.effect_deg
            self.variance[rows, a] = angle.effect_variance
        self.seen = np.array([f.seen for f in self.binaries])[None, :, None]
        self.unseen = np.array([f.unseen for f in self.binaries])[None, :, None]
        self.no_leak = np.array([f.log_no_leak for f in self.binaries]).reshape(len(self.binaries), nodes)
        self.left_out = np.zeros(nodes)
        self.states = np.zeros((1, members), dtype=np.bool_)
        self.weights = np.zeros((1, nodes))
        self.sum_fail = np.repeat(self.no_leak[None], 1, axis=0)
        self.sum_effect = np.zeros((1, len(self.angles), wide))
        self.sum_variance = np.zeros((1, len(self.angles)))

    def grow(self, step: int) -> None:
        """Decide the next `step` contributors both ways."""
        start, stop = self.done, self.done + step
        combos = (np.arange(2**step)[:, None] >> np.arange(step)[None, :]) & 1
        chosen = combos.astype(float)
        count, rows = len(combos), len(self.weights)
        add = chosen @ self.on[start:stop] + (1.0 - chosen) @ self.off[start:stop]
        self.weights = (self.weights[:, None] + add[None]).reshape(rows * count, -1)
        fail = np.tensordot(chosen, self.fail[start:stop], axes=1)
        self.sum_fail = (self.sum_fail[:, None] + fail[None]).reshape(rows * count, *fail.shape[1:])
        effect = np.tensordot(chosen, self.effect[start:stop], axes=1)
        self.sum_effect = (self.sum_effect[:, None] + effect[None]).reshape(rows * count, *effect.shape[1:])
        self.sum_variance = (self.sum_variance[:, None] + chosen @ self.variance[start:stop]).reshape(rows * count, -1)
        self.states = np.repeat(self.states, count, axis=0)
        self.states[:, start:stop] = np.tile(combos.astype(np.bool_), (rows, 1))
        self.done = stop

    def prune(self, cap: int, tolerance: float) -> None:
        """Drop the lightest partial combinations and remember an upper bound of what they could have weighed."""
        if len(self.weights) < 64:
            return
        upper = self.upper_log_weights()
        least = np.exp(self.complete_log_weights(assume_off=True) + self.node_weights).sum()
        bound = np.exp(upper + self.node_weights).sum(axis=1)
        order = np.argsort(bound)
        dropped = int(np.searchsorted(np.cumsum(bound[order]), tolerance * least / _PASSES))
        dropped = max(dropped, len(order) - cap)
        if dropped <= 0:
            return
        self.left_out = self.left_out + np.exp(upper[order[:dropped]]).sum(axis=0)
        keep = np.sort(order[dropped:])
        for name in ("weights", "sum_fail", "sum_effect", "sum_variance", "states"):
            setattr(self, name, getattr(self, name)[keep])

    def complete_log_weights(self, *, assume_off: bool = False) -> Array:
        """(K, N) log weights with every contributor decided, or with the rest taken as absent."""
        rest = self.off[self.done :].sum(axis=0) if assume_off else 0.0
        total = self.weights + rest
        if self.binaries:
            total = total + self._binary_log(self.sum_fail)
        for a, angle in enumerate(self.angles):
            total = total + np.log(
                angle_likelihood(angle, self.sum_effect[:, a], self.sum_variance[:, a], angle.shift_deg)
            )
        return np.asarray(total)

    def _binary_log(self, sum_fail: Array) -> Array:
        fail = np.exp(sum_fail)
        likelihood = self.seen * (1.0 - fail) + self.unseen * fail
        return np.asarray(np.log(np.maximum(likelihood.prod(axis=1), 1e-300)))

    def upper_log_weights(self) -> Array:
        """(K, N) bound on the log of the summed weight of all completions."""
        total = self.weights + np.logaddexp(self.on[self.done :], self.off[self.done :]).sum(axis=0)
        if self.binaries:
            here = np.exp(self.sum_fail)
            there = np.exp(self.sum_fail + self.fail[self.done :].sum(axis=0))
            best = np.maximum(
                self.seen * (1.0 - there) + self.unseen * there, self.seen * (1.0 - here) + self.unseen * here
            )
            total = total + np.log(np.maximum(best.prod(axis=1), 1e-300))
        for a, angle in enumerate(self.angles):
            total = total + self._angle_upper(a, angle)
        return np.asarray(total)

    def _angle_upper(self, a: int, angle: AngleFactor) -> Array:
        rest = self.effect[self.done :, a]
        low = self.sum_effect[:, a] + rest.clip(max=0.0).sum(axis=0)
        high = self.sum_effect[:, a] + rest.clip(min=0.0).sum(axis=0)
        target = angle.observation.deficit_deg - angle.shift_deg[None, :]
        away = np.maximum(0.0, np.maximum(low - target, target - high))
        least = angle.variance + self.sum_variance[:, a, None]
        most = least + self.variance[self.done :, a].sum()
        main = (1.0 - angle.stray_share) * np.exp(-(away**2) / (2.0 * most)) / np.sqrt(_TWO_PI * least)
        return np.asarray(np.log(main + stray_density(angle)))


_PASSES = 6
"""Prunings a component usually takes; each may drop its share of the tolerance."""
