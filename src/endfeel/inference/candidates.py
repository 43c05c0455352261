"""What tests not yet done would tell: outcome probabilities over drawn combinations, and bits of information."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.degrees import WITHIN
from endfeel.inference.end_feels import IN_TURN, PREFIX, asked_in_turn, is_end_feel
from endfeel.inference.model import Model
from endfeel.inference.network import Placed, layout_of, parents_of, place_instances
from endfeel.inference.nuisances import Array
from endfeel.inference.observations import counted_once
from endfeel.inference.solution import Solution
from endfeel.inference.words import percent
from endfeel.vocabulary import OutcomeKind, Side

Candidate = tuple[str, Side | None, str | None]
"""Procedure id, side, level."""
SAMPLES = 512
SEED = 7
ANGLE_CUTS_DEG = (-10.0, 10.0, 20.0, 35.0)
"""Deficits are told apart in these steps when the worth of measuring an angle is reckoned."""


@dataclass(frozen=True)
class Angles:
    """The angles among the candidates, measured beside the other side."""

    owner: NDArray[np.intp]
    """(A,) which candidate each belongs to."""
    effect_deg: NDArray[np.float32]
    """(n, A)"""
    effect_variance: NDArray[np.float32]
    """(n, A)"""
    variance: NDArray[np.float32]
    """(A,) of the difference between two sound sides, measured."""
    stray_share: NDArray[np.float32]
    """(A,) share that tells nothing of structure."""
    stray_sd_deg: NDArray[np.float32]
    """(A,)"""

    def cells(self, states: NDArray[np.bool_]) -> NDArray[np.float32]:
        """(S, A, steps) probability of the deficit falling in each step of `ANGLE_CUTS_DEG`."""
        chosen = states.astype(np.float32)
        mean = chosen @ self.effect_deg
        sd = np.sqrt(self.variance + chosen @ self.effect_variance)
        cuts = np.array(ANGLE_CUTS_DEG, dtype=np.float32)
        below = _normal_cdf(((cuts - mean[..., None]) / sd[..., None]).astype(np.float32, copy=False))
        stray = self.stray_share[:, None] * _normal_cdf((cuts / self.stray_sd_deg[:, None]).astype(np.float32))
        below = (np.float32(1.0) - self.stray_share[:, None]) * below + stray
        ends = np.zeros((*mean.shape, 1), dtype=np.float32)
        return np.diff(np.concatenate((ends, below, ends + np.float32(1.0)), axis=2), axis=2).clip(np.float32(1e-7))


@dataclass(frozen=True)
class Outlook:
    """Binary outcomes of many candidates, laid out for one matrix product per node."""

    owner: NDArray[np.intp]
    """(F,) which candidate each outcome belongs to."""
    names: tuple[str, ...]
    """(F,) outcome of each column."""
    log_fail: NDArray[np.float32]
    """(NODES, n, F)"""
    log_no_leak: NDArray[np.float32]
    """(NODES, F)"""
    provocation: NDArray[np.bool_]
    """(F,) whether the provocation nuisance moves it (else the laxity nuisance)."""
    asked_after: tuple[tuple[NDArray[np.intp], NDArray[np.intp]], ...]
    """Steps of end feels and the step before each, those asked second first; each is asked when none was felt yet."""
    angles: Angles


def outlook(candidates: Sequence[Candidate], solution: Solution, model: Model) -> Outlook:
    """The layout of these candidates over this case's contributors; kept, since re-planning asks again and again."""
    instances = solution.network.instances
    return model.layouts.recall(
        ("outlook", layout_of(instances), tuple(candidates)),
        lambda: _lay_out(candidates, place_instances(instances), len(instances), model),
    )


