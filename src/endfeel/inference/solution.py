"""The solved network: contributors that factor out, components, and both put together over the nuisance nodes.

Plain negative outcomes factorise over contributors and only tilt their odds. Positive outcomes and
angles couple their causes; contributors coupled directly or through others form a component, and
components are independent given the nuisance node. A contributor in no component factors out exactly.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.elimination import Eliminated, eliminate, order_of, pieces_of
from endfeel.inference.enumeration import CAPS, TOLERANCE, Enumerated, enumerate_component
from endfeel.inference.factors import Factor
from endfeel.inference.network import Network
from endfeel.inference.nuisances import Array
from endfeel.inference.recent import Recent

AIM = 1e-3
"""Left-out mass above which a truncated search is widened."""
WIDEST = 17
"""Contributors one product may tie together before the exact sum gives way to a bounded one."""
_ORDERS = 64
"""Orders of elimination kept with a solution."""
Component = Eliminated | Enumerated


@dataclass(frozen=True)
class Solution:
    """The posterior of one network."""

    network: Network
    on: Array
    off: Array
    """(n + hidden, N) log weights present and absent after the plain negatives; hidden causes of families last."""
    components: tuple[Component, ...]
    node_weights: Array
    """(N,) posterior weights of the nuisance nodes."""
    by_node: Array
    """(n, N) probability of every instance at every node."""
    probability: Array
    """(n,) posterior probability of every instance."""
    log_evidence: float
    left_out_mass: float
    """Proven upper bound on the posterior mass of all combinations not summed; 0 when all were."""
    orders: Recent
    """Orders of elimination found so far; they may be lent to any network."""
    drawn: dict[tuple[int, int], tuple[NDArray[np.bool_], NDArray[np.intp]]] = field(
        default_factory=dict, compare=False, repr=False
    )
    """Draws made so far, by count and seed: plan, explanation and decision ask for the same ones."""
    left_out: dict[frozenset[int], tuple[Array, float]] = field(default_factory=dict, compare=False, repr=False)
    """Probability and log evidence without sets of findings, as far as asked (`leaving_out`)."""

    def without(self, findings: Collection[int]) -> Solution:
        """The posterior as if these findings had not been made. Untouched components are taken over."""
        return solve(self.network.without(findings), known=self.components, tilts=self.on, orders=self.orders)

    def draw_nodes(self, count: int, seed: int) -> NDArray[np.intp]:
        """(count,) nodes from the posterior, ascending; those that `draw` has with the same seed."""
        return self._nodes(count, np.random.default_rng(seed))

    def _nodes(self, count: int, generator: np.random.Generator) -> NDArray[np.intp]:
        steps = (np.arange(count) + generator.random(count)) / count
        return np.searchsorted(np.cumsum(self.node_weights), steps).clip(max=len(self.node_weights) - 1)

    def draw(self, count: int, seed: int) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
        """(count, n) combinations and (count,) nodes from the posterior; the same for the same seed.

        The uniform numbers are stratified per contributor, so that shares are met closely by few draws. Not to be
        written into: whoever asks again gets the same arrays.
        """
        if (count, seed) not in self.drawn:
            self.drawn[count, seed] = self._draw(count, seed)
        return self.drawn[count, seed]

    def _draw(self, count: int, seed: int) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
        generator = np.random.default_rng(seed)
        nodes = self._nodes(count, generator)
        strata = generator.permuted(np.tile(np.arange(count)[:, None], len(self.on)), axis=0)
        uniform = (strata + generator.random(strata.shape)) / count
        alone = 1.0 / (1.0 + np.exp(self.off - self.on))
        states = uniform < alone[:, nodes].T
        for component in self.components:
            more = generator.random((count, component.links))
            states[:, component.members] = component.draw(nodes, uniform[:, component.members], more)
        states = states[:, : len(self.network.instances)]
        states.setflags(write=False)
        nodes.setflags(write=False)
        return states, nodes


def solve(
    network: Network,
    *,
    widest: int = WIDEST,
    caps: tuple[int, ...] = CAPS,
    aim: float = AIM,
    known: tuple[Component, ...] = (),
    tilts: Array | None = None,
    priors: tuple[Array, Array] | None = None,
    orders: Recent | None = None,
) -> Solution:
    """The posterior: exact where a component can be eliminated, else widened until `aim` or the last cap.

    Parameters
    ----------
    known, tilts : components of an earlier solution and the `on` they were solved with; those that still
        fit are taken over.
    priors : (n + hidden, N) log probabilities present and absent, where they differ by node; else from the instances.
    orders : those of an earlier solution.
    """
    orders = orders or Recent(_ORDERS)
    on, off = tilted_priors(network, priors)
    both: tuple[Factor, ...] = network.factors
    constant = network.node_log_weights + sum(
        (factor.constant for factor in both), np.zeros(len(network.node_log_weights))
    )
    groups = connected(network)
    reuse = {component.factors: component for component in known}
    components = tuple(
        _component(network, members, [both[f] for f in factors], on, off, reuse, tilts, orders, widest, caps, aim)
        for members, factors in groups
    )
    free = np.ones(len(on), dtype=np.bool_)
    for component in components:
        free[component.members] = False
    log_node = constant + np.logaddexp(on[free], off[free]).sum(axis=0)
    log_node = log_node + sum((component.log_mass for component in components), np.zeros(len(constant)))
    log_evidence = float(np.logaddexp.reduce(log_node))
    node_weights = np.exp(log_node - log_evidence)
    by_node = 1.0 / (1.0 + np.exp(off - on))
    for component in components:
        by_node[component.members] = component.probability
    by_node = by_node[: len(network.instances)]
    probability = (by_node @ node_weights).clip(0.0, 1.0)
    return Solution(
        network, on, off, components, node_weights, by_node, probability, log_evidence,
        _left_out(components, log_node), orders,
    )  # fmt: skip


def _component(
    network: Network,
    members: list[int],
    factors: list[Factor],
    on: Array,
    off: Array,
    reuse: dict[tuple[int, ...], Component],
    tilts: Array | None,
    orders: Recent,
    widest: int,
    caps: tuple[int, ...],
    aim: float,
) -> Component:
    names = tuple(id(factor) for factor in factors)
    kept = reuse.get(names)
    if kept is not None and tilts is not None and np.array_equal(tilts[kept.members], on[kept.members]):
        return kept
    told = [piece for pieces in pieces_of(factors) for piece in pieces]
    scopes = tuple(scope for scope, _ in told)
    order = orders.recall(scopes, partial(order_of, scopes))
    if order.widest <= widest:
        return eliminate(order, names, told, on, off)
    return _bounded(network, members, factors, on, off, caps, aim)


def _bounded(
    network: Network,
    members: list[int],
    factors: list[Factor],
    on: Array,
    off: Array,
    caps: tuple[int, ...],
    aim: float,
) -> Enumerated:
    """Enumerate, widening while the proven bound is above `aim`."""
    if not caps:
        raise ValueError("at least one cap is needed")
    for cap in caps:
        found = enumerate_component(network.node_log_weights, members, factors, on, off, cap, TOLERANCE)
        if _left_out((found,), network.node_log_weights + found.log_mass) <= aim:
            break
    return found


def _left_out(components: tuple[Component, ...], log_kept: Array) -> float:
    """1 - kept / (kept + dropped bounds), over all nodes and components together."""
    if not any(component.left_out.any() for component in components):
        return 0.0
    most = log_kept.copy()
    for component in components:
        with np.errstate(divide="ignore"):
            most = most - component.log_mass + np.logaddexp(component.log_mass, np.log(component.left_out))
    share = float(np.exp(np.logaddexp.reduce(log_kept) - np.logaddexp.reduce(most)))
    return min(1.0, max(0.0, 1.0 - share))


def connected(network: Network) -> list[tuple[list[int], list[int]]]:
    """(members, coupling factors) of every component."""
    leader = list(range(len(network.all_priors)))

    def find(i: int) -> int:
        while leader[i] != i:
            leader[i] = leader[leader[i]]
            i = leader[i]
        return i

    both: tuple[Factor, ...] = network.factors
    coupling = [(f, factor.parents) for f, factor in enumerate(both) if factor.couples]
    for _, parents in coupling:
        first = find(int(parents[0]))
        for other in parents[1:]:
            leader[find(int(other))] = first
    groups: dict[int, tuple[list[int], list[int]]] = {}
    for f, parents in coupling:
        groups.setdefault(find(int(parents[0])), ([], []))[1].append(f)
    for i in range(len(leader)):
        if find(i) in groups:
            groups[find(i)][0].append(i)
    return list(groups.values())


def tilted_priors(network: Network, priors: tuple[Array, Array] | None = None) -> tuple[Array, Array]:
    """(log weight present, log weight absent), each (n, N), after the plain negatives."""
    if priors is None:
        prior = network.all_priors[:, None]
        shape = len(prior), len(network.node_log_weights)
        on, off = np.broadcast_to(np.log(prior), shape).copy(), np.broadcast_to(np.log1p(-prior), shape)
    else:
        on, off = priors[0].copy(), priors[1]
    plain = [factor for factor in network.binaries if factor.factorises]
    if plain:
        rows = np.concatenate([factor.parents for factor in plain])
        np.add.at(on, rows, np.concatenate([factor.log_fail for factor in plain]))
    return on, off
