"""Examinations played on simulated people: planned, by the textbook, at random; and what is then believed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Model, compile_model, infer
from endfeel.inference.factors import AngleFactor, BinaryFactor
from endfeel.inference.network import Network, build_network
from endfeel.inference.nuisances import Array
from endfeel.inference.solution import solve
from endfeel.planner import Road, plan, random_road, road_of, textbook_road
from endfeel.safety import verdict
from endfeel.simulate.examiner import Hands, find
from endfeel.simulate.people import Patient
from endfeel.treatment import decide
from endfeel.vocabulary import Case, Position

SHARES = "independent ratios"
"""The planned tests, their likelihood ratios multiplied as if nothing linked them."""
FLAT = "nuisances ignored"
"""The planned tests, understood as if soreness, laxity and the examiner moved no findings together."""


def roads_of(
    case: Case, library: Library, model: Model, minutes: float, generator: np.random.Generator
) -> tuple[Road, ...]:
    """Three ways through an examination of a story, made before anything is found."""
    posterior, safe = infer(case, model), verdict(case, library)
    made = plan(
        case, posterior, safe, library, minutes, position=Position.SITTING, decision=decide(posterior, library, safe)
    )
    return (
        road_of(made),
        textbook_road(case, posterior, safe, library, minutes, Position.SITTING),
        random_road(case, posterior, safe, library, minutes, Position.SITTING, generator),
    )


@dataclass(frozen=True)
class Played:
    """One examination: what was believed after it."""

    probability: Array
    """(n,) by the inference."""
    by_ratios: Array
    """(n,) by independent likelihood ratios on the same findings."""
    without_nuisances: Array
    """(n,) by the inference on the same findings, as if nothing but contributors made findings move together."""


def play(patient: Patient, road: Road, model: Model, truth: Model, hands: Hands, seed: int) -> Played:
    """Examine a patient along a road. The same seed finds the same at the same test, whichever road leads to it.

    `truth` has the links by which the patient's findings come about, `model` those by which they are understood.
    """
    findings = []
    for test in road.tests:
        mark = [seed, *(ord(letter) for letter in f"{test[0]}{test[1] or ''}{test[2] or ''}")]
        found = find(patient, test, truth, hands, np.random.default_rng(mark))
        if found is not None:
            findings.append(found)
    case = replace(patient.case, findings=tuple(findings))
    network = build_network(case, model)
    flat = solve(build_network(case, without_nuisances(model))).probability
    return Played(solve(network).probability, independent_ratios(network, model), flat)


def without_nuisances(model: Model) -> Model:
    """The same model with findings independent given the contributors."""
    if "flat" not in model.kept:
        off = dict.fromkeys(("provocation_correlation", "mobility_correlation", "laxity_deg"), 0.0)
        values = {**model.parameters.values, **off}
        model.kept["flat"] = compile_model(
            model.release, model.catalogue, replace(model.parameters, values=values), model.contributors,
            model.modifiers, model.binaries, model.angles, model.pairs, {},
        )  # fmt: skip
    flat = model.kept["flat"]
    assert isinstance(flat, Model)  # noqa: S101
    return flat


def independent_ratios(network: Network, model: Model) -> Array:
    """(n,) prior odds times every finding's likelihood ratio, each as if it were the only cause and only finding."""
    log_odds = np.log(network.prior) - np.log1p(-network.prior)
    for factor in network.binaries:
        _add_binary(log_odds, factor, model)
    for angle in network.angles:
        _add_angle(log_odds, angle)
    return np.asarray(1.0 / (1.0 + np.exp(-log_odds)))


def _add_binary(log_odds: Array, factor: BinaryFactor, model: Model) -> None:
    """Averages over the nuisances: the accuracy that is published for the single test."""
    spec = model.binaries[factor.observation.key]
    leak = spec.leak.mean
    without = factor.seen * leak + factor.unseen * (1.0 - leak)
    for parent, cause, share in zip(factor.contributors, factor.causes, factor.shares, strict=True):
        present = 1.0 - (1.0 - leak) * (1.0 - share * spec.causes[cause][1])
        with_it = factor.seen * present + factor.unseen * (1.0 - present)
        log_odds[parent] += np.log(max(with_it, 1e-12) / max(without, 1e-12))


def _add_angle(log_odds: Array, factor: AngleFactor) -> None:
    stray = float(factor.stray_share.mean())
    seen = factor.observation.deficit_deg

    def likelihood(mean: float, variance: float) -> float:
        plain = np.exp(-((seen - mean) ** 2) / (2.0 * variance)) / np.sqrt(variance)
        wide = np.exp(-(seen**2) / (2.0 * factor.stray_variance)) / np.sqrt(factor.stray_variance)
        return float((1.0 - stray) * plain + stray * wide)

    without = likelihood(0.0, factor.variance)
    for k, parent in enumerate(factor.parents):
        effect = float(factor.effect_deg[k].mean())
        log_odds[parent] += np.log(likelihood(effect, factor.variance + float(factor.effect_variance[k])) / without)
