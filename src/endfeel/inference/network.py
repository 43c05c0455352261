"""The network of one case: contributors in place, and the local likelihood of each observation."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.contributors import Instance, instances_of
from endfeel.inference.families import SharedCause, split_leak, usual_effect
from endfeel.inference.links import AngleSpec, BinarySpec
from endfeel.inference.model import Model
from endfeel.inference.nuisances import Array, node_log_weights, slope_of, spread
from endfeel.inference.observations import AngleObservation, BinaryObservation, Observations, observe
from endfeel.vocabulary import Case, Side

Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class BinaryFactor:
    """P(evidence | parents, node) = seen * (1 - fail) + unseen * fail, fail = (1 - leak) * product of (1 - q)."""

    observation: BinaryObservation
    parents: Index
    """(m,) instance indices; the family's hidden cause, where there is one, comes last."""
    causes: Index
    """(contributors,) which cause of the spec each parent is, the hidden one left out."""
    shares: Array
    """(contributors,) share of the causal effect that reaches this level (1 at the level itself)."""
    log_fail: Array
    """(m, N) log(1 - q) at the joint nodes."""
    log_no_leak: Array
    """(N,)"""
    seen: float
    unseen: float

    @property
    def contributors(self) -> Index:
        """Parents without the family's hidden cause."""
        return self.parents[: len(self.causes)]

    @property
    def factorises(self) -> bool:
        """A plain negative is a product over its parents and couples nothing."""
        return self.seen == 0.0


@dataclass(frozen=True, slots=True)
class AngleFactor:
    """Deficit ~ (1 - stray) * Normal(sum of effects + slackness, sd) + stray * Normal(0, wide)."""

    observation: AngleObservation
    parents: Index
    effect_deg: Array
    """(m, 1), or (m, N) when it differs by node."""
    effect_variance: Array
    """(m,)"""
    shift_deg: Array
    """(N,) degrees the laxity node takes off the deficit."""
    variance: float
    stray_share: Array
    """(N,) share of such angles that tell nothing of structure: badly recorded, stopped by pain, or guarded."""
    stray_variance: float


Factor = BinaryFactor | AngleFactor


@dataclass(frozen=True, slots=True)
class Network:
    instances: tuple[Instance, ...]
    observations: Observations
    binaries: tuple[BinaryFactor, ...]
    angles: tuple[AngleFactor, ...]
    node_log_weights: Array
    """(N,)"""
    shared: tuple[SharedCause, ...] = ()
    """Hidden causes of families with two findings or more; their indices follow those of the instances."""

    def without(self, findings: Collection[int]) -> Network:
        """The network as if these findings (by index) had not been made."""
        return replace(
            self,
            binaries=tuple(factor for factor in self.binaries if factor.observation.finding not in findings),
            angles=tuple(factor for factor in self.angles if factor.observation.finding not in findings),
        )

    @property
    def findings(self) -> frozenset[int]:
        """Indices of the findings that carry evidence."""
        return frozenset(
            [factor.observation.finding for factor in self.binaries]
            + [factor.observation.finding for factor in self.angles]
        )

    @property
    def prior(self) -> Array:
        """(n,) of the contributors."""
        return np.array([instance.prior for instance in self.instances])

    @property
    def all_priors(self) -> Array:
        """(n + hidden,) of the contributors and of the families' hidden causes."""
        return np.concatenate((self.prior, [one.prior for one in self.shared]))


def build_network(case: Case, model: Model) -> Network:
    """Contributors and observations of a case, ready to solve."""
    instances = instances_of(case, model.contributors, model.modifiers, model.parameters)
    seen = observe(case, model)
    placed = place_instances(instances)
    laxity = model.nodes.places[model.nodes.laxity_index]
    binaries, shared = _in_families([_binary(one, model, placed) for one in seen.binaries], len(instances), model)
    return Network(
        instances,
        seen,
        binaries,
        tuple(_angle(one, model, placed, laxity) for one in seen.angles),
        node_log_weights(case, model.parameters, model.nodes),
        shared,
    )


