"""The exact sum against brute force and against a general engine on the same network."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from endfeel.inference.contributors import Contributor, Instance
from endfeel.inference.factors import CHAINED, AngleFactor, BinaryFactor, Factor
from endfeel.inference.leaving_out import probabilities_without
from endfeel.inference.network import Network
from endfeel.inference.nuisances import standard_nodes
from endfeel.inference.observations import AngleObservation, BinaryObservation, Observations
from endfeel.inference.pooling import Beta
from endfeel.inference.solution import AIM, solve


def make_network(
    seed: int,
    causes: int,
    findings: int,
    *,
    priors: tuple[float, float],
    positive: float,
    nodes: int = 1,
    angles: int = 0,
    most_parents: int = 4,
) -> Network:
    """A random noisy-OR network with observed findings; `nodes` values of one shared nuisance."""
    random = np.random.default_rng(seed)
    instances = []
    for i in range(causes):
        prior = float(random.uniform(*priors))
        who = Contributor(f"c{i}", "", "", "", False, (), Beta(prior, 10.0), (), "", "", "practice")
        instances.append(Instance(i, who, None, None, prior, 1.0))
    binaries = []
    for f in range(findings):
        parents = np.sort(random.choice(causes, size=int(random.integers(1, most_parents + 1)), replace=False))
        q = random.uniform(0.2, 0.9, size=(len(parents), nodes))
        leak = random.uniform(0.02, 0.2, size=nodes)
        seen = bool(random.random() < positive)
        observation = BinaryObservation(f, (f"f{f}", "positive"), None, None, (float(seen), float(not seen)))
        binaries.append(
            BinaryFactor(
                observation, parents, np.arange(len(parents)), np.ones(len(parents)),
                np.log1p(-q), np.log1p(-leak), float(seen), float(not seen),
            )
        )  # fmt: skip
    lost = []
    for a in range(angles):
        parents = np.sort(random.choice(causes, size=3, replace=False))
        seen_angle = AngleObservation(findings + a, f"a{a}", None, float(random.uniform(-5, 50)), 8.0, False, "pain")
        lost.append(
            AngleFactor(
                seen_angle, parents, random.uniform(-10, 40, size=(3, 1)), random.uniform(4, 100, size=3),
                np.zeros(nodes), 64.0, random.uniform(0.02, 0.6, size=nodes), 900.0,
            )
        )  # fmt: skip
    weights = np.log(np.full(nodes, 1.0 / nodes))
    return Network(tuple(instances), Observations((), (), (), ()), tuple(binaries), tuple(lost), weights)


def factors_of(network: Network) -> tuple[Factor, ...]:
    return (*network.binaries, *network.angles)


def brute_force(network: Network) -> tuple[np.ndarray, float]:
    """Marginals and log evidence by visiting every combination."""
    prior = network.prior
    combos = np.array(list(itertools.product((0, 1), repeat=len(prior))), dtype=bool)
    weights = np.prod(np.where(combos, prior, 1 - prior), axis=1)[:, None] * np.exp(network.node_log_weights)
    for factor in factors_of(network):
        table = factor.table
        weights = weights * table[tuple(combos[:, i].astype(int) for i in factor.parents)]
    total = weights.sum()
    return (combos.T.astype(float) @ weights).sum(axis=1) / total, float(np.log(total))


@pytest.mark.parametrize("seed", range(8))
def test_the_sum_equals_brute_force_with_angles_and_nuisance(seed: int) -> None:
    network = make_network(seed, 11, 14, priors=(0.03, 0.4), positive=0.5, nodes=3, angles=2)
    solution = solve(network)
    marginals, evidence = brute_force(network)
    assert solution.left_out_mass == 0.0
    assert np.abs(solution.probability - marginals).max() < 1e-12
    assert solution.log_evidence == pytest.approx(evidence, abs=1e-10)


@pytest.mark.parametrize("seed", [50, 51, 54, 55, 57])
def test_chained_findings_change_neither_sum_nor_draws(seed: int) -> None:
    network = make_network(seed, 12, 9, priors=(0.05, 0.4), positive=0.7, nodes=2, angles=2, most_parents=12)
    chained = [factor for factor in network.binaries if len(factor.parents) >= CHAINED and factor.couples]
    assert chained
    solution = solve(network)
    assert sum(component.links for component in solution.components) == sum(len(f.parents) - 2 for f in chained)
    marginals, evidence = brute_force(network)
    assert np.abs(solution.probability - marginals).max() < 1e-12
    assert solution.log_evidence == pytest.approx(evidence, abs=1e-10)
    states, _ = solution.draw(20_000, seed)
    assert np.abs(states.mean(axis=0) - solution.probability).max() < 0.02
    left = [{0, 3}, {1}]
    for without, one in zip(probabilities_without(solution, left), left, strict=True):
        assert np.abs(without - brute_force(network.without(one))[0]).max() < 1e-12


@pytest.mark.parametrize("seed", range(4))
def test_the_links_of_a_chain_sum_to_the_table_of_its_finding(seed: int) -> None:
    network = make_network(80 + seed, 12, 12, priors=(0.05, 0.4), positive=0.5, nodes=3, most_parents=12)
    for factor in (one for one in network.binaries if len(one.parents) >= CHAINED):
        letters = {i: chr(97 + k) for k, i in enumerate({i for scope, _ in factor.pieces for i in scope})}
        told = ",".join("".join(letters[i] for i in scope) + "Z" for scope, _ in factor.pieces)
        wanted = "".join(letters[int(i)] for i in factor.parents) + "Z"
        summed = np.einsum(f"{told}->{wanted}", *(table for _, table in factor.pieces), optimize=True)
        assert np.abs(summed - factor.table).max() < 1e-13
        assert min(table.min() for _, table in factor.pieces) >= 0.0


@pytest.mark.parametrize("effect", [1e-3, 1e-12])
def test_very_unlikely_findings_are_summed_without_running_out_of_numbers(effect: float) -> None:
    """Sixty pairs that share one cause: the shared one absent or present, the rest is a product."""
    prior, pairs = 0.3, 60
    who = Contributor("c", "", "", "", False, (), Beta(prior, 10.0), (), "", "", "practice")
    instances = tuple(Instance(i, who, None, None, prior, 1.0) for i in range(pairs + 1))
    log_fail, one, seen = np.log1p(-np.full((2, 1), effect)), np.ones(2), (1.0, 0.0)
    findings = tuple(
        BinaryFactor(
            BinaryObservation(i, (f"f{i}", "positive"), None, None, seen),
            np.array([0, i]), np.arange(2), one, log_fail, log_fail[0], *seen,
        )
        for i in range(1, pairs + 1)
    )  # fmt: skip
    network = Network(instances, Observations((), (), (), ()), findings, (), np.zeros(1))
    found = [-np.expm1(causes * log_fail[0, 0]) for causes in (1, 2, 3)]
    each = [np.log((1 - prior) * found[shared] + prior * found[shared + 1]) for shared in (0, 1)]
    exact = np.logaddexp(np.log(1 - prior) + pairs * each[0], np.log(prior) + pairs * each[1])
    assert solve(network).log_evidence == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_drawn_combinations_have_the_exact_shares(seed: int) -> None:
    network = make_network(seed, 9, 10, priors=(0.05, 0.4), positive=0.6, nodes=2, angles=1)
    solution = solve(network)
    states, _ = solution.draw(20_000, seed)
    assert np.abs(states.mean(axis=0) - solution.probability).max() < 0.02
    pair = (states[:, 0] & states[:, 1]).mean()
    prior = network.prior
    combos = np.array(list(itertools.product((0, 1), repeat=len(prior))), dtype=bool)
    weights = np.prod(np.where(combos, prior, 1 - prior), axis=1)[:, None] * np.exp(network.node_log_weights)
    for factor in factors_of(network):
        weights = weights * factor.table[tuple(combos[:, i].astype(int) for i in factor.parents)]
    exact = weights[combos[:, 0] & combos[:, 1]].sum() / weights.sum()
    assert pair == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize("seed", range(3))
def test_the_sum_equals_the_lazy_propagation_of_pyagrum_to_1e_6(seed: int) -> None:
    """Peer: pyAgrum (LGPL-3 or MIT), exact engine, network of noisy-OR nodes with leak."""
    gum = pytest.importorskip("pyagrum")
    network = make_network(100 + seed, 18, 24, priors=(0.03, 0.25), positive=0.4, most_parents=6)
    solution = solve(network)
    peer = pyagrum_marginals(gum, network)
    assert np.abs(solution.probability - peer).max() < 1e-6


def pyagrum_marginals(gum: object, network: Network) -> np.ndarray:
    """The same network in pyAgrum, every finding observed."""
    from typing import Any

    agrum: Any = gum
    net = agrum.BayesNet()
    for i, prior in enumerate(network.prior):
        net.add(agrum.LabelizedVariable(f"c{i}", "", 2))
        net.cpt(f"c{i}").fillWith([1 - prior, prior])
    evidence = {}
    for f, factor in enumerate(network.binaries):
        # the net form of noisy-OR: the leak is outside the weights (the compound form answers a different question)
        net.addNoisyORNet(agrum.LabelizedVariable(f"f{f}", "", 2), float(-np.expm1(factor.log_no_leak[0])))
        for i, log_fail in zip(factor.parents, factor.log_fail[:, 0], strict=True):
            net.addWeightedArc(f"c{i}", f"f{f}", float(-np.expm1(log_fail)))
        evidence[f"f{f}"] = int(factor.seen)
    engine = agrum.LazyPropagation(net)
    engine.setEvidence(evidence)
    engine.makeInference()
    return np.array([engine.posterior(f"c{i}")[1] for i in range(len(network.instances))])


@pytest.mark.parametrize("seed", range(4))
def test_the_bounded_sum_never_misses_by_more_than_its_bound(seed: int) -> None:
    network = make_network(200 + seed, 16, 20, priors=(0.05, 0.3), positive=0.6, nodes=2, angles=1)
    exact, bounded = solve(network), solve(network, widest=0, caps=(60,))
    assert bounded.left_out_mass > 0.0
    assert np.abs(exact.probability - bounded.probability).max() <= bounded.left_out_mass + 1e-12


def test_common_causes_with_many_positives_are_flagged_and_widened() -> None:
    """Mean prior 0.13, 30 causes, most findings positive: where a narrow search goes wrong without a word."""
    network = make_network(7, 30, 40, priors=(0.03, 0.23), positive=0.6, most_parents=5)
    exact = solve(network, widest=24)
    narrow = solve(network, widest=0, caps=(100,))
    wider = solve(network, widest=0, caps=(100, 20_000))
    assert exact.left_out_mass == 0.0
    assert narrow.left_out_mass > AIM, "the narrow search must admit what it left out"
    assert wider.left_out_mass < narrow.left_out_mass
    for bounded in (narrow, wider):
        assert np.abs(exact.probability - bounded.probability).max() <= bounded.left_out_mass + 1e-9


def test_node_averages_are_kept_for_every_single_probability() -> None:
    from endfeel.inference.nuisances import slope_of, spread

    nodes = standard_nodes()
    wanted = np.array([0.01, 0.1, 0.5, 0.9, 0.99])
    assert np.allclose(spread(wanted, slope_of(0.4), nodes) @ nodes.weights, wanted, atol=1e-10)