def _lay_out(candidates: Sequence[Candidate], placed: Placed, count: int, model: Model) -> Outlook:
    owner: list[int] = []
    names: list[str] = []
    columns: list[tuple[list[tuple[int, int, float]], Array, Array, bool]] = []
    neighbour = model.parameters["neighbour_level"]
    outcomes: dict[str, list[str]] = {}
    for procedure in dict.fromkeys(name for name, _, _ in candidates):
        outcomes[procedure] = [
            one for one in counted_once(model.outcomes_of(procedure)) if not is_end_feel(one) and one not in WITHIN
        ]
    turns: list[list[tuple[int, int]]] = [[] for _ in IN_TURN]
    for c, (procedure, side, level) in enumerate(candidates):
        angular = model.catalogue[procedure].outcomes is OutcomeKind.ANGULAR
        ends = asked_in_turn(model.outcomes_of(procedure)) if angular else ()
        for turn in range(1, len(ends)):
            at_end = len(owner) + len(outcomes.get(procedure, ())) + turn
            turns[turn].append((at_end, at_end - 1))
        for outcome in (*outcomes.get(procedure, ()), *ends):
            spec, at = model.binaries[procedure, outcome], model.at_nodes[procedure, outcome]
            owner.append(c)
            names.append(outcome)
            found = parents_of(spec, side, level, placed, neighbour)
            columns.append((found, at.log_fail, np.log1p(-at.leak), spec.loading == "provocation"))
    nodes = len(model.nodes.places)
    log_fail = np.zeros((nodes, count, len(columns)), dtype=np.float32)
    no_leak = np.zeros((nodes, len(columns)), dtype=np.float32)
    for f, (found, fails, leak, _) in enumerate(columns):
        no_leak[:, f] = leak
        for i, cause, share in found:
            log_fail[:, i, f] += np.log1p(share * np.expm1(fails[cause]))
    return Outlook(
        np.array(owner, dtype=np.intp), tuple(names), log_fail, no_leak,
        np.array([p for *_, p in columns], dtype=np.bool_),
        tuple((np.array([a for a, _ in some]), np.array([b for _, b in some])) for some in turns if some),
        _lay_out_angles(candidates, placed, count, model),
    )  # fmt: skip


def _lay_out_angles(candidates: Sequence[Candidate], placed: Placed, count: int, model: Model) -> Angles:
    measured = [(c, key) for c, key in enumerate(candidates) if key[0] in model.angles]
    effect = np.zeros((count, len(measured)), dtype=np.float32)
    spread_of_effect = np.zeros_like(effect)
    rest = np.zeros((3, len(measured)), dtype=np.float32)
    for a, (_, (procedure, side, _)) in enumerate(measured):
        angle = model.angles[procedure]
        for i, cause, _ in parents_of(angle, side, None, placed, 1.0):
            contributor, link = angle.causes[cause]
            if not model.contributors[contributor].bilateral:
                effect[i, a] += link.effect_deg
                spread_of_effect[i, a] += link.effect_sd_deg**2
        active = model.catalogue[procedure].outcomes is OutcomeKind.ACTIVE
        name = "pain_limited" if active else "stray_angle"
        variance = 2 * angle.error_sd_deg**2 + angle.side_sd_deg**2
        rest[:, a] = variance, model.parameters[f"{name}_share"], model.parameters[f"{name}_sd"]
    return Angles(np.array([c for c, _ in measured], dtype=np.intp), effect, spread_of_effect, *rest)


def outcome_probabilities(
    ahead: Outlook, states: NDArray[np.bool_], solution: Solution, model: Model
) -> NDArray[np.float32]:
    """(S, F) probability of every outcome in every drawn combination, nuisances averaged as they now stand."""
    weights = solution.node_weights
    count = len(model.nodes.places)
    provocation = np.bincount(model.nodes.provocation_index, weights, count).astype(np.float32)
    laxity = np.bincount(model.nodes.laxity_index, weights, count).astype(np.float32)
    chosen = states.astype(np.float32)
    fails = np.zeros((len(states), len(ahead.names)), dtype=np.float32)
    for k in range(count):
        here = chosen @ ahead.log_fail[k]
        here += ahead.log_no_leak[k]
        np.exp(here, out=here)
        here *= np.where(ahead.provocation, provocation[k], laxity[k])
        fails += here
    seen = np.subtract(np.float32(1.0), fails, out=fails)
    return _in_turn(seen, ahead)


def _in_turn(seen: NDArray[np.float32], ahead: Outlook) -> NDArray[np.float32]:
    """Chances of end feels among those in whom none was said before, made chances of the words themselves."""
    reached: dict[int, NDArray[np.float32]] = {}
    whole = np.ones(len(seen), dtype=np.float32)
    for here, before in ahead.asked_after:
        for one, earlier in zip(here.tolist(), before.tolist(), strict=True):
            reached[one] = reached.get(earlier, whole) * (np.float32(1.0) - seen[:, earlier])
    for one, share in reached.items():
        seen[:, one] *= share
    return seen