def _in_families(
    binaries: list[BinaryFactor], instances: int, model: Model
) -> tuple[tuple[BinaryFactor, ...], tuple[SharedCause, ...]]:
    """Every family of which two findings or more were made gets its hidden cause."""
    groups: dict[tuple[str, Side | None, str | None], list[int]] = {}
    for b, factor in enumerate(binaries):
        one = factor.observation
        if one.key in model.families:
            groups.setdefault((model.families[one.key], one.side, one.level), []).append(b)
    made = list(binaries)
    shared: list[SharedCause] = []
    for place, members in groups.items():
        if len({binaries[b].observation.finding for b in members}) < 2:
            continue
        for b in members:
            key = binaries[b].observation.key
            usual = usual_effect(model.binaries[key], model.at_nodes[key].log_fail, model.contributors)
            own, effect = split_leak(binaries[b].log_no_leak, usual[model.nodes_of(key)], model.parameters)
            made[b] = replace(
                binaries[b],
                parents=np.append(binaries[b].parents, instances + len(shared)),
                log_fail=np.vstack((binaries[b].log_fail, effect)),
                log_no_leak=own,
            )
        shared.append(SharedCause(*place, model.parameters["family_prior"]))
    return tuple(made), tuple(shared)


Placed = dict[int, list[tuple[int, Side | None, str | None]]]


def place_instances(instances: tuple[Instance, ...]) -> Placed:
    """Contributor index to its instances (index, side, level)."""
    placed: Placed = {}
    for i, instance in enumerate(instances):
        placed.setdefault(instance.index, []).append((i, instance.side, instance.level))
    return placed


def parents_of(
    spec: BinarySpec | AngleSpec, side: Side | None, level: str | None, placed: Placed, neighbour: float
) -> list[tuple[int, int, float]]:
    """(instance, cause, share) for every cause that can reach a finding at this side and level."""
    found = []
    for cause, contributor in enumerate(spec.contributors):
        here = placed.get(contributor, [])
        order = [where for _, _, where in here]
        for i, its_side, its_level in here:
            if its_side is not None and side is not None and its_side is not side:
                continue
            share = 1.0
            if its_level is not None and level is not None:
                away = abs(order.index(its_level) - order.index(level)) if level in order else 2
                share = 1.0 if away == 0 else neighbour if away == 1 else 0.0
            if share > 0.0:
                found.append((i, cause, share))
    return found


def _binary(one: BinaryObservation, model: Model, placed: Placed) -> BinaryFactor:
    spec, at = model.binaries[one.key], model.at_nodes[one.key]
    found = parents_of(spec, one.side, one.level, placed, model.parameters["neighbour_level"])
    parents, causes, shares = (np.array(column) for column in zip(*found, strict=True)) if found else ([], [], [])
    causes = np.asarray(causes, dtype=np.intp)
    shares = np.asarray(shares, dtype=float)
    which = model.nodes_of(one.key)
    log_fail = weakened(at.log_fail[causes], shares)
    return BinaryFactor(
        one, np.asarray(parents, dtype=np.intp), causes, shares,
        log_fail[:, which], np.log1p(-at.leak)[which], *one.evidence,
    )  # fmt: skip


def weakened(log_fail: Array, shares: Array) -> Array:
    """(m, N) log(1 - share * q) from log(1 - q)."""
    if (shares == 1.0).all():
        return log_fail
    return np.asarray(np.log1p(shares[:, None] * np.expm1(log_fail)))


def _angle(one: AngleObservation, model: Model, placed: Placed, laxity: Array) -> AngleFactor:
    spec = model.angles[one.procedure]
    found = parents_of(spec, one.side, None, placed, 1.0)
    if not one.against_norm:
        found = [parent for parent in found if not _hides(spec, parent[1], model)]
    links = [spec.causes[cause][1] for _, cause, _ in found]
    slack = model.parameters["laxity_deg"] if one.against_norm else 0.0
    stray_share, stray_sd = _stray(one, model)
    return AngleFactor(
        one,
        np.array([i for i, _, _ in found], dtype=np.intp),
        np.array([link.effect_deg for link in links]).reshape(-1, 1),
        np.array([link.effect_sd_deg**2 for link in links]),
        -slack * laxity,
        one.sd_deg**2,
        stray_share,
        stray_sd**2,
    )


def _hides(spec: AngleSpec, cause: int, model: Model) -> bool:
    """Whether a cause takes as much from the other side, so that a comparison of sides does not show it."""
    return model.contributors[spec.causes[cause][0]].bilateral


def _stray(one: AngleObservation, model: Model) -> tuple[Array, float]:
    """(N,) share of angles that tell nothing of structure, and their spread: the sorer the person, the more."""
    of = model.parameters
    if not one.limited_by:
        return np.full(len(model.nodes.provocation_index), of["stray_angle_share"]), of["stray_angle_sd"]
    name = f"{one.limited_by}_limited"
    here = spread(np.array(of[f"{name}_share"]), slope_of(of["provocation_correlation"]), model.nodes)
    return here[model.nodes.provocation_index], of[f"{name}_sd"]
