"""Exact sums over all combinations of one component, by eliminating one contributor after another.

Every table carries the nuisance nodes as its last axis, so all nodes are solved at once. A contributor
is eliminated when all tables that mention it have been multiplied; the product is kept, because read
backwards it gives every marginal and draws combinations from the posterior. The cost is two to the
power of the widest product; `widest` says beforehand what that is. The links of a chained finding
(`BinaryFactor.pieces`) are summed over like contributors, in whatever order is cheapest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.factors import Factor, Index, Piece
from endfeel.inference.nuisances import Array


@dataclass(frozen=True, slots=True)
class Order:
    """An order of elimination and whom each step involves."""

    members: tuple[int, ...]
    """Contributors, and links below nought."""
    scopes: tuple[tuple[int, ...], ...]
    """Per step: positions in `members` of the one eliminated and of those it is still tied to, ascending."""

    @property
    def widest(self) -> int:
        return max(map(len, self.scopes))


def pieces_of(factors: Sequence[Factor]) -> list[list[Piece]]:
    """The tables of every factor; the links of all, below nought, numbered through."""
    made: list[list[Piece]] = []
    links = 0
    for factor in factors:
        made.append([(tuple(i - links if i < 0 else i for i in scope), table) for scope, table in factor.pieces])
        links += sum(i < 0 for i in {i for scope, _ in factor.pieces for i in scope})
    return made


def order_of(scopes: Sequence[tuple[int, ...]]) -> Order:
    """Greedy order: whoever has the fewest ties first (min-degree). Ties are bit sets over all that are named."""
    members = sorted({i for scope in scopes for i in scope})
    bit = {i: k for k, i in enumerate(members)}
    ties = [0] * len(members)
    for scope in scopes:
        places = [bit[i] for i in scope]
        together = sum(1 << k for k in places)
        for k in places:
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
    steps: Index
    """(m,) at which step of the order each was eliminated."""
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

    @property
    def links(self) -> int:
        """How many links of chained findings were summed over."""
        return len(self.order.members) - len(self.members)

    def draw(self, nodes: Index, uniform: Array, more: Array) -> NDArray[np.bool_]:
        """(S, m) combinations drawn from the posterior at (S,) nodes with (S, m) uniform numbers, and `more` (S, links)
        of them for the links."""
        steps = len(self.order.members)
        thrown = np.empty((len(nodes), steps))
        linked = np.ones(steps, dtype=np.bool_)
        linked[self.steps] = False
        thrown[:, self.steps], thrown[:, linked] = uniform, more
        states = np.zeros((len(nodes), steps), dtype=np.intp)
        for step in range(steps - 1, -1, -1):
            rest = tuple(states[:, k] for k in self.order.scopes[step][1:])
            states[:, step] = thrown[:, step] < self.conditionals[step][(*rest, nodes)]
        return states[:, self.steps].astype(np.bool_)


def eliminate(order: Order, names: tuple[int, ...], pieces: Iterable[Piece], on: Array, off: Array) -> Eliminated:
    """Solve one component.

    Parameters
    ----------
    names : identities of the factors that `pieces` tell.
    on, off : (n, N) tilted log weights of all instances.
    """
    place = {i: k for k, i in enumerate(order.members)}
    waiting: list[list[tuple[tuple[int, ...], Array]]] = [[] for _ in order.members]
    for told, likelihood in pieces:
        scope = [place[i] for i in told]
        ranked = sorted(range(len(scope)), key=scope.__getitem__)
        table = np.transpose(likelihood, (*ranked, len(scope)))
        waiting[min(scope)].append((tuple(scope[k] for k in ranked), table))
    nodes = on.shape[1]
    steps = np.array([k for k, i in enumerate(order.members) if i >= 0], dtype=np.intp)
    members = np.array(order.members, dtype=np.intp)[steps]
    tilted = np.stack((off[members], on[members]), axis=1)
    most = tilted.max(axis=1)
    own = np.ones((len(order.members), 2, nodes))
    own[steps] = np.exp(tilted - most[:, None])
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
    probability = _marginals(order, conditionals, nodes)[steps]
    return Eliminated(members, steps, names, log_mass, np.zeros(nodes), probability, order, tuple(conditionals))


def _aligned(table: Array, scope: tuple[int, ...], wanted: tuple[int, ...]) -> Array:
    """The table with axes of length one where `wanted` has more contributors."""
    if scope == wanted:
        return table
    have = set(scope)
    return table.reshape(*(2 if k in have else 1 for k in wanted), table.shape[-1])


def _marginals(order: Order, conditionals: Sequence[Array], nodes: int) -> Array:
    """(steps, N): beliefs of every step, from the last eliminated back to the first."""
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
