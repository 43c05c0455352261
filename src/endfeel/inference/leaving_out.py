"""The posterior as if some findings had not been made, for many sets of findings in one sweep.

Every set stands beside the others on the axis of the nuisance nodes; a finding left out weighs one
there. Components, orders and tables are those of the solved network.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.elimination import Eliminated, eliminate, pieces_of
from endfeel.inference.factors import Piece
from endfeel.inference.network import Network
from endfeel.inference.nuisances import Array
from endfeel.inference.solution import Solution

_LARGEST_TABLE = 500_000
"""Numbers in one table; more sets than fit are solved in turns. Tables of some megabytes stay near the processor: eight
times as many took up to twice as long a set."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What would be believed without each of several sets of findings."""

    probability: Array
    """(sets, n) of every instance."""
    log_evidence: Array
    """(sets,) log probability of the findings that stay."""


def probabilities_without(solution: Solution, sets: Sequence[Collection[int]]) -> Array:
    """(sets, n) probability of every instance without each set of findings (indices in the case)."""
    return leave_out(solution, sets).probability


def leave_out(solution: Solution, sets: Sequence[Collection[int]]) -> LeftOut:
    """The posterior without each set of findings (indices in the case).

    Exact where the solved network is; a component that had to be bounded is solved anew for each set. What was asked
    before is kept with the solution: explanation, contradictions and changes ask for many of the same sets.
    """
    asked = [frozenset(left) for left in sets]
    kept = solution.left_out
    new = [left for left in dict.fromkeys(asked) if left not in kept]
    if new:
        probability, log_evidence = _solved(solution, new)
        kept.update(zip(new, zip(probability, log_evidence.tolist(), strict=True), strict=True))
    found = np.empty((len(asked), len(solution.network.instances)))
    for row, left in zip(found, asked, strict=True):
        row[:] = kept[left][0]
    return LeftOut(found, np.array([kept[left][1] for left in asked]))


def _solved(solution: Solution, sets: Sequence[Collection[int]]) -> tuple[Array, Array]:
    """(sets, n) and (sets,): probability and log evidence, in turns of so many sets as fit."""
    if not all(isinstance(component, Eliminated) for component in solution.components):
        found = [solution.without(left) for left in sets]
        return np.stack([one.probability for one in found]), np.array([one.log_evidence for one in found])
    widest = max((c.order.widest for c in solution.components if isinstance(c, Eliminated)), default=0)
    together = max(1, _LARGEST_TABLE // (2**widest * len(solution.node_weights)))
    turns = [_together(solution, sets[start : start + together]) for start in range(0, len(sets), together)]
    probability, log_evidence = (np.concatenate(part) for part in zip(*turns, strict=True))
    return probability, log_evidence


def _together(solution: Solution, sets: Sequence[Collection[int]]) -> tuple[Array, Array]:
    network = solution.network
    nodes = len(network.node_log_weights)
    factors = network.factors
    kept = {id(factor): np.array([factor.observation.finding not in left for left in sets]) for factor in factors}
    on, off = _tilts(network, kept, len(sets))
    constant = np.tile(network.node_log_weights, (len(sets), 1))
    for factor in factors:
        constant += kept[id(factor)][:, None] * factor.constant
    known = {id(factor): factor for factor in factors}
    by_node = 1.0 / (1.0 + np.exp(off - on))
    free = np.ones(len(on), dtype=np.bool_)
    log_node = constant.reshape(-1)
    for component in solution.components:
        assert isinstance(component, Eliminated)  # noqa: S101
        mine = [known[name] for name in component.factors]
        told = [
            _for_each_set(piece, kept[name] if piece is pieces[-1] else None, len(sets))
            for name, pieces in zip(component.factors, pieces_of(mine), strict=True)
            for piece in pieces
        ]
        found = eliminate(component.order, component.factors, told, on, off)
        by_node[found.members] = found.probability
        free[found.members] = False
        log_node = log_node + found.log_mass
    log_node = (log_node + np.logaddexp(on[free], off[free]).sum(axis=0)).reshape(len(sets), nodes)
    log_evidence = np.logaddexp.reduce(log_node, axis=1)
    weights = np.exp(log_node - log_evidence[:, None])
    by_set = by_node[: len(network.instances)].reshape(-1, len(sets), nodes)
    return np.asarray(np.einsum("nvk,vk->vn", by_set, weights).clip(0.0, 1.0)), log_evidence


def _for_each_set(piece: Piece, kept: NDArray[np.bool_] | None, sets: int) -> Piece:
    """One table for every set beside the others, ones where the finding is left out: only the piece that holds the
    evidence goes, the links before it sum to one by themselves."""
    scope, table = piece
    spread = np.broadcast_to(table[..., None, :], (*table.shape[:-1], sets, table.shape[-1]))
    stays = spread if kept is None else np.where(kept[:, None], spread, 1.0)
    return scope, stays.reshape(*table.shape[:-1], -1)


def _tilts(network: Network, kept: dict[int, NDArray[np.bool_]], sets: int) -> tuple[Array, Array]:
    """(n, sets * N) tilted log weights present and absent."""
    nodes = len(network.node_log_weights)
    prior = network.all_priors[:, None]
    shape = len(prior), sets * nodes
    on, off = np.broadcast_to(np.log(prior), shape).copy(), np.broadcast_to(np.log1p(-prior), shape)
    for factor in network.binaries:
        if factor.factorises and len(factor.parents):
            tilt = factor.log_fail[:, None, :] * kept[id(factor)][:, None]
            np.add.at(on, factor.parents, tilt.reshape(len(factor.parents), -1))
    return on, off
