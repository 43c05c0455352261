"""Two things that move many findings at once: how easily pain is provoked, and how slack the person is.

Each is a standard normal quantity cut into a few nodes (Gauss-Hermite). A finding's probability at a
node is expit(a + slope * node), with a chosen so that the average over the nodes is the published or
stated probability: the single test keeps its accuracy, only tests together stop being independent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.contributors import laxity_score
from endfeel.inference.parameters import Parameters
from endfeel.vocabulary import Case

Array = NDArray[np.float64]
NODES = 5
"""Nodes for each nuisance."""
_NEWTON_STEPS = 12


@dataclass(frozen=True, slots=True)
class Nodes:
    """The joint grid of both nuisances."""

    places: Array
    """(NODES,) the values of one nuisance, in standard deviations."""
    weights: Array
    """(NODES,) standard normal weights."""
    provocation_index: NDArray[np.intp]
    """(NODES * NODES,) which provocation node each joint node has."""
    laxity_index: NDArray[np.intp]
    """(NODES * NODES,) which laxity node each joint node has."""


def standard_nodes(count: int = NODES) -> Nodes:
    """Gauss-Hermite nodes of the standard normal distribution."""
    places, weights = np.polynomial.hermite_e.hermegauss(count)
    steps = np.arange(count)
    return Nodes(places, weights / weights.sum(), np.repeat(steps, count), np.tile(steps, count))


def slope_of(correlation: float) -> float:
    """Slope on the logit scale that gives two findings this latent correlation (logistic variance pi^2/3)."""
    return math.sqrt(correlation / (1.0 - correlation)) * math.pi / math.sqrt(3.0)


def spread(probability: Array, slope: float, nodes: Nodes) -> Array:
    """Probabilities at the nodes whose weighted mean is `probability`.

    Parameters
    ----------
    probability : (...,) inside (0, 1).

    Returns
    -------
    (..., NODES)
    """
    wanted = np.asarray(probability, dtype=float)[..., None]
    centre = np.log(wanted / (1.0 - wanted))
    if slope == 0.0:
        return np.repeat(wanted, len(nodes.places), axis=-1)
    for _ in range(_NEWTON_STEPS):
        here = 1.0 / (1.0 + np.exp(-(centre + slope * nodes.places)))
        off = (here @ nodes.weights)[..., None] - wanted
        centre = centre - off / ((here * (1.0 - here)) @ nodes.weights)[..., None]
    return np.asarray(1.0 / (1.0 + np.exp(-(centre + slope * nodes.places))))


def node_log_weights(case: Case, parameters: Parameters, nodes: Nodes) -> Array:
    """(NODES * NODES,) log prior weight of each joint node, given recorded irritability and laxity score."""
    provocation, laxity = np.log(nodes.weights), np.log(nodes.weights)
    if case.complaint.irritability is not None:
        mean = parameters.irritability_mean[case.complaint.irritability.value]
        provocation = _retuned(nodes, mean, parameters["irritability_sd"])
    score = laxity_score(case)
    if score is not None:
        mean = (score - parameters["beighton_centre"]) / parameters["beighton_points_per_sd"]
        laxity = _retuned(nodes, mean, parameters["beighton_sd"])
    return (provocation[:, None] + laxity[None, :]).ravel()


def _retuned(nodes: Nodes, mean: float, sd: float) -> Array:
    """Log weights after replacing the standard normal by one of another mean and spread."""
    places = nodes.places
    log = np.log(nodes.weights) + places**2 / 2.0 - (places - mean) ** 2 / (2.0 * sd**2)
    return np.asarray(log - np.logaddexp.reduce(log))
