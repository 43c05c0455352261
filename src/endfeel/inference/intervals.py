"""How far the evidence itself is unsure: draws of every prior and link, solved again.

Each draw takes one value of every Beta in the network and one nuisance node, and is solved exactly;
the draws stand on the axis where the nodes stood, so one sweep solves them all. What a draw changes is
measured against the undisturbed answer at the same node on the logit scale, which takes the node's own
effect out again.
"""

from __future__ import annotations

import zlib
from dataclasses import replace

import numpy as np

from endfeel.inference.factors import AngleFactor, BinaryFactor, Index, weakened
from endfeel.inference.families import split_leak, usual_effect
from endfeel.inference.links import BinarySpec, Key
from endfeel.inference.model import Model, loading_slope
from endfeel.inference.network import Network
from endfeel.inference.nuisances import Array
from endfeel.inference.pooling import Beta
from endfeel.inference.solution import Solution, solve

DRAWS = 100
SEED = 20_250_101
LEVEL = 0.90
"""Coverage aimed at."""
_EDGE = 1e-6


def intervals(solution: Solution, model: Model, draws: int = DRAWS) -> tuple[Array, Array]:
    """(low, high), each (n,): the 90 % interval of every instance's probability; it contains the estimate."""
    network = solution.network
    nodes = solution.draw_nodes(draws, SEED)
    np.random.default_rng(SEED).shuffle(nodes)
    on, off = _prior_logs(network, model, draws)
    coupling, constant = _drawn_binaries(network, model, nodes, on)
    drawn = Network(
        network.instances,
        network.observations,
        coupling,
        tuple(_drawn_angle(factor, model, nodes, draws) for factor in network.angles),
        constant,
        network.shared,
        network.complaint,
        network.complaint.factor(draws) if network.complaint else None,
    )
    disturbed = solve(drawn, priors=(on, off), orders=solution.orders).by_node
    undisturbed = solution.by_node[:, nodes]
    moved = _logit(disturbed) - _logit(undisturbed)
    tail = (1.0 - LEVEL) / 2.0
    low, high = np.quantile(moved, (tail, 1.0 - tail), axis=1)
    centre = _logit(solution.probability)
    return _expit(centre + np.minimum(low, 0.0)), _expit(centre + np.maximum(high, 0.0))


def _prior_logs(network: Network, model: Model, draws: int) -> tuple[Array, Array]:
    """(n + hidden, draws) log probabilities present and absent: base share drawn, story applied."""
    base = np.stack([_kept(model, ("prior", c.id), c.prior, draws) for c in model.contributors])
    index = np.array([instance.index for instance in network.instances])
    ratio = np.array([instance.odds_ratio for instance in network.instances])[:, None]
    odds = ratio * base[index] / (1.0 - base[index]) * np.exp(_story_doubt(network, model, ratio, draws))
    before = network.all_priors[:, None]
    stated = network.prior[:, None]
    odds *= before[: len(stated)] / (1.0 - before[: len(stated)]) * (1.0 - stated) / stated
    hidden = before[len(stated) :].repeat(draws, axis=1)
    odds = np.concatenate((odds, hidden / (1.0 - hidden)))
    return np.log(odds / (1.0 + odds)), -np.log1p(odds)


def _story_doubt(network: Network, model: Model, ratio: Array, draws: int) -> Array:
    """(n, draws) how far off what the story does to the log odds may be: in proportion to its size (`story_doubt`)."""
    names = [("story", instance.contributor.id) for instance in network.instances]
    spread = np.stack([_normal(model, name, draws) for name in names])
    return np.asarray(model.parameters["story_doubt"] * np.abs(np.log(ratio)) * spread)


def _drawn_binaries(network: Network, model: Model, nodes: Index, on: Array) -> tuple[tuple[BinaryFactor, ...], Array]:
    """The factors that couple, drawn, and (draws,) what the plain negatives give alone; their tilts go into `on`.

    All are looked up at their draw's node in one sweep.
    """
    draws = len(nodes)
    if not network.binaries:
        return (), np.zeros(draws)
    kept = [_factor_draws(factor, model, draws) for factor in network.binaries]
    moved_by = [model.nodes_of(factor.observation.key) for factor in network.binaries]
    counts = [len(factor.parents) for factor in network.binaries]
    here, each = np.stack([where[nodes] for where in moved_by]), np.arange(draws)
    no_leak = np.stack([leak for _, leak in kept])[np.arange(len(kept))[:, None], here, each]
    fails = np.concatenate([fail for fail, _ in kept])
    fails = fails[np.arange(len(fails))[:, None], here.repeat(counts, axis=0), each]
    plain = np.array([factor.factorises for factor in network.binaries])
    rows = np.concatenate([factor.parents for factor in network.binaries])
    of_plain = plain.repeat(counts)
    np.add.at(on, rows[of_plain], fails[of_plain])
    ends = np.cumsum(counts)
    coupling = tuple(
        replace(factor, log_fail=fails[ends[b] - counts[b] : ends[b]], log_no_leak=no_leak[b])
        for b, factor in enumerate(network.binaries)
        if not plain[b]
    )
    return coupling, no_leak[plain].sum(axis=0)


