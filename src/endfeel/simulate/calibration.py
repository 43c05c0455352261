"""Many simulated people examined in several ways: how right the probabilities are, and what an order of tests saves."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Model, compile_model
from endfeel.inference.links import BinarySpec
from endfeel.inference.nuisances import Array
from endfeel.inference.pooling import Beta
from endfeel.planner import road_of
from endfeel.simulate.couch import Couch, Story, planned_again
from endfeel.simulate.examinations import FLAT, SHARES, beliefs, fixed_roads
from endfeel.simulate.examiner import ASSUMED, Hands
from endfeel.simulate.people import draw_patient, draw_story
from endfeel.simulate.scores import Scores

LENGTHS = (5.0, 10.0, 15.0, 20.0, 30.0)
A_STORY = 10
"""People who come with one and the same story: plans are made once for each."""
CONDITIONS: Mapping[str, tuple[bool, bool]] = {
    "as assumed": (False, False),
    "links drawn from the evidence": (False, True),
    "examiner worse than assumed": (True, False),
}
"""Name to whether the hands are worse, and whether truth has links of its own, drawn from what the evidence leaves
open. People are the same under every condition."""
BATCH = 8
"""Tests in one position after which the plan is made anew; it is also made anew before every turn."""
ONE_LENGTH = 20.0
"""Minutes at which the ways are played that only need one length."""
UNEXAMINED = "nothing examined"
"""What is believed after the story alone: where every curve of scores by minutes starts."""
FAIR, AGAIN = "textbook without screening", "planned again"
ARMS = ("planned", FLAT, SHARES, AGAIN, "textbook order", FAIR, "random order")
"""Every way of examining and understanding; the first three have the same tests."""
Key = tuple[str, float, str]
"""Condition, minutes, arm."""


Found = dict[Key, Array]
"""(stories, SIZE) sums over the people of each story."""


def run_block(
    library: Library, model: Model, seed: int, people: int, condition: str, lengths: Sequence[float] = LENGTHS
) -> Found:
    """Some people, examined in every way; the same for the same seed wherever it is computed."""
    worse, own_links = CONDITIONS[condition]
    hands = worse_hands(model) if worse else ASSUMED
    people_of, orders_of = np.random.default_rng(seed), np.random.default_rng([seed, 2])
    truth = drawn_model(model, np.random.default_rng([seed, 1])) if own_links else model
    found: dict[Key, list[Array]] = {}
    for left in range(people, 0, -A_STORY):
        story = Story.of(draw_story(library, people_of), library, model)
        first = {minutes: story.first_plan(library, minutes) for minutes in lengths}
        fixed = {minutes: fixed_roads(story, library, minutes, orders_of) for minutes in lengths}
        sums: dict[Key, Scores] = {}
        for _ in range(min(A_STORY, left)):
            patient = draw_patient(story.case, model, people_of)
            couch = Couch(patient, truth, hands, int(people_of.integers(2**31)))
            told = story.posterior.solution.probability
            _count(sums, (condition, 0.0, UNEXAMINED), Scores.of(told, patient.present, 0.0, 0, 0))
            for minutes in lengths:
                planned = road_of(first[minutes])
                again = (
                    [replace(planned_again(story, first[minutes], couch, library, model, minutes, BATCH), name=AGAIN)]
                    if minutes == ONE_LENGTH
                    else []
                )
                for road in (planned, *again, *fixed[minutes]):
                    flat = road is planned and minutes == ONE_LENGTH
                    for arm, probability in beliefs(road, couch, model, flat=flat).items():
                        scores = Scores.of(
                            probability, patient.present, road.minutes, road.position_changes, road.procedures
                        )
                        _count(sums, (condition, minutes, arm), scores)
        for key, one in sums.items():
            found.setdefault(key, []).append(one.row)
    return {key: np.stack(rows) for key, rows in found.items()}


def worse_hands(model: Model) -> Hands:
    """An examiner worse than assumed, by the stated amounts."""
    return Hands(model.parameters["worse_lapse_share"], model.parameters["worse_angle_error_factor"])


def _count(found: dict[Key, Scores], key: Key, scores: Scores) -> None:
    found[key] = found[key] + scores if key in found else scores


def join_blocks(blocks: Iterable[Found]) -> Found:
    """The stories of several blocks, one after the other."""
    rows: dict[Key, list[Array]] = {}
    for block in blocks:
        for key, some in block.items():
            rows.setdefault(key, []).append(some)
    return {key: np.concatenate(some) for key, some in rows.items()}


def summed(found: Mapping[Key, Array]) -> dict[Key, Scores]:
    """Scores over all people."""
    return {key: Scores(rows.sum(axis=0)) for key, rows in found.items()}


def resampled(found: Mapping[Key, Array], draws: int, seed: int) -> list[dict[Key, Scores]]:
    """The scores of so many bootstrap samples of the people; ways and conditions keep the same people in each.

    People who share a story are drawn together, since their stories and first plans are one.
    """
    stories = max(len(rows) for rows in found.values())
    generator = np.random.default_rng(seed)
    weights = generator.multinomial(stories, np.full(stories, 1.0 / stories), size=draws).astype(float)
    sums = {key: weights[:, : len(rows)] @ rows for key, rows in found.items()}
    return [{key: Scores(rows[k]) for key, rows in sums.items()} for k in range(draws)]


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
