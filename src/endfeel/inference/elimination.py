"""Exact sums over all combinations of one component, by eliminating one contributor after another.

Every table carries the nuisance nodes as its last axis, so all nodes are solved at once. A contributor
is eliminated when all tables that mention it have been multiplied; the product is kept, because read
backwards it gives every marginal and draws combinations from the posterior. The cost is two to the
power of the widest product; `widest` says beforehand what that is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.factors import Factor, Index
from endfeel.inference.nuisances import Array


@dataclass(frozen=True, slots=True)
class Order:
    """An order of elimination and the contributors each step involves."""

    members: tuple[int, ...]
    scopes: tuple[tuple[int, ...], ...]
    """Per step: positions in `members` of the one eliminated and of those it is still tied to, ascending."""

    @property
    def widest(self) -> int:
        return max(map(len, self.scopes))


def order_of(members: Sequence[int], factors: Sequence[Factor]) -> Order:
    """Greedy order: the contributor with the fewest ties first (min-degree). Ties are bit sets over `members`."""
    bit = {i: k for k, i in enumerate(members)}
    ties = [0] * len(members)
    for factor in factors:
        scope = [bit[int(i)] for i in factor.parents]
        together = sum(1 << k for k in scope)
        for k in scope:
            ties[k] |= together & ~(1 << k)
    left = set(range(len(members)))
    order: list[int] = []
    neighbours: list[int] = []
    while left:
        chosen = min(left, key=lambda k: (ties[k].bit_count(), members[k]))
        left.discard(chosen)
        mine = ties[chosen]
        order.append(chosen)
        neighbours.append(mine)
        for k in _bits(mine):
            ties[k] = (ties[k] | mine) & ~(1 << k) & ~(1 << chosen)
    place = {k: step for step, k in enumerate(order)}
    scopes = tuple(tuple(sorted((step, *(place[k] for k in _bits(mine))))) for step, mine in enumerate(neighbours))
    return Order(tuple(members[k] for k in order), scopes)


def _bits(together: int) -> Iterator[int]:
    while together:
        lowest = together & -together
        yield lowest.bit_length() - 1
        together ^= lowest


@dataclass(frozen=True)
class Eliminated:
    """One component solved exactly."""

    members: Index
    """(m,) instance indices, in order of elimination."""
    factors: tuple[int, ...]
    """Identities of the coupling factors, by which a solved component is recognised."""
    log_mass: Array
    """(N,) log of the summed weight of all combinations, without the node's own weight."""
    left_out: Array
    """(N,) zeros: nothing is left out."""
    probability: Array
    """(m, N) probability of each member at each node."""
    order: Order
    conditionals: tuple[Array, ...]
    """Per step (2, ..., 2, N): probability that the eliminated one is present, given the rest of its scope."""

    def draw(self, nodes: Index, uniform: Array) -> NDArray[np.bool_]:
        """(S, m) combinations drawn from the posterior at (S,) nodes with (S, m) uniform numbers."""
        states = np.zeros((len(nodes), len(self.members)), dtype=np.intp)
        for step in range(len(self.members) - 1, -1, -1):
            rest = tuple(states[:, k] for k in self.order.scopes[step][1:])
            present = self.conditionals[step][(*rest, nodes)]
            states[:, step] = uniform[:, step] < present
        return states.astype(np.bool_)


def eliminate(
    order: Order, factors: Sequence[Factor], on: Array, off: Array, tables: Sequence[Array] | None = None
) -> Eliminated:
    """Solve one component.

    Parameters
    ----------
    on, off : (n, N) tilted log weights of all instances.
    tables : the factors' likelihoods where they are not their own, each (2, ..., 2, N).
    """
    place = {i: k for k, i in enumerate(order.members)}
    waiting: list[list[tuple[tuple[int, ...], Array]]] = [[] for _ in order.members]
    for factor, likelihood in zip(factors, tables or [factor.table for factor in factors], strict=True):
        scope = [place[int(i)] for i in factor.parents]
        ranked = sorted(range(len(scope)), key=scope.__getitem__)
        table = np.transpose(likelihood, (*ranked, len(scope)))
        waiting[min(scope)].append((tuple(scope[k] for k in ranked), table))
    nodes = on.shape[1]
    members = np.array(order.members, dtype=np.intp)
    own = np.stack((off[members], on[members]), axis=1)
    most = own.max(axis=1)
    own = np.exp(own - most[:, None])
    log_mass = most.sum(axis=0)
    conditionals: list[Array] = []
    for step, scope_here in enumerate(order.scopes):
        product = own[step].reshape(2, *([1] * (len(scope_here) - 1)), nodes)
        for scope_of_table, table in sorted(waiting[step], key=lambda pair: pair[1].size):
            product = product * _aligned(table, scope_of_table, scope_here)
        message = product[0] + product[1]
        conditionals.append(product[1] / np.maximum(message, 1e-300))
        largest = message.reshape(-1, nodes).max(axis=0)
        log_mass = log_mass + np.log(largest)
        if len(scope_here) > 1:
            waiting[scope_here[1]].append((scope_here[1:], message / largest))
    return Eliminated(
        members, tuple(id(f) for f in factors), log_mass, np.zeros(nodes),
        _marginals(order, conditionals, nodes), order, tuple(conditionals),
    )  # fmt: skip


def _aligned(table: Array, scope: tuple[int, ...], wanted: tuple[int, ...]) -> Array:
    """The table with axes of length one where `wanted` has more contributors."""
    if scope == wanted:
        return table
    have = set(scope)
    return table.reshape(*(2 if k in have else 1 for k in wanted), table.shape[-1])


def _marginals(order: Order, conditionals: Sequence[Array], nodes: int) -> Array:
    """(m, N): beliefs of every step, from the last eliminated back to the first."""
    beliefs: dict[int, Array] = {}
    referred = {scope[1] for scope in order.scopes if len(scope) > 1}
    probability = np.empty((len(order.members), nodes))
    for step in range(len(order.members) - 1, -1, -1):
        scope = order.scopes[step]
        if len(scope) == 1:
            probability[step] = conditionals[step]
            beliefs[step] = np.stack((1.0 - conditionals[step], conditionals[step]))
            continue
        parent = order.scopes[scope[1]]
        kept = set(scope[1:])
        away = tuple(axis for axis, k in enumerate(parent) if k not in kept)
        rest = beliefs[scope[1]].sum(axis=away) if away else beliefs[scope[1]]
        both = np.empty((2, *rest.shape))
        present = np.multiply(conditionals[step], rest, out=both[1])
        probability[step] = present.reshape(-1, nodes).sum(axis=0)
        if step in referred:
            np.subtract(rest, present, out=both[0])
            beliefs[step] = both
    return probability