def _factor_draws(factor: BinaryFactor, model: Model, draws: int) -> tuple[Array, Array]:
    """(m, NODES, draws) log(1 - q) and (NODES, draws) log of no leak; kept with the factor."""
    if draws not in factor.drawn:
        spec = model.binaries[factor.observation.key]
        log_no_leak, log_fail = _spec_draws(spec, model, draws)
        mine = weakened(log_fail[factor.causes], factor.shares)
        if len(factor.parents) > len(factor.causes):
            usual = usual_effect(spec, log_fail, model.contributors)
            log_no_leak, effect = split_leak(log_no_leak, usual, model.parameters, spec.key[1])
            mine = np.concatenate((mine, effect[None]))
        part = factor.observation.part
        factor.drawn[draws] = part * mine, part * log_no_leak
    return factor.drawn[draws]


def _drawn_angle(factor: AngleFactor, model: Model, nodes: Index, draws: int) -> AngleFactor:
    """Every effect is moved by a draw of its own, in proportion to its spread between people."""
    name = ("angle", draws, factor.observation.procedure, factor.parents.tobytes(), factor.effect_deg.tobytes())
    if name not in model.kept:
        generator = np.random.default_rng([SEED, zlib.crc32(repr(name).encode())])
        doubt = model.parameters["angle_effect_doubt"] * np.sqrt(factor.effect_variance)
        model.kept[name] = factor.effect_deg + doubt[:, None] * generator.standard_normal((len(doubt), draws))
    drawn = model.kept[name]
    assert isinstance(drawn, np.ndarray)  # noqa: S101
    return replace(factor, effect_deg=drawn, shift_deg=factor.shift_deg[nodes], stray_share=factor.stray_share[nodes])


def _shift(at_node: Array, mean: Array | float, drawn: Array, scale: float) -> Array:
    """A probability at a node after its average moved from `mean` to `drawn`."""
    return _expit(_logit(at_node) + scale * (_logit(drawn) - _logit(np.asarray(mean))))


def _spec_draws(spec: BinarySpec, model: Model, draws: int) -> tuple[Array, Array]:
    """(NODES, draws) log of no leak and (causes, NODES, draws) log of (1 - causal probability); kept."""
    name: tuple[str, int, Key] = ("link", draws, spec.key)
    if name not in model.kept:
        leak = _beta(spec.leak, ("leak", spec.key), draws)
        alone = []
        for _, q, link in spec.causes:
            present = _beta(link.present, ("present", spec.key, link.contributor), draws)
            absent = _beta(link.absent, ("absent", spec.key, link.contributor), draws)
            average = (link.present.mean - link.absent.mean) / (1.0 - link.absent.mean)
            cause = np.clip(q + (present - absent) / (1.0 - absent) - average, 0.0, 1.0)
            alone.append(1.0 - (1.0 - leak) * (1.0 - cause))
        model.kept[name] = _at_nodes(spec, model, leak, np.stack(alone).clip(_EDGE, 1.0 - _EDGE))
    kept = model.kept[name]
    assert isinstance(kept, tuple)  # noqa: S101
    return kept


def _at_nodes(spec: BinarySpec, model: Model, leak: Array, alone: Array) -> tuple[Array, Array]:
    """Drawn averages moved to every node, as the undisturbed ones were."""
    at = model.at_nodes[spec.key]
    slope = loading_slope(spec.loading, model.parameters)
    scale = float(np.sqrt(1.0 + (slope * 16.0 / (15.0 * np.pi)) ** 2 * 3.0))
    leak_here = _shift(at.leak[:, None], spec.leak.mean, leak[None], scale)
    base_alone = 1.0 - (1.0 - at.leak) * np.exp(at.log_fail)
    means = np.array([1.0 - (1.0 - spec.leak.mean) * (1.0 - q) for _, q, _ in spec.causes])[:, None, None]
    alone_here = np.maximum(_shift(base_alone[..., None], means, alone[:, None], scale), leak_here)
    log_no_leak = np.log1p(-leak_here)
    return log_no_leak, np.log1p(-alone_here) - log_no_leak


def _kept(model: Model, name: tuple[str, str], beta: Beta, draws: int) -> Array:
    place = (*name, draws)
    if place not in model.kept:
        model.kept[place] = _beta(beta, name, draws)
    kept = model.kept[place]
    assert isinstance(kept, np.ndarray)  # noqa: S101
    return kept


def _normal(model: Model, name: tuple[str, str], draws: int) -> Array:
    """(draws,) standard normal values, stratified; kept."""
    place = ("normal", *name, draws)
    if place not in model.kept:
        from scipy.special import ndtri

        model.kept[place] = ndtri(_strata(name, draws))
    kept = model.kept[place]
    assert isinstance(kept, np.ndarray)  # noqa: S101
    return kept


def _strata(name: tuple[object, ...], draws: int) -> Array:
    """(draws,) uniform values, one in each of as many equal parts, shuffled; the same for the same name everywhere."""
    generator = np.random.default_rng([SEED, zlib.crc32(repr(name).encode())])
    return np.asarray((generator.permutation(draws) + generator.random(draws)) / draws)


def _beta(beta: Beta, name: tuple[object, ...], draws: int) -> Array:
    """(draws,) values of one Beta, stratified so that its ends are met closely by few draws."""
    from scipy.special import betaincinv

    return np.asarray(betaincinv(beta.alpha, beta.beta, _strata(name, draws)).clip(_EDGE, 1.0 - _EDGE))


def _logit(probability: Array) -> Array:
    inside = np.clip(probability, 1e-12, 1.0 - 1e-12)
    return np.asarray(np.log(inside) - np.log1p(-inside))


def _expit(value: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(-value)))
