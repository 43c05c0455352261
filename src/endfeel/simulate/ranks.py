"""Whether truth sits anywhere among draws of the posterior: simulation-based calibration by ranks.

A person is drawn, examined and reasoned about; then the truth and L draws of the posterior are put in order by one
number of the whole combination. If inference and simulation are of one mould, every rank from 0 to L is as likely.
Ties are broken by lot. Talts et al 2018 (arXiv 1804.06788): formula from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference import Model
from endfeel.inference.network import build_network
from endfeel.inference.nuisances import Array
from endfeel.inference.solution import solve
from endfeel.planner.candidates import Settings, gather
from endfeel.safety import verdict
from endfeel.simulate.couch import Couch
from endfeel.simulate.examiner import ASSUMED, Hands
from endfeel.simulate.people import draw_patient, draw_story

DRAWS = 19
"""Draws of the posterior beside one truth: 20 ranks."""
TESTS = 12
"""Tests of everybody's examination, drawn at random."""
_MANY = 200
"""Draws are stratified among themselves; few out of many are as good as independent."""
QUANTITIES = ("how many", "in the shoulder joint", "at the shoulder blade", "in the spine", "surprise by the prior")
Ranks = dict[str, NDArray[np.intp]]
"""(DRAWS + 1,) how often each rank came, by quantity."""


def rank_counts(
    library: Library, model: Model, seed: int, people: int, hands: Hands = ASSUMED, *, believed: Model | None = None
) -> Ranks:
    """How often the truth took each rank among so many people.

    `believed` reasons with other links than those by which the findings come about.
    """
    generator = np.random.default_rng([seed, 8])
    counts = {name: np.zeros(DRAWS + 1, dtype=np.intp) for name in QUANTITIES}
    for _ in range(people):
        told = draw_story(library, generator)
        patient = draw_patient(told, model, generator)
        couch = Couch(patient, model, hands, int(generator.integers(2**31)))
        candidates, _ = gather(told, library, verdict(told, library), Settings.of(library, told))
        open_tests = [one.key for one in candidates]
        chosen = generator.choice(len(open_tests), size=min(TESTS, len(open_tests)), replace=False)
        case = couch.case_after(tuple(open_tests[i] for i in chosen))
        solution = solve(build_network(case, believed or model))
        states, _ = solution.draw(_MANY, int(generator.integers(2**31)))
        drawn = states[generator.choice(_MANY, size=DRAWS, replace=False)]
        everything = np.concatenate((patient.present[None, :], drawn)).astype(float)
        regions = [one.contributor.region for one in solution.network.instances]
        for name, weights in _weights(solution.network.prior, regions).items():
            counts[name][_rank(everything @ weights, generator)] += 1
    return counts


def _weights(prior: Array, regions: Sequence[str]) -> Mapping[str, Array]:
    """What each quantity adds up for a contributor that is there."""
    region = np.array(regions)
    odds = np.log(prior) - np.log1p(-prior)
    spine = np.isin(region, ("thoracic", "cervicothoracic"))
    return dict(
        zip(
            QUANTITIES,
            (
                np.ones(len(region)),
                (region == "glenohumeral").astype(float),
                (region == "scapulothoracic").astype(float),
                spine.astype(float),
                -odds,
            ),
            strict=True,
        )
    )


def _rank(values: Array, generator: np.random.Generator) -> int:
    """Rank of the first among the others, ties by lot."""
    below = int((values[1:] < values[0] - 1e-9).sum())
    same = int((np.abs(values[1:] - values[0]) <= 1e-9).sum())
    return below + int(generator.integers(same + 1))


@dataclass(frozen=True, slots=True)
class Uniformity:
    """Whether the ranks of one quantity are uniform."""

    quantity: str
    people: int
    chi_square: float
    p_value: float
    """Probability of a chi-square as large when the ranks are uniform."""


def uniformity(counts: Ranks) -> tuple[Uniformity, ...]:
    """A chi-square test of every quantity."""
    from scipy.stats import chi2

    found = []
    for name, ranks in counts.items():
        people = int(ranks.sum())
        expected = people / len(ranks)
        statistic = float(((ranks - expected) ** 2 / expected).sum())
        found.append(Uniformity(name, people, statistic, float(chi2.sf(statistic, len(ranks) - 1))))
    return tuple(found)


def joined(blocks: Sequence[Ranks]) -> Ranks:
    """Several blocks of people together."""
    return {name: np.sum([block[name] for block in blocks], axis=0) for name in QUANTITIES}
