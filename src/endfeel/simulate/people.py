"""People who come: a story drawn from stated shares, and contributors hidden in them."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference import Candidate, Model
from endfeel.inference.network import Network, Placed, build_network, place_instances
from endfeel.inference.nuisances import Array
from endfeel.vocabulary import Case, Complaint, Irritability, Onset, Person, Side

DOCUMENT = "simulation"


@dataclass(frozen=True)
class Patient:
    """One simulated person: what is told, and what is so."""

    case: Case
    """The story, nothing examined."""
    network: Network
    """Contributors in place, no finding."""
    present: NDArray[np.bool_]
    """(n,) which contributors are there."""
    provocation: float
    laxity: float
    """How easily provoked and how slack the person is, in standard deviations; anything, not a node."""
    oddities: int | None = None
    """Seed of the hidden causes that families of tests have in this person; None: every false positive is by itself."""

    @cached_property
    def placed(self) -> Placed:
        """Where each contributor stands."""
        return place_instances(self.network.instances)

    def has_oddity(self, family: str, test: Candidate, prior: float) -> bool:
        """Whether this family's hidden cause is there at the side and level of a test; asked twice, told the same."""
        place = zlib.crc32(f"{family} {test[1]} {test[2]}".encode())
        return bool(np.random.default_rng([self.oddities or 0, place]).random() < prior)


def draw_story(library: Library, generator: np.random.Generator) -> Case:
    """A story without findings: age, sex, onset, weeks, irritability, areas. Shares are custom (simulation.toml)."""
    data = library.documents[DOCUMENT]

    def one_of(name: str) -> str:
        words, shares = zip(*data[name].items(), strict=True)
        return str(words[int(generator.choice(len(words), p=np.array(shares) / sum(shares)))])

    low, high = data["age"]["from"], data["age"]["to"]
    areas = tuple(area for area, share in data["areas"].items() if generator.random() < share)
    complaint = Complaint(
        side=Side.RIGHT,
        onset=Onset(one_of("onset")),
        weeks=float(generator.integers(data["weeks"]["from"], data["weeks"]["to"] + 1)),
        irritability=Irritability(one_of("irritability")),
        areas=areas,
    )
    return Case(Person(int(generator.integers(low, high + 1)), one_of("sex"), Side.RIGHT), complaint, invented=True)


def draw_patient(case: Case, model: Model, generator: np.random.Generator) -> Patient:
    """Somebody with this story: contributors by their chances after the story, nuisances by what irritability tells."""
    network = build_network(case, model)
    present = _somebody_who_complains(network, generator)
    parameters = model.parameters
    mean, sd = 0.0, 1.0
    if case.complaint.irritability is not None:
        mean = parameters.irritability_mean[case.complaint.irritability.value]
        sd = parameters["irritability_sd"]
    provocation = mean + sd * generator.standard_normal()
    laxity = float(generator.standard_normal())
    return Patient(case, network, present, float(provocation), laxity, int(generator.integers(2**31)))


def _somebody_who_complains(network: Network, generator: np.random.Generator) -> NDArray[np.bool_]:
    """(n,) contributors of the first in a row of people at large who complains."""
    before = network.all_priors[: len(network.instances)]
    while True:
        present = generator.random(len(before)) < before
        complaint = network.complaint
        if complaint is None or generator.random() < complaint.of(present[complaint.sources].astype(float)):
            return present


def between_nodes(table: Array, places: Array, value: float) -> Array:
    """(...,) values of (..., NODES) at a place between the nodes, in a line on the logit scale; kept at the ends."""
    return at_place(logits_of(table), places, value)


def logits_of(table: Array) -> Array:
    """Log odds of probabilities, none of them quite 0 or 1."""
    inside = np.clip(table, 1e-9, 1.0 - 1e-9)
    return np.asarray(np.log(inside / (1.0 - inside)))


def at_place(logits: Array, places: Array, value: float) -> Array:
    """`between_nodes` of a table whose (..., NODES) log odds are known."""
    at = min(max(int(np.searchsorted(places, value)) - 1, 0), len(places) - 2)
    step = (value - places[at]) / (places[at + 1] - places[at])
    found = logits[..., at] + step * (logits[..., at + 1] - logits[..., at])
    return np.asarray(1.0 / (1.0 + np.exp(-found)))