def information_bits(candidates: Sequence[Candidate], solution: Solution, model: Model) -> Array:
    """(candidates,) bits each test is expected to say about which contributors are present.

    Mutual information over drawn combinations. Outcomes of one test are added up as if they were
    independent given the contributors, which is an upper estimate.
    """
    if not candidates:
        return np.zeros(0)
    ahead = outlook(candidates, solution, model)
    states, _ = solution.draw(SAMPLES, SEED)
    bits = np.zeros(len(candidates))
    seen = outcome_probabilities(ahead, states, solution, model)
    np.add.at(bits, ahead.owner, _entropy(seen.mean(axis=0)) - _entropy(seen).mean(axis=0))
    cells = ahead.angles.cells(states)
    overall = cells.mean(axis=0)
    told = (cells * np.log2(cells)).sum(axis=2).mean(axis=0) - (overall * np.log2(overall)).sum(axis=1)
    np.add.at(bits, ahead.angles.owner, told)
    return bits.clip(min=0.0)


def class_information_bits(candidates: Sequence[Candidate], solution: Solution, model: Model) -> Array:
    """(candidates,) bits about the treatment class a test says most about (binary outcomes only)."""
    if not candidates:
        return np.zeros(0)
    ahead = outlook(candidates, solution, model)
    states, _ = solution.draw(SAMPLES, SEED)
    seen = outcome_probabilities(ahead, states, solution, model)
    overall = _entropy(seen.mean(axis=0))
    kinds = np.array([instance.contributor.treatment_class for instance in solution.network.instances])
    best = np.zeros(seen.shape[1])
    for kind in dict.fromkeys(kinds.tolist()):
        needed = states[:, kinds == kind].any(axis=1)
        share = needed.mean()
        if 0.0 < share < 1.0:
            left = share * _entropy(seen[needed].mean(axis=0)) + (1 - share) * _entropy(seen[~needed].mean(axis=0))
            best = np.maximum(best, overall - left)
    bits = np.zeros(len(candidates))
    np.maximum.at(bits, ahead.owner, best)
    return bits.clip(min=0.0)


def _entropy(probability: NDArray[Any]) -> NDArray[Any]:
    """Bits of a yes-or-no outcome."""
    inside = probability.clip(1e-6, 1.0 - 1e-6)
    return np.asarray(-(inside * np.log2(inside) + (1.0 - inside) * np.log2(1.0 - inside)))


@dataclass(frozen=True, slots=True)
class Prospect:
    """The outcome of a test that would say most, and what it would do to the contributor it says it about."""

    outcome: str
    """In words: `stiff`, `weak`, `20 degrees or more lost`."""
    contributor: str
    before: float
    if_seen: float
    if_not: float

    def __str__(self) -> str:
        """In per cent; where it is unlikely whatever the result, in words."""
        if max(self.before, self.if_seen, self.if_not) < UNLIKELY:
            return "unlikely now, and after any result"
        return f"{percent(self.before)} now, {percent(self.if_seen)} if {self.outcome}, {percent(self.if_not)} if not"


UNLIKELY = 0.03
"""Below this a chance is told in words: per cents of so little say nothing. A matter of wording."""


OUTCOME_WORDS = {
    "hypo": "stiff", "hyper": "slack", "apprehension": "apprehensive", "pain": "painful",
    **{one: f"{one.removeprefix(PREFIX).replace('_', ' ')} at its end" for one in IN_TURN},
}  # fmt: skip
LOST = "20 degrees or more lost"


def contributor_information_bits(
    candidates: Sequence[Candidate], solution: Solution, model: Model
) -> tuple[Array, Array, Prospects | None]:
    """(candidates, n) bits each test is expected to say about each contributor alone, (n,) bits still open, and
    what each test's most telling outcome would do.

    The expected error of a mutual information estimated from a sample is taken off.
    """
    open_bits = _entropy(solution.probability)
    bits = np.zeros((len(candidates), len(open_bits)))
    if not candidates:
        return bits, open_bits, None
    ahead = outlook(candidates, solution, model)
    states, _ = solution.draw(SAMPLES, SEED)
    cells = ahead.angles.cells(states)
    seen = np.concatenate(
        (outcome_probabilities(ahead, states, solution, model), cells.reshape(len(states), -1)), axis=1
    )
    owners = np.concatenate((ahead.owner, ahead.angles.owner.repeat(cells.shape[2])))
    by_outcome = bits_about(seen, states)
    np.add.at(bits, owners, by_outcome)
    names = (*ahead.names, *_lost_names(len(seen[0]) - len(ahead.names)))
    return (
        np.minimum(bits, open_bits),
        open_bits,
        Prospects(owners, names, by_outcome, seen, states, solution, len(ahead.names)),
    )


