"""The network of one case: contributors in place, and the local likelihood of each observation."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from endfeel.inference.complaint import Complaint, complaint_of
from endfeel.inference.contributors import Instance, instances_of, told_by_story
from endfeel.inference.factors import AngleFactor, BinaryFactor, Factor, weakened
from endfeel.inference.families import SharedCause, split_leak, usual_effect
from endfeel.inference.links import AngleSpec, BinarySpec
from endfeel.inference.model import Model
from endfeel.inference.nuisances import Array, node_log_weights, slope_of, spread
from endfeel.inference.observations import AngleObservation, BinaryObservation, Observations, observe
from endfeel.inference.recent import Recent
from endfeel.vocabulary import Case, Side

_FACTORS = 400
"""Factors kept for one layout of contributors."""
_STORIES = 16
"""Stories of which the contributors are kept."""


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
    complaint: Complaint | None = None
    complained: BinaryFactor | None = None
    """The complaint as evidence."""

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
    def touched(self) -> frozenset[int]:
        """Indices of the instances that some finding can speak about."""
        count = len(self.instances)
        found: tuple[Factor, ...] = (*self.binaries, *self.angles)
        return frozenset(int(i) for one in found for i in one.parents if i < count)

    @property
    def factors(self) -> tuple[Factor, ...]:
        """Everything that speaks: the findings and the complaint."""
        return (*self.binaries, *self.angles, *((self.complained,) if self.complained else ()))

    @property
    def prior(self) -> Array:
        """(n,) of the contributors, among people who complain."""
        return np.array([instance.prior for instance in self.instances])

    @property
    def all_priors(self) -> Array:
        """(n + hidden,) of the contributors before it is known that the person complains, and of the families'
        hidden causes."""
        before = self.prior
        if self.complaint:
            before[self.complaint.sources] = self.complaint.before
        return np.concatenate((before, [one.prior for one in self.shared]))


def build_network(case: Case, model: Model) -> Network:
    """Contributors and observations of a case, ready to solve. Factors of the last cases are taken over."""
    instances = _instances(case, model)
    seen = observe(case, model)
    placed = place_instances(instances)
    kept = model.layouts.recall(layout_of(instances), lambda: Recent(_FACTORS))
    laxity = model.nodes.places[model.nodes.laxity_index]
    binaries = [kept.recall(one, partial(_binary, one, model, placed)) for one in seen.binaries]
    both, shared = _in_families(binaries, len(instances), model, kept)
    complaint = complaint_of(case, instances, model.parameters)
    nodes = len(model.nodes.provocation_index)
    complained = complaint.factor(nodes) if complaint else None
    return Network(
        instances,
        seen,
        both,
        tuple(kept.recall(one, partial(_angle, one, model, placed, laxity)) for one in seen.angles),
        node_log_weights(case, model.parameters, model.nodes),
        shared,
        complaint,
        complained,
    )


def _instances(case: Case, model: Model) -> tuple[Instance, ...]:
    """`instances_of`, kept for the last stories: findings seldom change it. A model made from another by replacing its
    contributors shares what is kept, so they are part of the name; kept beside, so that no other takes their place."""
    made_of = model.contributors, model.modifiers, model.parameters
    kept = model.kept.setdefault("instances", Recent(_STORIES))
    assert isinstance(kept, Recent)  # noqa: S101
    name = (*map(id, made_of), *told_by_story(case))
    return kept.recall(name, lambda: (made_of, instances_of(case, *made_of)))[1]


def layout_of(instances: tuple[Instance, ...]) -> tuple[object, ...]:
    """Which contributor stands where: all that factors depend on besides their observation and the model."""
    return tuple((i.index, i.side, i.level) for i in instances)


def _in_families(
    binaries: list[BinaryFactor], instances: int, model: Model, kept: Recent
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
        hidden = instances + len(shared)
        for b in members:
            name = binaries[b].observation, hidden
            made[b] = kept.recall(name, partial(_with_hidden, binaries[b], hidden, model))
        shared.append(SharedCause(*place, model.parameters["family_prior"]))
    return tuple(made), tuple(shared)


def _with_hidden(factor: BinaryFactor, hidden: int, model: Model) -> BinaryFactor:
    """The factor with its family's hidden cause as last parent."""
    key = factor.observation.key
    usual = usual_effect(model.binaries[key], model.at_nodes[key].log_fail, model.contributors)
    part = factor.observation.part
    own, effect = split_leak(factor.log_no_leak / part, usual[model.nodes_of(key)], model.parameters, key[1])
    return replace(
        factor,
        parents=np.append(factor.parents, hidden),
        log_fail=np.vstack((factor.log_fail, part * effect)),
        log_no_leak=part * own,
    )


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
        one.part * log_fail[:, which], one.part * np.log1p(-at.leak)[which], *one.evidence,
    )  # fmt: skip


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
    told, plain = one.limited_share, of["stray_angle_share"]
    share = told * here[model.nodes.provocation_index] + (1.0 - told) * plain
    return share, float(np.sqrt(told * of[f"{name}_sd"] ** 2 + (1.0 - told) * of["stray_angle_sd"] ** 2))
