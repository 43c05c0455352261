"""Many simulated people examined in several ways: how right the probabilities are, and what an order of tests saves."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference import Model, compile_model
from endfeel.inference.links import BinarySpec
from endfeel.inference.network import build_network
from endfeel.inference.nuisances import Array
from endfeel.inference.pooling import Beta
from endfeel.inference.solution import solve
from endfeel.planner import Road
from endfeel.simulate.examinations import FLAT, SHARES, Played, play, roads_of
from endfeel.simulate.examiner import ASSUMED, Hands
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.simulate.scores import NOTHING, Tally

LENGTHS = (5.0, 10.0, 15.0, 20.0, 30.0)
A_STORY = 10
"""People who come with one and the same story: plans are made once for each."""
WORSE = Hands(lapse_share=0.3, angle_error_factor=2.0)
"""An examiner worse than assumed: three findings in ten tell nothing, angles err twice as much."""
CONDITIONS: Mapping[str, tuple[Hands, bool]] = {
    "as assumed": (ASSUMED, False),
    "links drawn from the evidence": (ASSUMED, True),
    "examiner worse than assumed": (WORSE, False),
}
"""Name to the hands and whether truth has links of its own, drawn from what the evidence leaves open."""
UNEXAMINED = "nothing examined"
"""What is believed after the story alone: where every curve of scores by minutes starts."""
ARMS = ("planned", FLAT, SHARES, "textbook order", "random order")
"""Every way of examining and understanding; the first three have the same tests."""
Key = tuple[str, float, str]
"""Condition, minutes, arm."""


@dataclass(frozen=True, slots=True)
class Scores:
    """Sums over people; they add up."""

    everything: Tally = NOTHING
    """Every contributor of every person."""
    leading: Tally = NOTHING
    """The contributor ranked first."""
    people: int = 0
    hidden: int = 0
    """Contributors hidden, all people together."""
    affected: int = 0
    """People with at least one contributor; only of them the ranks are asked."""
    first_right: int = 0
    one_of_three: int = 0
    right_of_three: int = 0
    """How many of the first three were there."""
    minutes: float = 0.0
    turns: int = 0
    tests: int = 0

    def __add__(self, other: Scores) -> Scores:
        return Scores(*(getattr(self, name) + getattr(other, name) for name in self.__dataclass_fields__))

    def each(self, total: float) -> float:
        """A sum as a mean over people."""
        return total / max(1, self.people)

    def share(self, count: int) -> float:
        """A count as a share of the people whose ranks are asked."""
        return count / max(1, self.affected)


def run_block(
    library: Library, model: Model, seed: int, people: int, condition: str, lengths: Sequence[float] = LENGTHS
) -> dict[Key, Scores]:
    """Some people, examined in every way; the same for the same seed wherever it is computed."""
    hands, own_links = CONDITIONS[condition]
    generator = np.random.default_rng([seed, people])
    truth = drawn_model(model, np.random.default_rng([seed, 1])) if own_links else model
    found: dict[Key, Scores] = {}
    left = people
    while left > 0:
        case = draw_story(library, generator)
        story = solve(build_network(case, model)).probability
        roads = {minutes: roads_of(case, library, model, minutes, generator) for minutes in lengths}
        for _ in range(min(A_STORY, left)):
            patient, mark = draw_patient(case, truth, generator), int(generator.integers(2**31))
            _count(found, (condition, 0.0, UNEXAMINED), _scored(story, patient))
            for minutes in lengths:
                for road in roads[minutes]:
                    played = play(patient, road, model, truth, hands, mark)
                    for arm, probability in _arms(road, played):
                        _count(found, (condition, minutes, arm), _scored(probability, patient, road))
        left -= A_STORY
    return found


def _count(found: dict[Key, Scores], key: Key, scores: Scores) -> None:
    found[key] = found.get(key, Scores()) + scores


def add_blocks(blocks: Iterable[Mapping[Key, Scores]]) -> dict[Key, Scores]:
    """The sums of several blocks."""
    found: dict[Key, Scores] = {}
    for block in blocks:
        for key, scores in block.items():
            _count(found, key, scores)
    return found


def drawn_model(model: Model, generator: np.random.Generator) -> Model:
    """The same model with every share of a link drawn from what the evidence leaves open."""
    binaries = {key: _drawn(spec, generator) for key, spec in model.binaries.items()}
    return compile_model(
        model.release, model.catalogue, model.parameters, model.contributors, model.modifiers, binaries, model.angles,
        model.pairs, model.families,
    )  # fmt: skip


def _drawn(spec: BinarySpec, generator: np.random.Generator) -> BinarySpec:
    def one(beta: Beta) -> float:
        return float(np.clip(generator.beta(beta.alpha, beta.beta), 1e-4, 1.0 - 1e-4))

    causes = []
    for contributor, q, link in spec.causes:
        usual = (link.present.mean - link.absent.mean) / (1.0 - link.absent.mean)
        absent, present = one(link.absent), one(link.present)
        causes.append((contributor, float(np.clip(q + (present - absent) / (1.0 - absent) - usual, 0.0, 0.999)), link))
    return replace(spec, leak=Beta(min(0.95, one(spec.leak)), spec.leak.weight), causes=tuple(causes))


def minutes_for(curve: Sequence[tuple[float, float]], wanted: float) -> float | None:
    """Minutes at which a curve of (minutes, score) first reaches a score, in straight lines; None when never."""
    if curve and curve[0][1] >= wanted:
        return curve[0][0]
    for (before, low), (after, high) in itertools.pairwise(curve):
        if high >= wanted:
            return before + (after - before) * (wanted - low) / (high - low)
    return None


def _arms(road: Road, played: Played) -> list[tuple[str, Array]]:
    arms = [(road.name, played.probability)]
    if road.name == "planned":
        arms += [(SHARES, played.by_ratios), (FLAT, played.without_nuisances)]
    return arms


def _scored(probability: Array, patient: Patient, road: Road | None = None) -> Scores:
    present: NDArray[np.bool_] = patient.present
    ranked = np.argsort(-probability, kind="stable")[:3]
    affected = bool(present.any())
    return Scores(
        Tally.of(probability, present),
        Tally.of(probability[ranked[:1]], present[ranked[:1]]),
        1,
        int(present.sum()),
        int(affected),
        int(present[ranked[0]]),
        int(present[ranked].any()),
        int(present[ranked].sum()),
        road.minutes if road else 0.0,
        road.position_changes if road else 0,
        road.procedures if road else 0,
    )
