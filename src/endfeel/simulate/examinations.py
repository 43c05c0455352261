"""Examinations played on simulated people: planned, by the textbook, at random; and what is then believed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Model, compile_model
from endfeel.inference.factors import AngleFactor, BinaryFactor
from endfeel.inference.network import Network, build_network
from endfeel.inference.nuisances import Array
from endfeel.inference.solution import solve
from endfeel.planner import Road, random_road, textbook_road
from endfeel.planner.plan import QUIET
from endfeel.simulate.couch import HERE, Couch, Story

SHARES = "independent ratios"
"""The planned tests, their likelihood ratios multiplied as if nothing linked them."""
FLAT = "nuisances ignored"
"""The planned tests, understood as if soreness, laxity and the examiner moved no findings together."""


def fixed_roads(story: Story, library: Library, minutes: float, generator: np.random.Generator) -> tuple[Road, ...]:
    """Orders that do not ask what was found: a textbook's, the same without its screening, and one drawn at random.

    Screening is what looks, measures the circulation or asks the nerves: done for safety, credited by no score.
    """
    case, posterior, safe = story.case, story.posterior, story.safe
    screening = {one.id: "screening" for one in library.catalogue if one.technique in QUIET}
    unscreened = replace(safe, forbidden={**safe.forbidden, **screening})
    return (
        textbook_road(case, posterior, safe, library, minutes, HERE),
        replace(textbook_road(case, posterior, unscreened, library, minutes, HERE), name="textbook without screening"),
        random_road(case, posterior, safe, library, minutes, HERE, generator),
    )


def beliefs(road: Road, couch: Couch, model: Model, *, flat: bool = False) -> dict[str, Array]:
    """What is believed of each contributor after a road, by way of understanding."""
    case = couch.case_after(road.tests)
    network = build_network(case, model)
    found = {road.name: solve(network).probability}
    if road.name == "planned":
        found[SHARES] = independent_ratios(network, model)
    if flat:
        found[FLAT] = solve(build_network(case, without_nuisances(model))).probability
    return found


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
    """Sensitivity against false-positive rate of each link as they are published or stated, for the single test."""
    spec = model.binaries[factor.observation.key]
    for parent, cause, share in zip(factor.contributors, factor.causes, factor.shares, strict=True):
        link = spec.causes[cause][2]
        absent = link.absent.mean
        present = absent + share * (link.present.mean - absent)
        with_it = factor.seen * present + factor.unseen * (1.0 - present)
        without = factor.seen * absent + factor.unseen * (1.0 - absent)
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