def _lost_names(columns: int) -> tuple[str, ...]:
    """Names of the steps of the angles: only the last two together make an outcome worth a name."""
    steps = len(ANGLE_CUTS_DEG) + 1
    return tuple(LOST if k % steps >= steps - 2 else "" for k in range(columns))


@dataclass(frozen=True, eq=False)
class Prospects:
    """The most telling outcome of every candidate, worked out when it is asked for."""

    owners: NDArray[np.intp]
    names: tuple[str, ...]
    bits: Array
    """(outcomes, contributors)"""
    seen: NDArray[np.float32]
    """(S, outcomes) chance of every outcome in every drawn combination."""
    states: NDArray[np.bool_]
    solution: Solution
    yes_or_no: int
    """So many outcomes, the first, are of the yes-or-no kind; the others are steps of an angle."""

    def is_step(self, outcome: int) -> bool:
        """Whether this outcome is one step of an angle."""
        return outcome >= self.yes_or_no

    @cached_property
    def _best(self) -> dict[int, int]:
        """Candidate to its most telling named outcome."""
        named = np.array([bool(name) for name in self.names])
        most = np.where(named, self.bits.max(axis=1), 0.0)
        return {int(self.owners[f]): int(f) for f in np.argsort(most, kind="stable") if most[f] > 0.0}

    def of(self, candidate: int) -> Prospect | None:
        """Chances after an outcome are those among the drawn combinations, moved to the exact chance before it."""
        f = self._best.get(candidate)
        if f is None:
            return None
        i = int(self.bits[f].argmax())
        together = [f]
        if self.names[f] == LOST:
            together = [int(k) for k in np.flatnonzero(self.owners == candidate) if self.names[k] == LOST]
        chance = self.seen[:, together].sum(axis=1)
        present, before = self.states[:, i], float(self.solution.probability[i])
        return Prospect(
            OUTCOME_WORDS.get(self.names[f], self.names[f]),
            self.solution.network.instances[i].name,
            before,
            _after(before, chance[present], chance[~present]),
            _after(before, 1.0 - chance[present], 1.0 - chance[~present]),
        )


def _after(before: float, with_it: NDArray[np.float32], without: NDArray[np.float32]) -> float:
    """A chance after an outcome, from how likely the outcome is with and without the contributor."""
    if not len(with_it) or not len(without):
        return before
    likely, otherwise = float(with_it.mean()), float(without.mean())
    weight = before * likely
    return weight / max(1e-12, weight + (1.0 - before) * otherwise)


def bits_about(seen: NDArray[np.float32], states: NDArray[np.bool_]) -> Array:
    """(F, n) mutual information of each outcome (seen or not) with each contributor, or with any other yes or no."""
    present = states.astype(np.float32)
    share = present.mean(axis=0)
    overall = seen.mean(axis=0)
    joint = (seen.T @ present) / np.float32(len(states))
    inside = share.clip(1e-6, 1.0 - 1e-6)
    given = (joint / inside).clip(0.0, 1.0)
    otherwise = ((overall[:, None] - joint) / (1.0 - inside)).clip(0.0, 1.0)
    bits = _entropy(overall)[:, None] - inside * _entropy(given) - (1.0 - inside) * _entropy(otherwise)
    spare = seen.var(axis=0) / (2.0 * np.log(2.0) * len(states) * (overall * (1.0 - overall)).clip(1e-6))
    return np.asarray((bits - spare[:, None]).clip(min=0.0), dtype=float)


def _normal_cdf(value: NDArray[np.float32]) -> NDArray[np.float32]:
    """Normal distribution function to about 0.0003 (tanh form), enough to rank tests."""
    slope, bend = np.float32(np.sqrt(2.0 / np.pi)), np.float32(0.044715)
    return np.asarray(np.float32(0.5) * (np.float32(1.0) + np.tanh(slope * (value + bend * value * value * value))))
